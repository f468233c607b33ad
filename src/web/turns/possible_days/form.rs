//! Possible days, and who can come on them: read from the form.

use crate::actions::turns::possible_days::{NewAnswers, NewPossibleDays};
use crate::actions::turns::press_days::NewPressDay;
use crate::calc::turns::roster::Task;
use crate::store::turns::possible_days::DayAnswer;
use crate::store::turns::press_days::PressDay;
use crate::units::{Grams, MemberId, MinuteOfDay, Minutes, PressDate, Units, whole};
use crate::web::form::{Sent, Sheet};

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
    if let (Some(from), Some(to)) = (from, to)
        && to <= from
    {
        let said = "Please write an hour that is later than the one before it.";
        sheet.refuse(&day_box("to", date), said);
        return None;
    }
    Some(DayAnswer {
        member_id: member,
        date,
        brings: sheet.ticked(&day_box("brings", date)),
        helps: sheet.ticked(&day_box("helps", date)),
        from,
        to,
    })
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

/// Reads possible days to be added.
pub(super) fn possible(sheet: &mut Sheet, units: Units) -> Option<NewPossibleDays> {
    let date = sheet.read("date", PressDate::parse);
    let until = sheet.read("until", PressDate::parse);
    let weekdays = WEEKDAYS.map(|(name, _)| sheet.ticked(name));
    if !weekdays.contains(&true) {
        sheet.refuse("on-mon", "Please tick at least one weekday.");
    }
    let opens = sheet.read("opens", MinuteOfDay::parse);
    let closes = sheet.read("closes", MinuteOfDay::parse);
    let mill_per_h = sheet.read("mill_per_h", |t| Grams::parse(t, units));
    let changeover = sheet
        .read("changeover", |t| whole(t, 0, 120))
        .map(Minutes::new);
    if !weekdays.contains(&true) {
        return None;
    }
    Some(NewPossibleDays {
        first: NewPressDay {
            date: date?,
            opens: opens?,
            closes: closes?,
            mill_per_h: mill_per_h?,
            changeover: changeover?,
            note: String::new(),
        },
        until: until?,
        weekdays,
    })
}

/// A blank form, with the hours of the last day that was planned.
pub(super) fn like(mut sheet: Sheet, last: Option<&PressDay>, units: Units) -> Sheet {
    if let Some(last) = last {
        sheet
            .put("opens", last.opens.show())
            .put("closes", last.closes.show())
            .put("mill_per_h", last.mill_per_h.typed(units))
            .put("changeover", last.changeover.get().to_string());
    }
    sheet
}

/// The days that are ticked to be taken off the list.
pub(super) fn ticked_dates(sent: &Sent, sheet: &Sheet) -> Vec<PressDate> {
    sent.get("days")
        .split(',')
        .filter_map(|date| PressDate::parse(date).ok())
        .filter(|date| sheet.ticked(&day_box("off", *date)))
        .collect()
}
