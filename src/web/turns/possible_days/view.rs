//! The pages of possible days, as text ready to print.

use super::form::{WEEKDAYS, day_box, task_box};
use crate::calc::turns::roster::Task;
use crate::facts::turns::possible_days::AskedDay;
use crate::store::people::members::Member;
use crate::store::season::seasons::Season;
use crate::store::turns::possible_days::DayAnswer;
use crate::store::turns::press_days::PressDay;
use crate::units::{MinuteOfDay, Units};
use crate::web::form::Sheet;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A day that somebody is asked about.
struct AskedRow {
    date: String,
    hours: String,
    brings: String,
    helps: String,
    from: String,
    to: String,
    /// Whether the hours are shown without a tap.
    some_hours: bool,
}

/// A box to tick.
struct TickBox {
    name: String,
    words: String,
}

/// The page of the days on which a member can come.
#[derive(Template)]
#[template(path = "turns/possible_days/can_come.html")]
pub(super) struct CanComePage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    own: bool,
    whose: String,
    card: String,
    rows: Vec<AskedRow>,
    dates: String,
    tasks: Vec<TickBox>,
}

fn dates_of<'a>(days: impl Iterator<Item = &'a PressDay>) -> String {
    days.map(|day| day.date.to_string())
        .collect::<Vec<_>>()
        .join(",")
}

/// Minutes since midnight as a box takes them; nothing for an hour that was not said.
fn hour(minutes: Option<i64>) -> String {
    minutes
        .and_then(|m| MinuteOfDay::new(m).ok())
        .map_or_else(String::new, MinuteOfDay::show)
}

fn hours(day: &PressDay) -> String {
    format!("{} to {}", day.opens.show(), day.closes.show())
}

impl CanComePage {
    pub(super) fn new(
        (app, visit, me): (&App, &Visit, &Me),
        member: &Member,
        (days, tasks): (&[AskedDay], &[String]),
        mut sheet: Sheet,
    ) -> Self {
        let own = me.id == member.id;
        // A form that comes back keeps what was typed.
        if sheet.typed("days").is_empty() {
            fill(&mut sheet, days, tasks);
        }
        Self {
            shell: Shell::new(
                app,
                visit,
                if own {
                    "The days you can come".to_owned()
                } else {
                    format!("The days {} can come", member.name)
                },
            )
            .said_of_card(me, member.id, member.name.as_str()),
            action: paths::can_come(member.id),
            own,
            whose: member.name.to_string(),
            card: paths::member(member.id),
            rows: days.iter().map(|day| asked_row(day, &sheet)).collect(),
            dates: dates_of(days.iter().map(|d| &d.day)),
            tasks: Task::ALL
                .into_iter()
                .map(|task| TickBox {
                    name: task_box(task),
                    words: task.words().to_owned(),
                })
                .collect(),
            sheet,
        }
    }
}

/// What was said before; a day of which nothing was said yet begins as one on which cane can be brought.
fn fill(sheet: &mut Sheet, days: &[AskedDay], tasks: &[String]) {
    for asked in days {
        let date = asked.day.date;
        let (brings, helps) = asked
            .answer
            .as_ref()
            .map_or((true, false), |a| (a.brings, a.helps));
        for (what, yes) in [("brings", brings), ("helps", helps)] {
            if yes {
                sheet.put(&day_box(what, date), "yes");
            }
        }
        if let Some(answer) = &asked.answer {
            sheet
                .put(&day_box("from", date), hour(answer.from))
                .put(&day_box("to", date), hour(answer.to));
        }
    }
    for task in tasks.iter().filter_map(|word| Task::of(word)) {
        sheet.put(&task_box(task), "yes");
    }
}

fn asked_row(asked: &AskedDay, sheet: &Sheet) -> AskedRow {
    let date = asked.day.date;
    let (from, to) = (day_box("from", date), day_box("to", date));
    AskedRow {
        date: date.show(),
        hours: if asked.planned {
            format!("Press day, {}", hours(&asked.day))
        } else {
            format!("Possible, {}", hours(&asked.day))
        },
        brings: day_box("brings", date),
        helps: day_box("helps", date),
        some_hours: !sheet.typed(&from).is_empty() || !sheet.typed(&to).is_empty(),
        from,
        to,
    }
}

/// A possible day.
struct PossibleRow {
    date: String,
    hours: String,
    bring: usize,
    cannot: usize,
    help: usize,
    off: String,
}

/// The possible days of a season.
#[derive(Template)]
#[template(path = "turns/possible_days/list.html")]
pub(super) struct PossiblePage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    remove: String,
    rows: Vec<PossibleRow>,
    dates: String,
    weekdays: Vec<TickBox>,
    rate_label: &'static str,
    proposal: String,
    /// The end of the proposal's address.
    carried: String,
}

impl PossiblePage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        (season, carried): (&Season, String),
        (days, answers): (&[PressDay], &[DayAnswer]),
        sheet: Sheet,
    ) -> Self {
        Self {
            shell: Shell::new(
                app,
                visit,
                format!("Possible press days of {}", season.year),
            ),
            sheet,
            action: paths::season_part(season.year, "possible-days"),
            remove: paths::season_part(season.year, "possible-days/remove"),
            rows: days.iter().map(|day| possible_row(day, answers)).collect(),
            dates: dates_of(days.iter()),
            weekdays: WEEKDAYS
                .into_iter()
                .map(|(name, words)| TickBox {
                    name: name.to_owned(),
                    words: words.to_owned(),
                })
                .collect(),
            rate_label: match visit.units() {
                Units::Us => "Cane the mill presses in an hour, lb",
                Units::Metric => "Cane the mill presses in an hour, kg",
            },
            proposal: paths::season_part(season.year, "proposal") + &carried,
            carried,
        }
    }
}

fn possible_row(day: &PressDay, answers: &[DayAnswer]) -> PossibleRow {
    let own = |so: fn(&DayAnswer) -> bool| {
        answers
            .iter()
            .filter(|a| a.date == day.date && so(a))
            .count()
    };
    PossibleRow {
        date: day.date.show(),
        hours: hours(day),
        bring: own(|a| a.brings),
        cannot: own(|a| !a.brings),
        help: own(|a| a.helps),
        off: day_box("off", day.date),
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let asked = |some_hours: bool| {
        let date = if some_hours {
            "2026-09-26"
        } else {
            "2026-09-19"
        };
        AskedRow {
            date: "Sat 26 Sep 2026".to_owned(),
            hours: "Possible, 07:00 to 17:00".to_owned(),
            brings: format!("brings-{date}"),
            helps: format!("helps-{date}"),
            from: format!("from-{date}"),
            to: format!("to-{date}"),
            some_hours,
        }
    };
    let tick = |name: &str, words: &str| TickBox {
        name: name.to_owned(),
        words: words.to_owned(),
    };
    let can_come = |own: bool| CanComePage {
        shell: Shell::sample("The days Amos <b> can come"),
        sheet: Sheet::sample(),
        action: "/members/1/days".to_owned(),
        own,
        whose: "Amos <b>Trout</b>".to_owned(),
        card: "/members/1".to_owned(),
        rows: if own {
            vec![asked(false), asked(true)]
        } else {
            Vec::new()
        },
        dates: "2026-09-26".to_owned(),
        tasks: vec![tick("task-feed", "At the rollers")],
    };
    let possible = |full: bool| PossiblePage {
        shell: Shell::sample("Possible press days of 2026"),
        sheet: Sheet::sample(),
        action: "/seasons/2026/possible-days".to_owned(),
        remove: "/seasons/2026/possible-days/remove".to_owned(),
        rows: if full {
            vec![PossibleRow {
                date: "Sat 26 Sep 2026".to_owned(),
                hours: "07:00 to 17:00".to_owned(),
                bring: 3,
                cannot: 1,
                help: 2,
                off: "off-2026-09-26".to_owned(),
            }]
        } else {
            Vec::new()
        },
        dates: "2026-09-26".to_owned(),
        weekdays: vec![tick("on-mon", "Monday")],
        rate_label: "Cane the mill presses in an hour, lb",
        proposal: "/seasons/2026/proposal".to_owned(),
        carried: "?kept=&shut=2026-09-19&before=".to_owned(),
    };
    vec![
        Box::new(can_come(true)),
        Box::new(can_come(false)),
        Box::new(possible(true)),
        Box::new(possible(false)),
    ]
}
