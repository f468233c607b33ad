//! The sheet for the clipboard, as text ready to print: the day's turns with telephone numbers, and
//! blanks in the order of the entry pages, so that what was written by hand is keyed in from top to
//! bottom, with the times it happened at.

use crate::calc::cane::morning::Item;
use crate::calc::turns::starts::span_words;
use crate::store::cane::mill::{Scale, Vessel};
use crate::store::turns::day_line::InLine;
use crate::store::turns::press_days::PressDay;
use crate::units::{DayClock, Minutes, Units};
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::{paths, statics};
use askama::Template;

/// Blanks for cane that comes without a turn.
const WALK_INS: usize = 3;
/// Blanks for boils.
const BOILS: usize = 2;
/// Lines for readings of a boil.
const READINGS: usize = 10;

/// A place to write: what belongs there, and how wide it is.
struct Blank {
    label: String,
    look: &'static str,
}

/// One turn, or a blank for a walk-in.
struct Block {
    head: String,
    who: String,
    phone: String,
    expected: String,
    note: String,
}

/// The sheet of a press day.
#[derive(Template)]
#[template(path = "turns/day_line/sheet.html")]
pub(super) struct SheetPage {
    title: String,
    coop: String,
    css: String,
    icon: String,
    back: String,
    hours: String,
    scales: String,
    vessels: String,
    checks: Vec<Blank>,
    blocks: Vec<Block>,
    ticket: Vec<Blank>,
    juice: Vec<Blank>,
    boils: usize,
    boil: Vec<Blank>,
    draws: Vec<Blank>,
    readings: usize,
    reading: Vec<Blank>,
    finish: Vec<Blank>,
}

impl SheetPage {
    pub(super) fn new(
        visit: &Visit,
        day: &PressDay,
        line: &[InLine],
        scales: &[Scale],
        vessels: &[Vessel],
    ) -> Result<Self, PageError> {
        let (coop, units) = (visit.coop()?, visit.units());
        let clock = coop.zone.clock(day.date);
        let mut blocks: Vec<Block> = line
            .iter()
            .enumerate()
            .map(|(nth, one)| block(one, nth, &clock, units))
            .collect();
        blocks.extend((0..WALK_INS).map(|_| Block {
            head: "Walk-in".to_owned(),
            who: String::new(),
            phone: String::new(),
            expected: String::new(),
            note: String::new(),
        }));
        let names = |all: Vec<&str>| all.join(", ");
        Ok(Self {
            title: format!("Day sheet, {}", day.date.show()),
            coop: coop.name.clone(),
            css: statics::print_css(),
            icon: statics::icon(),
            back: paths::day(day.date),
            hours: format!(
                "{}–{}, {} of cane an hour, {} between two members’ cane",
                day.opens.show(),
                day.closes.show(),
                day.mill_per_h.show(units),
                day.changeover.show()
            ),
            scales: names(in_use(scales, |s| s.retired_at.is_none(), |s| &s.name)),
            vessels: names(in_use(vessels, |v| v.retired_at.is_none(), |v| &v.name)),
            checks: checks(),
            blocks,
            ..Self::blanks(units)
        })
    }

    /// The blanks alone, in the order of the entry pages.
    fn blanks(units: Units) -> Self {
        let water = labelled("Boiling water", degrees(units));
        let pan = labelled("Pan", degrees(units));
        Self {
            title: String::new(),
            coop: String::new(),
            css: String::new(),
            icon: String::new(),
            back: String::new(),
            hours: String::new(),
            scales: String::new(),
            vessels: String::new(),
            checks: Vec::new(),
            blocks: Vec::new(),
            ticket: ticket_blanks(units),
            juice: juice_blanks(units),
            boils: BOILS,
            boil: blanks(&[
                "Lot|m",
                "Lit at|s",
                "Pooled, or whose alone|m",
                "Old juice tested|t",
                &format!("{water}|s"),
                "Remark|w",
            ]),
            draws: blanks(&["Tickets poured in, and how much of each|x"]),
            readings: READINGS,
            reading: blanks(&[&format!("{pan}|s"), "°Bx|s", "Time|s", "Skimmed, added|w"]),
            finish: finish_blanks(units),
        }
    }
}

const fn weight(units: Units) -> &'static str {
    match units {
        Units::Us => "lb",
        Units::Metric => "kg",
    }
}

const fn degrees(units: Units) -> &'static str {
    match units {
        Units::Us => "°F",
        Units::Metric => "°C",
    }
}

/// "Gross, lb".
fn labelled(label: &str, unit: &str) -> String {
    format!("{label}, {unit}")
}

fn ticket_blanks(units: Units) -> Vec<Blank> {
    let gross = labelled("Gross", weight(units));
    let tare = labelled("Tare", weight(units));
    blanks(&[
        "Ticket no.|s",
        "Scale|m",
        &format!("{gross}|m"),
        &format!("{tare}|m"),
        "Weighed at|s",
        "Second load, gross / tare / at|w",
        "Leaves off|t",
        "Heads off|t",
        "Clean|t",
        "Frosted|t",
        "Cut on|m",
        "At|s",
        "Remark, initials|w",
    ])
}

fn juice_blanks(units: Units) -> Vec<Blank> {
    let temp = labelled("Juice", degrees(units));
    blanks(&[
        "Vessel|m",
        "Was empty|t",
        "lb, kg, gal or L|s",
        "Juice, all of it|m",
        &format!("{temp}|s"),
        "Refractometer: plain, self-comp., digital|m",
        "Brix 1|s",
        "Brix 2|s",
        "Brix 3|s",
        "Sediment|s",
        "Pressed at|s",
        "Initials|s",
    ])
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
        "Time|s",
        "Jars: size × count, part-jar|x",
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

fn checks() -> Vec<Blank> {
    Item::ALL
        .into_iter()
        .map(|item| Blank {
            label: item.name().to_owned(),
            look: if item.measured() { "middling" } else { "tick" },
        })
        .collect()
}

fn block(one: &InLine, nth: usize, clock: &DayClock, units: Units) -> Block {
    let head = match (one.start, one.minutes) {
        (Some(start), minutes) => format!(
            "Turn {} · {}",
            nth + 1,
            span_words(clock, start, minutes.unwrap_or(Minutes::new(0)))
        ),
        (None, _) => "Walk-in".to_owned(),
    };
    Block {
        head: match one.ticket {
            Some(ticket) => format!("{head} · ticket {ticket} is in the book"),
            None => head,
        },
        who: format!("{} ({})", one.name, one.number),
        phone: one.phone.to_string(),
        expected: format!("{} expected", one.cane.show(units)),
        note: one.note.clone(),
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let block = |n: usize| Block {
        head: format!("Turn {n} · 07:00–07:40"),
        who: "Maximiliana <b>Featherstonehaugh</b> (12)".to_owned(),
        phone: "615 555 0134".to_owned(),
        expected: "1,412.5 lb expected".to_owned(),
        note: "two <trailers>".to_owned(),
    };
    let sheet = |count, units| SheetPage {
        title: "Day sheet, Sat 18 Sep 2027".to_owned(),
        coop: "Coldwater <Ridge>".to_owned(),
        css: statics::print_css(),
        icon: statics::icon(),
        back: "/days/2027-09-18".to_owned(),
        hours: "07:00–17:00".to_owned(),
        scales: "Platform".to_owned(),
        vessels: "Blue <barrel>, Steel tank".to_owned(),
        checks: checks(),
        blocks: (0..count).map(block).collect(),
        ..SheetPage::blanks(units)
    };
    vec![
        Box::new(sheet(0, Units::Us)),
        Box::new(sheet(30, Units::Metric)),
    ]
}
