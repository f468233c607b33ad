//! Opening a season and making new versions of its rules.

use crate::actions::{Act, Done, Stop, begin};
use crate::calc::season::rules::{self, Figures, Size, may_hold_from};
use crate::calc::season::weights::Weights;
use crate::calc::shares::losses::LossRule;
use crate::calc::{Basis, RuleRefusal};
use crate::facts::rules_versions;
use crate::facts::season::seasons::SeasonRules;
use crate::store::people::coop;
use crate::store::season::seasons::{self, JarSize, Rules, Season, Terms};
use crate::store::season::weights;
use crate::store::{Question, Together, WriteTx};
use crate::units::{
    BasisPoints, Cents, Grams, MilliCents, Minutes, PressDate, RulesId, SeasonId, Units,
};
use std::ops::{Deref, DerefMut};

/// A version of the rules as a steward fills it in. Its terms are read and written as if they were
/// its own fields.
#[derive(Debug, Clone)]
pub struct NewRules {
    /// The terms of the version.
    pub terms: Terms,
    /// Jar sizes.
    pub sizes: Vec<JarSize>,
    /// What each loss and cost counts when turns are proposed.
    pub weights: Weights,
}

impl Deref for NewRules {
    type Target = Terms;
    fn deref(&self) -> &Terms {
        &self.terms
    }
}

impl DerefMut for NewRules {
    fn deref_mut(&mut self) -> &mut Terms {
        &mut self.terms
    }
}

/// Opens the season of a year with rules that were voted: they hold from its first day.
pub async fn open(act: &Act, year: i64, rules: NewRules) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "open_season");
    let id = begin_season(act, &mut tx, year, rules).await?;
    let first = rules_versions::made_last(id).ask(&mut tx).await?;
    let from = first_day(year)?;
    seasons::confirm_rules(&mut tx, first.id, from, (act.actor.id, act.at)).await?;
    act.finish(tx, "open_season", id).await
}

/// The day that a season begins with.
fn first_day(year: i64) -> Result<PressDate, RuleRefusal> {
    PressDate::parse(&format!("{year:04}-01-01"))
        .map_err(|refused| RuleRefusal::refused("year", &refused))
}

/// Opens the season of a year with a draft of the rules that the latest season ended with, or of the
/// defaults when it is the first. A season is opened a year ahead at most, one of a year that has passed only by whoever is `sure`:
/// a season that was opened stays.
pub async fn open_as_before(act: &Act, (year, sure): (i64, bool)) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "open_season");
    let coop = coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let this_year = coop.zone.local(act.at).0.date().year();
    let year = rules::season_year(year, i64::from(this_year))?;
    if year < i64::from(this_year) && !sure {
        let sentence = format!(
            "{year} has passed, this is {this_year}, and a season that was opened stays. Please look at the year, or say that it is right."
        );
        return Err(RuleRefusal::beside("sure", "year-passed", sentence).into());
    }
    let rules = match SeasonRules::latest_at_its_end(&mut tx).await? {
        Some(latest) => {
            let weights = weights::of_rules(latest.rules.id).ask(&mut tx).await?;
            let mut before = NewRules::of(&latest.rules, latest.sizes, weights);
            // What was done before there was such a rule is now a rule that is voted with the others.
            before.mill_mends = Some(before.mill_mends.unwrap_or(true));
            before.lots_repay_pct = Some(before.lots_repay_pct.unwrap_or(100));
            before.note = format!("As the season of {} ended.", latest.season.year);
            before
        }
        None => NewRules::defaults(),
    };
    let id = begin_season(act, &mut tx, year, rules).await?;
    act.finish(tx, "open_season", id).await
}

async fn begin_season(act: &Act, tx: &mut WriteTx, year: i64, rules: NewRules) -> Done<SeasonId> {
    if seasons::of_year(year).ask(tx).await?.is_some() {
        return Err(RuleRefusal::beside(
            "year",
            "season-open",
            format!("The season of {year} is open already."),
        )
        .into());
    }
    let season = Season {
        id: SeasonId::new(act.id()),
        year,
    };
    seasons::insert(tx, &season, act.at).await?;
    write(act, tx, season.id, 1, rules).await?;
    Ok(season.id)
}

/// Makes a new version of a season's rules: a draft, until it is confirmed. `seen` is the number of
/// the version that the form was filled in from.
pub async fn change_rules(
    act: &Act,
    season: SeasonId,
    seen: i64,
    rules: NewRules,
) -> Done<RulesId> {
    act.steward()?;
    let mut tx = begin!(act, "change_rules");
    seasons::find(season)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let latest = rules_versions::made_last(season).ask(&mut tx).await?;
    if latest.number != seen {
        return Err(RuleRefusal::changed(
            format!("Version {} of the rules was made while you had this open. Your entries are kept below; send again to make a further version of them.", latest.number),
        )
        .into());
    }
    let id = write(act, &mut tx, season, latest.number + 1, rules).await?;
    act.finish(tx, "change_rules", id).await
}

/// Confirms the draft of that number: it holds from that day on, for whatever is lit from then. Only the
/// version made last can be confirmed.
pub async fn confirm(act: &Act, season: SeasonId, number: i64, from: PressDate) -> Done<RulesId> {
    act.steward()?;
    let mut tx = begin!(act, "confirm_rules");
    let of = seasons::find(season)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let versions = seasons::rules_list(season).ask(&mut tx).await?;
    let latest = versions.first().ok_or(Stop::Missing)?;
    let draft = versions
        .iter()
        .find(|r| r.number == number)
        .ok_or(Stop::Missing)?;
    if draft.holds_from.is_some() {
        let sentence = format!("Version {number} was confirmed meanwhile.");
        return Err(RuleRefusal::new("confirmed-already", sentence).into());
    }
    if latest.number != number {
        let sentence = format!(
            "Version {} of the rules was made since. Please look at that one.",
            latest.number
        );
        return Err(RuleRefusal::changed(sentence).into());
    }
    let before = versions
        .iter()
        .filter_map(|r| r.holds_from.map(|from| (from, r.number)));
    may_hold_from(from, of.year, before.max())?;
    seasons::confirm_rules(&mut tx, draft.id, from, (act.actor.id, act.at)).await?;
    act.finish(tx, "confirm_rules", draft.id).await
}

/// The rules that hold on a day; nothing is weighed in, lit or divided by rules that nobody confirmed.
pub(in crate::actions) async fn confirmed_on(
    tx: &mut WriteTx,
    season: SeasonId,
    date: PressDate,
) -> Done<Rules> {
    let found = confirmed(season, date).ask(tx).await?;
    let (Err(_), Some(of)) = (&found, seasons::find(season).ask(tx).await?) else {
        return found;
    };
    let all = seasons::rules_list(season).ask(tx).await?;
    match all.iter().filter_map(|rules| rules.holds_from).min() {
        Some(from) if from > date => Err(RuleRefusal::new(
            "rules-to-come",
            format!(
                "The rules of {} hold from {}: before that nothing is written down under them.",
                of.year,
                from.show()
            ),
        )
        .into()),
        _ => found,
    }
}

/// The question of which rules are confirmed for a day.
pub(in crate::actions) fn confirmed(season: SeasonId, date: PressDate) -> Question<Done<Rules>> {
    let found = (
        rules_versions::confirmed_on(season, date),
        seasons::find(season),
    );
    found.together().map(move |(rules, season)| {
        let season = season.ok_or(Stop::Missing)?;
        rules.ok_or_else(|| {
            RuleRefusal::new(
                "rules-draft",
                format!(
                    "No rules of {} are confirmed for {} yet. A steward confirms them on the page of the season.",
                    season.year,
                    date.show()
                ),
            )
            .into()
        })
    })
}

async fn write(
    act: &Act,
    tx: &mut WriteTx,
    season: SeasonId,
    number: i64,
    new: NewRules,
) -> Done<RulesId> {
    new.check()?;
    let rules = Rules {
        id: RulesId::new(act.id()),
        season_id: season,
        number,
        terms: new.terms,
        holds_from: None,
        confirmed_at: None,
        made_by: act.actor.id,
        made_at: act.at,
    };
    seasons::insert_rules(tx, &rules).await?;
    weights::insert(tx, rules.id, &new.weights).await?;
    let mut sizes = new.sizes;
    sizes.sort_by(|a, b| b.net.cmp(&a.net).then_with(|| a.name.cmp(&b.name)));
    for (position, size) in (1..).zip(&sizes) {
        seasons::insert_jar_size(tx, rules.id, position, size).await?;
    }
    Ok(rules.id)
}

impl NewRules {
    /// A stored version as the start of a new one.
    pub fn of(rules: &Rules, sizes: Vec<JarSize>, weights: Weights) -> Self {
        Self {
            terms: rules.terms.clone(),
            sizes,
            weights,
        }
    }

    /// Looks the figures over, as the form did.
    fn check(&self) -> Result<(), RuleRefusal> {
        #[expect(clippy::cast_precision_loss, reason = "minutes and days are small")]
        let count = |n: i64| n as f64;
        let ranged = [
            ("target_bx", self.target_bx),
            ("floor_bx", self.floor_bx),
            ("hold_amber", count(self.hold_amber.get())),
            ("hold_red", count(self.hold_red.get())),
            ("cane_days", count(self.cane_warn_days)),
            ("hours_most", count(self.hours_most)),
            ("yield_amber", self.yield_amber_pct),
            ("yield_red", self.yield_red_pct),
            ("recovery", self.recovery_pct),
            ("juice_pct", self.juice_pct),
            ("row", self.row_kg_per_m),
            ("stalk", self.stalk.as_f64()),
            ("lots_repay", count(self.lots_repay_pct.unwrap_or(100))),
            ("cutoff", count(self.cutoff_h)),
            ("offer", count(self.offer.get())),
        ];
        let ranged: Vec<_> = ranged.into_iter().chain(self.weights.figures()).collect();
        let sizes: Vec<Size<'_>> = self
            .sizes
            .iter()
            .enumerate()
            .map(|(row, size)| Size {
                row,
                name: &size.name,
                net: size.net,
            })
            .collect();
        rules::check(&Figures {
            ranged: &ranged,
            hold_amber: self.hold_amber,
            hold_red: self.hold_red,
            yield_amber_pct: self.yield_amber_pct,
            yield_red_pct: self.yield_red_pct,
            sizes: &sizes,
        })
    }

    /// The defaults a new co-op starts from, each with its source in `calc::sources`.
    pub fn defaults() -> Self {
        let terms = Terms {
            basis: Basis::Solids,
            toll: BasisPoints::ZERO,
            rates_in: Units::Us,
            cane_rate: MilliCents::ZERO,
            juice_rate: MilliCents::ZERO,
            jar_fee: Cents::ZERO,
            least: Cents::ZERO,
            boil_fee: Cents::ZERO,
            hour: Cents::ZERO,
            hours_most: 0,
            syrup_rate: MilliCents::ZERO,
            loss: LossRule::Own,
            patronage: false,
            second_signature: true,
            trash_off: false,
            mill_mends: Some(true),
            lots_repay_pct: Some(100),
            read_again_one_in: 0,
            target_bx: 78.0,
            floor_bx: 12.0,
            hold_amber: Minutes::new(240),
            hold_red: Minutes::new(300),
            cane_warn_days: 4,
            yield_amber_pct: 45.0,
            yield_red_pct: 38.0,
            recovery_pct: 80.0,
            juice_pct: 45.0,
            row_kg_per_m: 2.0,
            stalk: Grams::new(450),
            cutoff_h: 12,
            offer: Minutes::new(240),
            note: String::new(),
        };
        Self {
            terms,
            weights: Weights::DEFAULT,
            sizes: vec![
                JarSize {
                    name: "quart".to_owned(),
                    net: Grams::new(1247),
                    price: Cents::new(160),
                },
                JarSize {
                    name: "pint".to_owned(),
                    net: Grams::new(624),
                    price: Cents::new(120),
                },
            ],
        }
    }
}
