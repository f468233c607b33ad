//! The end of a boil: its finish, its jars, and putting either right.

use super::boils::open_boil;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::boil::boil_rules as rules_of;
use crate::calc::boil::fuel_burnt::{Boiled, FuelBurnt};
use crate::calc::boil::sums::{total, warmth};
use crate::calc::cane::undo::{AT_ONCE, Written, may_undo};
use crate::calc::physics::refractometer::{Instrument, to_20c};
use crate::facts::boil::boil_sums::{self, InPan};
use crate::facts::shares::jars_gone::enough_filled;
use crate::store::WriteTx;
use crate::store::boil::boils::{self, BoilRow, FillRow};
use crate::store::boil::boils_write as write;
use crate::store::boil::boils_write::{NewFillRow, NewFinishRow};
use crate::store::boil::{boil_readings, pans};
use crate::store::season::seasons::{self, JarSize};
use crate::units::{BoilId, BrixAt20C, BrixRead, Celsius, Grams, LotCode, Units, UtcSecond};

/// The finish of a boil as measured.
#[derive(Debug, Clone)]
pub struct NewFinish {
    /// Syrup drawn off.
    pub syrup: Grams,
    /// Refractometer, as read from the cooled sample.
    pub brix: BrixRead,
    /// The instrument that it was read with.
    pub instrument: Instrument,
    /// Temperature of the cooled sample.
    pub sample: Celsius,
    /// The pan's temperature when it was drawn off, if read.
    pub finish_temp: Option<Celsius>,
    /// Skimmings weighed.
    pub skimmed: Grams,
    /// Syrup spilt or scorched, weighed or guessed.
    pub spilt: Grams,
    /// Fuel burnt under it, if measured.
    pub fuel: Option<FuelBurnt>,
    /// A figure for fuel that looks far too high was looked at.
    pub fuel_sure: bool,
    /// When it was drawn off.
    pub finished_at: UtcSecond,
    /// Thinner than 74 % is known.
    pub thin: bool,
    /// A low recovery was looked into.
    pub low: bool,
    /// Why a finish is put right; empty for the first.
    pub why: String,
    /// The system of units that sentences use.
    pub units: Units,
}

/// Jars filled: counts by size, and perhaps a part-jar.
#[derive(Debug, Clone)]
pub struct NewFills {
    /// Whole jars: net weight of a size in the boil's rules, and how many.
    pub counts: Vec<(Grams, i64)>,
    /// Syrup in a part-jar, if there is one.
    pub part: Option<Grams>,
    /// When they were filled; `None`: just now.
    pub filled_at: Option<UtcSecond>,
    /// The system of units that sentences use.
    pub units: Units,
}

/// A fill put right.
#[derive(Debug, Clone)]
pub struct FixedFill {
    /// How many jars; 0 crosses the fill out.
    pub count: i64,
    /// Syrup in it, for a part-jar; whole jars keep their size's.
    pub net: Option<Grams>,
    /// Why it is put right; empty: who wrote it puts it right at once.
    pub why: String,
    /// The system of units that sentences use.
    pub units: Units,
}

/// Most jars of one size from one boil.
pub const MOST_JARS: i64 = 2_000;

/// Finishes a boil, or puts its finish right.
pub async fn finish(act: &Act, lot: &LotCode, new: NewFinish) -> Done<BoilId> {
    act.crew()?;
    let mut tx = begin!(act, "finish_boil");
    let boil = open_boil(&mut tx, lot).await?;
    let version = finish_version(&boil, &new)?;
    let brix_20 = to_20c(new.brix, new.instrument, new.sample)
        .map_err(beside_finish)?
        .brix;
    if let Some(temp) = new.finish_temp {
        rules_of::finish_temperature(temp, new.units)?;
    }
    let readings = boil_readings::of_boil(boil.id).ask(&mut tx).await?;
    let last = readings.last().map(|r| r.read_at);
    rules_of::in_order("finished_at", new.finished_at, boil.lit_at, last, act.at)?;
    if new.syrup <= Grams::ZERO {
        return Err(RuleRefusal::beside(
            "syrup",
            "syrup-missing",
            "Please write how much syrup was drawn off.",
        )
        .into());
    }
    let rules = seasons::rules(boil.rules_id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    let pan = boil_sums::in_pan(boil.id).ask(&mut tx).await?;
    let brought = total(pan.iter().map(|juice| juice.part));
    let balance = rules_of::balance(brought, new.syrup, brix_20).with_spilt(new.spilt);
    balance.possible(new.units)?;
    if new.skimmed + new.syrup + new.spilt > brought.mass {
        return Err(RuleRefusal::beside(
            "skimmed",
            "skimmed-too-much",
            "Skimmings, syrup and what was spilt weigh more together than the juice that was poured \
             in. Please look at them again.",
        )
        .into());
    }
    if let Some(burnt) = new.fuel {
        fuel_can_be(&mut tx, &boil, &pan, &new, (burnt, brix_20)).await?;
    }
    let jarred = jarred(&mut tx, &boil, None).await?;
    rules_of::covered("syrup", new.syrup, jarred, new.units)?;
    rules_of::thick_enough(brix_20, new.thin)?;
    balance.not_too_low(rules.recovery_pct, new.low)?;
    let row = NewFinishRow {
        version,
        syrup: new.syrup,
        brix: new.brix,
        instrument: new.instrument,
        sample: new.sample,
        brix_20,
        finish_temp: new.finish_temp,
        skimmed: new.skimmed,
        spilt: new.spilt,
        burnt: new.fuel,
        finished_at: new.finished_at,
        why: new.why,
    };
    write::insert_finish(&mut tx, boil.id, &row, act.measured_by(), act.at).await?;
    act.finish(tx, "finish_boil", boil.id).await
}

/// Whether so much fuel can have boiled this, and whether it burns under this pan.
async fn fuel_can_be(
    tx: &mut WriteTx,
    boil: &BoilRow,
    inside: &[InPan],
    new: &NewFinish,
    (burnt, syrup): (FuelBurnt, BrixAt20C),
) -> Done<()> {
    if let Some(id) = boil.pan_id {
        let pan = pans::find(id).ask(tx).await?.ok_or(Stop::Missing)?;
        if pan.settings.fuel != burnt.fuel {
            return Err(RuleRefusal::beside(
                "fuel_burnt",
                "fuel-other",
                format!(
                    "{} burns {}: please write how much of that.",
                    pan.name,
                    pan.settings.fuel.name()
                ),
            )
            .into());
        }
    }
    let brought = total(inside.iter().map(|juice| juice.part));
    let boiled = warmth(inside.iter().map(|j| (j.row.temp, j.part.mass))).map(|temp| Boiled {
        juice: brought.mass,
        solids: brought.solids,
        temp,
        syrup,
        water: boil.water_boil,
        finish: new.finish_temp,
    });
    if let Some(heat) = boiled.and_then(|b| b.heat()) {
        burnt.believable(heat, new.fuel_sure, new.units)?;
    }
    Ok(())
}

/// The version that a finish becomes: a second one must say why.
fn finish_version(boil: &BoilRow, new: &NewFinish) -> Result<i64, RuleRefusal> {
    match &boil.finish {
        None => Ok(1),
        Some(before) if new.why.trim().is_empty() => Err(RuleRefusal::beside(
            "finish_why",
            "why-missing",
            format!(
                "{} wrote the finish of this boil down already: {} at {}. To put that right, please \
                 say why.",
                before.by_name,
                before.syrup.show(new.units),
                before.brix_20.show()
            ),
        )),
        Some(before) => Ok(before.version + 1),
    }
}

/// The refractometer's sentences, beside the boxes of the finish.
fn beside_finish(refusal: RuleRefusal) -> RuleRefusal {
    let at = match refusal.at {
        Some("temp") => Some("sample"),
        Some(_) => Some("finish_brix"),
        None => None,
    };
    RuleRefusal { at, ..refusal }
}

/// Syrup in the jars of a boil, without those of one fill.
async fn jarred(tx: &mut WriteTx, boil: &BoilRow, but: Option<i64>) -> Done<Grams> {
    let fills = boils::fills(boil.id).ask(tx).await?;
    Ok(fills
        .iter()
        .filter(|f| Some(f.number) != but)
        .map(FillRow::grams)
        .sum())
}

/// Writes down jars that were filled.
pub async fn fill(act: &Act, lot: &LotCode, new: NewFills) -> Done<BoilId> {
    act.crew()?;
    let mut tx = begin!(act, "fill_jars");
    let boil = open_boil(&mut tx, lot).await?;
    let syrup = finished(&boil)?;
    filled_then(&boil, new.filled_at, act.at)?;
    let filled_at = new.filled_at.or_else(|| act.said_earlier());
    let sizes = seasons::jar_sizes(boil.rules_id).ask(&mut tx).await?;
    let rows = fill_rows(&new, &sizes)?;
    let more: Grams = rows
        .iter()
        .map(|row| Grams::new(row.net.get() * row.count))
        .sum();
    let jarred = jarred(&mut tx, &boil, None).await? + more;
    let at = if new.part.is_some() {
        "part"
    } else {
        "count_1"
    };
    rules_of::covered(at, syrup, jarred, new.units)?;
    let first = boils::next_fill(boil.id).ask(&mut tx).await?;
    for (number, row) in (first..).zip(rows) {
        let row = NewFillRow {
            number,
            filled_at,
            ..row
        };
        write::insert_fill(&mut tx, boil.id, &row, act.measured_by(), act.at).await?;
    }
    act.finish(tx, "fill_jars", boil.id).await
}

/// Jars are filled once the syrup is drawn off, and not in time to come. Whole minutes are compared, as clocks show them.
fn filled_then(
    boil: &BoilRow,
    filled: Option<UtcSecond>,
    present: UtcSecond,
) -> Result<(), RuleRefusal> {
    let minute = |t: UtcSecond| t.get().div_euclid(60);
    let (Some(filled), Some(finish)) = (filled, &boil.finish) else {
        return Ok(());
    };
    if minute(filled) > minute(present) {
        return Err(RuleRefusal::beside(
            "filled_at",
            "filled-later",
            "That time is still to come. Please write when the jars were filled.",
        ));
    }
    if minute(filled) < minute(finish.finished_at) {
        return Err(RuleRefusal::beside(
            "filled_at",
            "filled-before-finish",
            "That is before the syrup was drawn off, as the finish has it. Please look at the time again.",
        ));
    }
    Ok(())
}

fn finished(boil: &BoilRow) -> Result<Grams, RuleRefusal> {
    boil.finish.as_ref().map(|f| f.syrup).ok_or_else(|| {
        RuleRefusal::new(
            "not-finished",
            "This boil is still on the fire. Please write its finish down first: syrup and Brix.",
        )
    })
}

/// The rows of a fill, numbers still to come.
fn fill_rows(new: &NewFills, sizes: &[JarSize]) -> Done<Vec<NewFillRow>> {
    let mut rows = Vec::new();
    for (net, count) in new.counts.iter().filter(|(_, count)| *count > 0) {
        let size = sizes.iter().find(|s| s.net == *net).ok_or(Stop::Missing)?;
        rows.push(new_row(size, size.net, *count, false));
    }
    if let Some(net) = new.part {
        rows.push(new_row(part_size(net, sizes, new.units)?, net, 1, true));
    }
    if rows.is_empty() {
        return Err(RuleRefusal::beside(
            "count_1",
            "no-jars",
            "Please write how many jars were filled, of one size at least.",
        )
        .into());
    }
    Ok(rows)
}

fn new_row(size: &JarSize, net: Grams, count: i64, part: bool) -> NewFillRow {
    NewFillRow {
        number: 0,
        version: 1,
        size_name: size.name.clone(),
        net,
        count,
        part,
        price: size.price,
        why: String::new(),
        filled_at: None,
    }
}

/// The jar that a part stands in: the smallest that it does not fill.
fn part_size(net: Grams, sizes: &[JarSize], units: Units) -> Result<&JarSize, RuleRefusal> {
    if net <= Grams::ZERO {
        return Err(RuleRefusal::beside(
            "part",
            "part-empty",
            "Please write what the part-jar holds, or leave this empty.",
        ));
    }
    let holds = sizes
        .iter()
        .filter(|s| s.net > net)
        .min_by_key(|s| (s.net, s.name.clone()));
    holds.ok_or_else(|| {
        RuleRefusal::beside(
            "part",
            "part-too-large",
            format!(
                "{} fills the largest jar: please count it as a whole one.",
                net.small(units)
            ),
        )
    })
}

/// The reason of a correction: who wrote it last puts it right within ten minutes without one.
fn reason(act: &Act, before: &FillRow, why: String) -> Done<String> {
    if !why.trim().is_empty() {
        return Ok(why);
    }
    let written = Written {
        by: before.by,
        by_name: before.by_name.as_str(),
        at: before.at,
        undone: false,
    };
    if may_undo(&written, (act.actor.id, act.said_at())).is_err() {
        return Err(RuleRefusal::beside("why", "why-missing", "Please say why.").into());
    }
    Ok(AT_ONCE.to_owned())
}

/// Puts a fill right, or crosses it out.
pub async fn fix_fill(act: &Act, lot: &LotCode, number: i64, new: FixedFill) -> Done<BoilId> {
    act.crew()?;
    let mut tx = begin!(act, "fix_fill");
    let boil = open_boil(&mut tx, lot).await?;
    let syrup = finished(&boil)?;
    let versions = boils::fill_versions(boil.id, number).ask(&mut tx).await?;
    let before = versions.first().ok_or(Stop::Missing)?;
    let why = reason(act, before, new.why)?;
    let most = if before.part { 1 } else { MOST_JARS };
    if !(0..=most).contains(&new.count) {
        return Err(RuleRefusal::beside(
            "count",
            "jar-count",
            format!("Please write a number of jars from 0 to {most}."),
        )
        .into());
    }
    let mut row = NewFillRow {
        number,
        version: before.version + 1,
        size_name: before.size_name.clone(),
        net: before.net,
        count: new.count,
        part: before.part,
        price: before.price,
        why,
        // Counting jars anew does not change when they were filled.
        filled_at: Some(before.filled_at),
    };
    if let (true, Some(net)) = (before.part, new.net) {
        let sizes = seasons::jar_sizes(boil.rules_id).ask(&mut tx).await?;
        let size = part_size(net, &sizes, new.units)?;
        (row.net, row.size_name, row.price) = (net, size.name.clone(), size.price);
    }
    let others = jarred(&mut tx, &boil, Some(number)).await?;
    let all = others + Grams::new(row.net.get() * row.count);
    let at = if before.part { "part" } else { "count" };
    rules_of::covered(at, syrup, all, new.units)?;
    enough_filled(&mut tx, lot, (before, &row), (at, new.units)).await??;
    write::insert_fill(&mut tx, boil.id, &row, act.actor.id, act.at).await?;
    act.finish(tx, "fix_fill", boil.id).await
}
