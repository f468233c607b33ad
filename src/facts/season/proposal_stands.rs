//! Turns as they were shown before. Where nothing has changed since but what is kept, all of them stand: keeping one turn where it is
//! shown moves no other.

use super::proposal_days::{ProposedDay, ProposedTurn};
use super::proposal_kept::by_turn;
use super::proposal_places::{Places, sum};
use super::proposal_wish::{Kept, Wish};
use crate::units::{DayMinute, Grams, MemberId};

/// Puts the turns on their days that were shown before, beside those that are kept there, as far as each can stand as it was; whether
/// all of them do, and no other is kept.
pub(super) fn stand(places: &Places<'_>, wish: &Wish, days: &mut [ProposedDay]) -> bool {
    let shown = wish.before.iter().map(|before| Kept {
        planting: before.planting,
        date: before.date,
        turn: Some((before.start, before.cane)),
    });
    let shown: Vec<Kept> = shown.collect();
    let is_kept = |n: usize, (member, start), days: &[ProposedDay]| {
        let own = |turn: &ProposedTurn| turn.member == member && turn.span.start == start;
        days[n].kept().any(own)
    };
    let mut wait: Vec<_> = by_turn(places, &shown, days).into_iter().collect();
    wait.retain(|((n, start, member), _)| !is_kept(*n, (*member, *start), days));
    // Whether the pan takes one can hang on another that stands after it.
    loop {
        let many = wait.len();
        wait.retain(|((n, start, member), own)| {
            let turn = as_shown(places, days, (*n, *start, *member), own);
            let stands = turn.is_some();
            days[*n].turns.extend(turn);
            !stands
        });
        if wait.len() == many {
            break;
        }
    }
    for day in &mut *days {
        day.turns.sort_by_key(|turn| turn.span.start);
    }
    let put = days.iter().flat_map(|day| &day.turns).map(|turn| turn.cane);
    let all: Grams = wish.before.iter().map(|before| before.cane).sum();
    put.sum::<Grams>() == all && wish.kept.iter().all(|kept| shown.contains(kept))
}

/// A turn in the minutes in which it was shown, if it can stand there.
fn as_shown(
    places: &Places<'_>,
    days: &[ProposedDay],
    (n, start, member): (usize, DayMinute, MemberId),
    own: &[(usize, Grams)],
) -> Option<ProposedTurn> {
    let waits = |(field, cane): &(usize, Grams)| {
        places.may(*field, &days[n]) && places.rest(*field, days) >= *cane
    };
    let cane = sum(own);
    let span = places.as_it_was(&days[n], (member, start), cane)?;
    own.iter().all(waits).then(|| ProposedTurn {
        member,
        of: own.to_vec(),
        cane,
        span,
        kept: false,
        against: None,
    })
}
