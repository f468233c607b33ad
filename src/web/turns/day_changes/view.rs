//! The form that moves turns together, as text ready to print.

use super::form::killed_box;
use crate::calc::turns::repack::{FROST_H, MoveKind};
use crate::calc::turns::starts::span_words;
use crate::facts::turns::day_changes::{ChangeChoices, Planned, TurnOutcome};
use crate::store::turns::day_changes::MovableTurn;
use crate::units::{PressDate, Zone};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A turn that can be ticked as killed.
struct Tick {
    name: String,
    words: String,
    ticked: bool,
}

/// What a change would do to one turn, as a row.
struct OutcomeRow {
    name: String,
    was: String,
    now: String,
    tag: &'static str,
    look: &'static str,
}

/// What a change would do to all turns of the day.
struct Outcome {
    rows: Vec<OutcomeRow>,
    words: String,
    late: String,
    button: String,
    seen: String,
}

/// The form, with what would come of it once that was asked.
#[derive(Template)]
#[template(path = "turns/day_changes/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    intro: &'static str,
    kind: &'static str,
    days: Vec<Choice>,
    ticks: Vec<Tick>,
    why_hint: &'static str,
    outcome: Option<Outcome>,
}

impl FormPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        (kind, choices): (MoveKind, &ChangeChoices),
        sheet: Sheet,
        planned: Option<&Planned>,
    ) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        let date = choices.day.date;
        let title = match kind {
            MoveKind::Later => format!("Put the turns of {} off", date.show()),
            MoveKind::OtherDay => format!("Move the turns of {} to another day", date.show()),
            MoveKind::Frost => format!("Killed cane first, {}", date.show()),
        };
        Ok(Self {
            shell: Shell::new(app, visit, title),
            // The page is read on from where it shows what would become of the turns.
            action: format!("{}#outcome", paths::change_turns(date, kind)),
            back: paths::day(date),
            intro: intro(kind),
            kind: kind.word(),
            days: choices
                .days
                .iter()
                .map(|day| Choice::new(day.date.to_string(), day.date.show()))
                .collect(),
            ticks: if kind == MoveKind::Frost {
                let tick = |turn| tick(turn, &sheet, zone);
                choices.turns.iter().map(tick).collect()
            } else {
                Vec::new()
            },
            why_hint: match kind {
                MoveKind::Later => "Everybody concerned reads it. Like: a belt broke.",
                MoveKind::OtherDay => "Everybody concerned reads it. Like: rain all day.",
                MoveKind::Frost => "Everybody concerned reads it. Like: 26 °F on Friday night.",
            },
            outcome: planned.map(|planned| outcome(planned, zone)),
            sheet,
        })
    }
}

fn intro(kind: MoveKind) -> &'static str {
    match kind {
        MoveKind::Later => {
            "The mill stands. Turns from then on keep their order and move only as far as they must; gaps between them take up what they can. A turn that the mill is at is finished first."
        }
        MoveKind::OtherDay => {
            "Turns whose cane has not come keep their order and, where they can, their time of day. Cane that is here already stays on its day."
        }
        MoveKind::Frost => {
            "Cane that frost has killed is to be pressed within 48 hours (common practice). Tick whose cane was killed, on this day or a later one: it goes first, and the others follow in their order."
        }
    }
}

fn tick(turn: &MovableTurn, sheet: &Sheet, zone: &Zone) -> Tick {
    let name = killed_box(turn.id);
    let span = span_words(&zone.clock(turn.date), turn.start, turn.minutes);
    Tick {
        ticked: sheet.ticked(&name),
        words: format!("{}, {} {span}", turn.member, turn.date.show()),
        name,
    }
}

fn outcome(planned: &Planned, zone: &Zone) -> Outcome {
    let without = planned.without_room();
    let count = planned.lines.len();
    let mut words = match count {
        0 => "No turn would move.".to_owned(),
        1 => "One turn would move.".to_owned(),
        n => format!("{n} turns would move."),
    };
    if let (true, Some(next)) = (without > 0, &planned.next) {
        let who = match without {
            1 => "One finds no room and goes".to_owned(),
            n => format!("{n} find no room and go"),
        };
        words = format!(
            "{words} {who} to the head of the waiting list of {}.",
            next.date.show()
        );
    }
    if let Some(span) = planned.stands_whole {
        words = format!(
            "{words} The mill stands {}: nobody can be booked into that, unless it runs again before.",
            span.show(&planned.clock)
        );
    }
    if !planned.stay.is_empty() {
        let names: Vec<String> = planned
            .stay
            .iter()
            .map(|line| format!("{} ({})", line.turn.member, line.turn.date.show()))
            .collect();
        words = format!(
            "{words} There is no room for {}: they keep the turns they have.",
            names.join(", ")
        );
    }
    if let Some(what) = &planned.not_done {
        words = format!(
            "{words} The day that they leave stays open, since it is not done yet: {what}. Close it on its own page once it is."
        );
    }
    let late = planned.lines.iter().filter(|line| line.late).count();
    Outcome {
        rows: planned
            .lines
            .iter()
            .map(|line| outcome_row(line, planned, zone))
            .collect(),
        words,
        late: match late {
            0 => String::new(),
            1 => format!(
                "One turn with killed cane would begin later than {FROST_H} h after the frost."
            ),
            n => format!(
                "{n} turns with killed cane would begin later than {FROST_H} h after the frost."
            ),
        },
        button: match count {
            0 => "Note that the mill stands".to_owned(),
            1 => "Move this turn and tell its member".to_owned(),
            n => format!("Move these {n} turns and tell everybody"),
        },
        seen: planned.mark(),
    }
}

fn outcome_row(line: &TurnOutcome, planned: &Planned, zone: &Zone) -> OutcomeRow {
    let turn = &line.turn;
    let was = place(
        turn.date,
        &span_words(&zone.clock(turn.date), turn.start, turn.minutes),
    );
    let (now, no_room) = match (line.to, &planned.next) {
        (Some(span), _) => (
            place(planned.target.date, &span.show(&planned.clock)),
            false,
        ),
        (None, Some(next)) => (format!("waiting list of {}", next.date.show()), true),
        (None, None) => ("no room".to_owned(), true),
    };
    let (tag, look) = match (no_room, line.late, line.killed) {
        (true, _, _) => ("no room", "bad"),
        (_, true, _) => ("killed, too late", "bad"),
        (_, _, true) => ("killed", "warn"),
        _ => ("", ""),
    };
    OutcomeRow {
        name: turn.member.to_string(),
        was,
        now,
        tag,
        look,
    }
}

fn place(date: PressDate, span: &str) -> String {
    format!("{}, {span}", date.show())
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |n: usize| OutcomeRow {
        name: "Maximiliana <b>Featherstonehaugh</b>".to_owned(),
        was: "Sat 10 Oct 2026, 09:00–10:40".to_owned(),
        now: "waiting list of Sat 17 Oct 2026".to_owned(),
        tag: if n == 0 { "" } else { "no room" },
        look: if n == 0 { "" } else { "bad" },
    };
    let form = |kind: MoveKind, ticks: usize, rows: usize| FormPage {
        shell: Shell::sample("Put the turns of Sat 10 Oct 2026 off"),
        sheet: Sheet::sample(),
        action: paths::change_turns(PressDate::parse("2026-10-10").unwrap(), kind),
        back: "/days/2026-10-10".to_owned(),
        intro: intro(kind),
        kind: kind.word(),
        days: (0..rows)
            .map(|_| Choice::new("2026-10-17", "Sat 17 Oct 2026"))
            .collect(),
        ticks: (0..ticks)
            .map(|n| Tick {
                name: format!("killed-{n}"),
                words: "Ida <Finch>, Sat 10 Oct 2026 09:00–10:40".to_owned(),
                ticked: n == 1,
            })
            .collect(),
        why_hint: "Everybody concerned reads it.",
        outcome: (rows > 0).then(|| Outcome {
            rows: (0..rows).map(row).collect(),
            words: "Two turns would move.".to_owned(),
            late: "One turn with killed cane would begin later than 48 h after the frost."
                .to_owned(),
            button: "Move these 2 turns and tell everybody".to_owned(),
            seen: "0011223344556677".to_owned(),
        }),
    };
    vec![
        Box::new(form(MoveKind::Later, 0, 0)),
        Box::new(form(MoveKind::OtherDay, 0, 0)),
        Box::new(form(MoveKind::OtherDay, 0, 30)),
        Box::new(form(MoveKind::Frost, 40, 2)),
    ]
}
