//! What a season's proposal costs, and what one more day would save.

use super::proposal_days::ProposedDay;
use super::proposal_fields::Field;
use crate::calc::season::proposal::{self as sums, Day, Piece, Season};
use crate::calc::season::ripeness::{Frosts, Steepness, lost};
use crate::calc::season::weights::CREW;
use crate::units::Grams;

/// Any number will do; the same one gives the same proposal.
pub(super) const SEED: u64 = 20;

/// What a proposal costs; amounts without another unit are cane.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Costs {
    /// All that is lost, kg: cut too early or too late, by frost, or not pressed at all.
    pub lost_kg: f64,
    /// Lost by being cut early or late.
    pub off: Grams,
    /// Expected to be lost by frost; `None`: nothing was said of frost.
    pub frost: Option<Grams>,
    /// Cane whose juice waits, since the pans boil slower than the mill presses.
    pub waits: Grams,
    /// Days that the crew comes for these turns alone.
    pub days: i64,
    /// People who come on them, each day counted.
    pub people: i64,
    /// How many of those days do not fill the pan.
    pub short_days: i64,
    /// Cane that is missing to fill it on them, together.
    pub short: Grams,
}

/// What it costs when turns are placed so.
pub(super) fn costs(
    of: &Season,
    pieces: &[Piece],
    (fields, days): (&[Field], &[ProposedDay]),
    (frost, steep): (Frosts, Steepness),
) -> Costs {
    let all: f64 = of.patches.iter().map(|p| p.cane_kg).sum();
    let (mut kept, mut off, mut frozen) = (0.0, 0.0, 0.0);
    for piece in pieces {
        let part = of.patches[piece.patch].lost[piece.day].unwrap_or(1.0);
        let date = days[piece.day].day.date;
        let without =
            lost(fields[piece.patch].ready, date, Frosts::default(), steep).unwrap_or(part);
        kept += piece.kg * (1.0 - part);
        off += piece.kg * without;
        frozen += piece.kg * (part - without).max(0.0);
    }
    let grams = |kg: f64| Grams::nearest(kg * 1000.0);
    let mut costs = Costs {
        lost_kg: all - kept,
        off: grams(off),
        frost: frost.known().then(|| grams(frozen)),
        ..Costs::default()
    };
    let (mut waits, mut short) = (0.0, 0.0);
    for (day, put) in of.days.iter().zip(days) {
        let kg: f64 = put.turns.iter().map(|t| t.cane.kg()).sum();
        if put.turns.is_empty() {
            continue;
        }
        waits += (kg - day.prompt_kg).max(0.0);
        // Where somebody has a turn the crew comes anyway.
        if put.room.held.is_empty() {
            costs.days += 1;
            costs.people += CREW;
            let missing = day.pan_kg - kg;
            if missing > 0.5 {
                costs.short_days += 1;
                short += missing;
            }
        }
    }
    Costs {
        waits: grams(waits),
        short: grams(short),
        ..costs
    }
}

/// Cane of what is left over that one more day like the last would take, on the best day for it.
pub(super) fn one_more_day(of: &Season, pieces: &[Piece], some_left: bool) -> Grams {
    let Some(last) = of.days.last().filter(|_| some_left) else {
        return Grams::ZERO;
    };
    let mut more = of.clone();
    more.days.push(Day {
        opening_kg: 0.0,
        short: 0.0,
        ..*last
    });
    for patch in &mut more.patches {
        patch.lost.push(Some(0.0));
        patch.moved.push(0.0);
    }
    more.before = pieces.to_vec();
    let next = sums::propose_near(&more, 1000, SEED);
    let all: f64 = of.patches.iter().map(|p| p.cane_kg).sum();
    let left = all - pieces.iter().map(|p| p.kg).sum::<f64>();
    Grams::nearest((left - next.left_kg.iter().sum::<f64>()).max(0.0) * 1000.0)
}
