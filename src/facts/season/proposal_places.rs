//! At which time of a day each turn of a season's proposal would begin. Cane of one member that a day cannot press in one turn, since
//! no vessel holds its juice or the pan does not boil it in time, is pressed in several; what a day does not hold goes to others.

use super::proposal_days::{Crew, ProposedDay, ProposedTurn, most_within};
use super::proposal_fields::Field;
use super::proposal_wish::Before;
use crate::calc::season::proposal::{LEAST_PIECE_KG, Piece, Season};
use crate::calc::turns::day_room::{DayWithTurns, TurnHeld};
use crate::calc::turns::starts::{Asker, Span};
use crate::units::{DayMinute, Grams, MemberId, Units, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

/// Most turns that a member's cane of one day is cut into (our own figure: there is a change-over after each).
const MOST_TURNS: i64 = 6;

/// Cane of a member by field.
pub(super) type Own = Vec<(usize, Grams)>;

/// The pieces that turns are: what truly found its minutes.
pub(super) fn pieces(days: &[ProposedDay]) -> Vec<Piece> {
    let mut all: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for (day, of) in days.iter().enumerate() {
        for (patch, cane) in of.turns.iter().flat_map(|turn| &turn.of) {
            *all.entry((day, *patch)).or_default() += cane.kg();
        }
    }
    all.into_iter()
        .map(|((day, patch), kg)| Piece { patch, day, kg })
        .collect()
}

pub(super) fn sum(own: &[(usize, Grams)]) -> Grams {
    own.iter().map(|(_, cane)| *cane).sum()
}

pub(super) fn cane(turns: &[ProposedTurn]) -> Grams {
    turns.iter().map(|turn| turn.cane).sum()
}

/// The first of a member's cane, so many grams.
fn first_of(own: &[(usize, Grams)], grams: i64) -> Own {
    let mut wants = grams;
    let mut first = Own::new();
    for (field, cane) in own {
        let taken = cane.get().min(wants);
        wants -= taken;
        if taken > 0 {
            first.push((*field, Grams::new(taken)));
        }
    }
    first
}

/// A member's cane in `many` parts, as equal as whole grams are, in the order of its fields.
fn parts(own: &[(usize, Grams)], many: i64) -> Vec<Own> {
    let all = sum(own).get();
    let mut parts = Vec::new();
    let mut rest = own.to_vec();
    rest.reverse();
    for n in 0..many {
        let mut wants = all * (n + 1) / many - all * n / many;
        let mut part = Own::new();
        while wants > 0 {
            let Some((field, cane)) = rest.pop() else {
                break;
            };
            let taken = cane.get().min(wants);
            wants -= taken;
            part.push((field, Grams::new(taken)));
            if cane.get() > taken {
                rest.push((field, Grams::new(cane.get() - taken)));
            }
        }
        parts.push(part);
    }
    parts
}

/// The facts that turns are placed by.
pub(super) struct Places<'a> {
    pub(super) fields: &'a [Field],
    pub(super) crew: &'a Crew,
    pub(super) at: UtcSecond,
    /// The turns as they were shown before: those that stay keep their minutes.
    pub(super) before: &'a [Before],
}

impl Places<'_> {
    /// The minutes since midnight in which a member can come on a day: from, to.
    pub(super) fn hours(&self, member: MemberId, day: &ProposedDay) -> (Option<i64>, Option<i64>) {
        let said = self.crew.said(member, day.day.date);
        said.map_or((None, None), |a| (a.from, a.to))
    }

    /// Whether anything of a field may be proposed on a day.
    pub(super) fn may(&self, field: usize, day: &ProposedDay) -> bool {
        let member = self.fields[field].planting.member_id;
        let said = self.crew.said(member, day.day.date);
        !day.is_shut() && said.is_none_or(|a| a.brings)
    }

    /// The minutes in which a turn stood, if they are still free for so much cane.
    pub(super) fn as_it_was(
        &self,
        day: &ProposedDay,
        (member, start): (MemberId, DayMinute),
        cane: Grams,
    ) -> Option<Span> {
        let minutes = day.room.day.minutes_for(cane, Units::Metric).ok()?;
        let span = Span { start, minutes };
        if !day.room.within(span, self.hours(member, day)) {
            return None;
        }
        let rooms = DayWithTurns {
            day: day.room.day,
            boiling: &day.room.boiling,
            held: &holds(day),
            line: &day.room.line.coming,
            stands: &day.room.line.stands,
        };
        let wanted = day.room.wanted(member, minutes, cane);
        let asker = Asker {
            at: self.at,
            crew: false,
        };
        rooms.place(wanted, start, asker).ok()
    }

    /// How many of a day's minutes those are; `None`: all of them.
    pub(super) fn hours_minutes(&self, member: MemberId, day: &ProposedDay) -> Option<i64> {
        let (from, to) = self.hours(member, day);
        let (opens, closes) = (day.room.day.opens.get(), day.room.day.closes.get());
        let from = from.filter(|from| *from > opens);
        let to = to.filter(|to| *to < closes);
        if from.is_none() && to.is_none() {
            return None;
        }
        Some(to.unwrap_or(closes) - from.unwrap_or(opens))
    }

    /// Cane that a field's member can bring on a day at most, by the member's hours, kg.
    pub(super) fn most_within(&self, field: usize, day: &ProposedDay) -> f64 {
        let member = self.fields[field].planting.member_id;
        most_within(day, self.hours(member, day))
    }

    /// The turns in which a member's cane finds room on a day beside what is held: one, else as few as hold all
    /// of it, else those that hold most.
    pub(super) fn put(
        &self,
        day: &ProposedDay,
        (held, member): (&[TurnHeld], MemberId),
        own: &[(usize, Grams)],
    ) -> Vec<ProposedTurn> {
        let mut most: Vec<ProposedTurn> = Vec::new();
        let all = sum(own);
        for many in 1..=MOST_TURNS {
            #[expect(clippy::cast_precision_loss, reason = "a few turns")]
            let least = LEAST_PIECE_KG * many as f64;
            if many > 1 && all.kg() < least {
                break;
            }
            let found = self.in_turns(day, (held, member), parts(own, many));
            if cane(&found) == all {
                return found;
            }
            if cane(&found) > cane(&most) {
                most = found;
            }
        }
        most
    }

    /// The turns of these parts that find room.
    pub(super) fn in_turns(
        &self,
        day: &ProposedDay,
        (held, member): (&[TurnHeld], MemberId),
        parts: Vec<Own>,
    ) -> Vec<ProposedTurn> {
        let pools = !day.room.alone.contains(&member);
        let hours = self.hours(member, day);
        let mut held = held.to_vec();
        let mut found = Vec::new();
        for of in parts {
            let cane = sum(&of);
            let free = day
                .room
                .first_free_within(&held, (cane, pools), self.at, hours);
            let Some(span) = free else {
                // The parts are alike: once one found no room, none will.
                break;
            };
            held.push(TurnHeld { span, cane, pools });
            found.push(ProposedTurn {
                member,
                of,
                cane,
                span,
                kept: false,
                against: None,
            });
        }
        found
    }

    /// Cane of a field that has no turn yet.
    pub(super) fn rest(&self, field: usize, days: &[ProposedDay]) -> Grams {
        let turns = days.iter().flat_map(|d| &d.turns).flat_map(|t| &t.of);
        let placed: Grams = turns.filter(|(f, _)| *f == field).map(|(_, c)| *c).sum();
        self.fields[field].cane - placed
    }

    /// Puts cane that was left over where there is room for it, with least lost first: whoever would lose most of
    /// the own cane, beyond what no plan could spare, goes before others.
    pub(super) fn fill_up(&self, of: &Season, days: &mut [ProposedDay]) {
        let lost = of.beyond_by_member(&pieces(days));
        let mut order: Vec<usize> = (0..self.fields.len())
            .filter(|f| self.rest(*f, days).kg() >= LEAST_PIECE_KG)
            .collect();
        order.sort_by(|a, b| {
            let part = |f: &usize| lost[of.patches[*f].owner];
            part(b).total_cmp(&part(a)).then(a.cmp(b))
        });
        if order.is_empty() {
            return;
        }
        let mut full = self.full(days);
        for field in order {
            for n in best_days(of, field) {
                if full[n] || days[n].is_shut() {
                    continue;
                }
                let rest = self.rest(field, days);
                if rest.kg() < LEAST_PIECE_KG {
                    break;
                }
                let member = self.fields[field].planting.member_id;
                let found = self.most_of(&days[n], member, &[(field, rest)]);
                let kg = cane(&found).kg();
                if kg > 0.0 && pays(of, (field, n), kg, days) {
                    self.join(&mut days[n], member, found);
                    full[n] = self.is_full(&days[n]);
                }
            }
        }
    }

    /// Adds a member's turns to a day: together with those that stand there already, if that takes no more turns than those did.
    fn join(&self, day: &mut ProposedDay, member: MemberId, found: Vec<ProposedTurn>) {
        let own = |turn: &ProposedTurn| turn.member == member && !turn.kept;
        let before = day.turns.iter().filter(|turn| own(turn));
        let mut all: BTreeMap<usize, Grams> = BTreeMap::new();
        for (field, cane) in before.chain(&found).flat_map(|turn| &turn.of) {
            *all.entry(*field).or_default() += *cane;
        }
        let all: Own = all.into_iter().collect();
        let many = day.turns.iter().filter(|turn| own(turn)).count();
        let others = holds_but(day, own);
        let joined = self.put(day, (&others, member), &all);
        if many > 0 && joined.len() <= many && cane(&joined) == sum(&all) {
            day.turns.retain(|turn| !own(turn));
            day.turns.extend(joined);
        } else {
            day.turns.extend(found);
        }
        day.turns.sort_by_key(|turn| turn.span.start);
    }

    /// Whether a day has no room for the least that is worth a turn, whenever its member can come.
    fn is_full(&self, day: &ProposedDay) -> bool {
        let least = Grams::nearest(LEAST_PIECE_KG * 1000.0);
        let members = self.fields.iter().map(|f| f.planting.member_id);
        let kinds: BTreeSet<bool> = members.map(|m| !day.room.alone.contains(&m)).collect();
        let held = holds(day);
        let mut kinds = kinds.into_iter();
        kinds.all(|pools| {
            day.room
                .first_free(&held, (least, pools), self.at)
                .is_none()
        })
    }

    pub(super) fn full(&self, days: &[ProposedDay]) -> Vec<bool> {
        days.iter().map(|day| self.is_full(day)).collect()
    }

    /// Turns of a member for as much of this cane as a day holds: looked for by halves, from the least that is worth a turn.
    pub(super) fn most_of(
        &self,
        day: &ProposedDay,
        member: MemberId,
        own: &[(usize, Grams)],
    ) -> Vec<ProposedTurn> {
        let held = holds(day);
        let put = |grams: i64| self.put(day, (&held, member), &first_of(own, grams));
        let all = sum(own).get();
        let least = Grams::nearest(LEAST_PIECE_KG * 1000.0).get().min(all);
        let mut best = self.in_turns(day, (&held, member), vec![first_of(own, least)]);
        if best.is_empty() {
            return best;
        }
        let (mut yes, mut no) = (least, all + 1);
        let mut tries = all;
        while no - yes > 10_000 || tries == all {
            let found = put(tries);
            let held = cane(&found).get();
            if held > cane(&best).get() {
                best = found;
            }
            if held == tries {
                yes = tries;
                if yes == all {
                    break;
                }
            } else {
                no = tries;
            }
            tries = yes.midpoint(no);
        }
        best
    }
}

/// All that takes minutes of a day: what did before, and what is proposed.
pub(super) fn holds(day: &ProposedDay) -> Vec<TurnHeld> {
    holds_but(day, |_| false)
}

/// As [`holds`], without some of the turns proposed.
fn holds_but(day: &ProposedDay, without: impl Fn(&ProposedTurn) -> bool) -> Vec<TurnHeld> {
    let turns = day.turns.iter().filter(|turn| !without(turn));
    let proposed = turns.map(|turn| TurnHeld {
        span: turn.span,
        cane: turn.cane,
        pools: !day.room.alone.contains(&turn.member),
    });
    day.room.held.iter().copied().chain(proposed).collect()
}

/// The days on which a field can be pressed, those on which it loses least first.
pub(super) fn best_days(of: &Season, field: usize) -> Vec<usize> {
    let lost = &of.patches[field].lost;
    let mut days: Vec<usize> = (0..lost.len()).filter(|d| lost[*d].is_some()).collect();
    days.sort_by(|a, b| {
        let part = |d: &usize| lost[*d].unwrap_or(1.0);
        part(a).total_cmp(&part(b)).then(a.cmp(b))
    });
    days
}

/// Whether so much cane of a field is worth what it costs to press it on a day.
fn pays(of: &Season, (field, n): (usize, usize), kg: f64, days: &[ProposedDay]) -> bool {
    let day = &of.days[n];
    let there: f64 = days[n].turns.iter().map(|turn| turn.cane.kg()).sum();
    let before = if days[n].turns.is_empty() {
        0.0
    } else {
        day.cost_kg(there)
    };
    let saved = kg * (1.0 - of.patches[field].lost[n].unwrap_or(1.0));
    let stands = |day: &ProposedDay| {
        day.turns
            .iter()
            .flat_map(|t| &t.of)
            .any(|(f, _)| *f == field)
    };
    // A further day of hauling has to be worth it.
    let further = days.iter().any(stands) && !stands(&days[n]);
    let haul = if further { of.haul_kg } else { 0.0 };
    saved > haul + day.cost_kg(there + kg) - before
}
