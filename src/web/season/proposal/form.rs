//! What a steward holds fast, and the turns as the page shows them: read from the form, written into it.

use crate::actions::season::frosts::NewFrost;
use crate::actions::turns::offers_together::NewOffer;
use crate::calc::season::dates::of_season;
use crate::facts::season::proposal::SeasonProposal;
use crate::facts::season::proposal_wish::{Before, Kept, Wish};
use crate::units::{ClockTyped, DayMinute, Grams, MemberId, PlantingId, PressDate, plain_text};
use crate::web::form::{Sent, Sheet};
use serde::Deserialize;

/// The box that keeps a planting on its day.
pub(super) fn keep_box(id: PlantingId) -> String {
    format!("keep-{id}")
}

/// The box that keeps a day free.
pub(super) fn shut_box(date: PressDate) -> String {
    format!("shut-{date}")
}

/// Turns that are kept, as the form carries them: `planting:date:minute:grams`, parted by commas; `planting:date` where the day
/// alone is kept.
fn kept(text: &str) -> Vec<Kept> {
    let one = |text: &str| {
        let whole = before(text);
        if let [turn] = whole.as_slice() {
            return Some(as_kept(turn));
        }
        let (planting, date) = text.split_once(':')?;
        Some(Kept {
            planting: PlantingId::parse(planting)?,
            date: PressDate::parse(date).ok()?,
            turn: None,
        })
    };
    text.split(',').filter_map(one).collect()
}

/// A turn as it was shown, kept so.
const fn as_kept(turn: &Before) -> Kept {
    Kept {
        planting: turn.planting,
        date: turn.date,
        turn: Some((turn.start, turn.cane)),
    }
}

fn dates(text: &str) -> Vec<PressDate> {
    text.split(',')
        .filter_map(|date| PressDate::parse(date).ok())
        .collect()
}

/// Turns as they were proposed before: `planting:date:minute:grams`, parted by commas.
fn before(text: &str) -> Vec<Before> {
    let one = |text: &str| {
        let mut parts = text.split(':');
        Some(Before {
            planting: PlantingId::parse(parts.next()?)?,
            date: PressDate::parse(parts.next()?).ok()?,
            start: DayMinute::new(
                parts
                    .next()?
                    .parse()
                    .ok()
                    .filter(|m| (0..1500).contains(m))?,
            ),
            cane: grams(parts.next()?)?,
        })
    };
    text.split(',').filter_map(one).collect()
}

fn grams(text: &str) -> Option<Grams> {
    let read = text.parse().ok();
    read.filter(|g| (1..100_000_000).contains(g))
        .map(Grams::new)
}

/// The turns that are proposed, written so.
pub(super) fn write_before(of: &SeasonProposal) -> String {
    let mut all = Vec::new();
    for day in &of.days {
        for turn in &day.turns {
            for (field, cane) in &turn.of {
                let id = of.fields[*field].planting.id;
                let (date, start) = (day.day.date, turn.span.start.get());
                all.push(format!("{id}:{date}:{start}:{}", cane.get()));
            }
        }
    }
    all.join(",")
}

/// Turns as they were proposed before, written again: nothing that was not understood gets into an address.
pub(super) fn write_back(wish: &Wish) -> String {
    let one = |b: &Before| {
        let (date, start, cane) = (b.date, b.start.get(), b.cane.get());
        format!("{}:{date}:{start}:{cane}", b.planting)
    };
    wish.before.iter().map(one).collect::<Vec<_>>().join(",")
}

/// The turns that stay, written for an address.
pub(super) fn write_kept(wish: &Wish) -> String {
    let one = |kept: &Kept| {
        let day = format!("{}:{}", kept.planting, kept.date);
        match kept.turn {
            Some((start, cane)) => format!("{day}:{}:{}", start.get(), cane.get()),
            None => day,
        }
    };
    wish.kept.iter().map(one).collect::<Vec<_>>().join(",")
}

/// The days kept free, written for an address.
pub(super) fn write_shut(wish: &Wish) -> String {
    let shut = wish.shut.iter().map(ToString::to_string);
    shut.collect::<Vec<_>>().join(",")
}

/// What a steward has fixed, as an address carries it.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct WishQuery {
    #[serde(default)]
    kept: String,
    #[serde(default)]
    shut: String,
    #[serde(default)]
    before: String,
}

impl WishQuery {
    /// Reads what the address carries.
    pub(super) fn read(&self) -> Wish {
        Wish {
            kept: kept(&self.kept),
            shut: dates(&self.shut),
            before: before(&self.before),
        }
    }
}

/// The wish that another form of the page carries along.
pub(super) fn carried(sent: &Sent) -> Wish {
    Wish {
        kept: kept(sent.get("kept")),
        shut: dates(sent.get("shut")),
        before: before(sent.get("before")),
    }
}

/// An address longer than this is not understood everywhere, bytes.
const ADDRESS_MOST: usize = 7_000;

/// The end of an address that carries a wish, with the turns it was shown with; those are left out where it would get too long.
pub(crate) fn in_address(wish: &Wish, shown: &str) -> String {
    let (kept, shut) = (write_kept(wish), write_shut(wish));
    let whole = format!("?kept={kept}&shut={shut}&before={shown}");
    if whole.len() <= ADDRESS_MOST {
        return whole;
    }
    format!("?kept={kept}&shut={shut}")
}

/// What is held fast: of the plantings that were shown those that are ticked, in the turns they were shown with; the days
/// that are ticked; and where everything was put.
pub(super) fn wish(sheet: &Sheet, sent: &Sent) -> Wish {
    let before = before(sent.get("before"));
    let kept = before.iter().map(as_kept);
    let kept = kept.filter(|kept| sheet.ticked(&keep_box(kept.planting)));
    Wish {
        kept: kept.collect(),
        shut: dates(sent.get("days"))
            .into_iter()
            .filter(|date| sheet.ticked(&shut_box(*date)))
            .collect(),
        before,
    }
}

/// Whether the ticks ask for other turns than those that were shown: a day more or less on which nothing may be proposed, or a planting
/// that is not kept any more. What is kept where it was shown changes nothing.
pub(super) fn ticked_anew(wish: &Wish, sent: &Sent) -> bool {
    let shown = carried(sent);
    let stays = |kept: &Kept| wish.keeps(kept.planting, kept.date);
    let gone = !shown.kept.iter().all(stays);
    gone || shown.shut != wish.shut
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
                cane: grams(parts.next()?)?,
                plantings: parts
                    .next()?
                    .split(',')
                    .map(|of| {
                        let (planting, cane) = of.split_once(':')?;
                        Some((PlantingId::parse(planting)?, grams(cane)?))
                    })
                    .collect::<Option<_>>()?,
                planted: plain_text(parts.next()?, 1, 120).ok()?,
            })
        })
        .collect()
}

/// The proposed turns as a form carries them, one after another, parted by semicolons: those about which members are asked.
pub(super) fn write_turns(of: &SeasonProposal) -> String {
    let mut lines = Vec::new();
    for day in &of.days {
        let clock = day.room.day.clock;
        for turn in day.turns.iter().filter(|turn| turn.against.is_none()) {
            lines.push(format!(
                "{} {} {} {} {} {}",
                day.day.date,
                clock.value(turn.span.start),
                turn.member,
                turn.cane.get(),
                turn.of
                    .iter()
                    .map(|(field, cane)| format!(
                        "{}:{}",
                        of.fields[*field].planting.id,
                        cane.get()
                    ))
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

/// Reads when the first frost is expected.
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

/// The night for which frost is forecast; `Some(None)`: for none.
#[expect(
    clippy::option_option,
    reason = "outer: was it readable; inner: was it filled in"
)]
pub(super) fn forecast(sheet: &mut Sheet, year: i64) -> Option<Option<PressDate>> {
    sheet.read_optional("night", |text| of_season(PressDate::parse(text)?, year))
}

/// The boxes of the frost form as they stand in the book; one that was sent and comes back keeps what was typed.
pub(super) fn fill_frost(sheet: &mut Sheet, of: &SeasonProposal) {
    if let Some(night) = of.forecast.as_ref().and_then(|f| f.night)
        && !sheet.was_sent("night")
    {
        sheet.put("night", night.to_string());
    }
    let Some(frost) = of.frost.as_ref().filter(|_| !sheet.was_sent("source")) else {
        return;
    };
    sheet
        .put("early", frost.early.to_string())
        .put("middle", frost.middle.to_string())
        .put("late", frost.late.to_string())
        .put("source", frost.source.clone());
}
