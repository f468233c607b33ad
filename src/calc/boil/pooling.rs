//! Which juices to boil next, and with whom: proposals that fill the pan, keep every juice inside
//! its holding time, boil alone what was asked to be, and put few members in a lot. Only proposes;
//! the crew decides. The search itself is `pooling_search`.
//!
//! What a proposal costs, so that anybody may judge it: 10 for each boil; 1 for each member beyond
//! the first in a lot; 10 times the share by which a boil falls short of the pan's least charge;
//! and, if any juice is lit after its time, 1,000 and 1 for each minute of the worst delay. So
//! nothing is late to save a boil, and no boil is spent to keep two members apart.

use super::pan_day::PanDay;
use super::pooling_search::{Part, search};
use crate::calc::RuleRefusal;
use crate::units::{Millilitres, Minutes, Units, UtcSecond};

/// A juice that is settled and waiting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct JuiceToPool<'a> {
    /// What the sentences call it, like "Ann Bell, tank 2".
    pub label: &'a str,
    /// The member whose juice it is: any number, the same for the same member.
    pub member: u64,
    /// How much of it is left.
    pub volume: Millilitres,
    /// When it must be on the fire at the latest.
    pub due: UtcSecond,
    /// Whether it may share a boil with other members' juice.
    pub pools: bool,
}

/// A part of a juice for one boil.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Draw {
    /// Place of the juice in the list given.
    pub juice: usize,
    /// How much of that juice goes in.
    pub volume: Millilitres,
}

/// One proposed boil.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The juices that go in.
    pub draws: Vec<Draw>,
    /// Volume of all of them together.
    pub volume: Millilitres,
    /// When to light it, after the boils before it.
    pub light: UtcSecond,
    /// When it should be done.
    pub done: UtcSecond,
    /// How many members have a share in it.
    pub members: usize,
    /// Juices in it that will be past their time when it is lit.
    pub late: Vec<usize>,
    /// By how much it falls short of the least charge; nought when it does not.
    pub short: Millilitres,
    /// Why these juices are boiled together, in a sentence or two.
    pub sentence: String,
}

/// Proposals in the order to boil them, and what they cost together.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposals {
    /// The proposed boils, in the order to light them.
    pub boils: Vec<Proposal>,
    /// The stated cost (see the head of this file).
    pub cost: f64,
}

/// Proposes boils for all that waits. A juice larger than the pan is cut into equal parts. Juices
/// of nothing are passed over.
///
/// # Errors
/// Beside `pan_least` or `pan_greatest`: a pan without a sensible charge; beside `pan_rate`: a pan
/// that boils nothing down.
pub fn propose(
    waiting: &[JuiceToPool<'_>],
    pan: &PanDay,
    units: Units,
) -> Result<Proposals, RuleRefusal> {
    if pan.greatest <= Millilitres::ZERO {
        return Err(RuleRefusal::beside(
            "pan_greatest",
            "pan-charge",
            "Please set the greatest charge of the pan.",
        ));
    }
    if pan.least < Millilitres::ZERO || pan.least > pan.greatest {
        return Err(RuleRefusal::beside(
            "pan_least",
            "pan-charge",
            "Please set a least charge of the pan that is not above its greatest.",
        ));
    }
    if !pan.litres_h.is_finite() || pan.litres_h <= 0.0 || pan.overhead.get() < 0 {
        return Err(RuleRefusal::beside(
            "pan_rate",
            "pan-rate-range",
            "Please set how much juice the pan boils down in an hour; it must be more than nought.",
        ));
    }
    let parts = parts(waiting, pan);
    let (boils, cost) = search(&parts, pan);
    let mut light = pan.free;
    let mut proposals = Vec::with_capacity(boils.len());
    for boil in boils {
        let proposal = describe(waiting, &parts, &boil, light, pan, units);
        light = proposal.done;
        proposals.push(proposal);
    }
    Ok(Proposals {
        boils: proposals,
        cost,
    })
}

/// Juices as the search sees them: none larger than the pan.
fn parts(waiting: &[JuiceToPool<'_>], pan: &PanDay) -> Vec<Part> {
    let mut parts = Vec::with_capacity(waiting.len());
    for (juice, of) in waiting.iter().enumerate() {
        let (whole, most) = (of.volume.get(), pan.greatest.get());
        let count = (whole + most - 1).div_euclid(most).max(0);
        let mut left = whole;
        for still in (1..=count).rev() {
            let ml = left.div_euclid(still);
            left -= ml;
            parts.push(Part {
                juice,
                member: of.member,
                ml,
                due: of.due.get(),
                pools: of.pools,
            });
        }
    }
    parts
}

fn describe(
    waiting: &[JuiceToPool<'_>],
    parts: &[Part],
    boil: &[usize],
    light: UtcSecond,
    pan: &PanDay,
    units: Units,
) -> Proposal {
    let mut chosen: Vec<&Part> = boil.iter().map(|p| &parts[*p]).collect();
    chosen.sort_by_key(|p| (p.due, p.juice));
    let volume: Millilitres = chosen.iter().map(|p| Millilitres::new(p.ml)).sum();
    let mut members: Vec<u64> = chosen.iter().map(|p| p.member).collect();
    members.sort_unstable();
    members.dedup();
    let mut late: Vec<usize> = chosen
        .iter()
        .filter(|p| p.due < light.get())
        .map(|p| p.juice)
        .collect();
    late.dedup();
    let short = Millilitres::new((pan.least.get() - volume.get()).max(0));
    Proposal {
        draws: chosen
            .iter()
            .map(|p| Draw {
                juice: p.juice,
                volume: Millilitres::new(p.ml),
            })
            .collect(),
        volume,
        light,
        done: light.plus(pan.seconds(volume.get())),
        members: members.len(),
        sentence: sentence(waiting, &chosen, volume, light, pan, units),
        late,
        short,
    }
}

fn sentence(
    waiting: &[JuiceToPool<'_>],
    chosen: &[&Part],
    volume: Millilitres,
    light: UtcSecond,
    pan: &PanDay,
    units: Units,
) -> String {
    let mut places: Vec<usize> = chosen.iter().map(|p| p.juice).collect();
    places.dedup();
    let names: Vec<&str> = places.iter().map(|p| waiting[*p].label).collect();
    let who = match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join("; ")),
        _ => names.join(""),
    };
    let charge = format!(
        "{} in a pan that takes {} to {}",
        volume.show(units),
        pan.least.show(units),
        pan.greatest.show(units)
    );
    let fill = if volume < pan.least {
        "is less than the least charge"
    } else {
        "fills it"
    };
    let alone = if chosen.iter().any(|p| !p.pools) {
        " Boiled alone, as asked."
    } else {
        ""
    };
    let oldest = chosen.first().map_or("", |p| waiting[p.juice].label);
    let left = chosen.first().map_or(0, |p| p.due) - light.get();
    let span = Minutes::new(left.abs().div_euclid(60)).show();
    let when = if left < 0 {
        format!(
            "When it is lit, {oldest} will be {span} past its holding time: smell it and test it \
             first."
        )
    } else if volume < pan.least {
        format!("When it is lit, {oldest} has {span} left; it may wait that long for more juice.")
    } else {
        format!("When it is lit, {oldest} has {span} left.")
    };
    format!("{who}: {charge}, which {fill}.{alone} {when}")
}
