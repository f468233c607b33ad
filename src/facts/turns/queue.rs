//! The queue of a press day: who comes in which order, where the mill is, how late it runs, and about when each
//! turn begins. One place for all who say it: the board, the queue's page, home, the turn's page, the calendar's
//! text and the letter.

use super::running_line::{coming, line_of_day, stands_of_day};
use crate::calc::turns::queue::{Coming, Stage, Stand, behind, stages, stands_left};
use crate::store::turns::day_line::InLine;
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{
    ClockTime, DayClock, DayMinute, Minutes, PressDate, TicketId, TurnId, UtcSecond, Zone,
};
use std::collections::{BTreeMap, BTreeSet};

/// One turn or walk-in of the queue.
#[derive(Debug, Clone)]
pub struct InQueue {
    /// The turn, or the ticket of a walk-in.
    pub one: InLine,
    /// Its place in the order of the day, from 1.
    pub nth: usize,
    /// How far it has come.
    pub stage: Stage,
    /// How long it is expected to take the mill.
    pub takes: Minutes,
}

impl InQueue {
    /// About when it begins, in minutes of the day; none: the mill has it, or it is pressed.
    pub const fn about(&self) -> Option<i64> {
        match self.stage {
            Stage::Done | Stage::AtTheMill => None,
            Stage::Waits(at) | Stage::Expected(at) | Stage::Late(at) => Some(at),
        }
    }
}

/// The queue of a press day at a moment.
#[derive(Debug)]
pub struct Queue {
    /// All of the day, in the order of the day. A turn that nobody came to is not among them.
    pub line: Vec<InQueue>,
    /// Whether the day is being pressed, past midnight too; else the starts stand as planned.
    pub runs: bool,
    /// How far behind its plan the mill is; none: nothing to tell it by, or the day does not run.
    pub behind: Option<Minutes>,
    clock: DayClock,
    /// The last full minute.
    clock_minute: i64,
    /// When the mill stops, in minutes of the day.
    closes: DayMinute,
    /// Its date is past, and so is what was planned on it; cane that is there may still be pressed.
    past: bool,
    /// The minute of the day.
    minute: i64,
    /// When it stands from now on, in minutes of the day and in order, standstills that meet as one; none: it runs.
    stands: Vec<Stand>,
}

impl Queue {
    /// Reads the queue of a press day.
    pub fn of(day: &PressDay, (zone, at): (&Zone, UtcSecond)) -> Question<Self> {
        let (of, clock, today) = (day.clone(), zone.clock(day.date), zone.local(at).0);
        let found = (line_of_day(day, zone), stands_of_day(day, zone)).together();
        found.map(move |found| Self::as_it_is(found, &of, clock, (today, at)))
    }

    /// The queue of a day whose line is known.
    fn as_it_is(
        (mut line, stands): (Vec<InLine>, Vec<Stand>),
        day: &PressDay,
        clock: DayClock,
        (today, at): (PressDate, UtcSecond),
    ) -> Self {
        // Before the day its starts stand as planned; until it is closed it runs on, past midnight too; after that
        // whoever never came stays late.
        let runs = day.closed_at.is_none() && day.date <= today;
        let minute = match today.cmp(&day.date) {
            std::cmp::Ordering::Less => 0,
            std::cmp::Ordering::Equal => clock.run(at).get(),
            std::cmp::Ordering::Greater if runs => {
                clock.length().get() + at.minutes_since(clock.ends())
            }
            std::cmp::Ordering::Greater => clock.length().get(),
        };
        line.retain(|one| !one.missed);
        let comings: Vec<Coming> = line.iter().map(|one| coming(one, day, &clock)).collect();
        let stages = stages(&comings, &stands, minute);
        let behind = behind(&comings, &stages).filter(|_| runs);
        let line = line.into_iter().zip(stages).zip(comings).enumerate();
        Self {
            line: line
                .map(|(nth, ((one, stage), coming))| InQueue {
                    one,
                    takes: coming.minutes,
                    nth: nth + 1,
                    stage,
                })
                .collect(),
            runs,
            behind,
            clock,
            clock_minute: match today.cmp(&day.date) {
                std::cmp::Ordering::Equal => clock.run(at.plus(-59)).get(),
                _ => minute,
            },
            closes: clock.closes(day.closes),
            past: today > day.date,
            minute,
            stands: if runs {
                stands_left(&stands, minute)
            } else {
                Vec::new()
            },
        }
    }

    /// What the clocks show now.
    pub fn now(&self) -> String {
        self.show(self.clock_minute)
    }

    /// What the clocks show at this minute of the day, or of the night after it.
    pub fn show(&self, minute: i64) -> String {
        let over = minute - self.clock.length().get();
        if over < 0 {
            self.clock.show(DayMinute::new(minute))
        } else {
            format!("{:02}:{:02}", over / 60 % 24, over % 60)
        }
    }

    /// Whether the day went by without its cane.
    pub fn missed_its_day(&self, one: &InQueue) -> bool {
        self.past && one.one.ticket.is_none()
    }

    /// Those who are neither pressed nor at the mill, in the order in which the mill will take them.
    pub fn to_come(&self) -> Vec<(&InQueue, i64)> {
        let with_about = self.line.iter().filter_map(|one| Some((one, one.about()?)));
        let mut to_come: Vec<(&InQueue, i64)> = with_about.collect();
        to_come.sort_by_key(|(_, about)| *about);
        to_come
    }

    /// The one whose cane is being pressed.
    pub fn at_the_mill(&self) -> Option<&InQueue> {
        self.line.iter().find(|one| one.stage == Stage::AtTheMill)
    }

    /// How many of them are pressed.
    pub fn done(&self) -> usize {
        let done = self.line.iter().filter(|one| one.stage == Stage::Done);
        done.count()
    }

    /// "Your turn is about 13:05 (planned 12:30).", or the like for cane that is there already. None of one that did not come on its day:
    /// no time is left to tell.
    pub fn about(&self, one: &InQueue) -> Option<StartEstimate> {
        if self.missed_its_day(one) {
            return None;
        }
        let done = one.about().map(|about| about + one.takes.get());
        let later = done.map_or_else(String::new, |done| self.to_stand_before(done));
        let mut stands = String::new();
        for words in [self.standing(), later] {
            if !words.is_empty() {
                stands = format!("{stands} {words}");
            }
        }
        let after = format!("{stands}{}", self.after_closing(one));
        let (yours, theirs) = match (self.about_words(one), one.stage) {
            (Some(about), Stage::Waits(_)) => (
                format!("Your cane is pressed {about}.{after}"),
                format!("The cane is pressed {about}.{after}"),
            ),
            (Some(about), _) => (
                format!("Your turn is {about}.{after}"),
                format!("The turn is {about}.{after}"),
            ),
            (None, Stage::AtTheMill) => (
                format!("The mill has your cane now.{stands}"),
                format!("The mill has the cane now.{stands}"),
            ),
            (None, _) => return None,
        };
        Some(StartEstimate { yours, theirs })
    }

    /// "The mill stands until about 16:00."; empty: it runs.
    pub fn standing(&self) -> String {
        let now = self.stands.first().filter(|(from, _)| *from <= self.minute);
        now.map_or_else(String::new, |(_, until)| {
            format!("The mill stands until about {}.", self.show(*until))
        })
    }

    /// "The mill is to stand from 14:00 to 16:00.", of what is still to come; empty: it is not to stand.
    pub fn to_stand(&self) -> String {
        self.to_stand_before(i64::MAX)
    }

    /// As [`Self::to_stand`], as far as that begins before a minute of the day.
    fn to_stand_before(&self, before: i64) -> String {
        let later = self.stands.iter();
        let later = later.filter(|(from, _)| *from > self.minute && *from < before);
        let later: Vec<String> = later
            .map(|(from, to)| format!("from {} to {}", self.show(*from), self.show(*to)))
            .collect();
        if later.is_empty() {
            return String::new();
        }
        format!("The mill is to stand {}.", later.join(" and "))
    }

    /// What is said beside an estimate that lies past the mill's hours; empty: it does not.
    fn after_closing(&self, one: &InQueue) -> String {
        match one.about() {
            Some(about) if about >= self.closes.get() => format!(
                " The mill closes at {}: please ask the crew whether it is pressed today.",
                self.clock.show(self.closes)
            ),
            _ => String::new(),
        }
    }

    /// "about 13:05 (planned 12:30)" of one in the queue.
    fn about_words(&self, one: &InQueue) -> Option<String> {
        let about = self.show(one.about()?);
        Some(match one.one.start.map(ClockTime::show) {
            Some(planned) if planned == about => format!("about {about}, as planned"),
            Some(planned) => format!("about {about} (planned {planned})"),
            None => format!("about {about}"),
        })
    }
}

/// About when a turn begins, as a sentence to its member, and to somebody else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StartEstimate {
    yours: String,
    theirs: String,
}

impl StartEstimate {
    /// The sentence: to its member, if it is `own`.
    pub fn words(&self, own: bool) -> &str {
        if own { &self.yours } else { &self.theirs }
    }
}

/// About when each turn and each ticket of the days that are being pressed begins, in words.
#[derive(Debug, Default)]
pub struct StartEstimates {
    turns: BTreeMap<TurnId, StartEstimate>,
    tickets: BTreeMap<TicketId, StartEstimate>,
}

impl StartEstimates {
    /// Reads them for those of some dates on which a mill runs.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(
        conn: &mut Conn,
        dates: BTreeSet<PressDate>,
        (zone, at): (&Zone, UtcSecond),
    ) -> Stored<Self> {
        let today = zone.local(at).0;
        if dates.iter().all(|date| *date > today) {
            return Ok(Self::default());
        }
        let running = press_days::running(today).ask(conn).await?;
        Self::of(&running, &dates, (zone, at)).ask(conn).await
    }

    /// As [`Self::read`], with the running days read already.
    pub fn of(
        running: &[PressDay],
        dates: &BTreeSet<PressDate>,
        moment: (&Zone, UtcSecond),
    ) -> Question<Self> {
        let wanted = running.iter().filter(|day| dates.contains(&day.date));
        let queues = Question::all(wanted.map(|day| Queue::of(day, moment)));
        queues.map(|queues| {
            let mut abouts = Self::default();
            for queue in &queues {
                abouts.take_in(queue);
            }
            abouts
        })
    }

    fn take_in(&mut self, queue: &Queue) {
        for one in &queue.line {
            let Some(words) = queue.about(one) else {
                continue;
            };
            if let Some(id) = one.one.turn_id {
                self.turns.insert(id, words.clone());
            }
            if let Some(id) = one.one.ticket_id {
                self.tickets.insert(id, words);
            }
        }
    }

    /// "Your turn is about 13:05 (planned 12:30)."; none: its day does not run, or its cane is pressed.
    pub fn of_turn(&self, id: TurnId) -> Option<&StartEstimate> {
        self.turns.get(&id)
    }

    /// "Your cane is pressed about 13:05 (planned 12:30).", of cane that waits for the mill or is in it.
    pub fn of_ticket(&self, id: TicketId) -> Option<&StartEstimate> {
        self.tickets.get(&id)
    }
}
