//! What a steward holds fast, and the turns as the page shows them: read from the form, written into it.

use crate::actions::season::frosts::NewFrost;
use crate::actions::turns::offers_together::NewOffer;
use crate::calc::season::dates::of_season;
use crate::facts::season::proposal::{SeasonProposal, Wish};
use crate::units::{ClockTyped, Grams, MemberId, PlantingId, PressDate, plain_text};
use crate::web::form::{Sent, Sheet};

/// The box that keeps a planting on its day.
pub(super) fn keep_box(id: PlantingId) -> String {
    format!("keep-{id}")
}

/// The box that keeps a day free.
pub(super) fn shut_box(date: PressDate) -> String {
    format!("shut-{date}")
}

/// Plantings with their days, as the form carries them: `planting:date`, parted by commas.
fn pairs(text: &str) -> Vec<(PlantingId, PressDate)> {
    text.split(',')
        .filter_map(|pair| {
            let (planting, date) = pair.split_once(':')?;
            Some((PlantingId::parse(planting)?, PressDate::parse(date).ok()?))
        })
        .collect()
}

/// The same, written.
pub(super) fn write_pairs(of: &SeasonProposal) -> String {
    use std::fmt::Write as _;
    let mut text = String::new();
    for day in &of.days {
        for (field, _) in day.turns.iter().flat_map(|turn| &turn.of) {
            let id = of.fields[*field].planting.id;
            let _ = write!(text, "{id}:{},", day.day.date);
        }
    }
    text
}

/// What is held fast: of the plantings that were shown those that are ticked, on the day they were shown on; the days
/// that are ticked; and where everything was put.
pub(super) fn wish(sheet: &Sheet, sent: &Sent) -> Wish {
    let before = pairs(sent.get("before"));
    Wish {
        kept: before
            .iter()
            .copied()
            .filter(|(id, _)| sheet.ticked(&keep_box(*id)))
            .collect(),
        shut: sent
            .get("days")
            .split(',')
            .filter_map(|date| PressDate::parse(date).ok())
            .filter(|date| sheet.ticked(&shut_box(*date)))
            .collect(),
        before,
    }
}

/// The turns as the page showed them; `None`: they cannot be read.
pub(super) fn turns(text: &str) -> Option<Vec<NewOffer>> {
    text.split(';')
        .filter(|line| !line.is_empty())
        .map(|line| {
            let mut parts = line.splitn(6, ' ');
            Some(NewOffer {
                date: PressDate::parse(parts.next()?).ok()?,
                start: ClockTyped::parse(parts.next()?).ok()?,
                member: MemberId::parse(parts.next()?)?,
                cane: Grams::new(
                    parts
                        .next()?
                        .parse()
                        .ok()
                        .filter(|g: &i64| *g > 0 && *g < 100_000_000)?,
                ),
                plantings: parts
                    .next()?
                    .split(',')
                    .map(PlantingId::parse)
                    .collect::<Option<_>>()?,
                planted: plain_text(parts.next()?, 1, 120).ok()?,
            })
        })
        .collect()
}

/// The same, written: turn after turn, parted by semicolons.
pub(super) fn write_turns(of: &SeasonProposal) -> String {
    let mut lines = Vec::new();
    for day in &of.days {
        let clock = day.room.day.clock;
        for turn in &day.turns {
            lines.push(format!(
                "{} {} {} {} {} {}",
                day.day.date,
                clock.value(turn.span.start),
                turn.member,
                turn.cane.get(),
                turn.of
                    .iter()
                    .map(|(field, _)| of.fields[*field].planting.id.to_string())
                    .collect::<Vec<_>>()
                    .join(","),
                planted(of, turn.of.iter().map(|(field, _)| *field))
            ));
        }
    }
    lines.join(";")
}

/// Plantings by their variety: "Dale, Sugar Drip".
pub(super) fn planted(of: &SeasonProposal, fields: impl Iterator<Item = usize>) -> String {
    let mut names: Vec<&str> = Vec::new();
    for field in fields {
        let name = of.fields[field].planting.variety.as_str();
        if !names.contains(&name) && names.len() < 2 {
            names.push(name);
        }
    }
    names.join(", ").replace(';', ",")
}

/// When frost is expected.
pub(super) fn frost(sheet: &mut Sheet, year: i64) -> Option<NewFrost> {
    let read = |text: &str| of_season(PressDate::parse(text)?, year);
    let early = sheet.read("early", read);
    let middle = sheet.read("middle", read);
    let late = sheet.read("late", read);
    let source = sheet.read("source", |text| plain_text(text, 1, 200));
    Some(NewFrost {
        early: early?,
        middle: middle?,
        late: late?,
        source: source?,
    })
}

/// The boxes of the frost form as they stand in the book, where nothing else was typed.
pub(super) fn fill_frost(sheet: &mut Sheet, of: &SeasonProposal) {
    let Some(frost) = of
        .frost
        .as_ref()
        .filter(|_| sheet.typed("source").is_empty())
    else {
        return;
    };
    sheet
        .put("early", frost.early.to_string())
        .put("middle", frost.middle.to_string())
        .put("late", frost.late.to_string())
        .put("source", frost.source.clone());
}
