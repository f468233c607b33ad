//! The forms of a weigh-in: what was sent, what was meant.

use crate::actions::cane::loads::LoadFix;
use crate::actions::cane::tickets::{CaneOf, NewLoad, NewTicket, OwnNumber};
use crate::calc::cane::press_times::PressTimes;
use crate::calc::cane::tickets::Condition;
use crate::calc::cane::went_home::AFTER_ALL;
use crate::calc::season::dates::{has_come, of_season};
use crate::store::cane::tickets::LoadRow;
use crate::units::{
    Grams, MemberId, MinuteOfDay, PressDate, Refused, ScaleId, TurnId, Units, UtcSecond,
    plain_text, whole,
};
use crate::web::cane::pressed_times;
use crate::web::form::Sheet;

/// Reads every box of a new ticket, then decides.
pub(super) fn ticket(sheet: &mut Sheet, units: Units, times: &PressTimes<'_>) -> Option<NewTicket> {
    let whose = whose_of(sheet);
    let load = load(sheet, units, times);
    let cut_at = cut_at(sheet, times);
    let note = sheet.read("note", |text| plain_text(text, 0, 300));
    let number = sheet.read_optional("number", |text| whole(text, 1, NUMBER_MOST));
    let own = |number| OwnNumber {
        number,
        phone: sheet.typed("of_phone").to_owned(),
        sure: sheet.ticked("number_sure"),
    };
    Some(NewTicket {
        number: number?.map(own),
        whose: whose?,
        condition: Condition {
            stripped: said(sheet, "stripped"),
            headed: said(sheet, "headed"),
            clean: said(sheet, "clean"),
            frosted: said(sheet, "frosted"),
        },
        cut_at: cut_at?,
        note: note?,
        load: load?,
    })
}

/// What was said of the cane; nothing when no button of the row was chosen.
fn said(sheet: &Sheet, name: &str) -> Option<bool> {
    match sheet.typed(name) {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    }
}

/// Reads whose cane it is: a turn's button, else one of the list of members; not both.
pub(super) fn whose_of(sheet: &mut Sheet) -> Option<CaneOf> {
    if let Some(id) = MemberId::parse(sheet.typed("member")) {
        let walked_in = format!("walk:{id}");
        let turn = sheet.typed("whose");
        if !turn.is_empty() && turn != walked_in {
            sheet.refuse(
                "whose",
                "A turn and somebody without a turn are chosen both. Whose cane is it?",
            );
            sheet.put("member", "");
            return None;
        }
        sheet.put("whose", walked_in);
    }
    sheet.read("whose", whose)
}
/// The highest number that a ticket may have: five digits fit its tag.
const NUMBER_MOST: i64 = 99_999;

/// `turn:` or `walk:` and an id.
fn whose(text: &str) -> Result<CaneOf, Refused> {
    let id = text.split_once(':');
    match id {
        Some(("turn", id)) => TurnId::parse(id).map(CaneOf::Turn),
        Some(("walk", id)) => MemberId::parse(id).map(CaneOf::WalkIn),
        _ => None,
    }
    .ok_or_else(|| Refused::new("Please choose whose cane this is."))
}

/// When it was cut: a date, and a time if known. Without a time the day's beginning counts, so
/// that cane is never taken for fresher than it is.
#[expect(
    clippy::option_option,
    reason = "outer: was it readable; inner: was it filled in"
)]
fn cut_at(sheet: &mut Sheet, times: &PressTimes<'_>) -> Option<Option<UtcSecond>> {
    let zone = times.zone;
    let (today, year) = (zone.local(times.at).0, times.day.date().year());
    let date = sheet.read_optional("cut_on", |text| {
        let date = has_come(PressDate::parse(text)?, today.max(times.day))?;
        of_season(date, i64::from(year))
    });
    let time = sheet.read_optional("cut_time", MinuteOfDay::parse);
    let (date, time) = (date?, time?);
    let Some(date) = date else {
        if time.is_some() {
            sheet.refuse(
                "cut_on",
                "Please write the day as well, or leave both empty.",
            );
            return None;
        }
        return Some(None);
    };
    let midnight = MinuteOfDay::new(0).ok()?;
    match zone.instant(date, time.unwrap_or(midnight)) {
        Ok(at) => Some(Some(at)),
        Err(refused) => {
            sheet.refuse("cut_time", refused.sentence());
            None
        }
    }
}

/// Reads one weighing. Without a time it counts as weighed just then, or, on a later day than the
/// press day, is asked for its time.
pub(super) fn load(sheet: &mut Sheet, units: Units, times: &PressTimes<'_>) -> Option<NewLoad> {
    let load = readings(sheet, units);
    let weighed_at = pressed_times::read(sheet, "weighed", times);
    if weighed_at == Some(None) && !times.running() {
        let asked = format!(
            "Please write at what time of {} it was weighed.",
            times.day.show()
        );
        sheet.refuse("weighed", asked);
        return None;
    }
    Some(NewLoad {
        weighed_at: weighed_at?,
        ..load?
    })
}

/// The figures of a weighing that are read back.
pub(super) const LOOKED_AT: [&str; 2] = ["gross", "tare"];

/// A tare that was tapped, `195.0|Blue trailer`, stands for one that was not typed.
fn known_tare(sheet: &mut Sheet) {
    let known = sheet.typed("known_tare").to_owned();
    if !sheet.typed("tare").trim().is_empty() {
        return;
    }
    if let Some((tare, trailer)) = known.split_once('|') {
        sheet.put("tare", tare);
        if sheet.typed("trailer").trim().is_empty() {
            sheet.put("trailer", trailer);
        }
    }
}

/// The scale and what it showed.
fn readings(sheet: &mut Sheet, units: Units) -> Option<NewLoad> {
    let scale = sheet.read("scale", |text| {
        ScaleId::parse(text.trim()).ok_or_else(|| Refused::new("Please choose the scale."))
    });
    let gross = sheet.read("gross", |text| Grams::parse(text, units));
    known_tare(sheet);
    let tare = sheet.read("tare", |text| {
        if text.trim().is_empty() {
            return Err(Refused::new(
                "Please write the tare, or choose “No tare” for bundles laid on bare.",
            ));
        }
        Grams::parse(text, units)
    });
    let trailer = sheet.read("trailer", |text| plain_text(text, 0, 40));
    Some(NewLoad {
        scale: scale?,
        gross: gross?,
        tare: tare?,
        trailer: trailer?,
        sure: sheet.confirmed(&LOOKED_AT),
        another: sheet.ticked("another"),
        after_all: sheet.ticked(AFTER_ALL),
        weighed_at: None,
    })
}

/// Reads a correction; without a time the one that stands is kept.
pub(super) fn fix(sheet: &mut Sheet, units: Units, times: &PressTimes<'_>) -> Option<LoadFix> {
    let load = readings(sheet, units);
    let weighed_at = pressed_times::read(sheet, "weighed", times);
    let why = sheet.read("why", |text| plain_text(text, 1, 200));
    Some(LoadFix {
        load: NewLoad {
            weighed_at: weighed_at?,
            ..load?
        },
        void: sheet.ticked("void"),
        why: why?,
        seen: sheet.typed("seen").parse().unwrap_or(0),
    })
}

/// A load as the form of its correction shows it.
pub(super) fn of(mut sheet: Sheet, load: &LoadRow, units: Units) -> Sheet {
    sheet
        .put("seen", load.version.to_string())
        .put("scale", load.scale_id.to_string())
        .put("gross", load.gross.typed(units))
        .put("tare", load.tare.typed(units))
        .put("trailer", load.trailer.clone())
        .put("void", if load.void { "yes" } else { "" });
    sheet
}
