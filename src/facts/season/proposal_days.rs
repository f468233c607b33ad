//! The days of a season's proposal: those planned and those possible, with the room that each has and the hours in which
//! there are people to work.

use super::proposal_fields::Field;
use crate::calc::season::proposal::Day;
use crate::calc::season::weights::Weights;
use crate::calc::turns::day_room::TurnHeld;
use crate::calc::turns::roster::{AT_ROLLERS, Task, crew_hours};
use crate::calc::turns::starts::{Day as MillDay, STEP_MIN, Span};
use crate::facts::turns::room::{DayRoom, HeldTimes};
use crate::store::marks::Mark;
use crate::store::season::forbidden_days::SaidOfDay;
use crate::store::turns::possible_days::{self, DayAnswer};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::spoken::{self, MemberTask};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{Grams, MemberId, MinuteOfDay, Minutes, PressDate, SeasonId, UtcSecond, Zone};
use std::collections::{BTreeMap, BTreeSet};

/// A turn's minutes are rounded up to five: so much is planned with on the average and a little above, minutes.
const ROUNDING: f64 = 4.0;
/// The minutes of pressing are rounded to a tenth: so much less than it takes may a turn be given, minutes.
const ROUNDED: f64 = 0.05;
/// The least cane that is worth a turn, grams.
const LEAST_TURN: i64 = 50_000;

/// A turn that is proposed.
#[derive(Debug, Clone)]
pub struct ProposedTurn {
    /// The member whose turn it is.
    pub member: MemberId,
    /// Places of its plantings among the fields, with the cane of each.
    pub of: Vec<(usize, Grams)>,
    /// Cane of the whole turn.
    pub cane: Grams,
    /// The minutes that it takes of the day.
    pub span: Span,
    /// Whether a steward keeps it as it is: others are proposed beside it.
    pub kept: bool,
    /// What has come to stand against a turn that is kept, so that nobody is asked for it; `None`: nothing.
    pub against: Option<Against>,
}

/// What has come to stand against a turn that a steward keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// Its member has said since that no cane can be brought on that day.
    CannotCome,
    /// Fewer than two people can be at the rollers on that day.
    TooFew,
    /// Nothing is to be proposed on that day.
    Forbidden,
}

/// A press day of the proposal.
#[derive(Debug, Clone)]
pub struct ProposedDay {
    /// The day.
    pub day: PressDay,
    /// The room of the day, with the clock of its date.
    pub room: DayRoom,
    /// Minutes that are free before anything is proposed.
    pub free: Minutes,
    /// Cane that rollers, vessels and pans can still take.
    pub most: Grams,
    /// Who wants nothing proposed there, and since when; `None`: nobody said so.
    pub forbidden: Option<SaidOfDay>,
    /// Whether it is a press day already; else it becomes one when members are asked.
    pub planned: bool,
    /// How many can help; `None`: too few people have said so of any day to go by it.
    pub helpers: Option<usize>,
    /// How many of those helpers may stand at the rollers.
    pub feeders: usize,
    /// Whether fewer than two can at any one time, so that nothing is proposed.
    pub too_few: bool,
    /// The hours in which two or more may stand at the rollers, minutes since midnight, in order; those of the mill where nobody was asked
    /// yet.
    pub hours: Vec<(i64, i64)>,
    /// The turns proposed, by start.
    pub turns: Vec<ProposedTurn>,
}

/// The days of a season that are still to come, in order of date, with whether each is a press day already; else it is possible.
pub(super) fn to_come(season: SeasonId, today: PressDate) -> Question<Vec<(PressDay, bool)>> {
    let read = (
        press_days::of_season(season),
        possible_days::of_season(season),
    );
    read.together().map(move |(planned, possible)| {
        let planned = planned.into_iter().map(|day| (day, true));
        let mut all: Vec<(PressDay, bool)> = planned
            .chain(possible.into_iter().map(|day| (day, false)))
            // Who has cane to cut is asked for a day that is still to come.
            .filter(|(day, _)| day.closed_at.is_none() && day.date > today)
            .collect();
        all.sort_by_key(|(day, _)| day.date);
        all
    })
}

/// Those days with their room.
///
/// # Errors
/// The store failed.
pub(super) async fn days(
    conn: &mut Conn,
    (all, mark): (Vec<(PressDay, bool)>, Option<&Mark>),
    (at, zone): (UtcSecond, &Zone),
    (forbidden, crew, fields): (&[SaidOfDay], &Crew, &[Field]),
) -> Stored<Vec<ProposedDay>> {
    let only: Vec<&PressDay> = all.iter().map(|(day, _)| day).collect();
    let held = HeldTimes::of(mark, &only, (zone, at)).ask(conn).await?;
    let rooms = held.rooms(conn, (&only, mark), zone).await?;
    let mut days = Vec::new();
    for ((day, planned), mut room) in all.into_iter().zip(rooms) {
        let hours = crew.hours(&day);
        if let Some(((from, _), (_, to))) = hours.first().zip(hours.last()) {
            room.day.opens = MinuteOfDay::new(*from).unwrap_or(day.opens);
            room.day.closes = MinuteOfDay::new(*to).unwrap_or(day.closes);
            room.held.extend(gaps(&room.day, &hours));
        }
        let comes = |member| crew.said(member, day.date).is_none_or(|said| said.brings);
        let cane = fields.iter().map(|f| (f.planting.member_id, f.cane));
        let alone = Alone::of(&room, cane.filter(|(member, _)| comes(*member)));
        days.push(ProposedDay {
            free: free(&room),
            most: most(&room, alone, at),
            forbidden: said_of(forbidden, day.date),
            planned,
            helpers: crew.known().then_some(crew.helpers(&day)),
            feeders: crew.at_rollers(&day).len(),
            too_few: hours.is_empty(),
            hours,
            day,
            room,
            turns: Vec::new(),
        });
    }
    Ok(days)
}

/// Who wants nothing proposed on a day.
fn said_of(all: &[SaidOfDay], date: PressDate) -> Option<SaidOfDay> {
    let mut all = all.iter();
    all.find(|said| said.date == date && said.forbidden)
        .cloned()
}

/// The minutes between the hours of a crew: nothing is pressed in them.
fn gaps(day: &MillDay, hours: &[(i64, i64)]) -> Vec<TurnHeld> {
    let between = hours.windows(2).filter_map(|pair| {
        let from = day.clock.closes(MinuteOfDay::new(pair[0].1).ok()?);
        let to = day.clock.opens(MinuteOfDay::new(pair[1].0).ok()?);
        let minutes = Minutes::new(to.get() - from.get());
        let span = Span {
            start: from,
            minutes,
        };
        // Nothing of it is boiled, alone or not.
        Some(TurnHeld {
            span,
            cane: Grams::ZERO,
            pools: true,
        })
    });
    between
        .filter(|gap| gap.span.minutes > Minutes::new(0))
        .collect()
}

/// Minutes from opening to closing that nothing holds, each counted once.
fn free(room: &DayRoom) -> Minutes {
    let (mut at, ends) = (room.day.begins().get(), room.day.ends().get());
    let held = room.held.iter().map(|held| held.span);
    let mut held: Vec<(i64, i64)> = held.map(|s| (s.start.get(), s.end())).collect();
    held.sort_unstable();
    let mut free = 0;
    for (from, to) in held {
        free += (from.min(ends) - at).max(0);
        at = at.max(to);
    }
    Minutes::new(free + (ends - at).max(0))
}

/// What people said of the days, and of what they can do at the mill.
#[derive(Debug, Clone)]
pub struct Crew {
    answers: Vec<DayAnswer>,
    tasks: Vec<MemberTask>,
}

impl Crew {
    /// Reads what was said in a season.
    pub fn of(season: SeasonId) -> Question<Self> {
        let read = (possible_days::answers(season), spoken::tasks());
        let read = read.together();
        read.map(|(answers, tasks)| Self { answers, tasks })
    }

    /// A member's answer for a day; `None`: there is none.
    pub fn said(&self, member: MemberId, date: PressDate) -> Option<&DayAnswer> {
        let mut own = self.answers.iter();
        own.find(|a| a.member_id == member && a.date == date)
    }

    /// Whether at least two people said of some day that they can help: else nobody was asked yet, and who can help is no
    /// reason against a day.
    pub fn known(&self) -> bool {
        let helping = self.answers.iter().filter(|a| a.helps);
        let helping: BTreeSet<MemberId> = helping.map(|a| a.member_id).collect();
        helping.len() >= AT_ROLLERS
    }

    fn helping(&self, day: &PressDay) -> impl Iterator<Item = &DayAnswer> {
        let date = day.date;
        self.answers
            .iter()
            .filter(move |a| a.helps && a.date == date)
    }

    /// How many people can help on a day.
    fn helpers(&self, day: &PressDay) -> usize {
        self.helping(day).count()
    }

    /// Whether somebody may stand at the rollers: who said of no task may.
    fn may_feed(&self, member: MemberId) -> bool {
        let mut own = self
            .tasks
            .iter()
            .filter(|t| t.member_id == member)
            .peekable();
        own.peek().is_none() || own.any(|t| t.task == Task::Feed.word())
    }

    /// The hours of a day in which each of those who may stand at the rollers is there, within those of the mill.
    fn at_rollers(&self, day: &PressDay) -> Vec<(i64, i64)> {
        let (opens, closes) = (day.opens.get(), day.closes.get());
        self.helping(day)
            .filter(|a| self.may_feed(a.member_id))
            .map(|a| {
                (
                    a.from.unwrap_or(opens).max(opens),
                    a.to.unwrap_or(closes).min(closes),
                )
            })
            // A turn starts on full five minutes.
            .map(|(from, to)| ((from + 4) / 5 * 5, to / 5 * 5))
            .filter(|(from, to)| from < to)
            .collect()
    }

    /// The hours of a day in which two or more may stand at the rollers, in order, as far as anybody was asked; empty: too few can come.
    pub fn hours(&self, day: &PressDay) -> Vec<(i64, i64)> {
        if self.known() {
            crew_hours(&self.at_rollers(day))
        } else {
            vec![(day.opens.get(), day.closes.get())]
        }
    }
}

/// Cane that a day can take, found out by filling it: with turns of middling size, and with turns as long as find room.
fn most(room: &DayRoom, alone: Alone, at: UtcSecond) -> Grams {
    let longest = (free(room).get() - room.day.changeover.get()).max(0);
    let longest = room.day.mill_per_h.get() * longest / 60;
    filled(room, (longest, LEAST_TURN), alone, at).max(in_medium_turns(room, alone, at))
}

/// Cane that a day can take in turns of middling size, one after another.
pub(super) fn in_medium_turns(room: &DayRoom, alone: Alone, at: UtcSecond) -> Grams {
    let cane = room.day.mill_per_h.get() * 2 / 3;
    filled(room, (cane, cane), alone, at)
}

/// Cane of turns that a day is filled with: first of so much, then of ever less, down to the least.
fn filled(room: &DayRoom, (mut cane, least): (i64, i64), alone: Alone, at: UtcSecond) -> Grams {
    let mut held = room.held.clone();
    let (mut taken, mut taken_alone) = (Grams::ZERO, Grams::ZERO);
    while cane >= least {
        let mut of = Grams::new(cane);
        // As many boil alone as would by their part of the cane.
        let pools =
            (taken_alone + of).as_f64() > alone.part * (taken + of).as_f64() + of.as_f64() / 2.0;
        if !pools {
            of = of.min(alone.most);
        }
        let Some(span) = room.first_free(&held, (of, pools), at) else {
            cane = cane * 17 / 20;
            continue;
        };
        held.push(TurnHeld {
            span,
            cane: of,
            pools,
        });
        taken += of;
        if !pools {
            taken_alone += of;
        }
    }
    taken
}

/// Of the cane that could be brought on a day, what is boiled alone.
#[derive(Debug, Clone, Copy)]
pub(super) struct Alone {
    /// The part of that cane.
    part: f64,
    /// The most of it that one member has: no turn brings more.
    most: Grams,
}

impl Alone {
    /// By the cane of each planting, with its member.
    pub(super) fn of(room: &DayRoom, cane: impl Iterator<Item = (MemberId, Grams)>) -> Self {
        let mut by_member: BTreeMap<MemberId, Grams> = BTreeMap::new();
        for (member, cane) in cane {
            *by_member.entry(member).or_default() += cane;
        }
        let all: Grams = by_member.values().copied().sum();
        by_member.retain(|member, _| room.alone.contains(member));
        let alone: Grams = by_member.values().copied().sum();
        Self {
            part: alone.as_f64() / all.as_f64().max(1.0),
            most: by_member.into_values().max().unwrap_or_default(),
        }
    }
}

impl ProposedDay {
    /// The turns that a steward keeps as they are.
    pub fn kept(&self) -> impl Iterator<Item = &ProposedTurn> {
        self.turns.iter().filter(|turn| turn.kept)
    }

    /// Whether nothing is proposed there beside what is kept.
    pub const fn is_shut(&self) -> bool {
        self.forbidden.is_some() || self.too_few
    }

    /// Whether the crew comes for what is proposed alone.
    pub fn is_anew(&self) -> bool {
        // Where the mill stands, and where nobody is at it, no cane is held.
        self.room.held.iter().all(|held| held.cane == Grams::ZERO)
    }

    /// The minutes between the hours in which two or more are there.
    pub(super) fn gaps(&self) -> Vec<TurnHeld> {
        gaps(&self.room.day, &self.hours)
    }

    /// The same day with nothing on it: all the hours of its crew are free.
    pub(super) fn emptied(&self) -> Self {
        let mut like = self.clone();
        like.turns.clear();
        like.room.held = self.gaps();
        like.free = free(&like.room);
        like
    }
}

/// A day as it is reckoned with, with all its room.
pub(super) fn reckoned_day(day: &ProposedDay, weights: &Weights) -> Day {
    reckoned(day, weights, &[])
}

/// A day as it is reckoned with beside the turns that are kept.
pub(super) fn reckoned_beside(day: &ProposedDay, weights: &Weights) -> Day {
    let kept: Vec<&ProposedTurn> = day.kept().collect();
    reckoned(day, weights, &kept)
}

/// A day, as it was reckoned, without what is planned above the minutes that turns take: for turns that each bring just what is pressed in
/// full five minutes.
pub(super) fn tight(of: Day) -> Day {
    Day {
        changeover: (of.changeover - ROUNDING).max(0.0),
        ..of
    }
}

/// A day, as it was reckoned, with all that could find room, and more: what the mill presses in the minutes that are free, with
/// no more for cleaning than is certain where a member brings `many` plantings at most, which share one turn.
pub(super) fn surely(day: &ProposedDay, of: Day, many: usize) -> Day {
    let many = Grams::new(i64::try_from(many.max(1)).unwrap_or(1)).as_f64();
    Day {
        changeover: (minutes(day.room.day.changeover) - ROUNDED).max(0.0) / many,
        most_kg: of.minutes * of.kg_per_minute,
        ..of
    }
}

/// Cane that a member who can come in these hours alone can bring on a day beside what has its minutes, kg: no less than all turns
/// within them could.
pub(super) fn most_within(day: &ProposedDay, hours: (Option<i64>, Option<i64>)) -> f64 {
    let whole = Span {
        start: day.room.day.begins(),
        minutes: day.room.day.open_minutes(),
    };
    if day.room.within(whole, hours) {
        return f64::INFINITY;
    }
    let taken = |one: Span| {
        let held = day.room.held.iter().map(|held| held.span);
        held.chain(day.kept().map(|turn| turn.span))
            .any(|span| span.overlaps(one))
    };
    let fives = whole.fives().filter(|start| {
        let one = Span {
            start: *start,
            minutes: Minutes::new(STEP_MIN),
        };
        day.room.within(one, hours) && !taken(one)
    });
    let free = Minutes::new(fives.map(|_| STEP_MIN).sum());
    let of = &day.room.day;
    let pressing = minutes(free) - minutes(of.changeover);
    pressing.max(0.0) * of.mill_per_h.kg() / 60.0
}

fn reckoned(day: &ProposedDay, weights: &Weights, kept: &[&ProposedTurn]) -> Day {
    let (of, boiling) = (&day.room.day, &day.room.boiling);
    let kept_cane: Grams = kept.iter().map(|turn| turn.cane).sum();
    let kept_minutes: i64 = kept.iter().map(|turn| turn.span.minutes.get()).sum();
    let held: Grams = day.room.held.iter().map(|held| held.cane).sum();
    let prompt = boiling.cane_boiled_in(of.open_minutes()) - held - kept_cane;
    // Without a pan nothing is known of boiling.
    let pan = boiling.cane_of_a_pan();
    let prompt = pan.map_or(f64::INFINITY, |_| prompt.max(Grams::ZERO).kg());
    let reckoned = Day {
        minutes: (minutes(day.free) - minutes(Minutes::new(kept_minutes))).max(0.0),
        kg_per_minute: of.mill_per_h.kg() / 60.0,
        changeover: minutes(of.changeover) + ROUNDING,
        most_kg: (day.most - kept_cane).max(Grams::ZERO).kg(),
        opening_kg: 0.0,
        pan_kg: pan.map_or(0.0, Grams::kg),
        short: 0.0,
        prompt_kg: prompt,
        waiting: 0.0,
    };
    // Where somebody has a turn the crew comes anyway.
    weights.weigh(reckoned, !day.is_anew() || !kept.is_empty())
}

fn minutes(of: Minutes) -> f64 {
    Grams::new(of.get()).as_f64()
}
