//! The leaves for the clipboard, as text ready to print: the slate with the order of the day and telephone
//! numbers, the ticket pad, the juice, the readings, in the order of the entry pages. What the book has
//! already is printed and asks for nothing.

use super::pads::{degrees, juice_pad, labelled, slate, ticket_pad, weight};
use crate::calc::cane::morning::Item;
use crate::store::cane::mill::{Scale, Vessel};
use crate::store::turns::day_board::BoilLine;
use crate::store::turns::day_line::InLine;
use crate::store::turns::press_days::PressDay;
use crate::units::{PressDate, Units};
use crate::web::error::PageError;
use crate::web::leaf::{Column, Leaf, columns, page_words};
use crate::web::session::Visit;
use crate::web::{paths, statics};
use askama::Template;

/// How many boils a leaf has room for.
const BOILS: usize = 2;
/// Rows for readings of a boil, two readings in each.
const READINGS: usize = 8;

/// A place to write: what belongs there, and how wide it is.
struct Blank {
    label: String,
    look: &'static str,
}

/// A boil to note readings of; in words what is in the book already, empty for one that is not lit yet.
struct BoilBlock {
    words: String,
}

/// A leaf of readings.
struct BoilLeaf {
    page: String,
    boils: Vec<BoilBlock>,
}

/// The leaves of a press day: the slate, tickets, juice, readings, in the order of the entry pages.
#[derive(Template)]
#[template(path = "turns/day_line/sheet.html")]
pub(super) struct SheetPage {
    title: String,
    day: String,
    coop: String,
    css: String,
    icon: String,
    back: String,
    tags: String,
    /// Addresses where loads, juice, readings, finishes and jars are keyed in.
    keyed: [String; 5],
    hours: String,
    scales: String,
    vessels: String,
    /// The opening checks that are not in the book.
    checks: Vec<Blank>,
    leaves: Vec<Leaf>,
    boils: Vec<BoilLeaf>,
    boil_places: Vec<Blank>,
    draws: Vec<Blank>,
    readings: usize,
    reading: Vec<Column>,
    finish: Vec<Blank>,
}

/// What the book has of a day already.
pub(super) struct InBook<'a> {
    pub day: &'a PressDay,
    pub line: &'a [InLine],
    pub checked: &'a [Item],
    pub boils: &'a [BoilLine],
    pub scales: &'a [Scale],
    pub vessels: &'a [Vessel],
}

impl SheetPage {
    pub(super) fn new(visit: &Visit, book: &InBook<'_>) -> Result<Self, PageError> {
        let (coop, units, day) = (visit.coop()?, visit.units(), book.day);
        let clock = coop.zone.clock(day.date);
        let names = |all: Vec<&str>| all.join(", ");
        let mut leaves = slate(book.line, &clock, units);
        leaves.extend(ticket_pad(book.line, units));
        leaves.extend(juice_pad(book.line, units));
        let open = book.boils.iter().filter(|b| !b.finished && !b.lost);
        let open = open.map(|b| {
            let whose = b.solo.as_ref();
            let whose = whose.map_or_else(|| "pooled".to_owned(), |name| format!("{name}’s alone"));
            let lit = coop.zone.local(b.lit_at).1.show();
            format!(
                "Lot {}, lit {lit} by {}, {whose}: in the book",
                b.lot, b.cook
            )
        });
        let boils = boil_leaves(open.collect());
        Ok(numbered(Self {
            title: format!("Leaves for the day, {}", day.date.show()),
            day: day.date.show(),
            coop: coop.name.clone(),
            css: statics::print_css(),
            icon: statics::icon(),
            back: paths::day(day.date),
            tags: paths::tags(day.date),
            keyed: keyed(day.date),
            hours: format!(
                "{}–{}, {} of cane an hour, {} between two members’ cane",
                day.opens.show(),
                day.closes.show(),
                day.mill_per_h.show(units),
                day.changeover.show()
            ),
            scales: names(in_use(book.scales, |s| s.retired_at.is_none(), |s| &s.name)),
            vessels: names(in_use(
                book.vessels,
                |v| v.retired_at.is_none(),
                |v| &v.name,
            )),
            checks: checks(book.checked),
            leaves,
            boils,
            ..Self::blanks(units)
        }))
    }

    /// The places of a boil alone, in the order of its page.
    fn blanks(units: Units) -> Self {
        let water = labelled("Boiling water", degrees(units));
        let pan = labelled("Pan", degrees(units));
        Self {
            title: String::new(),
            day: String::new(),
            coop: String::new(),
            css: String::new(),
            icon: String::new(),
            back: String::new(),
            tags: String::new(),
            keyed: Default::default(),
            hours: String::new(),
            scales: String::new(),
            vessels: String::new(),
            checks: Vec::new(),
            leaves: Vec::new(),
            boils: Vec::new(),
            boil_places: blanks(&[
                "Lot|m",
                "Lit at|s",
                "Pooled, or whose alone|m",
                "Old juice tested|t",
                &format!("{water}|s"),
                "Cook, remark|m",
            ]),
            draws: blanks(&["Tickets poured in, and how much of each|x"]),
            readings: READINGS,
            reading: columns(&[
                "Time|s",
                &format!("{pan}|s"),
                "°Bx|s",
                "Skimmed, added, by|r",
            ]),
            finish: finish_blanks(units),
        }
    }
}

/// Addresses where the leaves are keyed in.
fn keyed(day: PressDate) -> [String; 5] {
    [
        paths::paper_loads(day),
        paths::paper_juice(day),
        paths::paper_readings(day),
        paths::paper_finishes(day),
        paths::paper_jars(day),
    ]
}

/// Every leaf says which page of how many it is.
fn numbered(mut sheet: SheetPage) -> SheetPage {
    let all = sheet.leaves.len() + sheet.boils.len();
    let tables = sheet.leaves.iter_mut().map(|leaf| &mut leaf.page);
    let boils = sheet.boils.iter_mut().map(|leaf| &mut leaf.page);
    for (n, page) in tables.chain(boils).enumerate() {
        *page = page_words(n + 1, all);
    }
    sheet
}

/// Boils on fire, then room for others: two on a leaf, and at least one that is not lit yet.
fn boil_leaves(open: Vec<String>) -> Vec<BoilLeaf> {
    let mut boils: Vec<String> = open;
    let all = (boils.len() + 1).div_ceil(BOILS) * BOILS;
    boils.resize(all, String::new());
    boils
        .chunks(BOILS)
        .map(|words| BoilLeaf {
            page: String::new(),
            boils: words
                .iter()
                .map(|words| BoilBlock {
                    words: words.clone(),
                })
                .collect(),
        })
        .collect()
}

fn finish_blanks(units: Units) -> Vec<Blank> {
    let syrup = labelled("Syrup", weight(units));
    let drop = labelled("Drop", degrees(units));
    let drawn = labelled("Pan when drawn off", degrees(units));
    let skimmed = labelled("Skimmings", weight(units));
    blanks(&[
        &format!("{syrup}|m"),
        "°Bx|s",
        &format!("{drop}|s"),
        "Instrument|m",
        &format!("{drawn}|s"),
        &format!("{skimmed}|s"),
        "Time, by|s",
        "Jars: size × count, part-jar, time, by|x",
    ])
}

fn in_use<'a, T>(
    all: &'a [T],
    used: impl Fn(&T) -> bool,
    name: impl Fn(&'a T) -> &'a String,
) -> Vec<&'a str> {
    all.iter()
        .filter(|one| used(one))
        .map(|one| name(one).as_str())
        .collect()
}

/// "Label|w": the letter says how wide: t a tick, s small, m middling, w wide, x the whole line.
fn blanks(lines: &[&str]) -> Vec<Blank> {
    lines
        .iter()
        .filter_map(|line| line.rsplit_once('|'))
        .map(|(label, wide)| Blank {
            label: label.to_owned(),
            look: match wide {
                "t" => "tick",
                "s" => "small",
                "m" => "middling",
                "w" => "wide",
                _ => "whole",
            },
        })
        .collect()
}

fn checks(done: &[Item]) -> Vec<Blank> {
    Item::ALL
        .into_iter()
        .filter(|item| !done.contains(item))
        .map(|item| Blank {
            label: item.name().to_owned(),
            look: if item.measured() { "middling" } else { "tick" },
        })
        .collect()
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let clock = crate::units::Zone::parse("America/Chicago")
        .unwrap()
        .clock(PressDate::parse("2027-09-18").unwrap());
    let one = |n: i64| InLine {
        turn_id: None,
        ticket_id: None,
        member_id: crate::units::MemberId::new(uuid::Uuid::nil()),
        name: crate::units::MemberName::parse("Maximiliana <b>Featherstonehaugh</b>").unwrap(),
        named: false,
        phone: crate::units::Phone::parse("615 555 0134").unwrap(),
        number: n,
        start: (n % 4 > 0)
            .then(|| crate::units::ClockTime::first(crate::units::MinuteOfDay::new(420).unwrap())),
        minutes: Some(crate::units::Minutes::new(40)),
        cane: crate::units::Grams::new(640_500),
        note: "two <trailers>".to_owned(),
        ticket: (n % 3 == 0).then_some(n),
        weighed_at: None,
        pressed: n % 6 == 0,
        missed: false,
    };
    let sheet = |count, units, open: &[&str]| {
        let line: Vec<InLine> = (0..count).map(one).collect();
        let mut leaves = slate(&line, &clock, units);
        leaves.extend(ticket_pad(&line, units));
        leaves.extend(juice_pad(&line, units));
        numbered(SheetPage {
            title: "Leaves for the day, Sat 18 Sep 2027".to_owned(),
            day: "Sat 18 Sep 2027".to_owned(),
            coop: "Coldwater <Ridge>".to_owned(),
            css: statics::print_css(),
            icon: statics::icon(),
            back: "/days/2027-09-18".to_owned(),
            tags: "/days/2027-09-18/tags".to_owned(),
            keyed: keyed(PressDate::parse("2027-09-18").unwrap()),
            hours: "07:00–17:00".to_owned(),
            scales: "Platform".to_owned(),
            vessels: "Blue <barrel>, Steel tank".to_owned(),
            checks: checks(&[]),
            leaves,
            boils: boil_leaves(open.iter().map(|w| (*w).to_owned()).collect()),
            ..SheetPage::blanks(units)
        })
    };
    vec![
        Box::new(sheet(0, Units::Us, &[])),
        Box::new(sheet(30, Units::Metric, &["Lot <1>: in the book"])),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_is_always_room_for_a_boil_that_is_not_lit_yet() {
        let blocks = |open: usize| -> usize {
            let leaves = boil_leaves(vec!["lit".to_owned(); open]);
            leaves
                .iter()
                .flat_map(|l| &l.boils)
                .filter(|b| b.words.is_empty())
                .count()
        };
        assert_eq!([blocks(0), blocks(1), blocks(2), blocks(3)], [2, 1, 2, 1]);
    }
}
