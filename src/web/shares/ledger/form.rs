//! A payment, and a line taken back: what was sent, what was meant.

use crate::actions::shares::ledger::{NewPayment, Paid};
use crate::calc::season::dates::has_come;
use crate::calc::shares::payments::PaidBy;
use crate::units::{Cents, PressDate, Refused, SeasonId, plain_text, whole};
use crate::web::form::Sheet;

/// Reads every box of a payment, then decides.
pub(super) fn payment(sheet: &mut Sheet, today: PressDate) -> Option<NewPayment> {
    let season = sheet.read("season", |text| {
        SeasonId::parse(text).ok_or_else(|| Refused::new("Please choose a season."))
    });
    let way = sheet.read("way", |text| match text {
        "in" => Ok(Paid::ToTheMill),
        "out" => Ok(Paid::ToTheMember),
        _ => Err(Refused::new("Please choose which way the money went.")),
    });
    let cents = sheet.read("cents", Cents::parse);
    let on = sheet.read_optional("on", |text| has_come(PressDate::parse(text)?, today));
    let by = sheet.read_optional("by", PaidBy::parse);
    let text = sheet.read("text", |text| plain_text(text, 0, 80));
    // One of the two has to say how it was paid.
    if text.as_deref() == Some("") && matches!(by, Some(None | Some(PaidBy::Other))) {
        sheet.refuse(
            "text",
            "Please choose how it was paid, or write what stands on the paper.",
        );
        return None;
    }
    let (sure, sure_day) = (sheet.ticked("sure"), sheet.ticked("sure_day"));
    Some(NewPayment {
        season: season?,
        way: way?,
        cents: cents?,
        text: text?,
        by: by?.unwrap_or(PaidBy::Other),
        on: on?,
        sure,
        sure_day,
    })
}

/// Reads every box of a line taken back: its number, and why.
pub(super) fn answer(sheet: &mut Sheet) -> Option<(i64, String)> {
    let number = sheet.read("number", |text| whole(text, 1, 1_000_000_000));
    let why = sheet.read("why", |text| plain_text(text, 1, 120));
    Some((number?, why?))
}
