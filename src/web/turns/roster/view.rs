//! The pages of a roster, as text ready to print.

use super::form::{hours_box, who_box, write_shifts};
use crate::calc::turns::roster::Task;
use crate::facts::turns::roster::DayRoster;
use crate::store::people::members::MemberLine;
use crate::store::turns::possible_days::DayHelper;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::roster::RosterShift;
use crate::units::{MemberId, MinuteOfDay, Minutes};
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;
use std::collections::BTreeMap;

fn hour(minutes: i64) -> String {
    MinuteOfDay::new(minutes).map_or_else(|_| String::new(), MinuteOfDay::show)
}

fn hours(from: i64, to: i64) -> String {
    format!("{} to {}", hour(from), hour(to))
}

fn task(word: &str) -> &'static str {
    Task::of(word).map_or("", Task::words)
}

/// A shift.
struct ShiftRow {
    hours: String,
    task: &'static str,
    name: String,
    box_name: String,
    label: String,
}

/// Somebody who can help.
struct HelperRow {
    name: String,
    hours: String,
    tasks: String,
}

/// A day's roster, for the crew.
#[derive(Template)]
#[template(path = "turns/roster/show.html")]
pub(super) struct RosterPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    steward: bool,
    saved: bool,
    open: usize,
    alarms: Vec<String>,
    rows: Vec<ShiftRow>,
    written: String,
    people: Vec<Choice>,
    helpers: Vec<HelperRow>,
    anew: String,
    hours: String,
    day: String,
}

impl RosterPage {
    pub(super) fn new(
        (app, visit): (&App, &Visit),
        (day, steward): (&PressDay, bool),
        (roster, burns): (&DayRoster, Option<i64>),
        members: &[MemberLine],
        mut sheet: Sheet,
    ) -> Self {
        if sheet.typed("shifts").is_empty() {
            for shift in &roster.shifts {
                let who = shift
                    .member_id
                    .map_or_else(String::new, |id| id.to_string());
                sheet.put(&who_box(shift.number), who);
            }
        }
        Self {
            shell: Shell::new(app, visit, format!("Who does what on {}", day.date.show())),
            sheet,
            action: paths::save_roster(day.date),
            steward,
            saved: roster.saved,
            open: roster
                .shifts
                .iter()
                .filter(|s| s.member_id.is_none())
                .count(),
            alarms: roster
                .too_few
                .iter()
                .map(|of| alarm(*of))
                .chain(pan_alarm(roster, burns))
                .collect(),
            rows: roster.shifts.iter().map(shift_row).collect(),
            written: write_shifts(&roster.shifts),
            people: people(roster, members),
            helpers: roster.helpers.iter().map(helper_row).collect(),
            anew: format!("{}?anew=1", paths::roster(day.date)),
            hours: paths::roster_hours(day.date),
            day: paths::day(day.date),
        }
    }
}

/// The warning to the person who stands alone at the rollers in these hours.
fn alone((from, to): (i64, i64)) -> String {
    format!(
        "From {}: nobody else is down for the rollers beside you. Do not feed them alone: wait until a second person stands by \
         the stop.",
        hours(from, to)
    )
}

/// The warning that a pan burns longer than anybody is down for it; `burns`: until when, minutes since midnight.
fn pan_alarm(roster: &DayRoster, burns: Option<i64>) -> Option<String> {
    let at_pan = roster.shifts.iter();
    let at_pan = at_pan.filter(|shift| Task::of(&shift.task) == Some(Task::Boil));
    let until = at_pan.map(|shift| shift.to).max()?;
    let burns = burns.filter(|burns| *burns > until)?;
    Some(format!(
        "With this day’s turns the pan burns until about {}, and nobody is down for it after {}: somebody must stay with it.",
        hour(burns),
        hour(until)
    ))
}

fn alarm((from, to): (i64, i64)) -> String {
    format!(
        "From {}: fewer than two people at the rollers. Nobody feeds them alone; do not press until a second person stands \
         by the stop.",
        hours(from, to)
    )
}

fn shift_row(shift: &RosterShift) -> ShiftRow {
    let (hours, task) = (hours(shift.from, shift.to), task(&shift.task));
    ShiftRow {
        label: format!("{task}, {hours}"),
        hours,
        task,
        name: shift
            .name
            .as_ref()
            .map_or_else(|| "nobody yet".to_owned(), ToString::to_string),
        box_name: who_box(shift.number),
    }
}

/// Choices of who takes a shift: nobody, then who can help, then everybody else.
fn people(roster: &DayRoster, members: &[MemberLine]) -> Vec<Choice> {
    let can = |id: MemberId| roster.helpers.iter().any(|h| h.member_id == id);
    let first = std::iter::once(Choice::new("", "nobody yet"));
    let helpers = roster.helpers.iter().map(|h| {
        Choice::new(
            h.member_id.to_string(),
            format!("{}, can help {}", h.name, helper_hours(h)),
        )
    });
    let others = members
        .iter()
        .filter(|m| !can(m.id) && !m.left)
        .map(|m| Choice::new(m.id.to_string(), m.name.to_string()));
    first.chain(helpers).chain(others).collect()
}

fn helper_hours(of: &DayHelper) -> String {
    match (of.from, of.to) {
        (None, None) => "all day".to_owned(),
        (Some(from), None) => format!("from {}", hour(from)),
        (None, Some(to)) => format!("until {}", hour(to)),
        (Some(from), Some(to)) => hours(from, to),
    }
}

fn helper_row(of: &DayHelper) -> HelperRow {
    let tasks: Vec<&str> = of
        .tasks
        .split(',')
        .map(task)
        .filter(|t| !t.is_empty())
        .collect();
    HelperRow {
        name: of.name.to_string(),
        hours: helper_hours(of),
        tasks: if tasks.is_empty() {
            "did not say, so is not put at the pan".to_owned()
        } else {
            tasks.join("; ")
        },
    }
}

/// One's own shifts of a day.
#[derive(Template)]
#[template(path = "turns/roster/own.html")]
pub(super) struct OwnPage {
    shell: Shell,
    rows: Vec<ShiftRow>,
    /// Hours at the rollers with nobody beside.
    alarms: Vec<String>,
    can_come: String,
    day: String,
}

impl OwnPage {
    pub(super) fn new(
        (app, visit): (&App, &Visit),
        day: &PressDay,
        me: MemberId,
        roster: &DayRoster,
    ) -> Self {
        let own = roster
            .shifts
            .iter()
            .filter(|s| roster.saved && s.member_id == Some(me));
        Self {
            shell: Shell::new(app, visit, format!("Your help on {}", day.date.show())),
            rows: own.map(shift_row).collect(),
            alarms: if roster.saved {
                roster.alone(me).into_iter().map(alone).collect()
            } else {
                Vec::new()
            },
            can_come: paths::can_come(me),
            day: paths::day(day.date),
        }
    }
}

/// Somebody's hours of a day.
struct HoursRow {
    label: String,
    box_name: String,
}

/// Hours worked on a day.
#[derive(Template)]
#[template(path = "turns/roster/hours.html")]
pub(super) struct HoursPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    rows: Vec<HoursRow>,
    people: String,
    back: String,
}

impl HoursPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        day: &PressDay,
        roster: &DayRoster,
        mut sheet: Sheet,
    ) -> Self {
        let mut by: BTreeMap<(String, MemberId), i64> = BTreeMap::new();
        for shift in roster.shifts.iter().filter(|_| roster.saved) {
            if let (Some(id), Some(name)) = (shift.member_id, &shift.name) {
                *by.entry((name.to_string(), id)).or_default() += shift.to - shift.from;
            }
        }
        if sheet.typed("people").is_empty() {
            for ((_, id), minutes) in &by {
                let typed = format!("{}:{:02}", minutes / 60, minutes % 60);
                sheet.put(&hours_box(*id), typed);
            }
        }
        Self {
            shell: Shell::new(app, visit, format!("Hours worked on {}", day.date.show())),
            sheet,
            action: paths::roster_hours(day.date),
            rows: by
                .iter()
                .map(|((name, id), minutes)| HoursRow {
                    label: format!("{name}, down for {}", Minutes::new(*minutes).show()),
                    box_name: hours_box(*id),
                })
                .collect(),
            people: by
                .keys()
                .map(|(_, id)| id.to_string())
                .collect::<Vec<_>>()
                .join(","),
            back: paths::roster(day.date),
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = || ShiftRow {
        hours: "07:00 to 11:00".to_owned(),
        task: "At the rollers",
        name: "Amos <b>Trout</b>".to_owned(),
        box_name: "who-1".to_owned(),
        label: "At the rollers, 07:00 to 11:00".to_owned(),
    };
    let roster = |full: bool| RosterPage {
        shell: Shell::sample("Who does what on Sat 26 Sep 2026"),
        sheet: Sheet::sample(),
        action: "/days/2026-09-26/roster".to_owned(),
        steward: full,
        saved: full,
        open: usize::from(full),
        alarms: vec!["From 07:00 to 11:00: fewer than two people at the rollers.".to_owned()],
        rows: vec![row()],
        written: "feed 420 660".to_owned(),
        people: vec![Choice::new("", "nobody yet")],
        helpers: if full {
            vec![HelperRow {
                name: "Ida <i>Finch</i>".to_owned(),
                hours: "all day".to_owned(),
                tasks: "At the rollers".to_owned(),
            }]
        } else {
            Vec::new()
        },
        anew: "/days/2026-09-26/roster?anew=1".to_owned(),
        hours: "/days/2026-09-26/hours".to_owned(),
        day: "/days/2026-09-26".to_owned(),
    };
    let own = |rows| OwnPage {
        shell: Shell::sample("Your help on Sat 26 Sep 2026"),
        rows,
        alarms: vec![alone((840, 880))],
        can_come: "/members/1/days".to_owned(),
        day: "/days/2026-09-26".to_owned(),
    };
    let hours = |rows| HoursPage {
        shell: Shell::sample("Hours worked on Sat 26 Sep 2026"),
        sheet: Sheet::sample(),
        action: "/days/2026-09-26/hours".to_owned(),
        rows,
        people: "1".to_owned(),
        back: "/days/2026-09-26/roster".to_owned(),
    };
    vec![
        Box::new(roster(true)),
        Box::new(roster(false)),
        Box::new(own(vec![row()])),
        Box::new(own(Vec::new())),
        Box::new(hours(vec![HoursRow {
            label: "Amos <b>Trout</b>, down for 4 h".to_owned(),
            box_name: "hours-1".to_owned(),
        }])),
        Box::new(hours(Vec::new())),
    ]
}
