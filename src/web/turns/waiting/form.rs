//! What a steward writes when going past the order of a waiting list.

use crate::units::{ClockTyped, plain_text};
use crate::web::form::Sheet;

/// The reason in a box; it must be there.
pub(super) fn why(sheet: &mut Sheet, name: &str) -> Option<String> {
    sheet.read(name, |text| plain_text(text, 1, 200))
}

/// Start and reason of a turn given out of order. Reads both, so that one sending shows both problems.
pub(super) fn place(sheet: &mut Sheet) -> Option<(ClockTyped, String)> {
    let start = sheet.read("start", ClockTyped::parse);
    let why = why(sheet, "why");
    Some((start?, why?))
}
