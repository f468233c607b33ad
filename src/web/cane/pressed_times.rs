//! A box for a time of the press day, the night after it included. When the time may be either morning the form
//! asks which, beside the box.

use crate::calc::cane::press_times::{Meant, PressTimes};
use crate::units::{MinuteOfDay, PressDate, UtcSecond};
use crate::web::form::{Choice, Sheet};

/// The name of the choice beside a time box: which of two mornings.
fn which(name: &str) -> String {
    format!("{name}_on")
}

/// Reads a time box: outer `None` when it is wrong or has to be asked about, inner `None` when it is empty.
#[expect(
    clippy::option_option,
    reason = "outer: was it readable; inner: was it filled in"
)]
pub(super) fn read(
    sheet: &mut Sheet,
    name: &str,
    times: &PressTimes<'_>,
) -> Option<Option<UtcSecond>> {
    let Some(typed) = sheet.read_optional(name, MinuteOfDay::parse)? else {
        return Some(None);
    };
    match times.read(typed) {
        Ok(Meant::At(at)) => Some(Some(at)),
        Ok(Meant::Either(own, night)) => {
            let next = times.day.plus_days(1);
            match PressDate::parse(sheet.typed(&which(name))) {
                Ok(day) if day == times.day => Some(Some(own)),
                Ok(day) if day == next => Some(Some(night)),
                _ => {
                    let asked = format!(
                        "{} of {} or of {}? Please choose.",
                        typed.show(),
                        times.day.show(),
                        next.show()
                    );
                    sheet.refuse(name, asked);
                    None
                }
            }
        }
        Ok(Meant::LongBefore(own)) => match PressDate::parse(sheet.typed(&which(name))) {
            Ok(day) if day == times.day => Some(Some(own)),
            _ => {
                let asked = format!(
                    "{} of {} is before the mill opens. If another time is meant, such as one of the afternoon, write that. If it is so: which day? Please choose.",
                    typed.show(),
                    times.day.show()
                );
                sheet.refuse(name, asked);
                None
            }
        },
        Err(refused) => {
            sheet.refuse(name, refused.sentence());
            None
        }
    }
}

/// Makes a time box of a row from paper ready to be read: the tick “After midnight” says which of two mornings.
/// Whether there is a time at all: paper always bears one.
pub(super) fn on_paper(sheet: &mut Sheet, name: &str, times: &PressTimes<'_>) -> bool {
    let day = times.day;
    let night = if sheet.ticked("night") {
        day.plus_days(1)
    } else {
        day
    };
    sheet.put(&which(name), night.to_string());
    let long_before = MinuteOfDay::parse(sheet.typed(name)).is_ok_and(|time| {
        !sheet.ticked("night") && matches!(times.read(time), Ok(Meant::LongBefore(_)))
    });
    if long_before && !sheet.ticked("sure") {
        sheet.refuse(
            name,
            "That is before the mill opens. Please write the time that is meant, of the afternoon like 15:15; or tick “After midnight” if it was in the night after, or “Yes, it is so” if it was so early.",
        );
        return false;
    }
    let written = !sheet.typed(name).trim().is_empty();
    if !written {
        sheet.refuse(name, "Please write the time that stands on the paper.");
    }
    written
}

/// The two mornings to choose from, while the form asks.
pub(super) fn mornings(sheet: &Sheet, name: &str, day: PressDate) -> Vec<Choice> {
    let asked = sheet
        .at(name)
        .problem
        .is_some_and(|p| p.ends_with("Please choose."));
    if !asked && sheet.typed(&which(name)).is_empty() {
        return Vec::new();
    }
    [day, day.plus_days(1)]
        .into_iter()
        .map(|day| Choice::new(day.to_string(), day.show()))
        .collect()
}
