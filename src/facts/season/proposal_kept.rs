//! Turns of a season's proposal that a steward keeps: they hold their minutes and their cane, as booked ones do, and the rest is
//! proposed beside them.

use super::proposal_days::{Against, ProposedDay, ProposedTurn, reckoned_beside};
use super::proposal_places::{Places, holds};
use super::proposal_wish::{Kept, Wish};
use crate::calc::season::proposal::{LEAST_PIECE_KG, Piece, Season};
use crate::calc::season::ripeness::FARTHEST_DAYS;
use crate::calc::season::weights::Weights;
use crate::units::{DayMinute, Grams, MemberId};
use std::collections::BTreeMap;

/// Turns by day, start and member: each with the places of its fields and their cane.
pub(super) type ByTurn = BTreeMap<(usize, DayMinute, MemberId), Vec<(usize, Grams)>>;

/// Puts the turns that are kept on their days: first all that can stand as they were. Where one's minutes are taken by now, or its member
/// or the crew cannot come in them any more, it stays on its day with its cane as far as that finds room beside those.
pub(super) fn put_kept(places: &Places<'_>, wish: &Wish, days: &mut [ProposedDay]) {
    let mut moved = Vec::new();
    for ((n, start, member), own) in by_turn(places, &wish.kept, days) {
        let cane: Grams = own.iter().map(|(_, cane)| *cane).sum();
        match places.as_it_was(&days[n], (member, start), cane) {
            Some(span) => days[n].turns.push(ProposedTurn {
                member,
                of: own,
                cane,
                span,
                kept: true,
                against: None,
            }),
            None => moved.push((n, member, own)),
        }
    }
    for (n, member, own) in moved {
        let day = &days[n];
        let turns = places.put(day, (&holds(day), member), &own).into_iter();
        let kept = turns.map(|turn| ProposedTurn { kept: true, ..turn });
        days[n].turns.extend(kept);
    }
    for day in days {
        let date = day.day.date;
        let (forbidden, too_few) = (day.forbidden.is_some(), day.too_few);
        for turn in &mut day.turns {
            let said = places.crew.said(turn.member, date);
            turn.against = if said.is_some_and(|a| !a.brings) {
                Some(Against::CannotCome)
            } else if forbidden {
                Some(Against::Forbidden)
            } else {
                too_few.then_some(Against::TooFew)
            };
        }
        day.turns.sort_by_key(|turn| turn.span.start);
    }
}

/// What is kept, turn by turn, as far as its cane still waits for a day.
pub(super) fn by_turn(places: &Places<'_>, kept: &[Kept], days: &[ProposedDay]) -> ByTurn {
    let mut left: Vec<Grams> = places.fields.iter().map(|f| f.cane).collect();
    let mut all = ByTurn::new();
    for Kept {
        planting,
        date,
        turn,
    } in kept
    {
        let Some((start, cane)) = turn else { continue };
        let field = places
            .fields
            .iter()
            .position(|f| f.planting.id == *planting);
        let day = days.iter().position(|d| d.day.date == *date);
        let Some((field, n)) = field.zip(day) else {
            continue;
        };
        let own = &places.fields[field];
        let cane = left[field].min(*cane);
        if cane <= Grams::ZERO || own.ready.days_off(*date) > FARTHEST_DAYS {
            continue;
        }
        left[field] -= cane;
        let turn = all.entry((n, *start, own.planting.member_id)).or_default();
        turn.push((field, cane));
    }
    all
}

/// Cane of a field in turns that are kept: on one day, or on all.
pub(super) fn kept_kg(days: &[ProposedDay], field: usize, only: Option<usize>) -> f64 {
    let days = days.iter().enumerate();
    days.filter(|(n, _)| only.is_none_or(|only| only == *n))
        .flat_map(|(_, day)| day.kept())
        .flat_map(|turn| &turn.of)
        .filter(|(of, _)| *of == field)
        .map(|(_, cane)| cane.kg())
        .sum()
}

/// The season that is left to propose beside what is kept. `may`: whether anything of a field may be proposed on a day.
pub(super) fn beside_kept(
    whole: &Season,
    (places, days): (&Places<'_>, &[ProposedDay]),
    weights: &Weights,
    may: impl Fn(usize, usize) -> bool,
) -> Season {
    let mut of = whole.clone();
    for (n, day) in days.iter().enumerate() {
        of.days[n] = reckoned_beside(day, weights);
    }
    for (field, patch) in of.patches.iter_mut().enumerate() {
        patch.most_kg = days
            .iter()
            .map(|day| places.most_within(field, day))
            .collect();
        let kept = kept_kg(days, field, None);
        if kept <= 0.0 {
            continue;
        }
        patch.cane_kg = (patch.cane_kg - kept).max(0.0);
        let too_little = patch.cane_kg < LEAST_PIECE_KG;
        if too_little {
            patch.cane_kg = 0.0;
        }
        for (n, lost) in patch.lost.iter_mut().enumerate() {
            if too_little || !may(field, n) {
                *lost = None;
            }
        }
    }
    let rest = |piece: &Piece| Piece {
        kg: piece.kg - kept_kg(days, piece.patch, Some(piece.day)),
        ..*piece
    };
    of.before = whole.before.iter().map(rest).collect();
    of.before.retain(|piece| piece.kg > 0.5);
    of
}
