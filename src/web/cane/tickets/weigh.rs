//! The forms of a weigh-in, as text ready to print: whose cane, gross, tare, what was seen of it.

use super::form::LOOKED_AT;
use crate::calc::cane::scale::Graduation;
use crate::calc::cane::tickets::Condition;
use crate::facts::cane::tickets::WeighIn;
use crate::store::cane::mill::Scale;
use crate::store::cane::tickets::{LoadRow, Ticket};
use crate::store::cane::weigh_in::Turn;
use crate::store::cane::yard::KnownTare;
use crate::units::{Minutes, PressDate, Units};
use crate::web::cane::pressed_times::mornings;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;
use axum::http::StatusCode;

const WHEN_JUST_NOW: &str =
    "A time of the press day, like 9:40, for a weighing noted on paper; leave empty for just now.";
const WHEN_AS_BEFORE: &str =
    "A time of the press day, like 9:40; leave empty to keep the one that stands.";

/// What a load is weighed with: scales to choose from, and tares to tap.
pub(super) struct Weighed {
    pub(super) scales: Vec<Scale>,
    pub(super) tares: Vec<KnownTare>,
}

const fn weight_unit(units: Units) -> &'static str {
    match units {
        Units::Us => "lb",
        Units::Metric => "kg",
    }
}

/// A tare of before, as one tap.
struct TareButton {
    /// `195.0|Blue trailer`
    value: String,
    words: String,
    detail: String,
    /// Only for this member; empty: for everybody.
    whose: String,
    chosen: bool,
}

/// The boxes of one weighing.
struct LoadBoxes {
    scales: Vec<Choice>,
    unit: &'static str,
    /// What the scale’s steps end in: the key for a fraction.
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
        let questioned = LOOKED_AT
            .iter()
            .any(|name| sheet.at(name).problem.is_some())
            && sheet.status() == StatusCode::CONFLICT;
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
            ask: if questioned {
                sheet.together(&LOOKED_AT)
            } else {
                String::new()
            },
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
    }
}

/// A turn of today, as a button.
struct TurnButton {
    value: String,
    member: String,
    time: String,
    name: String,
    cane: String,
    late: String,
    chosen: bool,
}

/// A new ticket with its first load.
#[derive(Template)]
#[template(path = "cane/tickets/new.html")]
pub(super) struct NewPage {
    shell: Shell,
    script: String,
    /// The script that finds a member among many.
    finder: String,
    sheet: Sheet,
    action: String,
    opened: bool,
    morning: String,
    turns: Vec<TurnButton>,
    members: Vec<Choice>,
    /// The member’s list stands open: nobody is expected, or one of it was chosen.
    other: bool,
    load: LoadBoxes,
    /// Whether to ask “it is another load”: only once one like it was found in the book.
    ask_another: bool,
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
            tares: of.tares.clone(),
        };
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
            morning: paths::morning(of.day.date),
            turns: of.waiting.iter().map(turn).collect(),
            members,
            other: of.waiting.is_empty() || !sheet.typed("member").is_empty(),
            load: LoadBoxes::new(&sheet, &load, of.day.date, units),
            ask_another: sheet.ticked("another") || sheet.at("another").problem.is_some(),
            seen: Seen::new(&sheet),
            sheet,
        })
    }
}

/// One thing seen of the cane: a row of two buttons, and nothing chosen is “not said”.
struct SeenRow {
    name: &'static str,
    words: &'static str,
    choices: Vec<Choice>,
}

/// What was seen of the cane, and the line that says so.
struct Seen {
    rows: Vec<SeenRow>,
    line: String,
}

impl Seen {
    fn new(sheet: &Sheet) -> Self {
        let said = |name: &str| match sheet.typed(name) {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        };
        let condition = Condition {
            stripped: said("stripped"),
            headed: said("headed"),
            clean: said("clean"),
            frosted: said("frosted"),
        };
        let cut = match sheet.typed("cut_on") {
            "" => "not said",
            date => date,
        };
        let remark = if sheet.typed("note").trim().is_empty() {
            "no remark"
        } else {
            "a remark"
        };
        let row = |name, words, yes, no| SeenRow {
            name,
            words,
            choices: vec![Choice::new("yes", yes), Choice::new("no", no)],
        };
        Self {
            rows: vec![
                row("stripped", "Leaves", "Off", "On"),
                row("headed", "Heads", "Off", "On"),
                row("clean", "Mud and trash", "Clean", "Some"),
                row("frosted", "Frosted before it was cut", "Yes", "No"),
            ],
            line: format!("Cane: {}; cut: {cut}; {remark}", condition.words()),
        }
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
    load: LoadBoxes,
}

impl LoadPage {
    pub(super) fn adding(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        ticket: &Ticket,
        of: &Weighed,
    ) -> Self {
        Self {
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
            load: LoadBoxes::new(&sheet, of, ticket.date, visit.units()),
            sheet,
        }
    }

    /// For a ticket that stands on a phone only: the phone fills in its id.
    pub(super) fn of_phone(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        ticket: &Ticket,
        of: &Weighed,
    ) -> Self {
        Self {
            shell: Shell::new(app, visit, "Another load of a ticket on this phone"),
            back: paths::day(ticket.date),
            whose: "a ticket kept on this phone, which goes to the mill before this load"
                .to_owned(),
            ..Self::adding(app, visit, sheet, ticket, of)
        }
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
            script: String::new(),
            action: paths::fix_load(ticket.id, load.number),
            back: paths::ticket(ticket.id),
            whose: ticket.member_name.to_string(),
            fixing: true,
            load: LoadBoxes {
                when: WHEN_AS_BEFORE,
                ..LoadBoxes::new(&sheet, of, ticket.date, visit.units())
            },
            sheet,
        }
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let boxes = |ask: &str| LoadBoxes {
        scales: vec![
            Choice::new("a", "Platform, steps of 0.5 lb"),
            Choice::new("b", "<Other>"),
        ],
        unit: "lb",
        fraction: ".5",
        tares: vec![TareButton {
            value: "195.0|Blue <trailer>".to_owned(),
            words: "195.0 lb".to_owned(),
            detail: "Blue <trailer>, Sat 19 Sep 2026".to_owned(),
            whose: String::new(),
            chosen: true,
        }],
        when: WHEN_JUST_NOW,
        mornings: vec![Choice::new("2026-09-19", "Sat 19 Sep 2026")],
        ask: ask.to_owned(),
        more_open: false,
    };
    let turn = |n: usize| TurnButton {
        value: format!("turn:{n}"),
        member: n.to_string(),
        time: "09:20".to_owned(),
        name: "Amos <b>Trout</b>".to_owned(),
        cane: "361.5 lb expected".to_owned(),
        late: if n == 1 { "late 25 min" } else { "" }.to_owned(),
        chosen: n == 2,
    };
    let new = |sheet: Sheet, ask: &str, turns| NewPage {
        shell: Shell::sample("Weigh in"),
        ask_another: true,
        seen: Seen::new(&sheet),
        script: statics::steps_js(),
        finder: statics::find_js(),
        sheet,
        action: "/days/2026-09-19/tickets/new".to_owned(),
        opened: !ask.is_empty(),
        morning: "/days/2026-09-19/morning".to_owned(),
        turns: (0..turns).map(turn).collect(),
        members: vec![Choice::new("m", "Ida <b>Moss</b>, no. 4")],
        other: turns == 0,
        load: boxes(ask),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("gross", "<b>40</b>")
        .refuse("gross", "That is not a weight.")
        .refuse("whose", "Please choose whose cane this is.");
    let load = |fixing| LoadPage {
        shell: Shell::sample("Correct load 1"),
        script: statics::steps_js(),
        sheet: Sheet::sample(),
        action: "/tickets/x/loads/1/correct".to_owned(),
        back: "/tickets/x".to_owned(),
        whose: "Amos <b>Trout</b>".to_owned(),
        fixing,
        load: boxes(if fixing { "400.5 and 40.5" } else { "" }),
    };
    vec![
        Box::new(new(Sheet::sample(), "", 0)),
        Box::new(new(wrong, "400.5 and <40.5>", 40)),
        Box::new(load(false)),
        Box::new(load(true)),
    ]
}
