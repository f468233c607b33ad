//! The forms of a weigh-in, as text ready to print: whose cane, gross, tare, what was seen of it.

use super::form::LOOKED_AT;
use super::seen::Seen;
use super::twin::Twin;
use crate::calc::cane::scale::Graduation;
use crate::facts::cane::tickets::WeighIn;
use crate::store::cane::mill::Scale;
use crate::store::cane::tickets::{LoadRow, Ticket};
use crate::store::cane::weigh_in::Turn;
use crate::store::cane::yard::{KnownTare, TicketEnd};
use crate::units::{Minutes, PressDate, Units};
use crate::web::cane::after_all::AfterAll;
use crate::web::cane::pressed_times::mornings;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::season::rules_lacking::lacking;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;

const WHEN_JUST_NOW: &str =
    "A time of the press day, like 9:40, for a weighing noted on paper; leave empty for just now.";
const WHEN_AS_BEFORE: &str =
    "A time of the press day, like 9:40; leave empty to keep the one that stands.";

/// Scales to choose from and tares to tap, for weighing a load.
pub(super) struct Weighed {
    pub(super) scales: Vec<Scale>,
    pub(super) tares: Vec<KnownTare>,
    /// How the ticket ended without juice, as said last, if it did.
    pub(super) end: Option<TicketEnd>,
}

const fn weight_unit(units: Units) -> &'static str {
    match units {
        Units::Us => "lb",
        Units::Metric => "kg",
    }
}

/// A tare weighed before, as a button.
struct TareButton {
    /// Tare and trailer as they are sent: `195.0|Blue trailer`.
    value: String,
    words: String,
    detail: String,
    /// Id of the only member it is for; empty: for everybody.
    whose: String,
    /// Name of that member, where others’ tares stand beside.
    who: String,
    /// Whether it is shown only once this member is chosen.
    away: bool,
    chosen: bool,
}

/// The boxes of one weighing.
struct LoadBoxes {
    scales: Vec<Choice>,
    unit: &'static str,
    /// The fraction in which the scale’s steps end, as a key to tap.
    fraction: &'static str,
    tares: Vec<TareButton>,
    when: &'static str,
    mornings: Vec<Choice>,
    /// The figures that are read back; empty: nothing was questioned.
    ask: String,
    /// The boxes of the scale and the time hold something wrong.
    more_open: bool,
}

/// ".5" where every reading of the scales ends in it or in nothing, else the point.
fn fraction(scales: &[Scale], units: Units) -> &'static str {
    let unit = match units {
        Units::Us => 453.592_37,
        Units::Metric => 1000.0,
    };
    let halves = |s: &Scale| (s.graduation_g / unit - 0.5).abs() < 1e-6;
    if !scales.is_empty() && scales.iter().all(halves) {
        ".5"
    } else {
        "."
    }
}

impl LoadBoxes {
    fn new(sheet: &Sheet, of: &Weighed, day: PressDate, units: Units) -> Self {
        let choices = of.scales.iter().map(|s| {
            let step = Graduation::new(s.graduation_g)
                .map(|d| format!(", steps of {}", d.show(s.graduation_g, units)))
                .unwrap_or_default();
            Choice::new(s.id.to_string(), format!("{}{step}", s.name))
        });
        let wrong = |name: &&str| sheet.at(name).problem.is_some();
        let tapped = sheet.typed("known_tare");
        Self {
            scales: choices.collect(),
            unit: weight_unit(units),
            fraction: fraction(&of.scales, units),
            tares: of
                .tares
                .iter()
                .map(|tare| tare_button(tare, tapped, units))
                .collect(),
            when: WHEN_JUST_NOW,
            mornings: mornings(sheet, "weighed", day),
            ask: sheet.asked_about(&LOOKED_AT),
            more_open: ["scale", "weighed", "cut_on", "cut_time", "note", "trailer"]
                .iter()
                .any(wrong),
        }
    }
}

fn tare_button(tare: &KnownTare, tapped: &str, units: Units) -> TareButton {
    let value = format!("{}|{}", tare.tare.typed(units), tare.trailer);
    TareButton {
        chosen: value == tapped,
        value,
        words: tare.tare.show(units),
        detail: if tare.trailer.is_empty() {
            tare.date.show()
        } else {
            format!("{}, {}", tare.trailer, tare.date.show())
        },
        whose: if tare.trailer.is_empty() {
            tare.member_id.to_string()
        } else {
            String::new()
        },
        who: String::new(),
        away: false,
    }
}

/// The tares of those who come without a turn wait until one of them is chosen; each says whose it is.
fn tares_of_all(of: &WeighIn, tapped: &str, units: Units) -> Vec<TareButton> {
    let here = of.tares.iter().map(|tare| (tare, false));
    let others = of.others.iter().map(|tare| (tare, true));
    here.chain(others)
        .map(|(tare, away)| {
            let button = tare_button(tare, tapped, units);
            let mut members = of.members.iter();
            let who = members.find(|m| m.id == tare.member_id && !button.whose.is_empty());
            TareButton {
                who: who.map_or_else(String::new, |m| m.name.to_string()),
                // The same weight of somebody else's trailer was not what was chosen.
                chosen: button.chosen && !away,
                away,
                ..button
            }
        })
        .collect()
}

/// Whether a tick box is shown: only once there was something to ask, as “it is another load” when one like it was found in
/// the book.
fn asks(sheet: &Sheet, name: &str) -> bool {
    sheet.ticked(name) || sheet.at(name).problem.is_some()
}

/// A turn of today, as a button.
struct TurnButton {
    value: String,
    member: String,
    time: String,
    name: String,
    cane: String,
    /// That cane as a plain number, for the page's script; empty: the turn does not say.
    expected: String,
    late: String,
    chosen: bool,
}

/// A new ticket with its first load.
#[derive(Template)]
#[template(path = "cane/tickets/new.html")]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a question of the page by itself"
)]
pub(super) struct NewPage {
    shell: Shell,
    script: String,
    /// The script that finds a member among many.
    finder: String,
    sheet: Sheet,
    action: String,
    opened: bool,
    /// Where rules for the day are to be confirmed; empty: they are.
    lacking: String,
    morning: String,
    turns: Vec<TurnButton>,
    members: Vec<Choice>,
    /// The member’s list stands open: nobody is expected, or one of it was chosen.
    other: bool,
    load: LoadBoxes,
    /// The ticket that the load may be of.
    twin: Option<Twin>,
    ask_another: bool,
    ask_number: bool,
    seen: Seen,
}

impl NewPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        of: &WeighIn,
    ) -> Result<Self, PageError> {
        let (units, zone) = (visit.units(), visit.zone()?);
        let whose = sheet.typed("whose").to_owned();
        let turn = |turn: &Turn| {
            let late = visit.at.minutes_since(zone.at(of.day.date, turn.start));
            let value = format!("turn:{}", turn.id);
            TurnButton {
                chosen: value == whose,
                value,
                member: turn.member_id.to_string(),
                time: turn.start.show(),
                name: turn.member_name.to_string(),
                cane: format!("{} expected", turn.cane.show(units)),
                expected: turn.cane.typed(units),
                late: if late > 0 {
                    format!("late {}", Minutes::new(late).show())
                } else {
                    String::new()
                },
            }
        };
        let here = of.members.iter().filter(|m| !m.left);
        let members = here
            .map(|m| Choice::new(m.id.to_string(), format!("{}, no. {}", m.name, m.number)))
            .collect();
        let load = Weighed {
            scales: of.scales.clone(),
            tares: Vec::new(),
            end: None,
        };
        let tares = tares_of_all(of, sheet.typed("known_tare"), units);
        let mut sheet = sheet;
        if let Some(id) = whose.strip_prefix("walk:") {
            sheet.put("member", id);
        }
        Ok(Self {
            shell: Shell::new(app, visit, format!("Weigh in, {}", of.day.date.show())),
            script: statics::steps_js(),
            finder: statics::find_js(),
            action: paths::new_ticket(of.day.date),
            opened: of.opened,
            lacking: lacking(&of.rules, of.day.date),
            morning: paths::morning(of.day.date),
            turns: of.waiting.iter().map(turn).collect(),
            members,
            other: of.waiting.is_empty() || !sheet.typed("member").is_empty(),
            load: LoadBoxes {
                tares,
                ..LoadBoxes::new(&sheet, &load, of.day.date, units)
            },
            twin: Twin::of(&sheet),
            ask_another: asks(&sheet, "another"),
            ask_number: asks(&sheet, "number_sure"),
            seen: Seen::new(&sheet),
            sheet,
        })
    }
}

/// Another load, or the correction of one.
#[derive(Template)]
#[template(path = "cane/tickets/load.html")]
pub(super) struct LoadPage {
    shell: Shell,
    script: String,
    sheet: Sheet,
    action: String,
    back: String,
    whose: String,
    fixing: bool,
    /// The ticket that the load may be of.
    twin: Option<Twin>,
    ask_another: bool,
    after_all: AfterAll,
    load: LoadBoxes,
}

impl LoadPage {
    pub(super) fn adding(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        ticket: &Ticket,
        of: &Weighed,
    ) -> Result<Self, PageError> {
        Ok(Self {
            shell: Shell::new(
                app,
                visit,
                format!("Another load, ticket {}", ticket.ticket),
            ),
            script: statics::steps_js(),
            action: paths::new_load(ticket.id),
            back: paths::ticket(ticket.id),
            whose: ticket.member_name.to_string(),
            fixing: false,
            twin: Twin::of(&sheet),
            ask_another: asks(&sheet, "another"),
            after_all: AfterAll::new(&sheet, of.end.as_ref(), visit.zone()?),
            load: LoadBoxes::new(&sheet, of, ticket.date, visit.units()),
            sheet,
        })
    }

    /// The page for a ticket that stands on a phone only: the phone fills in its id.
    pub(super) fn of_phone(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        ticket: &Ticket,
        of: &Weighed,
    ) -> Result<Self, PageError> {
        Ok(Self {
            shell: Shell::new(app, visit, "Another load of a ticket on this phone"),
            back: paths::day(ticket.date),
            whose: "a ticket kept on this phone, which goes to the mill before this load"
                .to_owned(),
            ..Self::adding(app, visit, sheet, ticket, of)?
        })
    }

    pub(super) fn fixing(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        ticket: &Ticket,
        load: &LoadRow,
        of: &Weighed,
    ) -> Self {
        Self {
            shell: Shell::new(
                app,
                visit,
                format!("Correct load {}, ticket {}", load.number, ticket.ticket),
            ),
            script: statics::steps_js(),
            action: paths::fix_load(ticket.id, load.number),
            back: paths::ticket(ticket.id),
            whose: ticket.member_name.to_string(),
            fixing: true,
            twin: None,
            ask_another: false,
            after_all: AfterAll::default(),
            load: LoadBoxes {
                when: WHEN_AS_BEFORE,
                ..LoadBoxes::new(&sheet, of, ticket.date, visit.units())
            },
            sheet,
        }
    }
}

#[cfg(test)]
#[path = "weigh_samples.rs"]
mod samples;
#[cfg(test)]
pub(super) use samples::samples;
