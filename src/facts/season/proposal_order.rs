//! In which order the turns of a day look for their minutes: those that were shown before keep theirs.

use super::proposal_days::{ProposedDay, ProposedTurn};
use super::proposal_places::{Own, Places, cane, holds, sum};
use super::proposal_wish::Before;
use crate::calc::season::proposal::Proposal;
use crate::units::{DayMinute, Grams, MemberId};
use std::collections::BTreeMap;

/// Cane of a planting that differs by no more is the same: grams are rounded on the way.
const SAME: Grams = Grams::new(1_000);

/// A member's cane that a day did not hold as it was put there.
pub(super) struct Refused {
    /// Place of the day.
    pub(super) day: usize,
    /// Places of the fields, each with the cane that found room.
    pub(super) of: Vec<(usize, Grams)>,
    /// Whether the member can come in some hours of that day alone.
    pub(super) hours: bool,
}

/// Gives every turn its time of day, beside those that are kept; what did not find room for all its cane.
pub(super) fn place(plan: &Proposal, of: &Places<'_>, days: &mut [ProposedDay]) -> Vec<Refused> {
    let mut refused = Vec::new();
    for (n, day) in days.iter_mut().enumerate() {
        let mut by_member: BTreeMap<MemberId, Own> = BTreeMap::new();
        for piece in plan.pieces.iter().filter(|p| p.day == n) {
            let member = of.fields[piece.patch].planting.member_id;
            let own = by_member.entry(member).or_default();
            own.push((piece.patch, Grams::nearest(piece.kg * 1000.0)));
        }
        refused.extend(of.place_day((n, day), &by_member.into_iter().collect::<Vec<_>>()));
    }
    refused
}

/// In which order the turns of a day look for their minutes, among those whose members can come at any time.
#[derive(Debug, Clone, Copy)]
enum First {
    /// Those that stood there before, each in its minutes; then the ripest.
    AsBefore,
    /// The ripest cane, which has waited longest.
    Ripest,
    /// The least cane: the pan is lit early, and large juices come when it is free for them.
    Least,
    /// The most cane.
    Most,
}

impl Places<'_> {
    /// Gives the turns of a day their minutes, in the first order in which all find room, else in that in which most cane does.
    fn place_day(
        &self,
        (n, day): (usize, &mut ProposedDay),
        turns: &[(MemberId, Own)],
    ) -> Vec<Refused> {
        day.turns.retain(|turn| turn.kept);
        let kept = day.turns.clone();
        let mut best: Option<(Grams, Vec<ProposedTurn>, Vec<Refused>)> = None;
        for first in [First::AsBefore, First::Ripest, First::Least, First::Most] {
            day.turns.clone_from(&kept);
            let mut order = self.ordered(day, turns.to_vec(), first);
            if matches!(first, First::AsBefore) {
                let many = order.len();
                order = self.stand_as_before(day, order);
                if many > 0 && order.len() == many {
                    // Nothing stood there.
                    continue;
                }
            }
            let refused = self.in_order((n, day), order);
            let put = cane(&day.turns);
            let all = refused.is_empty();
            if best.as_ref().is_none_or(|(most, ..)| put > *most) {
                best = Some((put, std::mem::take(&mut day.turns), refused));
            }
            if all {
                break;
            }
        }
        let Some((_, turns, refused)) = best else {
            return Vec::new();
        };
        day.turns = turns;
        day.turns.sort_by_key(|t| t.span.start);
        refused
    }

    /// Puts the turns on a day which bring what they brought there before, in the minutes that they had, as far as those are free;
    /// the others.
    fn stand_as_before(
        &self,
        day: &mut ProposedDay,
        turns: Vec<(MemberId, Own)>,
    ) -> Vec<(MemberId, Own)> {
        let before = self.before_on(day);
        let mut others = Vec::new();
        for (member, own) in turns {
            let stood = || before.iter().filter(|((_, of), _)| *of == member);
            let already = day.turns.len();
            let mut stands = alike(stood().flat_map(|(_, of)| of), &own);
            for ((start, _), of) in stood() {
                let span = self.as_it_was(day, (member, *start), sum(of));
                stands &= span.is_some();
                if !stands {
                    break;
                }
                day.turns.extend(span.map(|span| ProposedTurn {
                    member,
                    of: of.clone(),
                    cane: sum(of),
                    span,
                    kept: false,
                    against: None,
                }));
            }
            if !stands {
                day.turns.truncate(already);
                others.push((member, own));
            }
        }
        others
    }

    /// The turns that stood on a day before, by start and member, but those that are kept.
    fn before_on(&self, day: &ProposedDay) -> BTreeMap<(DayMinute, MemberId), Own> {
        let mut all = BTreeMap::<_, Own>::new();
        let on_day = |before: &&Before| before.date == day.day.date;
        for before in self.before.iter().filter(on_day) {
            let mut fields = self.fields.iter();
            let field = fields.position(|f| f.planting.id == before.planting);
            let Some(field) = field else { continue };
            let member = self.fields[field].planting.member_id;
            let kept =
                |turn: &ProposedTurn| turn.member == member && turn.span.start == before.start;
            if !day.kept().any(kept) {
                let turn = all.entry((before.start, member)).or_default();
                turn.push((field, before.cane));
            }
        }
        all
    }

    /// Who can come in few hours of the day chooses first.
    fn ordered(
        &self,
        day: &ProposedDay,
        mut turns: Vec<(MemberId, Own)>,
        first: First,
    ) -> Vec<(MemberId, Own)> {
        let best = |own: &Own| own.iter().map(|(f, _)| self.fields[*f].ready.best).min();
        turns.sort_by_cached_key(|(member, own)| {
            let hours = self.hours_minutes(*member, day);
            let size = match first {
                First::AsBefore | First::Ripest => 0,
                First::Least => sum(own).get(),
                First::Most => -sum(own).get(),
            };
            (hours.unwrap_or(i64::MAX), size, best(own), *member)
        });
        turns
    }

    /// Gives turns their minutes one after another.
    fn in_order(
        &self,
        (n, day): (usize, &mut ProposedDay),
        turns: Vec<(MemberId, Own)>,
    ) -> Vec<Refused> {
        let mut refused = Vec::new();
        for (member, own) in turns {
            let hours = self.hours_minutes(member, day).is_some();
            let mut found = self.put(day, (&holds(day), member), &own);
            if hours && cane(&found) < sum(&own) {
                // No less than those hours hold in one turn more.
                let most = self.most_of(day, member, &own);
                if cane(&most) > cane(&found) {
                    found = most;
                }
            }
            if cane(&found) < sum(&own) {
                let held = |field: usize| -> Grams {
                    let own = found.iter().flat_map(|turn| &turn.of);
                    own.filter(|(f, _)| *f == field).map(|(_, c)| *c).sum()
                };
                refused.push(Refused {
                    day: n,
                    of: own.iter().map(|(f, _)| (*f, held(*f))).collect(),
                    hours,
                });
            }
            day.turns.extend(found);
        }
        refused
    }
}

/// Whether turns together bring the same cane of each planting as these pieces.
fn alike<'a>(turns: impl Iterator<Item = &'a (usize, Grams)>, own: &[(usize, Grams)]) -> bool {
    let mut off: BTreeMap<usize, i64> = BTreeMap::new();
    for (field, cane) in turns {
        *off.entry(*field).or_default() += cane.get();
    }
    if off.is_empty() {
        return false;
    }
    for (field, cane) in own {
        *off.entry(*field).or_default() -= cane.get();
    }
    off.values().all(|off| off.abs() <= SAME.get())
}
