//! What the page of a turn says in sentences: how it stands, what happened to it, how it was worked out.

use crate::calc::turns::starts::{Day, span_words};
use crate::calc::turns::turn_cane::{Expected, Yields};
use crate::facts::turns::turn::{TurnFacts, Undo, when};
use crate::store::turns::turn::Turn;
use crate::store::turns::turn_events::{TurnEvent, What};
use crate::units::{MinuteOfDay, Units, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::session::{Me, Visit};

/// One line of a turn's history.
pub(super) struct EventRow {
    pub(super) at: String,
    pub(super) what: String,
    pub(super) why: String,
    /// Name of who did it.
    pub(super) by: String,
    /// Name of the member for whose card it was done; empty: for the own.
    pub(super) card: String,
}

/// Words of the button that undoes it, with what becomes of the turn.
pub(super) fn undo_words(what: Undo, facts: &TurnFacts) -> String {
    match what {
        Undo::Made => match (facts.others_wait(), facts.came_from()) {
            (true, _) => "Undo: give the turn up; it is offered to the next on the list",
            (false, Some(_)) => "Undo: give the turn up, and wait for the day again",
            (false, None) => "Undo: give the turn up again",
        }
        .to_owned(),
        Undo::Move {
            date, start, again, ..
        } => {
            let place = format!("{}, {}", date.show(), start.show());
            if again {
                format!("Move it to {place} again")
            } else {
                format!("Undo: back to {place}")
            }
        }
    }
}

/// What became of a turn that was given up, as a sentence.
pub(super) fn given_up(facts: &TurnFacts, zone: &Zone, at: UtcSecond) -> &'static str {
    if facts.instead.is_some() {
        return "This turn found no room any more when turns were put off.";
    }
    match (
        facts.booking_undone(),
        facts.offered_on(&zone.clock(facts.turn.date), at),
    ) {
        (true, true) => "This turn was given up; it is offered to the next on the waiting list.",
        (false, true) => {
            "This turn was cancelled; its time is offered to the next on the waiting list."
        }
        (_, false) => "This turn was cancelled; its time is free for others.",
    }
}

/// What its minutes come to; a day that was changed since would make others of it.
pub(super) fn minutes_sum(day: &Day, turn: &Turn, units: Units) -> String {
    match day.minutes_for(turn.cane, units) {
        Ok(minutes) if minutes == turn.minutes => day.minutes_words(turn.cane, minutes, units),
        _ => format!(
            "{}, as the day stood when the turn was taken; its mill rate, change-over or hours were changed since",
            turn.minutes.show()
        ),
    }
}

/// Sentence on hours in which fewer than two people are down for the rollers; empty: there are none. Nobody feeds alone (common practice).
pub(super) fn few_words(hours: &[(i64, i64)]) -> String {
    let show = |at: i64| MinuteOfDay::new(at).map_or_else(|_| String::new(), MinuteOfDay::show);
    let spans: Vec<String> = hours
        .iter()
        .map(|(from, to)| format!("from {} to {}", show(*from), show(*to)))
        .collect();
    if spans.is_empty() {
        return String::new();
    }
    format!(
        "Fewer than two people are down for the rollers {}. Nobody feeds them alone: bring a second pair of hands, or ask the crew.",
        spans.join(" and ")
    )
}

/// The state of a turn in words; all empty: it was cancelled, or is weighed in.
#[derive(Default)]
pub(super) struct State {
    /// The sentence, without its full stop.
    pub(super) said: String,
    /// Name of who confirmed it other than its member; empty: nobody did.
    pub(super) by: String,
    /// What can no longer be done about it.
    pub(super) more: String,
}

/// How a turn stands; what a member can do no more about it is said, too.
pub(super) fn state(facts: &TurnFacts, me: &Me, zone: &Zone, at: UtcSecond) -> State {
    let turn = &facts.turn;
    if !turn.held || facts.limits.ticket.is_some() {
        return State::default();
    }
    let looked = when(turn, zone, at);
    if turn.no_show_at.is_none() && zone.local(at).0 > turn.date {
        return State {
            said: "This turn’s day is past, and no cane of it was weighed in".to_owned(),
            more: "Please call the mill, or book another turn.".to_owned(),
            ..State::default()
        };
    }
    let said = match (turn.no_show_at, turn.confirmed_at) {
        (Some(noted), _) => format!("Nobody came: noted {}", zone.show(noted)),
        (None, Some(confirmed)) => format!("Confirmed {}", zone.show(confirmed)),
        (None, None) if looked.to_confirm() => {
            "Not confirmed yet: please confirm that the cane will come".to_owned()
        }
        (None, None) if looked.begun() => "Not confirmed".to_owned(),
        (None, None) => format!("To be confirmed from {} on", looked.confirms_from().show()),
    };
    // Two people may bear one name: they are told apart by their cards.
    let by = turn
        .confirmed_by
        .as_ref()
        .filter(|_| turn.no_show_at.is_none());
    let by = by.filter(|(id, _)| *id != turn.member_id);
    let over = looked.before_cutoff(facts.limits.cutoff_h).err();
    let over = over.filter(|_| !me.is_crew());
    State {
        said,
        by: by.map_or_else(String::new, |(_, name)| name.to_string()),
        more: over.map_or_else(String::new, |refusal| refusal.sentence),
    }
}

pub(super) fn cane_sum(turn: &Turn, yields: Yields, units: Units) -> String {
    // The turn is taken already, so its amount is not questioned again.
    Expected::reckon(turn.told, yields, None, true, units).map_or_else(
        |_| turn.cane.show(units),
        |told| {
            let stands = Expected {
                cane: turn.cane,
                ..told
            };
            stands.words(yields, units)
        },
    )
}

pub(super) fn event(event: &TurnEvent, turn: &Turn, visit: &Visit) -> Result<EventRow, PageError> {
    let zone = visit.zone()?;
    let span = span_words(&zone.clock(event.date), event.start, event.minutes);
    let place = format!("{}, {span}", event.date.show());
    Ok(EventRow {
        at: zone.show(event.at),
        what: match event.what {
            What::Made => format!("Booked: {place}"),
            What::Moved => format!("Moved to {place}"),
            What::Cancelled => format!("Cancelled: {place} is free again"),
        },
        why: event.why.clone(),
        by: event.by.to_string(),
        card: if event.by_id == turn.member_id {
            String::new()
        } else {
            turn.member.to_string()
        },
    })
}
