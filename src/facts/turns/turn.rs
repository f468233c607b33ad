//! One turn with what may still be done with it and what its page says of it.

use super::queue::{StartEstimate, StartEstimates};
use super::room;
use super::turn_habit::{self, Taught};
use super::waiting::{is_open, place_again};
use crate::calc::RuleRefusal;
use crate::calc::turns::day_room::AfterMill;
use crate::calc::turns::starts::{Asker, Span};
use crate::calc::turns::turn_cane::Yields;
use crate::calc::turns::turn_states::{UNDO_S, When};
use crate::calc::turns::waiting::State;
use crate::facts::rules_versions;
use crate::store::marks;
use crate::store::season::seasons;
use crate::store::turns::offers::{self, Offer};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::turn::{self, Turn};
use crate::store::turns::turn_events::{self, TurnEvent, What};
use crate::store::turns::waiting::{self, Entry};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{
    ClockTime, DayClock, MemberId, PressDate, PressDayId, TicketId, UtcSecond, Zone,
};
use std::collections::BTreeSet;

/// A turn as its time is looked at.
pub fn when<'a>(turn: &Turn, zone: &'a Zone, at: UtcSecond) -> When<'a> {
    When {
        date: turn.date,
        start: turn.start,
        zone,
        at,
    }
}

/// Whether a turn stands and its cane has not come.
///
/// # Errors
/// It was cancelled, or its cane is weighed in.
pub fn still_to_come(turn: &Turn, ticket: Option<TicketId>) -> Result<(), RuleRefusal> {
    if !turn.held {
        return Err(RuleRefusal::new(
            "cancelled",
            "This turn was cancelled. Please book another.",
        ));
    }
    if ticket.is_some() {
        return Err(RuleRefusal::new(
            "weighed-in",
            "The cane of this turn is weighed in; the turn stays as it is.",
        ));
    }
    Ok(())
}

/// What limits a member who wants to move a turn or give it up.
#[derive(Debug, Clone, Copy)]
pub struct ChangeLimits {
    /// Ticket of the turn, once the cane is there.
    pub ticket: Option<TicketId>,
    /// Hours before its start up to which members may change it.
    pub cutoff_h: i64,
}

impl ChangeLimits {
    /// Reads them for a turn; nothing when its press day is gone, which cannot be.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, turn: &Turn) -> Stored<Option<Self>> {
        let Some(day) = press_days::find(turn.press_day_id).ask(conn).await? else {
            return Ok(None);
        };
        Ok(Some(Self {
            ticket: turn::ticket(turn.id).ask(conn).await?,
            cutoff_h: rules_versions::on(day.season_id, day.date)
                .ask(conn)
                .await?
                .cutoff_h,
        }))
    }

    /// Whether the turn may be moved or given up.
    ///
    /// # Errors
    /// It was cancelled, its cane is weighed in, or, for members, it has begun or the cut-off has
    /// passed.
    pub fn allow_change(self, turn: &Turn, zone: &Zone, asker: Asker) -> Result<(), RuleRefusal> {
        still_to_come(turn, self.ticket)?;
        if asker.crew {
            return Ok(());
        }
        let when = when(turn, zone, asker.at);
        if when.begun() {
            return Err(RuleRefusal::new(
                "begun",
                format!(
                    "This turn began at {} on {}. Please call the crew.",
                    turn.start.show(),
                    turn.date.show()
                ),
            ));
        }
        when.before_cutoff(self.cutoff_h)
    }
}

/// The step of a turn that can be undone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Undo {
    /// That it was booked: the turn is given up again.
    Made,
    /// A move: the turn goes back to the day and start it had before.
    Move {
        /// The press day it was on before.
        day: PressDayId,
        /// Date of that day.
        date: PressDate,
        /// When it was to start there.
        start: ClockTime,
        /// That move was an undoing itself.
        again: bool,
    },
}

/// What the history says of what was undone.
pub const UNDONE: &str = "undone within ten minutes";

/// What `actor` can undo of a turn that is still to come: the last that happened to it, for ten minutes and by
/// whoever did it.
pub fn undo(events: &[TurnEvent], actor: MemberId, at: UtcSecond) -> Option<Undo> {
    let (last, before) = events.split_last()?;
    if last.by_id != actor || at.get() - last.at.get() > UNDO_S {
        return None;
    }
    match (last.what, before.last()) {
        (What::Made, _) => Some(Undo::Made),
        (What::Moved, Some(was)) => Some(Undo::Move {
            day: was.press_day_id,
            date: was.date,
            start: was.start,
            again: last.why == UNDONE,
        }),
        (What::Moved, None) | (What::Cancelled, _) => None,
    }
}

/// What keeps `actor` from undoing what they did to a turn within the last ten minutes: somebody else did something to it since.
pub fn undo_overtaken(events: &[TurnEvent], actor: MemberId, at: UtcSecond) -> Option<&TurnEvent> {
    let (last, before) = events.split_last()?;
    let own = before.iter().rev().find(|event| event.by_id == actor)?;
    (last.by_id != actor && at.get() - own.at.get() <= UNDO_S).then_some(last)
}

/// The time until which [`undo`] gives anything: ten minutes after the last change of the turn.
pub fn undo_ends(events: &[TurnEvent]) -> Option<UtcSecond> {
    events.last().map(|last| last.at.plus(UNDO_S))
}

/// All that one turn's page shows.
#[derive(Debug)]
pub struct TurnFacts {
    /// The turn.
    pub turn: Turn,
    /// Its press day.
    pub day: PressDay,
    /// What limits changing the turn.
    pub limits: ChangeLimits,
    /// The figures its cane was worked out with when it was booked.
    pub yields: Yields,
    /// What comes after the mill by the rules that hold on its day.
    pub boiling: AfterMill,
    /// What was done to the turn, in order.
    pub events: Vec<TurnEvent>,
    /// About when it begins, as a sentence, while its mill runs.
    pub about: Option<StartEstimate>,
    /// The waiting list of its day, by rank.
    pub list: Vec<Entry>,
    /// What was offered of its day, in the order it was made.
    pub offers: Vec<Offer>,
    /// The place on a list that its member has since it no longer fitted.
    pub instead: Option<Entry>,
}

impl TurnFacts {
    /// Reads them; nothing when its press day or the season's rules are gone, which cannot be.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(
        conn: &mut Conn,
        turn: Turn,
        moment: (&Zone, UtcSecond),
    ) -> Stored<Option<Self>> {
        let today = moment.0.local(moment.1).0;
        let running = (turn.date <= today).then(|| press_days::running(today));
        let found = (
            press_days::find(turn.press_day_id),
            Question::when(running),
            turn::ticket(turn.id),
            turn_events::of_turn(turn.id),
            (room::in_use(), marks::mark()).together(),
            waiting::of_day(turn.press_day_id),
            (
                offers::of_day(turn.press_day_id),
                waiting::instead_of(turn.id),
            )
                .together(),
        );
        let found = found.together().ask(conn).await?;
        let (day, running, ticket, events, (in_use, mark), list, (offers, instead)) = found;
        let Some(day) = day else {
            return Ok(None);
        };
        let (dates, running) = (BTreeSet::from([turn.date]), running.unwrap_or_default());
        let found = (
            StartEstimates::of(&running, &dates, moment),
            seasons::rules_list(day.season_id),
            Taught::by(mark.as_ref(), day.season_id),
        );
        let (abouts, versions, taught) = found.together().ask(conn).await?;
        let habit = taught.whole(mark.as_ref()).ask(conn).await?;
        let on_its_day = rules_versions::holding(&versions, day.date)?;
        let limits = ChangeLimits {
            ticket,
            cutoff_h: on_its_day.cutoff_h,
        };
        let when_booked = turn_habit::rules_when_booked(&versions, &turn)?;
        Ok(Some(Self {
            limits,
            yields: turn_habit::yields_of(&when_booked).kept(turn.row_kg_per_m),
            boiling: room::boiling(&on_its_day, &habit, (&in_use.0, &in_use.1))?,
            events,
            about: abouts.of_turn(turn.id).cloned(),
            list,
            offers,
            instead,
            turn,
            day,
        }))
    }

    /// The place on the waiting list that the turn came from and that stands again if taking the turn is undone. A turn of the season's
    /// proposal leaves none, nor one whose member waits for that day anew.
    pub fn came_from(&self) -> Option<&Entry> {
        let entry = self.list.iter().find(|e| e.turn_id == Some(self.turn.id))?;
        place_again(entry, &self.list, &self.offers).then_some(entry)
    }

    /// Whether somebody else on the list is offered what comes free.
    pub fn others_wait(&self) -> bool {
        let asked = |e: &Entry| matches!(e.state, State::Waiting | State::Declined) && !e.gone;
        let mut others = self.list.iter();
        others.any(|e| e.member_id != self.turn.member_id && asked(e))
    }

    /// Whether the booking was undone by whoever made it.
    pub fn booking_undone(&self) -> bool {
        let last = self.events.last();
        last.is_some_and(|last| last.what == What::Cancelled && last.why == UNDONE)
    }

    /// Whether minutes of the turn are on offer to somebody on the list.
    pub fn offered_on(&self, clock: &DayClock, at: UtcSecond) -> bool {
        let span = |start, minutes| Span::kept(clock, start, minutes);
        let own = span(self.turn.start, self.turn.minutes);
        let mut open = self.offers.iter().filter(|offer| is_open(offer, at));
        open.any(|offer| span(offer.start, offer.minutes).overlaps(own))
    }
}

/// What was said of the amount of cane, said of the day instead: of a turn that moves, only the day
/// can be chosen anew.
pub fn said_of_day(refusal: RuleRefusal) -> RuleRefusal {
    RuleRefusal {
        at: refusal.at.map(|at| if at == "amount" { "day" } else { at }),
        ..refusal
    }
}
