//! The queue of a press day for members, as text ready to print: the order of the day with first names of those who
//! agreed to it, where the mill is, how late it runs.

use super::board::{state, turn};
use crate::facts::turns::queue::{InQueue, Queue};
use crate::units::{ClockTime, Minutes, PressDate};
use crate::web::error::PageError;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths};
use askama::Template;

/// One turn or walk-in in the queue.
struct QueueRow {
    turn: String,
    name: String,
    /// Telephone, for the crew; empty for others.
    phone: String,
    planned: String,
    about: String,
    state: &'static str,
    look: &'static str,
    own: bool,
}

/// When the reader's turn comes, or that of a card acted for.
struct OwnLine {
    /// Name of the member whose it is, of a card acted for; empty: the reader's own.
    name: String,
    /// "about 13:05"; empty: the mill has the cane now.
    about: String,
    words: String,
}

/// The queue of a press day.
#[derive(Template)]
#[template(path = "turns/day_line/queue.html")]
pub(super) struct QueuePage {
    shell: Shell,
    own: Vec<OwnLine>,
    mill: String,
    late: String,
    done: String,
    rows: Vec<QueueRow>,
    /// The mill's number; empty: nobody is named.
    phone: String,
    day: String,
    again: String,
}

impl QueuePage {
    pub(super) fn new(
        (app, visit, me): (&App, &Visit, &Me),
        date: PressDate,
        queue: &Queue,
    ) -> Result<Self, PageError> {
        let coop = visit.coop()?;
        let to_come = queue.to_come();
        let today = coop.zone.local(visit.at).0;
        // A mill may run past midnight: then the day before goes on.
        let goes_on = queue.at_the_mill().is_some()
            || to_come.iter().any(|(one, _)| !queue.missed_its_day(one));
        let is_past = date < today && queue.runs && !goes_on;
        Ok(Self {
            shell: Shell::new(app, visit, format!("Queue on {}", date.show())),
            own: queue
                .line
                .iter()
                .filter(|one| me.is_theirs(one.one.member_id))
                .filter_map(|one| own_line(queue, one, me))
                .collect(),
            late: only_if(!is_past, late(queue)),
            mill: if is_past {
                "This press day is past.".to_owned()
            } else {
                mill(queue, me, date > today)
            },
            done: format!("{} of {} pressed.", queue.done(), queue.line.len()),
            rows: to_come
                .into_iter()
                .filter(|(one, _)| !queue.missed_its_day(one))
                .map(|(one, about)| row(one, queue.show(about), me))
                .collect(),
            phone: coop.contact_phone.clone(),
            day: paths::day(date),
            again: paths::queue(date),
        })
    }
}

fn own_line(queue: &Queue, one: &InQueue, me: &Me) -> Option<OwnLine> {
    let own = one.one.member_id == me.id;
    Some(OwnLine {
        name: only_if(!own, one.one.name.to_string()),
        about: one
            .about()
            .map_or_else(String::new, |at| format!("about {}", queue.show(at))),
        words: queue.about(one)?.words(own).to_owned(),
    })
}

/// Sentence on whose cane the mill has at the moment.
fn mill(queue: &Queue, me: &Me, before: bool) -> String {
    if before {
        return "The mill does not run yet: the starts stand as planned.".to_owned();
    }
    if !queue.runs {
        return "This day is closed.".to_owned();
    }
    let clock = queue.now();
    let now = match (queue.at_the_mill(), queue.standing()) {
        (Some(one), words) => {
            let has = format!("At {clock} the mill has {}: {}.", turn(one), name(one, me));
            format!("{has} {words}").trim_end().to_owned()
        }
        (None, words) if words.is_empty() => format!("At {clock} the mill is free."),
        (None, words) => words,
    };
    format!("{now} {}", queue.to_stand()).trim_end().to_owned()
}

/// Sentence on how late the mill runs; empty: nothing tells it, or the mill stands, which is said already.
fn late(queue: &Queue) -> String {
    match queue.behind.map(Minutes::get) {
        Some(0) if queue.standing().is_empty() => "It runs on time.".to_owned(),
        None | Some(0) => String::new(),
        Some(late) => format!("It runs {} late.", Minutes::new(late).show()),
    }
}

fn row(one: &InQueue, about: String, me: &Me) -> QueueRow {
    let (state, look) = state(one.stage);
    QueueRow {
        turn: turn(one),
        name: name(one, me),
        phone: only_if(
            me.is_crew() && one.one.member_id != me.id,
            one.one.phone.to_string(),
        ),
        planned: one.one.start.map_or_else(String::new, ClockTime::show),
        about,
        state,
        look,
        own: me.is_theirs(one.one.member_id),
    }
}

/// The name of one in the queue as the reader may see it.
fn name(one: &InQueue, me: &Me) -> String {
    if one.one.member_id == me.id {
        "you".to_owned()
    } else if one.one.named || me.is_theirs(one.one.member_id) {
        one.one.name.first().to_owned()
    } else {
        "a neighbour".to_owned()
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |n: usize| QueueRow {
        turn: format!("Turn {n}"),
        name: if n.is_multiple_of(3) {
            "a neighbour"
        } else {
            "Maximiliana<b>"
        }
        .to_owned(),
        phone: if n > 5 { "615 555 0134" } else { "" }.to_owned(),
        planned: "09:20".to_owned(),
        about: "10:05".to_owned(),
        state: if n.is_multiple_of(2) { "here" } else { "" },
        look: if n.is_multiple_of(2) { "ok" } else { "" },
        own: n == 2,
    };
    let page = |n: usize| QueuePage {
        shell: Shell::sample("Queue on Sat 18 Sep 2027"),
        own: ["", "Maximiliana <b>"]
            .into_iter()
            .take(n)
            .map(|name| OwnLine {
                name: name.to_owned(),
                about: "about 10:05".to_owned(),
                words: "Your turn is about 10:05 (planned 09:20).".to_owned(),
            })
            .collect(),
        mill: "At 09:41 the mill has Turn 3: Ida <b>.".to_owned(),
        late: "It runs 45 min late.".to_owned(),
        done: "2 of 11 pressed.".to_owned(),
        rows: (0..n).map(row).collect(),
        phone: "615 555 0100".to_owned(),
        day: "/days/2027-09-18".to_owned(),
        again: "/days/2027-09-18/queue".to_owned(),
    };
    vec![Box::new(page(0)), Box::new(page(12))]
}
