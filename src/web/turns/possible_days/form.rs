//! Possible days, and who can come on them: read from the form.

use crate::actions::turns::possible_days::{NewAnswers, NewPossibleDays};
use crate::calc::turns::roster::{Task, leaves_time};
use crate::store::turns::possible_days::DayAnswer;
use crate::units::{MemberId, MinuteOfDay, PressDate, Units};
use crate::web::form::{Sent, Sheet};
use crate::web::turns::press_days;

/// Weekdays, Monday first: the box of each, and its name.
pub(super) const WEEKDAYS: [(&str, &str); 7] = [
    ("on-mon", "Monday"),
    ("on-tue", "Tuesday"),
    ("on-wed", "Wednesday"),
    ("on-thu", "Thursday"),
    ("on-fri", "Friday"),
    ("on-sat", "Saturday"),
    ("on-sun", "Sunday"),
];

/// What a page of the season's proposal holds fast, carried along unread, so that the way back to it comes to the same: the end of its
/// address. Nothing else gets through.
pub(super) fn carried(end: &str) -> String {
    let known = |c: char| c.is_ascii_alphanumeric() || "?=&:,-".contains(c);
    if end.starts_with("?kept=") && end.chars().all(known) {
        end.to_owned()
    } else {
        String::new()
    }
}

/// The box of a task that somebody can do.
pub(super) fn task_box(task: Task) -> String {
    format!("task-{}", task.word())
}

/// The box of a day: `what` is `brings`, `helps`, `from`, `to` or `off`.
pub(super) fn day_box(what: &str, date: PressDate) -> String {
    format!("{what}-{date}")
}

/// The dates that the form showed.
fn shown(sheet: &Sheet) -> Vec<PressDate> {
    sheet
        .typed("days")
        .split(',')
        .filter_map(|date| PressDate::parse(date).ok())
        .collect()
}

fn answer(sheet: &mut Sheet, member: MemberId, date: PressDate) -> Option<DayAnswer> {
    let hour = |text: &str| MinuteOfDay::parse(text).map(MinuteOfDay::get);
    let from = sheet.read_optional(&day_box("from", date), hour);
    let to = sheet.read_optional(&day_box("to", date), hour);
    let (from, to) = (from?, to?);
    let answer = DayAnswer {
        member_id: member,
        date,
        brings: sheet.ticked(&day_box("brings", date)),
        helps: sheet.ticked(&day_box("helps", date)),
        from,
        to,
    };
    if !leaves_time(answer.from, answer.to) {
        let said = "Please write an hour that is later than the one before it.";
        sheet.refuse(&day_box("to", date), said);
        return None;
    }
    Some(answer)
}

/// Reads what a member says of each day shown.
pub(super) fn answers(sheet: &mut Sheet, member: MemberId) -> Option<NewAnswers> {
    let days: Vec<Option<DayAnswer>> = shown(sheet)
        .into_iter()
        .map(|date| answer(sheet, member, date))
        .collect();
    let tasks = Task::ALL
        .into_iter()
        .filter(|task| sheet.ticked(&task_box(*task)))
        .collect();
    Some(NewAnswers {
        days: days.into_iter().collect::<Option<_>>()?,
        tasks,
    })
}

/// Reads possible days to be added: the first as a press day is read.
pub(super) fn possible(sheet: &mut Sheet, units: Units) -> Option<NewPossibleDays> {
    let first = press_days::form::day(sheet, None, units);
    let until = sheet.read("until", PressDate::parse);
    let weekdays = WEEKDAYS.map(|(name, _)| sheet.ticked(name));
    if !weekdays.contains(&true) {
        sheet.refuse("on-mon", "Please tick at least one weekday.");
        return None;
    }
    Some(NewPossibleDays {
        first: first?,
        until: until?,
        weekdays,
    })
}

/// The days that are ticked to be taken off the list.
pub(super) fn ticked_dates(sent: &Sent, sheet: &Sheet) -> Vec<PressDate> {
    sent.get("days")
        .split(',')
        .filter_map(|date| PressDate::parse(date).ok())
        .filter(|date| sheet.ticked(&day_box("off", *date)))
        .collect()
}
