//! Hours, settlements, losses, the margin: what was sent, what was meant.

use crate::actions::season::hours::NewHours;
use crate::actions::season::season_close::NewSettlement;
use crate::actions::season::season_losses::NewLoss;
use crate::calc::season::dates::has_come;
use crate::units::{Cents, Grams, PressDate, Refused, SeasonId, Units, hours_typed, plain_text};
use crate::web::form::Sheet;

/// The ways in which syrup is lost: the word sent, and the words shown.
pub(super) const LOST: [(&str, &str); 3] = [
    ("scorched", "scorched"),
    ("spilled", "spilled"),
    ("other", "lost otherwise"),
];

fn season(sheet: &mut Sheet) -> Option<SeasonId> {
    sheet.read("season", |text| {
        SeasonId::parse(text).ok_or_else(|| Refused::new("Please choose a season."))
    })
}

/// Reads every box of hours worked.
pub(super) fn hours(sheet: &mut Sheet, today: PressDate) -> Option<NewHours> {
    let season = season(sheet);
    let minutes = sheet.read("hours", hours_typed);
    let what = sheet.read("what", |text| plain_text(text, 1, 80));
    let on = sheet.read_optional("on", |text| has_come(PressDate::parse(text)?, today));
    Some(NewHours {
        season: season?,
        minutes: minutes?,
        what: what?,
        on: on?,
    })
}

/// Reads every box of a settlement.
pub(super) fn settlement(sheet: &mut Sheet, units: Units) -> Option<NewSettlement> {
    let season = season(sheet);
    let part = sheet.read_optional("grams", |text| Grams::parse_small(text, units));
    Some(NewSettlement {
        season: season?,
        part: part?,
    })
}

/// Reads every box of a loss.
pub(super) fn loss(sheet: &mut Sheet, units: Units) -> Option<NewLoss> {
    let what = sheet.read("what", |text| {
        let known = LOST.into_iter().find(|(word, _)| *word == text);
        known
            .map(|(word, _)| word)
            .ok_or_else(|| Refused::new("Please choose what happened."))
    });
    let lost = sheet.read_optional("lost", |text| Grams::parse(text, units));
    let whole = sheet.ticked("whole");
    let why = sheet.read("why", |text| plain_text(text, 1, 300));
    Some(NewLoss {
        what: what?,
        lost: lost?,
        whole,
        why: why?,
    })
}

/// Reads the margin.
pub(super) fn margin(sheet: &mut Sheet) -> Option<Cents> {
    sheet.read("margin", Cents::parse)
}
