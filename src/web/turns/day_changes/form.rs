//! Turns moved together: what was sent, what was meant.

use crate::actions::turns::day_changes::NewChange;
use crate::calc::season::dates::has_come;
use crate::calc::turns::repack::MoveKind;
use crate::facts::turns::day_changes::{ChangeChoices, Wish};
use crate::store::turns::day_changes::MovableTurn;
use crate::units::{
    ClockTyped, DayMinute, MinuteOfDay, Minutes, PressDate, TurnId, UtcSecond, Zone, plain_text,
    whole,
};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;

/// The name of the box that says whose cane was killed.
pub(super) fn killed_box(id: TurnId) -> String {
    format!("killed-{id}")
}

/// The form before anything was typed: from now on, for half an hour; to the next day; last night.
pub(super) fn blank(
    mut sheet: Sheet,
    visit: &Visit,
    (kind, choices): (MoveKind, &ChangeChoices),
) -> Result<Sheet, PageError> {
    let zone = visit.zone()?;
    let clock = zone.clock(choices.day.date);
    let (today, now) = zone.local(visit.at);
    match kind {
        MoveKind::Later => {
            let from = if today == choices.day.date {
                // Begins at the last full five minutes: a standstill is noticed a little late.
                DayMinute::new(clock.run(visit.at).get() / 5 * 5)
            } else {
                clock.opens(choices.day.opens)
            };
            sheet.put("from", clock.value(from)).put("minutes", "30");
        }
        MoveKind::OtherDay => {
            let next = choices.days.iter().find(|day| day.date > choices.day.date);
            if let Some(day) = next.or(choices.days.first()) {
                sheet.put("to", day.date.to_string());
            }
            sheet.put("close", "yes");
        }
        MoveKind::Frost => {
            // A member who is called now has an hour to cut and come (our own choice).
            let hour = DayMinute::new((clock.run(visit.at).get() + 60 + 4) / 5 * 5);
            let from = clock
                .opens(choices.day.opens)
                .max(hour)
                .min(clock.closes(choices.day.closes));
            let early = MinuteOfDay::parse("06:00").unwrap_or(now);
            sheet
                .put("frost_on", today.to_string())
                .put("frost_at", early.min(now).show())
                .put("from", clock.value(from));
        }
    }
    Ok(sheet)
}

/// Reads every box of the form; `None` when one cannot be read.
pub(super) fn change(
    sheet: &mut Sheet,
    (kind, choices): (MoveKind, &ChangeChoices),
    moment: (&Zone, UtcSecond),
) -> Option<NewChange> {
    let wish = match kind {
        MoveKind::Later => later(sheet),
        MoveKind::OtherDay => {
            let close = sheet.ticked("close");
            let to = sheet.read("to", PressDate::parse);
            to.map(|to| Wish::OtherDay { to, close })
        }
        MoveKind::Frost => frost(sheet, moment, &choices.turns),
    };
    let why = sheet.read("why", |text| plain_text(text, 1, 160));
    Some(NewChange {
        wish: wish?,
        why: why?,
        seen: sheet.typed("seen").to_owned(),
    })
}

fn later(sheet: &mut Sheet) -> Option<Wish> {
    let from = sheet.read("from", ClockTyped::parse);
    let minutes = sheet.read("minutes", |text| whole(text, 0, 10_000));
    Some(Wish::Later {
        from: from?,
        minutes: Minutes::new(minutes?),
    })
}

fn frost(sheet: &mut Sheet, (zone, at): (&Zone, UtcSecond), turns: &[MovableTurn]) -> Option<Wish> {
    let today = zone.local(at).0;
    let on = sheet.read("frost_on", |text| has_come(PressDate::parse(text)?, today));
    let time = sheet.read("frost_at", MinuteOfDay::parse);
    let from = sheet.read("from", ClockTyped::parse);
    let killed: Vec<TurnId> = turns
        .iter()
        .map(|turn| turn.id)
        .filter(|id| sheet.ticked(&killed_box(*id)))
        .collect();
    let at: Option<UtcSecond> = match (on, time) {
        (Some(on), Some(time)) => sheet.read("frost_at", |_| zone.instant(on, time)),
        _ => None,
    };
    Some(Wish::Frost {
        at: at?,
        from: from?,
        killed,
    })
}
