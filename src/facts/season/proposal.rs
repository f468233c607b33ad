//! A season's proposal as the store has it: the cane that still waits for a day, the days that have room, what is
//! proposed, and at which time of day each turn would begin. What it costs to lose cane is `calc`'s.

use super::proposal_days::{ProposedDay, ProposedTurn, days, reckoned_day};
use super::proposal_fields::{Field, fields, steepness};
use super::seasons::SeasonRules;
use crate::calc::season::proposal::{self as sums, Day, Patch, Piece, Proposal, Season};
use crate::calc::season::ripeness::{FirstFrost, Steepness, lost};
use crate::calc::season::weights::Weights;
use crate::calc::turns::day_room::Held;
use crate::store::season::frosts::{self, Frost};
use crate::store::season::weights;
use crate::store::turns::possible_days::{self, DayAnswer};
use crate::store::{Conn, Stored};
use crate::units::{Grams, MemberId, PlantingId, PressDate, UtcSecond, Zone};
use std::collections::{BTreeMap, BTreeSet};

/// Rounds of improvement for each planting, and pairs of a planting and a day that are gone through in all, so that a large season
/// does not take much longer.
const ROUNDS: (usize, usize) = (300, 40_000_000);
/// The same where a day has to give up some of what was put there.
const ROUNDS_ANEW: (usize, usize) = (30, 2_400_000);
/// How often days are asked to give up some of it.
const TIMES: usize = 8;

/// What a steward holds fast while a season is proposed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Wish {
    /// Plantings that stay on their day.
    pub kept: Vec<(PlantingId, PressDate)>,
    /// Days on which nothing is to be proposed.
    pub shut: Vec<PressDate>,
    /// Where plantings were put before: they move only for a reason.
    pub before: Vec<(PlantingId, PressDate)>,
}

/// A season's proposal.
#[derive(Debug, Clone)]
pub struct SeasonProposal {
    /// The season with its rules.
    pub season: SeasonRules,
    /// What was said of its first frost.
    pub frost: Option<Frost>,
    /// What counts how much, by the rules.
    pub weights: Weights,
    /// What a planting loses.
    pub steep: Steepness,
    /// The plantings that wait.
    pub fields: Vec<Field>,
    /// The open press days.
    pub days: Vec<ProposedDay>,
    /// Cane that found no room: place of its field, and how much.
    pub left: Vec<(usize, Grams)>,
    /// Part lost on each day by each field; `None`: it is not pressed then.
    pub lost: Vec<Vec<Option<f64>>>,
    /// What the worst-off member loses, part of that member's cane.
    pub worst: Option<(MemberId, f64)>,
    /// Part of all sugar that is kept.
    pub kept: f64,
    /// At most so much more of it could be kept by any plan that is as good to the worst-off member, part.
    pub more: f64,
    /// No better plan exists.
    pub exact: bool,
    /// Of the cane left over, what one more day like the last would take.
    pub one_more_day: Grams,
}

/// A season read and not proposed yet: that is work of its own, up to seconds for a large season.
#[derive(Debug)]
pub struct ToPropose {
    of: (SeasonRules, Option<Frost>, Weights),
    cane: (Vec<Field>, Vec<ProposedDay>),
    answers: Vec<DayAnswer>,
    steep: Steepness,
    at: UtcSecond,
    wish: Wish,
}

impl ToPropose {
    /// Reads a season; `None`: it was not opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_year(
        conn: &mut Conn,
        year: i64,
        (at, zone): (UtcSecond, &Zone),
        wish: Wish,
    ) -> Stored<Option<Self>> {
        let Some(season) = SeasonRules::of_year(conn, year).await? else {
            return Ok(None);
        };
        let frost = frosts::of_season(season.season.id).ask(conn).await?;
        let fields = fields(conn, &season).await?;
        let weights = weights::of_rules(conn, season.rules.id).await?;
        let steep = steepness(conn, (&season, &weights), zone).await?;
        let answers = possible_days::answers(season.season.id).ask(conn).await?;
        let days = days(conn, season.season.id, (at, zone), (&wish.shut, &answers)).await?;
        Ok(Some(Self {
            of: (season, frost, weights),
            cane: (fields, days),
            answers,
            steep,
            at,
            wish,
        }))
    }

    /// Proposes its turns.
    pub fn propose(self) -> SeasonProposal {
        proposed(
            self.of,
            self.cane,
            (self.at, self.steep),
            (&self.wish, &self.answers),
        )
    }
}

/// The season as it is reckoned.
fn reckoned(
    fields: &[Field],
    days: &[ProposedDay],
    (frost, steep, weights): (Option<FirstFrost>, Steepness, &Weights),
    (wish, answers): (&Wish, &[DayAnswer]),
) -> Season {
    let owners: BTreeSet<MemberId> = fields.iter().map(|f| f.planting.member_id).collect();
    let owner = |id| owners.iter().position(|m| *m == id).unwrap_or_default();
    let patch = |field: &Field| {
        let id = field.planting.id;
        let own = |list: &[(PlantingId, PressDate)], date| list.contains(&(id, date));
        let is_kept = wish.kept.iter().any(|(p, _)| *p == id);
        let was_put = wish.before.iter().any(|(p, _)| *p == id);
        Patch {
            owner: owner(field.planting.member_id),
            cane_kg: field.cane.kg(),
            lost: days
                .iter()
                .map(|day| {
                    let date = day.day.date;
                    let cannot = answers.iter().any(|a| {
                        a.member_id == field.planting.member_id && a.date == date && !a.brings
                    });
                    let here = if is_kept {
                        own(&wish.kept, date)
                    } else {
                        !day.shut && !day.too_few && !cannot
                    };
                    lost(field.ready, date, frost, steep).filter(|_| here)
                })
                .collect(),
            moved: days
                .iter()
                .map(|day| {
                    if was_put && !own(&wish.before, day.day.date) {
                        weights.move_pct / 100.0
                    } else {
                        0.0
                    }
                })
                .collect(),
        }
    };
    // How much of a planting stood on a day is not carried by the form: in equal parts.
    let before = wish.before.iter().filter_map(|(id, date)| {
        let patch = fields.iter().position(|f| f.planting.id == *id)?;
        let day = days.iter().position(|d| d.day.date == *date)?;
        let parts = wish.before.iter().filter(|(p, _)| p == id).count();
        #[expect(
            clippy::cast_precision_loss,
            reason = "a planting stands on a few days"
        )]
        let kg = fields[patch].cane.kg() / parts as f64;
        Some(Piece { patch, day, kg })
    });
    Season {
        before: before.collect(),
        patches: fields.iter().map(patch).collect(),
        days: days.iter().map(|day| reckoned_day(day, weights)).collect(),
        step: weights.step_pct / 100.0,
    }
}

/// Proposes, gives every turn its time of day, and proposes again with less where the day's room, looked at turn by
/// turn, does not hold what was put there.
fn proposed(
    (season, frost, weights): (SeasonRules, Option<Frost>, Weights),
    (fields, mut days): (Vec<Field>, Vec<ProposedDay>),
    (at, steep): (UtcSecond, Steepness),
    (wish, answers): (&Wish, &[DayAnswer]),
) -> SeasonProposal {
    let first = frost.as_ref().map(|f| FirstFrost {
        early: f.early,
        middle: f.middle,
        late: f.late,
    });
    let parts = (first, steep, &weights);
    let mut of = reckoned(&fields, &days, parts, (wish, answers));
    let pairs = (fields.len() * days.len()).max(1);
    let rounds = |of: (usize, usize)| (of.0 * fields.len()).min(of.1 / pairs);
    let mut plan = sums::propose(&of, rounds(ROUNDS), SEED);
    for time in 0..=TIMES {
        let refused = place(&plan, (&fields, answers), &mut days, at);
        if refused.is_empty() || time == TIMES {
            break;
        }
        for day in refused {
            let placed: f64 = days[day].turns.iter().map(|t| t.cane.kg()).sum();
            of.days[day].most_kg = (of.days[day].most_kg * 0.93).min(placed.max(0.0));
        }
        of.before = plan.pieces;
        plan = sums::propose_near(&of, rounds(ROUNDS_ANEW), SEED);
    }
    told(&of, &plan, (season, frost, weights, steep), (fields, days))
}

/// Any number will do; the same one gives the same proposal.
const SEED: u64 = 20;

/// Gives every turn its time of day; the days that did not hold all that was put there.
fn place(
    plan: &Proposal,
    (fields, answers): (&[Field], &[DayAnswer]),
    days: &mut [ProposedDay],
    at: UtcSecond,
) -> Vec<usize> {
    let mut refused = Vec::new();
    for (n, day) in days.iter_mut().enumerate() {
        let mut by_member: BTreeMap<MemberId, Vec<(usize, Grams)>> = BTreeMap::new();
        for piece in plan.pieces.iter().filter(|p| p.day == n) {
            let cane = Grams::nearest(piece.kg * 1000.0);
            let member = fields[piece.patch].planting.member_id;
            by_member
                .entry(member)
                .or_default()
                .push((piece.patch, cane));
        }
        // What is ripest comes first: its cane has waited longest.
        let mut turns: Vec<(MemberId, Vec<(usize, Grams)>)> = by_member.into_iter().collect();
        turns.sort_by_key(|(member, own)| {
            (
                own.iter().map(|(f, _)| fields[*f].ready.best).min(),
                *member,
            )
        });
        let mut held = day.room.held.clone();
        day.turns.clear();
        for (member, own) in turns {
            let cane: Grams = own.iter().map(|(_, cane)| *cane).sum();
            let pools = !day.room.alone.contains(&member);
            let said = answers
                .iter()
                .find(|a| a.member_id == member && a.date == day.day.date);
            let hours = said.map_or((None, None), |a| (a.from, a.to));
            match day.room.first_free_within(&held, (cane, pools), at, hours) {
                Some(span) => {
                    held.push(Held { span, cane, pools });
                    day.turns.push(ProposedTurn {
                        member,
                        of: own,
                        cane,
                        span,
                    });
                }
                None => refused.push(n),
            }
        }
        day.turns.sort_by_key(|t| t.span.start);
    }
    refused.dedup();
    refused
}

/// What came of it, with what is left over and how good it is.
fn told(
    of: &Season,
    plan: &Proposal,
    (season, frost, weights, steep): (SeasonRules, Option<Frost>, Weights, Steepness),
    (fields, days): (Vec<Field>, Vec<ProposedDay>),
) -> SeasonProposal {
    let placed = |field: usize| -> Grams {
        let turns = days.iter().flat_map(|d| &d.turns).flat_map(|t| &t.of);
        turns
            .filter(|(f, _)| *f == field)
            .map(|(_, cane)| *cane)
            .sum()
    };
    let left: Vec<(usize, Grams)> = (0..fields.len())
        .map(|n| (n, fields[n].cane - placed(n)))
        .filter(|(_, cane)| cane.get() > 500)
        .collect();
    let all: f64 = of.patches.iter().map(|p| p.cane_kg).sum::<f64>().max(1.0);
    let members: Vec<MemberId> = {
        let all: BTreeSet<MemberId> = fields.iter().map(|f| f.planting.member_id).collect();
        all.into_iter().collect()
    };
    let by_member = of.lost_by_member(&plan.pieces);
    let worst = members
        .into_iter()
        .zip(by_member)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let lost_kg: f64 = all
        - plan
            .pieces
            .iter()
            .map(|p| p.kg * (1.0 - of.patches[p.patch].lost[p.day].unwrap_or(1.0)))
            .sum::<f64>();
    SeasonProposal {
        one_more_day: one_more_day(of, plan, &left),
        lost: of.patches.iter().map(|p| p.lost.clone()).collect(),
        kept: 1.0 - lost_kg / all,
        exact: plan.exact,
        more: ((plan.cost_kg - plan.bound_kg) / all).max(0.0),
        worst,
        season,
        frost,
        weights,
        steep,
        fields,
        days,
        left,
    }
}

/// Of the cane left over, what one more day like the last would take on the best day for it.
fn one_more_day(of: &Season, plan: &Proposal, left: &[(usize, Grams)]) -> Grams {
    let Some(last) = of.days.last().filter(|_| !left.is_empty()) else {
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
    more.before.clone_from(&plan.pieces);
    let next = sums::propose_near(&more, 1000, SEED);
    let sum = |left: &[f64]| left.iter().sum::<f64>();
    Grams::nearest((sum(&plan.left_kg) - sum(&next.left_kg)).max(0.0) * 1000.0)
}
