//! Opening a season and making new versions of its rules.

use super::{Act, Done, Stop, begin};
use crate::calc::{Basis, Unmet};
use crate::store::WriteTx;
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
    /// Jar sizes.
    pub sizes: Vec<JarSize>,
    /// Remark: what changed and who voted it.
    pub note: String,
}

/// Opens the season of a year with its first rules.
pub async fn open(act: &Act, year: i64, rules: NewRules) -> Done<SeasonId> {
    act.steward()?;
    let mut tx = begin!(act, "open_season");
    if seasons::of_year(&mut tx, year).await?.is_some() {
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
    seasons::insert(&mut tx, &season, act.at).await?;
    write(act, &mut tx, season.id, 1, rules).await?;
    act.finish(tx, "open_season", season.id).await
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
    if new.sizes.is_empty() {
        return Err(Unmet::beside(
            "size_1",
            "no-sizes",
            "Please name at least one size of jar.",
        )
        .into());
    }
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
    /// The defaults a new co-op starts from, each with its source in `calc::sources`.
    pub fn defaults() -> Self {
        Self {
            basis: Basis::Solids,
            toll: BasisPoints::ZERO,
            cane_per_kg: MilliCents::ZERO,
            juice_per_l: MilliCents::ZERO,
            jar_fee: Cents::ZERO,
            least: Cents::ZERO,
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
