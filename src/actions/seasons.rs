//! Opening a season and making new versions of its rules.

use super::{Act, Done, Stop, begin};
use crate::calc::losses::LossRule;
use crate::calc::rules::{self, Figures, Size};
use crate::calc::{Basis, Unmet};
use crate::store::WriteTx;
use crate::store::coop;
use crate::store::seasons::{self, JarSize, Rules, Season};
use crate::units::{BasisPoints, Cents, Grams, MilliCents, Minutes, RulesId, SeasonId};

/// A version of the rules as a steward fills it in; units as in [`Rules`].
#[derive(Debug, Clone)]
pub struct NewRules {
    /// What syrup is split by.
    pub basis: Basis,
    /// The mill's part of the syrup.
    pub toll: BasisPoints,
    /// Fee per kilogram of cane.
    pub cane_per_kg: MilliCents,
    /// Fee per litre of juice.
    pub juice_per_l: MilliCents,
    /// Fee per jar filled.
    pub jar_fee: Cents,
    /// Least charge per member and boil.
    pub least: Cents,
    /// Fee of a boil, borne by its members.
    pub boil_fee: Cents,
    /// Credit for an hour worked.
    pub hour: Cents,
    /// Most hours credited, per member and season.
    pub hours_most: i64,
    /// Price at which carried syrup is settled, per kilogram; nothing: only in syrup.
    pub syrup_per_kg: MilliCents,
    /// Who bears a scorched or spilled boil.
    pub loss: LossRule,
    /// Whether the margin goes back by solids brought.
    pub patronage: bool,
    /// Finish target, °Bx at 20 °C.
    pub target_bx: f64,
    /// Juice below this is warned about, °Bx.
    pub floor_bx: f64,
    /// Juice older than this is amber.
    pub hold_amber: Minutes,
    /// Juice older than this is red.
    pub hold_red: Minutes,
    /// Cane cut longer ago than this is warned about, days.
    pub cane_warn_days: i64,
    /// Juice per 100 of cane below this is amber.
    pub yield_amber_pct: f64,
    /// Juice per 100 of cane below this is red.
    pub yield_red_pct: f64,
    /// Solids expected in jars, per 100 in juice.
    pub recovery_pct: f64,
    /// Juice expected per 100 of cane.
    pub juice_pct: f64,
    /// Stripped cane expected per metre of row, kg.
    pub row_kg_per_m: f64,
    /// One stripped stalk.
    pub stalk: Grams,
    /// Hours before its start until which a member may move or cancel a turn.
    pub cutoff_h: i64,
    /// Jar sizes.
    pub sizes: Vec<JarSize>,
    /// Remark: what changed and who voted it.
    pub note: String,
}

/// Opens the season of a year with its first rules.
pub async fn open(act: &Act, year: i64, rules: NewRules) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "open_season");
    let id = begin_season(act, &mut tx, year, rules).await?;
    act.finish(tx, "open_season", id).await
}

/// Opens the season of a year with the rules that the latest season ended with, or with the
/// defaults when it is the first. A season is opened a year ahead at most.
pub async fn open_as_before(act: &Act, year: i64) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "open_season");
    let coop = coop::find(&mut tx).await?.ok_or(Stop::Missing)?;
    let this_year = coop.zone.local(act.at).0.date().year();
    let year = rules::season_year(year, i64::from(this_year))?;
    let rules = match seasons::list(&mut tx).await?.first() {
        Some(latest) => {
            let rules = seasons::rules_in_force(&mut tx, latest.id).await?;
            let sizes = seasons::jar_sizes(&mut tx, rules.id).await?;
            NewRules {
                note: format!("As the season of {} ended.", latest.year),
                ..NewRules::of(&rules, sizes)
            }
        }
        None => NewRules::defaults(),
    };
    let id = begin_season(act, &mut tx, year, rules).await?;
    act.finish(tx, "open_season", id).await
}

async fn begin_season(act: &Act, tx: &mut WriteTx, year: i64, rules: NewRules) -> Done<SeasonId> {
    if seasons::of_year(tx, year).await?.is_some() {
        return Err(Unmet::beside(
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

/// Makes a new version of a season's rules. Boils already lit keep theirs. `seen` is the number of
/// the version that the form was filled in from.
pub async fn change_rules(
    act: &Act,
    season: SeasonId,
    seen: i64,
    rules: NewRules,
) -> Done<RulesId> {
    act.steward()?;
    let mut tx = begin!(act, "change_rules");
    seasons::find(&mut tx, season).await?.ok_or(Stop::Missing)?;
    let latest = seasons::rules_in_force(&mut tx, season).await?;
    if latest.number != seen {
        return Err(Unmet::new(
            "changed-meanwhile",
            format!("Version {} of the rules was made while you had this open. Your entries are kept below; send again to make a further version of them.", latest.number),
        )
        .into());
    }
    let id = write(act, &mut tx, season, latest.number + 1, rules).await?;
    act.finish(tx, "change_rules", id).await
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
        basis: new.basis,
        toll: new.toll,
        cane_per_kg: new.cane_per_kg,
        juice_per_l: new.juice_per_l,
        jar_fee: new.jar_fee,
        least: new.least,
        boil_fee: new.boil_fee,
        hour: new.hour,
        hours_most: new.hours_most,
        syrup_per_kg: new.syrup_per_kg,
        loss: new.loss,
        patronage: new.patronage,
        target_bx: new.target_bx,
        floor_bx: new.floor_bx,
        hold_amber: new.hold_amber,
        hold_red: new.hold_red,
        cane_warn_days: new.cane_warn_days,
        yield_amber_pct: new.yield_amber_pct,
        yield_red_pct: new.yield_red_pct,
        recovery_pct: new.recovery_pct,
        juice_pct: new.juice_pct,
        row_kg_per_m: new.row_kg_per_m,
        stalk: new.stalk,
        cutoff_h: new.cutoff_h,
        note: new.note,
        made_by: act.actor.id,
        made_at: act.at,
    };
    seasons::insert_rules(tx, &rules).await?;
    let mut sizes = new.sizes;
    sizes.sort_by(|a, b| b.net.cmp(&a.net).then_with(|| a.name.cmp(&b.name)));
    for (position, size) in (1..).zip(&sizes) {
        seasons::insert_jar_size(tx, rules.id, position, size).await?;
    }
    Ok(rules.id)
}

impl NewRules {
    /// A stored version as the start of a new one.
    pub fn of(rules: &Rules, sizes: Vec<JarSize>) -> Self {
        Self {
            basis: rules.basis,
            toll: rules.toll,
            cane_per_kg: rules.cane_per_kg,
            juice_per_l: rules.juice_per_l,
            jar_fee: rules.jar_fee,
            least: rules.least,
            boil_fee: rules.boil_fee,
            hour: rules.hour,
            hours_most: rules.hours_most,
            syrup_per_kg: rules.syrup_per_kg,
            loss: rules.loss,
            patronage: rules.patronage,
            target_bx: rules.target_bx,
            floor_bx: rules.floor_bx,
            hold_amber: rules.hold_amber,
            hold_red: rules.hold_red,
            cane_warn_days: rules.cane_warn_days,
            yield_amber_pct: rules.yield_amber_pct,
            yield_red_pct: rules.yield_red_pct,
            recovery_pct: rules.recovery_pct,
            juice_pct: rules.juice_pct,
            row_kg_per_m: rules.row_kg_per_m,
            stalk: rules.stalk,
            cutoff_h: rules.cutoff_h,
            sizes,
            note: rules.note.clone(),
        }
    }

    /// Looks the figures over, as the form did.
    fn check(&self) -> Result<(), Unmet> {
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
            ("cutoff", count(self.cutoff_h)),
        ];
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
        Self {
            basis: Basis::Solids,
            toll: BasisPoints::ZERO,
            cane_per_kg: MilliCents::ZERO,
            juice_per_l: MilliCents::ZERO,
            jar_fee: Cents::ZERO,
            least: Cents::ZERO,
            boil_fee: Cents::ZERO,
            hour: Cents::ZERO,
            hours_most: 0,
            syrup_per_kg: MilliCents::ZERO,
            loss: LossRule::Own,
            patronage: false,
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
            sizes: vec![
                JarSize {
                    name: "quart".to_owned(),
                    net: Grams::new(1247),
                    price: Cents::new(160),
                },
                JarSize {
                    name: "pint".to_owned(),
                    net: Grams::new(623),
                    price: Cents::new(120),
                },
            ],
            note: String::new(),
        }
    }
}
