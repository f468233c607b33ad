//! Where a season has more cane than its days press, no minute of the mill is to go to waste: a turn takes full five minutes of it, and
//! brings as much as is pressed in them.

use super::proposal_days::{ProposedDay, ProposedTurn, tight};
use super::proposal_places::{Places, holds, pieces};
use crate::calc::season::proposal::{LEAST_PIECE_KG, Piece, Season};
use crate::calc::turns::day_room::TurnHeld;
use crate::calc::turns::starts::{Day as MillDay, STEP_MIN};
use crate::units::{Grams, MemberId, Minutes};
use std::collections::BTreeMap;

/// The most cane that is pressed in a turn of so many minutes.
fn pressed_in(day: &MillDay, minutes: i64) -> Grams {
    let pressing = minutes - day.changeover.get();
    Grams::new((day.mill_per_h.get() * pressing.max(0) / 60).max(0))
}

/// A season whose turns are reckoned with no more minutes than they take where each brings just what is pressed in full five minutes; it
/// begins from what was found so far.
pub(super) fn without_rounding(of: &Season, found: Vec<Piece>) -> Season {
    Season {
        days: of.days.iter().map(|day| tight(*day)).collect(),
        before: found,
        ..of.clone()
    }
}

/// The loss of each member, as it changes while turns get longer.
struct Losses<'a> {
    season: &'a Season,
    cane: Vec<f64>,
    /// Part lost beyond what no plan could spare.
    beyond: Vec<f64>,
    /// Cane of each planting that stands nowhere, kg.
    left: Vec<f64>,
}

impl<'a> Losses<'a> {
    fn of(season: &'a Season, pieces: &[Piece]) -> Self {
        let beyond = season.beyond_by_member(pieces);
        let mut cane = vec![0.0; beyond.len()];
        let mut left: Vec<f64> = season.patches.iter().map(|p| p.cane_kg).collect();
        for patch in &season.patches {
            cane[patch.owner] += patch.cane_kg;
        }
        for piece in pieces {
            left[piece.patch] -= piece.kg;
        }
        Self {
            season,
            cane,
            beyond,
            left,
        }
    }

    /// Notes that a piece brings so much more.
    fn add(&mut self, piece: &Piece, kg: f64) {
        let patch = &self.season.patches[piece.patch];
        let keeps = 1.0 - patch.lost[piece.day].unwrap_or(1.0);
        self.left[piece.patch] -= kg;
        self.beyond[patch.owner] -= kg * keeps / self.cane[patch.owner].max(1.0);
    }

    /// How urgent it is that a member brings more: the steps of the loss, then how much more cane finds room.
    fn urgent(&self, owner: usize, kg: f64) -> (f64, f64) {
        ((self.beyond[owner] / self.season.step).floor(), kg)
    }
}

/// A member's turn on a day, while it is decided how long it is.
struct Turn {
    owner: usize,
    /// Places of its pieces.
    of: Vec<usize>,
    minutes: i64,
}

impl Places<'_> {
    /// Makes every turn of a plan just as long as full five minutes press, so that together they take the minutes of their day and no more:
    /// first all are cut to what is below, then five minutes more go each time to whoever would lose most.
    pub(super) fn in_full_fives(
        &self,
        season: &Season,
        pieces: &mut Vec<Piece>,
        days: &[ProposedDay],
    ) {
        let mut losses = Losses::of(season, pieces);
        for (n, day) in days.iter().enumerate() {
            let mut by_member: BTreeMap<MemberId, Vec<usize>> = BTreeMap::new();
            for (place, piece) in pieces.iter().enumerate().filter(|(_, p)| p.day == n) {
                let member = self.fields[piece.patch].planting.member_id;
                by_member.entry(member).or_default().push(place);
            }
            let mut turns: Vec<Turn> = by_member
                .into_values()
                .map(|of| cut(season, &day.room.day, of, (pieces, &mut losses)))
                .collect();
            let taken: i64 = turns.iter().map(|turn| turn.minutes).sum();
            let kept: i64 = day.kept().map(|turn| turn.span.minutes.get()).sum();
            let mut fives = (day.free.get() - kept - taken) / STEP_MIN;
            let mut most = season.days[n].most_kg;
            most -= pieces
                .iter()
                .filter(|p| p.day == n)
                .map(|p| p.kg)
                .sum::<f64>();
            while fives > 0 && most > 0.0 {
                let gain = |turn: &Turn| longer(season, &day.room.day, turn, (pieces, &losses));
                let best = (0..turns.len())
                    .map(|t| (losses.urgent(turns[t].owner, gain(&turns[t])), t))
                    .filter(|((_, kg), _)| *kg > 0.05)
                    .max_by(|(a, m), (b, n)| {
                        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(n.cmp(m))
                    });
                let Some(((_, kg), t)) = best else { break };
                fives -= 1;
                turns[t].minutes += STEP_MIN;
                most -= kg;
                give(season, &turns[t], kg, (pieces, &mut losses));
            }
        }
        pieces.retain(|piece| piece.kg > 0.05);
    }

    /// Lets every turn bring as much as is pressed in the minutes that it takes in any case, where cane of its plantings is left over: first
    /// those whose members lose most.
    pub(super) fn fill_minutes(&self, of: &Season, days: &mut [ProposedDay]) {
        let lost = of.beyond_by_member(&pieces(days));
        let mut rest: Vec<Grams> = (0..self.fields.len()).map(|f| self.rest(f, days)).collect();
        for day in days {
            let mut order: Vec<usize> = (0..day.turns.len()).collect();
            let part = |turn: &ProposedTurn| lost[of.patches[turn.of[0].0].owner];
            order.sort_by(|a, b| part(&day.turns[*b]).total_cmp(&part(&day.turns[*a])));
            for t in order {
                let turn = &day.turns[t];
                let most = pressed_in(&day.room.day, turn.span.minutes.get());
                if turn.kept || most <= turn.cane {
                    continue;
                }
                let before = turn.clone();
                longer_by(&mut day.turns[t], most - before.cane, &mut rest);
                if day.turns[t].cane > before.cane && !boils(day) {
                    for ((field, now), (_, was)) in day.turns[t].of.iter().zip(&before.of) {
                        rest[*field] += *now - *was;
                    }
                    day.turns[t] = before;
                }
            }
        }
    }
}

/// Whether vessels and pans hold all turns of a day.
fn boils(day: &ProposedDay) -> bool {
    let held: Vec<TurnHeld> = holds(day);
    let of = &day.room;
    of.boiling.takes(of.day.mill_per_h, &held).is_ok()
}

/// A turn with so much more of its plantings, as far as cane of them is left.
fn longer_by(turn: &mut ProposedTurn, mut more: Grams, rest: &mut [Grams]) {
    for (field, cane) in &mut turn.of {
        let taken = rest[*field].min(more).max(Grams::ZERO);
        *cane += taken;
        turn.cane += taken;
        rest[*field] -= taken;
        more -= taken;
    }
}

/// A turn cut to the full five minutes below what it takes, but never below the least that is worth a turn.
fn cut(
    season: &Season,
    day: &MillDay,
    of: Vec<usize>,
    (pieces, losses): (&mut [Piece], &mut Losses<'_>),
) -> Turn {
    let owner = season.patches[pieces[of[0]].patch].owner;
    let whole: f64 = of.iter().map(|p| pieces[*p].kg).sum();
    let per_minute = day.mill_per_h.kg() / 60.0;
    let changeover = Grams::new(day.changeover.get()).as_f64();
    let fives = |kg: f64| (kg / per_minute + changeover) / Grams::new(STEP_MIN).as_f64();
    let least = fives(whole.min(LEAST_PIECE_KG)).ceil();
    let minutes = Minutes::new(whole_fives((fives(whole) + 1e-6).floor().max(least)));
    let most = pressed_in(day, minutes.get()).kg();
    let mut over = (whole - most).max(0.0);
    for place in of.iter().rev() {
        let less = pieces[*place].kg.min(over);
        pieces[*place].kg -= less;
        let piece = pieces[*place];
        losses.add(&piece, -less);
        over -= less;
    }
    Turn {
        owner,
        of,
        minutes: minutes.get(),
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a day has few minutes")]
fn whole_fives(fives: f64) -> i64 {
    fives as i64 * STEP_MIN
}

/// How much more a turn would bring in five minutes more, kg.
fn longer(
    season: &Season,
    day: &MillDay,
    turn: &Turn,
    (pieces, losses): (&[Piece], &Losses<'_>),
) -> f64 {
    let has: f64 = turn.of.iter().map(|p| pieces[*p].kg).sum();
    let most = pressed_in(day, turn.minutes + STEP_MIN).kg() - has;
    let rest = turn.of.iter().map(|p| spare(season, &pieces[*p], losses));
    rest.sum::<f64>().min(most).max(0.0)
}

/// How much more of a planting a piece could bring, kg.
fn spare(season: &Season, piece: &Piece, losses: &Losses<'_>) -> f64 {
    let most = season.patches[piece.patch].most_kg.get(piece.day);
    let most = most.copied().unwrap_or(f64::INFINITY) - piece.kg;
    losses.left[piece.patch].min(most).max(0.0)
}

/// Gives a turn so much more of its plantings.
fn give(
    season: &Season,
    turn: &Turn,
    mut kg: f64,
    (pieces, losses): (&mut [Piece], &mut Losses<'_>),
) {
    for place in &turn.of {
        let more = spare(season, &pieces[*place], losses).min(kg);
        pieces[*place].kg += more;
        let piece = pieces[*place];
        losses.add(&piece, more);
        kg -= more;
    }
}
