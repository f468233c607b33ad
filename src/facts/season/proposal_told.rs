//! What a season's proposal costs, and what one more day would save.

use super::proposal_days::{Alone, ProposedDay, in_medium_turns, reckoned_day};
use super::proposal_fields::Field;
use super::proposal_left::WhyLeft;
use super::proposal_places::Places;
use crate::calc::season::proposal::{Day, LEAST_PIECE_KG, Piece, Season};
use crate::calc::season::ripeness::{FARTHEST_DAYS, Frosts, Steepness, lost};
use crate::calc::season::weights::{CREW, Weights};
use crate::units::{Grams, PressDate};
use time::Duration;

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

/// What the season costs with its turns placed like this.
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
        if put.is_anew() {
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

/// A day that is not in the season's list and would save cane which is left over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OneMoreDay {
    /// Its date.
    pub date: PressDate,
    /// Cane that it would take of what is left over.
    pub cane: Grams,
    /// The part of that cane whose sugar it would keep: the rest is lost by being cut early or late, and by frost.
    pub kept: Grams,
}

/// What one more day like the last would save, with its hours free: on the date on which it keeps most sugar, nobody having a turn that
/// day. `None`: nothing is left, or no date suits it.
pub(super) fn one_more_day(
    (places, days, today): (&Places<'_>, &[ProposedDay], PressDate),
    left: &[(usize, Grams, WhyLeft)],
    (frost, steep, weights): (Frosts, Steepness, &Weights),
) -> Option<OneMoreDay> {
    let mut like = days.last()?.emptied();
    let cane = left.iter();
    let cane = cane.map(|(n, cane, _)| (places.fields[*n].planting.member_id, *cane));
    let alone = Alone::of(&like.room, cane);
    like.most = in_medium_turns(&like.room, alone, places.at);
    let like = reckoned_day(&like, weights);
    let part = |field: usize, date| lost(places.fields[field].ready, date, frost, steep);
    let left: Vec<(usize, f64)> = left.iter().map(|(n, cane, _)| (*n, cane.kg())).collect();
    let from = left
        .iter()
        .map(|(n, _)| places.fields[*n].ready.from)
        .min()?;
    let to = left.iter().map(|(n, _)| places.fields[*n].ready.to).max()?;
    let start = from.date().saturating_sub(Duration::days(FARTHEST_DAYS));
    let end = to.date().saturating_add(Duration::days(FARTHEST_DAYS));
    let dates = (0..=(end - start).whole_days())
        .map(|n| PressDate::new(start.saturating_add(Duration::days(n))))
        .filter(|date| *date > today && days.iter().all(|day| day.day.date != *date));
    let takes = |date| takes(&left, &like, |field| part(field, date));
    let (date, (kg, saved)) = dates
        .map(|date| (date, takes(date)))
        .filter(|(_, (_, saved))| *saved > 0.0)
        .max_by(|(a, (_, one)), (b, (_, other))| one.total_cmp(other).then(b.cmp(a)))?;
    let grams = |kg: f64| Grams::nearest(kg * 1000.0);
    Some(OneMoreDay {
        date,
        cane: grams(kg),
        kept: grams(saved),
    })
}

/// What a day takes of what is left over, and the sugar that this keeps, as cane, kg: what loses least first, as far as there is room.
fn takes(left: &[(usize, f64)], day: &Day, part: impl Fn(usize) -> Option<f64>) -> (f64, f64) {
    let mut all: Vec<(f64, f64)> = left
        .iter()
        .filter(|(_, kg)| *kg >= LEAST_PIECE_KG)
        .filter_map(|(field, kg)| Some((part(*field)?, *kg)))
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (mut minutes, mut taken, mut saved) = (day.minutes, 0.0, 0.0);
    for (part, kg) in all {
        let pressed = (minutes - day.changeover) * day.kg_per_minute;
        let kg = kg.min(pressed).min(day.most_kg - taken);
        if kg < LEAST_PIECE_KG {
            break;
        }
        minutes -= day.changeover + kg / day.kg_per_minute;
        taken += kg;
        saved += kg * (1.0 - part);
    }
    (taken, saved)
}
