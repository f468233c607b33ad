//! A season's proposal as the store has it: the cane that still waits for a day, the days that have room, and what is
//! proposed. What it costs to lose cane is `calc`'s.

use super::proposal_days::{Crew, ProposedDay, days, reckoned_day, to_come};
use super::proposal_fields::{Field, Spoken, fields_of, spoken, steepness, waits};
use super::proposal_places::{Places, WhyLeft, pieces, place};
use super::proposal_told::{Costs, SEED, costs, one_more_day};
use super::seasons::SeasonRules;
use crate::calc::season::proposal::{self as sums, Piece, Season, WaitingPlanting};
use crate::calc::season::ripeness::{FirstFrost, Frosts, Steepness, lost};
use crate::calc::season::weights::Weights;
use crate::facts::cane::yields::{TicketJuice, juice_by_ticket};
use crate::facts::turns::turn_habit::Taught;
use crate::store::records::{self, Mark};
use crate::store::season::frosts::{self, Forecast, Frost};
use crate::store::season::plantings::{self, Planting};
use crate::store::season::{seasons, weights};
use crate::store::turns::press_days::PressDay;
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{
    DayMinute, Grams, MemberId, PlantingId, PressDate, SeasonId, TicketId, UtcSecond, Zone,
};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// Rounds of improvement for each planting, and pairs of a planting and a day that are gone through in all, so that a large season
/// does not take much longer.
const ROUNDS: (usize, usize) = (300, 40_000_000);
/// Such rounds and pairs where a day has to give up some of what was put there.
const ROUNDS_ANEW: (usize, usize) = (30, 2_400_000);
/// How many times days are asked to give up some cane.
const TIMES: usize = 8;

/// What a steward has fixed before a season is proposed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Wish {
    /// Plantings that stay on their day.
    pub kept: Vec<(PlantingId, PressDate)>,
    /// Days on which nothing is to be proposed.
    pub shut: Vec<PressDate>,
    /// Turns as they were proposed before: they move only for a reason.
    pub before: Vec<Before>,
}

/// A turn of a planting as it was proposed before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Before {
    /// The planting.
    pub planting: PlantingId,
    /// The press day it was proposed for.
    pub date: PressDate,
    /// When that turn was to start.
    pub start: DayMinute,
    /// Cane of that turn.
    pub cane: Grams,
}

impl Wish {
    /// Whether a planting is kept on a day.
    pub fn keeps(&self, planting: PlantingId, date: PressDate) -> bool {
        self.kept.contains(&(planting, date))
    }

    /// The turns of a planting as they were proposed before.
    pub fn before_of(&self, planting: PlantingId) -> impl Iterator<Item = &Before> {
        self.before.iter().filter(move |b| b.planting == planting)
    }
}

/// A season's proposal.
#[derive(Debug, Clone)]
pub struct SeasonProposal {
    /// The season with its rules.
    pub season: SeasonRules,
    /// What was written of the place's first frost.
    pub frost: Option<Frost>,
    /// What was written of a frost that is forecast.
    pub forecast: Option<Forecast>,
    /// What each loss and cost counts, by the rules.
    pub weights: Weights,
    /// What a planting loses each day.
    pub steep: Steepness,
    /// The plantings whose cane waits for a day.
    pub fields: Vec<Field>,
    /// The others: all their cane has a day.
    pub done: Vec<Field>,
    /// Turns and offers, and turns of the proposal that nobody took.
    pub spoken: Vec<Spoken>,
    /// The open press days.
    pub days: Vec<ProposedDay>,
    /// Cane that found no room: place of its field, how much, and why.
    pub left: Vec<(usize, Grams, WhyLeft)>,
    /// What the proposal costs.
    pub costs: Costs,
    /// What the steward has fixed.
    pub wish: Wish,
    /// Part lost on each day by each field; `None`: it is not pressed then.
    pub lost: Vec<Vec<Option<f64>>>,
    /// The worst-off member, with the part of the own cane that is lost.
    pub worst: Option<(MemberId, f64)>,
    /// Part of all sugar that is kept.
    pub kept: f64,
    /// Part of all sugar that a plan as good to the worst-off member could keep more, at most.
    pub more: f64,
    /// Whether it is proved that no better plan exists.
    pub exact: bool,
    /// Cane of what is left over that one more day like the last would take.
    pub one_more_day: Grams,
}

/// A season read and not proposed yet: that is work of its own, up to seconds for a large season.
#[derive(Debug)]
pub struct ToPropose {
    of: (SeasonRules, Option<Frost>, Option<Forecast>, Weights),
    fields: Vec<Field>,
    spoken: Vec<Spoken>,
    days: Vec<ProposedDay>,
    crew: Crew,
    steep: Steepness,
    at: UtcSecond,
    wish: Wish,
}

/// What is written of a season, before anything is reckoned.
struct Written {
    frost: Option<Frost>,
    forecast: Option<Forecast>,
    planted: Vec<Planting>,
    juices: HashMap<TicketId, TicketJuice>,
    spoken: Vec<Spoken>,
    crew: Crew,
    /// The days that are still to come; whether each is a press day already.
    days: Vec<(PressDay, bool)>,
    mark: Option<Mark>,
}

impl Written {
    fn of(season: SeasonId, today: PressDate) -> Question<Self> {
        let found = (
            frosts::of_season(season),
            frosts::forecast(season),
            plantings::of_season(season),
            juice_by_ticket(season),
            spoken(season),
            Crew::of(season),
            to_come(season, today),
            records::mark(),
        );
        found.together().map(
            |(frost, forecast, planted, juices, spoken, crew, days, mark)| Self {
                frost,
                forecast,
                planted,
                juices,
                spoken,
                crew,
                days,
                mark,
            },
        )
    }
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
        let today = zone.local(at).0;
        let written = |season: &seasons::Season| Written::of(season.id, today);
        let found = SeasonRules::of_year_with(conn, year, today, written).await?;
        let Some((season, written)) = found else {
            return Ok(None);
        };
        let (mark, spoken, crew) = (written.mark.as_ref(), written.spoken, written.crew);
        let found = (
            weights::of_rules(season.rules.id),
            Taught::by(mark, season.season.id),
        );
        let (weights, taught) = found.together().ask(conn).await?;
        let habit = taught.whole(mark).ask(conn).await?;
        let steep = steepness(&written.planted, &written.juices, (&weights, zone));
        let of_days = (&*wish.shut, &crew);
        let days = days(conn, (written.days, mark), (at, zone), of_days).await?;
        Ok(Some(Self {
            fields: fields_of(written.planted, &spoken, (&season.rules, &habit)),
            of: (season, written.frost, written.forecast, weights),
            spoken,
            days,
            crew,
            steep,
            at,
            wish,
        }))
    }

    /// Proposes its turns: gives every turn its time of day, and proposes again with less where the day's room, looked at
    /// turn by turn, does not hold what was put there.
    pub fn propose(self) -> SeasonProposal {
        let (season, frost, forecast, weights) = self.of;
        let (fields, done): (Vec<Field>, Vec<Field>) = self.fields.into_iter().partition(waits);
        let mut days = self.days;
        let first = frost.as_ref().map(|f| FirstFrost {
            early: f.early,
            middle: f.middle,
            late: f.late,
        });
        let first = Frosts {
            first,
            forecast: forecast.as_ref().and_then(|f| f.night),
        };
        let parts = (first, self.steep, &weights);
        let whole = reckoned(&fields, &days, parts, (&self.wish, &self.crew));
        let found = placed(&whole, (&fields, &self.crew), &mut days, self.at);
        let all: f64 = whole
            .patches
            .iter()
            .map(|p| p.cane_kg)
            .sum::<f64>()
            .max(1.0);
        let pieces = pieces(&days);
        let cost = whole.cost_kg(&pieces);
        let costs = costs(&whole, &pieces, (&fields, &days), (first, self.steep));
        let left = left(&fields, &days, &found.why);
        let lost = costs.lost_kg / all;
        SeasonProposal {
            one_more_day: one_more_day(&whole, &pieces, !left.is_empty()),
            kept: 1.0 - lost,
            exact: found.exact,
            more: ((cost - found.bound_kg) / all).min(lost).max(0.0),
            worst: worst(&whole, &pieces, &fields),
            lost: whole.patches.into_iter().map(|p| p.lost).collect(),
            spoken: self.spoken,
            steep: self.steep,
            wish: self.wish,
            season,
            frost,
            forecast,
            weights,
            fields,
            done,
            days,
            left,
            costs,
        }
    }
}

/// The season as it is reckoned.
fn reckoned(
    fields: &[Field],
    days: &[ProposedDay],
    (frost, steep, weights): (Frosts, Steepness, &Weights),
    (wish, crew): (&Wish, &Crew),
) -> Season {
    let owners: BTreeSet<MemberId> = fields.iter().map(|f| f.planting.member_id).collect();
    let owner = |id| owners.iter().position(|m| *m == id).unwrap_or_default();
    let patch = |field: &Field| {
        let id = field.planting.id;
        let is_kept = wish.kept.iter().any(|(p, _)| *p == id);
        let was_put = wish.before_of(id).next().is_some();
        WaitingPlanting {
            owner: owner(field.planting.member_id),
            cane_kg: field.cane.kg(),
            lost: days
                .iter()
                .map(|day| {
                    let date = day.day.date;
                    let said = crew.said(field.planting.member_id, date);
                    let cannot = said.is_some_and(|a| !a.brings);
                    let here = if is_kept {
                        wish.keeps(id, date)
                    } else {
                        !day.shut && !day.too_few && !cannot
                    };
                    lost(field.ready, date, frost, steep).filter(|_| here)
                })
                .collect(),
            moved: days
                .iter()
                .map(|day| {
                    if was_put && !wish.before_of(id).any(|b| b.date == day.day.date) {
                        weights.move_pct / 100.0
                    } else {
                        0.0
                    }
                })
                .collect(),
        }
    };
    // A planting may have had several turns on a day: they are one piece here.
    let mut before: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for b in &wish.before {
        let day = days.iter().position(|d| d.day.date == b.date);
        let patch = fields.iter().position(|f| f.planting.id == b.planting);
        if let Some(place) = day.zip(patch) {
            *before.entry(place).or_default() += b.cane.kg();
        }
    }
    let before = before
        .into_iter()
        .map(|((day, patch), kg)| Piece { patch, day, kg });
    Season {
        before: before.collect(),
        patches: fields.iter().map(patch).collect(),
        days: days.iter().map(|day| reckoned_day(day, weights)).collect(),
        step: weights.step_pct / 100.0,
    }
}

/// The result of placing a season's turns.
struct Found {
    /// Whether it is proved that no better plan exists.
    exact: bool,
    /// No plan that is as good to the worst-off member can cost less, kg of cane.
    bound_kg: f64,
    why: BTreeMap<usize, WhyLeft>,
}

/// Puts a season's cane on its days.
fn placed(
    whole: &Season,
    (fields, crew): (&[Field], &Crew),
    days: &mut [ProposedDay],
    at: UtcSecond,
) -> Found {
    let mut of = whole.clone();
    let pairs = (fields.len() * days.len()).max(1);
    let rounds = |of: (usize, usize)| (of.0 * fields.len()).min(of.1 / pairs);
    let mut plan = sums::propose(&of, rounds(ROUNDS), SEED);
    let first = (plan.exact, plan.bound_kg);
    let places = Places { fields, crew, at };
    for time in 0..=TIMES {
        let refused = place(&plan, &places, days);
        if refused.is_empty() || time == TIMES {
            // What is left over is put where there still is room, looked at turn by turn.
            let filled = places.fill_up(whole, days);
            if time == 0 && refused.is_empty() && !filled {
                return Found {
                    exact: first.0,
                    bound_kg: first.1,
                    why: places.why_left(whole, days),
                };
            }
            break;
        }
        for day in refused {
            let put = plan.pieces.iter().filter(|p| p.day == day);
            let put: f64 = put.map(|p| p.kg).sum();
            of.days[day].most_kg = of.days[day].most_kg.min(put) * 0.93;
        }
        of.before = plan.pieces;
        plan = sums::propose_near(&of, rounds(ROUNDS_ANEW), SEED);
    }
    // The limit of a day's cane is only reckoned; for the most that could be had, the mill's hours alone are certain.
    let mut most = whole.clone();
    for day in &mut most.days {
        day.most_kg = day.most_kg.max(day.minutes * day.kg_per_minute);
    }
    Found {
        exact: false,
        bound_kg: sums::least_cost(&most, whole.cost_kg(&pieces(days))),
        why: places.why_left(whole, days),
    }
}

/// Cane of each field that has no turn.
fn left(
    fields: &[Field],
    days: &[ProposedDay],
    why: &BTreeMap<usize, WhyLeft>,
) -> Vec<(usize, Grams, WhyLeft)> {
    let placed = |field: usize| -> Grams {
        let turns = days.iter().flat_map(|d| &d.turns).flat_map(|t| &t.of);
        let own = turns.filter(|(f, _)| *f == field);
        own.map(|(_, cane)| *cane).sum()
    };
    (0..fields.len())
        .map(|n| (n, fields[n].cane - placed(n)))
        .filter(|(_, cane)| cane.get() > 500)
        .map(|(n, cane)| (n, cane, why.get(&n).copied().unwrap_or(WhyLeft::Full)))
        .collect()
}

/// The member who loses the largest part of the own cane, and that part.
fn worst(of: &Season, pieces: &[Piece], fields: &[Field]) -> Option<(MemberId, f64)> {
    let members: BTreeSet<MemberId> = fields.iter().map(|f| f.planting.member_id).collect();
    let by_member = of.lost_by_member(pieces);
    let all = members.into_iter().zip(by_member);
    all.max_by(|a, b| a.1.total_cmp(&b.1))
}
