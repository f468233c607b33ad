//! What a steward holds fast, and the turns as the page shows them: read from the form, written into it.

use crate::actions::season::frosts::NewFrost;
use crate::actions::turns::offers_together::NewOffer;
use crate::calc::season::dates::of_season;
use crate::facts::season::proposal::SeasonProposal;
use crate::facts::season::proposal_wish::{Before, Kept, Wish};
use crate::units::{ClockTyped, DayMinute, Grams, MemberId, PlantingId, PressDate, plain_text};
use crate::web::form::{Sent, Sheet};
use serde::Deserialize;
use std::collections::BTreeSet;

/// The box that keeps a planting on its day.
pub(super) fn keep_box(id: PlantingId) -> String {
    format!("keep-{id}")
}

/// What a button says that forbids a day, or allows it again.
pub(super) fn day_button(date: PressDate, forbids: bool) -> String {
    let what = if forbids { FORBID } else { ALLOW };
    format!("{what}{date}")
}

const FORBID: &str = "forbid-";
const ALLOW: &str = "allow-";

/// The day that such a button was tapped for, and whether it forbids it; `None`: another was.
pub(super) fn day_said(sent: &Sent) -> Option<(PressDate, bool)> {
    let tapped = sent.get("do");
    let forbids = tapped.strip_prefix(FORBID).map(|date| (date, true));
    let allows = || tapped.strip_prefix(ALLOW).map(|date| (date, false));
    let (date, forbids) = forbids.or_else(allows)?;
    Some((PressDate::parse(date).ok()?, forbids))
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
fn write_back(wish: &Wish) -> String {
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

/// The mark of what turns were proposed from; empty where it is none.
fn mark(text: &str) -> String {
    let fits = text.len() <= MARK_MOST && text.bytes().all(|b| b.is_ascii_hexdigit());
    if fits { text.to_owned() } else { String::new() }
}

/// Longest mark, characters.
const MARK_MOST: usize = 64;

/// What a steward has fixed, as an address carries it.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct WishQuery {
    #[serde(default)]
    kept: String,
    #[serde(default)]
    before: String,
    #[serde(default)]
    from: String,
}

impl WishQuery {
    /// Reads what the address carries.
    pub(super) fn read(&self) -> Wish {
        Wish {
            kept: kept(&self.kept),
            before: before(&self.before),
            from: mark(&self.from),
        }
    }
}

/// The wish that another form of the page carries along.
pub(super) fn carried(sent: &Sent) -> Wish {
    Wish {
        kept: kept(sent.get("kept")),
        before: before(sent.get("before")),
        from: mark(sent.get("from")),
    }
}

/// An address longer than this is not understood everywhere, bytes.
const ADDRESS_MOST: usize = 7_000;

/// The end of an address that carries a wish, with the turns it was shown with and the mark of what those were proposed from; they
/// are left out where it would get too long.
pub(crate) fn in_address(wish: &Wish, (shown, from): (&str, &str)) -> String {
    let kept = write_kept(wish);
    let whole = format!("?kept={kept}&from={from}&before={shown}");
    if whole.len() <= ADDRESS_MOST {
        return whole;
    }
    format!("?kept={kept}")
}

/// As [`in_address`], for a wish that a form carried along.
pub(super) fn back_in_address(wish: &Wish) -> String {
    in_address(wish, (&write_back(wish), &wish.from))
}

/// What is held fast: of the turns that were shown those of which a planting is ticked, whole; and where everything was put.
pub(super) fn wish(sheet: &Sheet, sent: &Sent) -> Wish {
    let before = before(sent.get("before"));
    let ticked = |turn: &&Before| sheet.ticked(&keep_box(turn.planting));
    let turn = |of: &Before| (of.date, of.start);
    let turns: BTreeSet<(PressDate, DayMinute)> = before.iter().filter(ticked).map(turn).collect();
    let kept = before.iter().filter(|of| turns.contains(&turn(of)));
    Wish {
        kept: kept.map(as_kept).collect(),
        before,
        from: mark(sent.get("from")),
    }
}

/// Whether a planting that was kept is not any more, so that other turns might be proposed. What is kept where it was shown changes
/// nothing.
pub(super) fn ticked_anew(wish: &Wish, sent: &Sent) -> bool {
    let shown = carried(sent);
    let stays = |kept: &Kept| wish.keeps(kept.planting, kept.date);
    !shown.kept.iter().all(stays)
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
