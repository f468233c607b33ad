//! Turns as calendar entries: title, words, place. To a member the own turn needs no name; on the
//! crew's calendar stands the first name, since calendars are often kept with others.

use crate::calc::paper::ics::Event;
use crate::facts::turns::queue::StartEstimates;
use crate::store::people::calendar::FeedTurn;
use crate::store::people::coop::Coop;
use crate::units::{Units, twelve_hours};
use crate::web::{App, paths};
use std::fmt::Write as _;

/// How whoever has the calendar reads weights and times.
#[derive(Clone, Copy)]
pub(super) struct Reads {
    pub(super) units: Units,
    /// Hours of the clock: 12 or 24.
    pub(super) clock: i64,
    /// Whether it is the crew's calendar: each turn with a first name.
    pub(super) named: bool,
}

/// The calendar entries of these turns.
pub(super) fn of(
    (turns, abouts): (&[FeedTurn], &StartEstimates),
    coop: &Coop,
    app: &App,
    reads: Reads,
) -> Vec<Event> {
    turns
        .iter()
        .map(|turn| {
            let about = abouts
                .of_turn(turn.id)
                .map(|about| about.words(!reads.named));
            event((turn, about), coop, app, reads)
        })
        .collect()
}

fn event((turn, about): (&FeedTurn, Option<&str>), coop: &Coop, app: &App, reads: Reads) -> Event {
    let named = reads.named;
    let start = coop.zone.at(turn.date, turn.start);
    let what = if named {
        format!("Press turn: {}", turn.member.first())
    } else {
        format!("Press turn, {}", coop.name)
    };
    let here = turn.held && turn.weighed_in;
    let summary = if here {
        format!("Cane weighed in: {what}")
    } else if turn.held {
        what
    } else {
        format!("Cancelled: {what}")
    };
    let mut description = String::new();
    if let Some(about) = about {
        let _ = writeln!(description, "{about}");
    }
    let _ = if here {
        write!(description, "The cane of this turn is weighed in.")
    } else {
        let (cane, minutes) = (turn.cane.show(reads.units), turn.minutes.show());
        write!(
            description,
            "{cane} of cane to expect; {minutes} at the mill."
        )
    };
    if reads.clock == 12 {
        description = twelve_hours(&description);
    }
    // The crew know the mill's number, and calendars are shared with others.
    if !named && !coop.contact_phone.is_empty() {
        description.push_str("\nMill: ");
        description.push_str(&coop.contact_phone);
    }
    Event {
        uid: turn.id.to_string(),
        changed: turn.changed_at,
        // What it says changed with the weighing, which is no event of the turn.
        sequence: turn.version - 1 + i64::from(here),
        start,
        end: start.plus(turn.minutes.get() * 60),
        cancelled: !turn.held,
        summary,
        description,
        location: coop.place.clone(),
        url: app.public_url.as_ref().map_or_else(String::new, |site| {
            format!("{site}{}", paths::turn(turn.id))
        }),
    }
}
