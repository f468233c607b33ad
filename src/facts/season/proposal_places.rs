//! At which time of a day each turn of a season's proposal would begin. Cane of one member that a day cannot press in one turn, since
//! no vessel holds its juice or the pan does not boil it in time, is pressed in several; what a day does not hold goes to others.

use super::proposal_days::{Crew, ProposedDay, ProposedTurn};
use super::proposal_fields::Field;
use crate::calc::season::proposal::{LEAST_PIECE_KG, Piece, Proposal, Season};
use crate::calc::season::ripeness::FARTHEST_DAYS;
use crate::calc::turns::day_room::Held;
use crate::units::{Grams, MemberId, UtcSecond};
use std::collections::BTreeMap;

/// Most turns that a member's cane of one day is cut into (our own figure: there is a change-over after each).
const MOST_TURNS: i64 = 6;

/// Cane of a member by field.
type Own = Vec<(usize, Grams)>;

/// Why cane was left without a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WhyLeft {
    /// No press day lies near enough to the days it is ready.
    NoDay,
    /// Nothing may be proposed on the days that are near enough.
    Shut,
    /// The member cannot come on those near enough.
    CannotCome,
    /// They have room, but not in the hours in which the member can come.
    Hours,
    /// The cane left is too little for a turn of its own.
    TooLittle,
    /// A day would have room, and opening it costs more than that saves.
    NotWorth,
    /// The days that suit it have no room left.
    Full,
}

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

fn sum(own: &[(usize, Grams)]) -> Grams {
    own.iter().map(|(_, cane)| *cane).sum()
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
}

/// Gives every turn its time of day; the days that did not hold all that was put there.
pub(super) fn place(plan: &Proposal, of: &Places<'_>, days: &mut [ProposedDay]) -> Vec<usize> {
    let mut refused = Vec::new();
    for (n, day) in days.iter_mut().enumerate() {
        let mut by_member: BTreeMap<MemberId, Own> = BTreeMap::new();
        for piece in plan.pieces.iter().filter(|p| p.day == n) {
            let cane = Grams::nearest(piece.kg * 1000.0);
            let member = of.fields[piece.patch].planting.member_id;
            let own = by_member.entry(member).or_default();
            own.push((piece.patch, cane));
        }
        // The ripest cane comes first: it has waited longest.
        let mut turns: Vec<(MemberId, Own)> = by_member.into_iter().collect();
        let best = |own: &Own| own.iter().map(|(f, _)| of.fields[*f].ready.best).min();
        turns.sort_by_key(|(member, own)| (best(own), *member));
        day.turns.clear();
        for (member, own) in turns {
            let all = sum(&own);
            let found = of.put(day, member, &own);
            let placed: Grams = found.iter().map(|turn| turn.cane).sum();
            day.turns.extend(found);
            if placed < all && refused.last() != Some(&n) {
                refused.push(n);
            }
        }
        day.turns.sort_by_key(|t| t.span.start);
    }
    refused
}

impl Places<'_> {
    /// The turns in which a member's cane finds room on a day beside what stands there: one, else as few as hold all
    /// of it, else those that hold most.
    fn put(
        &self,
        day: &ProposedDay,
        member: MemberId,
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
            let found = self.in_turns(day, member, parts(own, many));
            let held: Grams = found.iter().map(|turn| turn.cane).sum();
            if held == all {
                return found;
            }
            if held > most.iter().map(|turn| turn.cane).sum() {
                most = found;
            }
        }
        most
    }

    /// The turns of these parts that find room.
    fn in_turns(&self, day: &ProposedDay, member: MemberId, parts: Vec<Own>) -> Vec<ProposedTurn> {
        let pools = !day.room.alone.contains(&member);
        let mut held = holds(day);
        let mut found = Vec::new();
        for of in parts {
            let cane = sum(&of);
            let said = self.crew.said(member, day.day.date);
            let hours = said.map_or((None, None), |a| (a.from, a.to));
            let free = day
                .room
                .first_free_within(&held, (cane, pools), self.at, hours);
            let Some(span) = free else {
                // The parts are alike: once one found no room, none will.
                break;
            };
            held.push(Held { span, cane, pools });
            found.push(ProposedTurn {
                member,
                of,
                cane,
                span,
            });
        }
        found
    }

    /// Cane of a field that has no turn yet.
    fn rest(&self, field: usize, days: &[ProposedDay]) -> Grams {
        let turns = days.iter().flat_map(|d| &d.turns).flat_map(|t| &t.of);
        let placed: Grams = turns.filter(|(f, _)| *f == field).map(|(_, c)| *c).sum();
        self.fields[field].cane - placed
    }

    /// Puts cane that was left over where there is room for it, with least lost first: whoever would lose most of
    /// the own cane goes before others. Tells whether there was anything to put.
    pub(super) fn fill_up(&self, of: &Season, days: &mut [ProposedDay]) -> bool {
        let lost = of.lost_by_member(&pieces(days));
        let mut order: Vec<usize> = (0..self.fields.len())
            .filter(|f| self.rest(*f, days).kg() >= LEAST_PIECE_KG)
            .collect();
        order.sort_by(|a, b| {
            let part = |f: &usize| lost[of.patches[*f].owner];
            part(b).total_cmp(&part(a)).then(a.cmp(b))
        });
        if order.is_empty() {
            return false;
        }
        let mut full = self.full(days);
        let mut filled = false;
        for field in order {
            for n in best_days(of, field) {
                if full[n] {
                    continue;
                }
                let rest = self.rest(field, days);
                if rest.kg() < LEAST_PIECE_KG {
                    break;
                }
                let found = self.most_of(&days[n], field, rest);
                let kg: f64 = found.iter().map(|turn| turn.cane.kg()).sum();
                if kg > 0.0 && pays(of, (field, n), kg, days) {
                    days[n].turns.extend(found);
                    days[n].turns.sort_by_key(|t| t.span.start);
                    full[n] = self.is_full(&days[n]);
                    filled = true;
                }
            }
        }
        filled
    }

    /// Whether a day has no room for the least that is worth a turn, whenever its member can come.
    fn is_full(&self, day: &ProposedDay) -> bool {
        let least = (Grams::nearest(LEAST_PIECE_KG * 1000.0), true);
        let free = day.room.first_free(&holds(day), least, self.at);
        free.is_none()
    }

    fn full(&self, days: &[ProposedDay]) -> Vec<bool> {
        days.iter().map(|day| self.is_full(day)).collect()
    }

    /// Turns of a field for as much of its cane as a day holds: looked for by halves, from the least that is worth a turn.
    fn most_of(&self, day: &ProposedDay, field: usize, rest: Grams) -> Vec<ProposedTurn> {
        let member = self.fields[field].planting.member_id;
        let put = |grams: i64| self.put(day, member, &[(field, Grams::new(grams))]);
        let cane = |found: &[ProposedTurn]| found.iter().map(|t| t.cane.get()).sum::<i64>();
        let least = Grams::nearest(LEAST_PIECE_KG * 1000.0).get();
        let mut best = self.in_turns(day, member, vec![vec![(field, Grams::new(least))]]);
        if best.is_empty() {
            return best;
        }
        let (mut yes, mut no) = (least, rest.get() + 1);
        let mut tries = rest.get();
        while no - yes > 10_000 || tries == rest.get() {
            let found = put(tries);
            let held = cane(&found);
            if held > cane(&best) {
                best = found;
            }
            if held == tries {
                yes = tries;
                if yes == rest.get() {
                    break;
                }
            } else {
                no = tries;
            }
            tries = yes.midpoint(no);
        }
        best
    }

    /// The reason why cane of each field was left without a day.
    pub(super) fn why_left(&self, of: &Season, days: &[ProposedDay]) -> BTreeMap<usize, WhyLeft> {
        let left: Vec<(usize, Grams)> = (0..self.fields.len())
            .map(|f| (f, self.rest(f, days)))
            .filter(|(_, rest)| rest.get() > 500)
            .collect();
        if left.is_empty() {
            return BTreeMap::new();
        }
        let full = self.full(days);
        left.into_iter()
            .map(|(field, rest)| (field, self.why(of, (days, &full), (field, rest))))
            .collect()
    }

    fn why(
        &self,
        of: &Season,
        (days, full): (&[ProposedDay], &[bool]),
        (field, rest): (usize, Grams),
    ) -> WhyLeft {
        let own = &self.fields[field];
        let ready = own.ready;
        let near = || {
            let days = days.iter();
            days.filter(|day| ready.days_off(day.day.date) <= FARTHEST_DAYS)
        };
        let best_days = best_days(of, field);
        if best_days.is_empty() {
            return if near().next().is_none() {
                WhyLeft::NoDay
            } else if near().all(|day| day.shut || day.too_few) {
                WhyLeft::Shut
            } else {
                WhyLeft::CannotCome
            };
        }
        if rest.kg() < LEAST_PIECE_KG {
            return WhyLeft::TooLittle;
        }
        let member = own.planting.member_id;
        let least = Grams::nearest(LEAST_PIECE_KG * 1000.0);
        let mut hours = false;
        for n in best_days {
            if full[n] {
                continue;
            }
            let least = vec![vec![(field, least)]];
            if !self.in_turns(&days[n], member, least).is_empty() {
                return WhyLeft::NotWorth;
            }
            hours = true;
        }
        if hours { WhyLeft::Hours } else { WhyLeft::Full }
    }
}

/// All that takes minutes of a day: what did before, and what is proposed.
fn holds(day: &ProposedDay) -> Vec<Held> {
    let proposed = day.turns.iter().map(|turn| Held {
        span: turn.span,
        cane: turn.cane,
        pools: !day.room.alone.contains(&turn.member),
    });
    day.room.held.iter().copied().chain(proposed).collect()
}

/// The days on which a field can be pressed, those on which it loses least first.
fn best_days(of: &Season, field: usize) -> Vec<usize> {
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
    saved > day.cost_kg(there + kg) - before
}
