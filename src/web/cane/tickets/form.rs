//! The forms of a weigh-in: what was sent, what was meant.

use crate::actions::cane::tickets::{For, LoadFix, NewLoad, NewTicket};
use crate::calc::cane::tickets::Condition;
use crate::store::cane::tickets::LoadRow;
use crate::units::{
    Grams, MemberId, MinuteOfDay, PressDate, Refused, ScaleId, TurnId, Units, UtcSecond, Zone,
    plain_text, whole,
};
use crate::web::form::Sheet;

/// What a time of weighing is read against.
pub(super) struct Times<'a> {
    /// The co-op's time zone.
    pub(super) zone: &'a Zone,
    /// The press day.
    pub(super) day: PressDate,
    /// When the form was sent.
    pub(super) at: UtcSecond,
}

/// Reads every box of a new ticket, then decides.
pub(super) fn ticket(sheet: &mut Sheet, units: Units, times: &Times<'_>) -> Option<NewTicket> {
    let whose = sheet.read("whose", whose);
    let load = load(sheet, units, times);
    let cut_at = cut_at(sheet, times.zone);
    let note = sheet.read("note", |text| plain_text(text, 0, 300));
    let number = sheet.read_optional("number", |text| whole(text, 1, NUMBER_MOST));
    Some(NewTicket {
        another: sheet.ticked("another"),
        number: number?,
        whose: whose?,
        condition: Condition {
            stripped: sheet.ticked("stripped"),
            headed: sheet.ticked("headed"),
            clean: sheet.ticked("clean"),
            frosted: sheet.ticked("frosted"),
        },
        cut_at: cut_at?,
        note: note?,
        load: load?,
    })
}

/// The highest number that a ticket may have: five digits fit its tag.
const NUMBER_MOST: i64 = 99_999;

/// `turn:` or `walk:` and an id.
fn whose(text: &str) -> Result<For, Refused> {
    let id = text.split_once(':');
    match id {
        Some(("turn", id)) => TurnId::parse(id).map(For::Turn),
        Some(("walk", id)) => MemberId::parse(id).map(For::WalkIn),
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
fn cut_at(sheet: &mut Sheet, zone: &Zone) -> Option<Option<UtcSecond>> {
    let date = sheet.read_optional("cut_on", PressDate::parse);
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
pub(super) fn load(sheet: &mut Sheet, units: Units, times: &Times<'_>) -> Option<NewLoad> {
    let load = readings(sheet, units);
    let weighed_at = weighed(sheet, times);
    if weighed_at == Some(None) && times.zone.local(times.at).0 != times.day {
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

/// The scale and what it showed.
fn readings(sheet: &mut Sheet, units: Units) -> Option<NewLoad> {
    let scale = sheet.read("scale", |text| {
        ScaleId::parse(text.trim()).ok_or_else(|| Refused::new("Please choose the scale."))
    });
    let gross = sheet.read("gross", |text| Grams::parse(text, units));
    let tare = sheet.read("tare", |text| Grams::parse(text, units));
    Some(NewLoad {
        scale: scale?,
        gross: gross?,
        tare: tare?,
        sure: sheet.ticked("sure"),
        weighed_at: None,
    })
}

/// When it was on the scale, a time of the press day, for weighings keyed in from paper.
#[expect(
    clippy::option_option,
    reason = "outer: was it readable; inner: was it filled in"
)]
fn weighed(sheet: &mut Sheet, times: &Times<'_>) -> Option<Option<UtcSecond>> {
    let Some(time) = sheet.read_optional("weighed", MinuteOfDay::parse)? else {
        return Some(None);
    };
    match times.zone.instant(times.day, time) {
        Ok(at) => Some(Some(at)),
        Err(refused) => {
            sheet.refuse("weighed", refused.sentence());
            None
        }
    }
}

/// Reads a correction; without a time the one that stands is kept.
pub(super) fn fix(sheet: &mut Sheet, units: Units, times: &Times<'_>) -> Option<LoadFix> {
    let load = readings(sheet, units);
    let weighed_at = weighed(sheet, times);
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
        .put("void", if load.void { "yes" } else { "" });
    sheet
}
