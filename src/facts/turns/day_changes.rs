//! What would become of a day's turns if they were moved together: shown before it is done, and done as
//! it was shown.

pub use super::day_change_queue::{DayAt, Wish};

use super::day_change_queue::{Queue, queue};
use super::press_days::open_work;
use super::room::DayRoom;
use super::running_line::stood;
use super::turn_habit::LatestHabit;
use crate::calc::RuleRefusal;
use crate::calc::turns::day_board::is_over;
use crate::calc::turns::day_room::TurnHeld;
use crate::calc::turns::queue::{Stand, as_one};
use crate::calc::turns::repack::{self, Queued, full_five};
use crate::calc::turns::starts::Span;
use crate::store::turns::day_changes::{self, MovableTurn};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::standstills::{self, Standstill};
use crate::store::{Conn, Question, Stored};
use crate::units::{DayClock, DayMinute, Minutes, PressDate, TurnId};

/// What a change would do to one turn.
#[derive(Debug, Clone)]
pub struct TurnOutcome {
    /// The turn as it stands.
    pub turn: MovableTurn,
    /// Where it would be on the day it comes to; none: no room is left there.
    pub to: Option<Span>,
    /// Whether frost has killed its cane.
    pub killed: bool,
    /// Whether it would begin later than killed cane keeps.
    pub late: bool,
}

/// What a change would do to the turns of a day.
#[derive(Debug, Clone)]
pub struct Planned {
    /// The day they come to: the same, or the other.
    pub target: PressDay,
    /// The clock of that day.
    pub clock: DayClock,
    /// The turns that move, in their order.
    pub lines: Vec<TurnOutcome>,
    /// Minutes of that day in which the mill stands, if it does.
    pub stands: Option<Span>,
    /// The same together with what was noted before and meets it.
    pub stands_whole: Option<Span>,
    /// The day that turns leave is closed.
    pub close: bool,
    /// What is not done on that day, so that it stays open though it was to be closed.
    pub not_done: Option<String>,
    /// Those who find no room and keep the turn that they have on their own day.
    pub stay: Vec<TurnOutcome>,
    /// The next open day: those who find no room go to the head of its list.
    pub next: Option<PressDay>,
}

impl Planned {
    /// A mark of this outcome, to prove that what is done is what was shown.
    pub fn mark(&self) -> String {
        let span = |span: Option<Span>| {
            span.map_or_else(String::new, |span| {
                format!("{}+{}", span.start.get(), span.minutes.get())
            })
        };
        let next = self.next.as_ref().filter(|_| self.without_room() > 0);
        let mut parts = vec![
            self.target.id.to_string(),
            self.close.to_string(),
            span(self.stands),
            next.map_or_else(String::new, |next| next.id.to_string()),
        ];
        for line in &self.lines {
            parts.push(line.turn.id.to_string());
            parts.push(span(line.to));
        }
        let shown = parts.join(";");
        // FNV-1a, 64 bit: nobody gains anything by making two outcomes have the same mark.
        let mark = shown.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |mark, byte| {
            (mark ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        format!("{mark:016x}")
    }

    /// How many turns find no room.
    pub fn without_room(&self) -> usize {
        self.lines.iter().filter(|line| line.to.is_none()).count()
    }
}

/// What can be chosen on the form that moves turns together.
#[derive(Debug)]
pub struct ChangeChoices {
    /// The press day.
    pub day: PressDay,
    /// The turns that can be ticked as killed.
    pub turns: Vec<MovableTurn>,
    /// The days that turns can be moved to.
    pub days: Vec<PressDay>,
}

impl ChangeChoices {
    /// Reads them as of today.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, day: PressDay, today: PressDate) -> Stored<Self> {
        let mut turns = day_changes::movable_turns(day.season_id, day.date)
            .ask(conn)
            .await?;
        turns.retain(|turn| turn.ticket_id.is_none() && !turn.missed);
        let mut days = press_days::of_season(day.season_id).ask(conn).await?;
        days.retain(|other| {
            other.id != day.id && !is_over((other.date, other.closed_at.is_some()), today)
        });
        Ok(Self { day, turns, days })
    }
}

/// What would become of a day's turns, or why nothing can.
///
/// The inner error: the day is closed or past; what was asked makes no sense; nothing would move; cane
/// that is here would find no room; or others would not and no later day is planned whose list they
/// could head.
///
/// # Errors
/// The store failed.
pub async fn plan(
    conn: &mut Conn,
    of: &DayAt<'_>,
    wish: &Wish,
    habit: &LatestHabit,
) -> Stored<Result<Planned, RuleRefusal>> {
    let mut all = day_changes::movable_turns(of.day.season_id, of.day.date)
        .ask(conn)
        .await?;
    // The store knows clock times only; on one night of the year an hour of them comes twice.
    all.sort_by_key(|turn| (turn.date, of.zone.clock(turn.date).kept(turn.start)));
    let target = match wish {
        Wish::OtherDay { to, .. } => press_days::of_date(*to).ask(conn).await?,
        Wish::Later { .. } | Wish::Frost { .. } => None,
    };
    let queue = match open_day(of).and_then(|()| queue(of, &all, target.as_ref(), wish)) {
        Ok(queue) => queue,
        Err(refusal) => return Ok(Err(refusal)),
    };
    let moving: Vec<TurnId> = queue.turns.iter().map(|(turn, _)| turn.id).collect();
    let room = DayRoom::by_habit(conn, (&queue.target, habit), (of.zone, of.at), &moving).await?;
    let days = press_days::of_season(queue.target.season_id)
        .ask(conn)
        .await?;
    let starts = starts(of, &queue, &room, wish);
    let clock = room.day.clock;
    let noted = Question::when(queue.stands.map(|_| standstills::of_day(queue.target.id)));
    let noted = noted.ask(conn).await?.unwrap_or_default();
    let close = matches!(wish, Wish::OtherDay { close: true, .. });
    // Its turns all move away. What has begun on it is finished there, and the day is closed after that.
    let not_done = if close {
        let open = open_work(conn, of.day, (of.at, of.zone)).await?;
        open.not_done()
    } else {
        None
    };
    let planned = Planned {
        stands: queue.stands,
        stands_whole: queue.stands.map(|span| with_noted(span, &noted, &clock)),
        close: close && not_done.is_none(),
        not_done,
        stay: Vec::new(),
        target: queue.target.clone(),
        lines: lines(queue, &starts, clock),
        clock,
        next: None,
    };
    Ok(answer(&days, of.day, planned))
}

/// A standstill together with those noted before that meet it.
fn with_noted(span: Span, noted: &[Standstill], clock: &DayClock) -> Span {
    let noted: Vec<Stand> = noted.iter().map(|one| stood(one, clock)).collect();
    let (from, to) = as_one((span.start.get(), span.end()), &noted);
    Span {
        start: DayMinute::new(from),
        minutes: Minutes::new(to - from),
    }
}

/// The start of each turn of a queue; `None`: it finds no room.
fn starts(of: &DayAt<'_>, queue: &Queue, room: &DayRoom, wish: &Wish) -> Vec<Option<DayMinute>> {
    let clock = room.day.clock;
    // On its own day the queue was already part of what the day had taken on.
    let before: Vec<TurnHeld> = queue
        .turns
        .iter()
        .filter(|(turn, _)| turn.press_day_id == queue.target.id)
        .map(|(turn, queued)| TurnHeld {
            span: Span::kept(&clock, turn.start, turn.minutes),
            cane: queued.wanted.cane,
            pools: queued.wanted.pools,
        })
        .collect();
    let rooms = room.rooms();
    let ask: Vec<Queued> = queue.turns.iter().map(|(_, queued)| *queued).collect();
    let starts = repack::repack(&rooms, &ask, &before);
    if !matches!(wish, Wish::OtherDay { .. }) || !starts.contains(&None) {
        return starts;
    }
    // Where not all find room at their own time of day or later, starts are sought from the opening on.
    let begins = rooms.day.begins().max(full_five(clock.run(of.at)));
    let early: Vec<Queued> = ask
        .iter()
        .map(|queued| Queued {
            not_before: begins,
            ..*queued
        })
        .collect();
    let again = repack::repack(&rooms, &early, &before);
    let lost = |starts: &[Option<DayMinute>]| starts.iter().filter(|s| s.is_none()).count();
    if lost(&again) < lost(&starts) {
        again
    } else {
        starts
    }
}

fn lines(queue: Queue, starts: &[Option<DayMinute>], clock: DayClock) -> Vec<TurnOutcome> {
    let target = queue.target.id;
    queue
        .turns
        .into_iter()
        .zip(starts)
        .map(|((turn, queued), start)| {
            let killed = queue.killed.contains(&turn.id);
            let begins = start.map(|start| clock.instant(start));
            TurnOutcome {
                to: start.map(|start| Span {
                    start,
                    minutes: queued.wanted.minutes,
                }),
                killed,
                late: match (killed, queue.frost, begins) {
                    (true, Some(frost), Some(begins)) => repack::too_late(frost, begins),
                    (true, _, None) => true,
                    _ => false,
                },
                turn,
            }
        })
        .filter(|line| {
            let stays = |span: Span| {
                line.turn.press_day_id == target && clock.kept(line.turn.start) == span.start
            };
            !line.to.is_some_and(stays)
        })
        .collect()
}

/// The plan with the next open day added, or why it cannot be done.
fn answer(days: &[PressDay], day: &PressDay, mut planned: Planned) -> Result<Planned, RuleRefusal> {
    // A turn of another day for which there is no room stays where it is. It goes on the waiting list only if its own day
    // is closed, or if it would be moved to a later day.
    let leaves = planned.target.id != day.id && (planned.close || planned.target.date > day.date);
    let target_id = planned.target.id;
    let (stay, lines) = planned.lines.into_iter().partition(|line: &TurnOutcome| {
        let own = line.turn.press_day_id != target_id;
        line.to.is_none() && own && !leaves
    });
    (planned.stay, planned.lines) = (stay, lines);
    let (target, lines) = (&planned.target, &planned.lines);
    if lines.is_empty() && planned.stands.is_none() {
        return Err(RuleRefusal::new(
            "nothing-moves",
            if planned.stay.is_empty() {
                "No turn would move: each has room where it is."
            } else {
                "No turn would move: there is no room for any of them."
            },
        ));
    }
    let without: Vec<&TurnOutcome> = lines.iter().filter(|line| line.to.is_none()).collect();
    if let Some(here) = without.iter().find(|line| line.turn.ticket_id.is_some()) {
        return Err(RuleRefusal::new(
            "weighed-in",
            format!(
                "The cane of {} is here already and would find no room before the mill stops. Please let the day close \
                 later, or put it off by less.",
                here.turn.member
            ),
        ));
    }
    let next = days
        .iter()
        .find(|next| {
            let closes = planned.close && next.id == day.id;
            next.date > target.date && next.closed_at.is_none() && !closes
        })
        .cloned();
    if !without.is_empty() && next.is_none() {
        return Err(RuleRefusal::new(
            "no-next-day",
            format!(
                "{} would find no room, and no later press day is planned on whose waiting list they could stand. Please \
                 plan one first, or let the day close later.",
                match without.len() {
                    1 => "One turn".to_owned(),
                    n => format!("{n} turns"),
                }
            ),
        ));
    }
    Ok(Planned { next, ..planned })
}

fn open_day(of: &DayAt<'_>) -> Result<(), RuleRefusal> {
    let date = of.day.date;
    if of.day.closed_at.is_some() {
        return Err(RuleRefusal::new(
            "day-closed",
            format!("{} is closed; its turns stay as they are.", date.show()),
        ));
    }
    if date < of.zone.local(of.at).0 {
        return Err(RuleRefusal::new(
            "day-past",
            format!("{} is past; its turns stay as they are.", date.show()),
        ));
    }
    Ok(())
}
