//! The tickets of a statement: loads weighed, juice measured, each sum in words.

use super::lost::lost_lines;
use crate::calc::cane::juice::{ExtractionBands, extraction};
use crate::calc::cane::scale::Graduation;
use crate::calc::cane::trash::Sample;
use crate::facts::shares::statements::TicketWithJuices;
use crate::store::cane::tickets::LoadRow;
use crate::units::{Grams, Units, Zone};
use crate::web::cane::cane_words::{clean_sum, typed_in};
use crate::web::error::PageError;
use crate::web::shares::divisions::sums;

/// A juice of a ticket.
pub(super) struct JuiceLines {
    pub(super) vessel: String,
    pub(super) sums: Vec<String>,
}

/// A ticket.
pub(super) struct TicketLines {
    pub(super) number: i64,
    pub(super) date: String,
    pub(super) condition: String,
    pub(super) loads: Vec<String>,
    pub(super) net: String,
    pub(super) juices: Vec<JuiceLines>,
    pub(super) yielded: String,
    /// A sample that was stripped, and what came off by it; empty: none was taken.
    pub(super) trash: String,
}

pub(super) fn lines(
    ticket: &TicketWithJuices,
    units: Units,
    zone: &Zone,
) -> Result<TicketLines, PageError> {
    let mut loads: Vec<String> = Vec::new();
    let mut last = 0;
    for load in &ticket.loads {
        // Latest version first; the older ones of the same number are what it corrects.
        if load.number == last {
            loads.push(format!("before it was corrected: {}", weights(load, units)));
        } else {
            loads.push(load_line(load, units, zone));
        }
        last = load.number;
    }
    let mut juice = Grams::ZERO;
    let mut juices = Vec::new();
    for row in &ticket.juices {
        let whole = row.reckon()?;
        juice += whole.mass;
        let mut lines = vec![
            sums::mass_sum(row, &whole, units),
            sums::brix_sum(row, &whole, units),
            sums::solids_sum(&whole, units),
        ];
        lines.extend(lost_lines(ticket, row.id, whole.mass, units));
        if row.typed_by.is_some() {
            let typed = typed_in(row.typed_by.as_ref(), row.at, zone);
            lines.push(format!("measured by {}{typed}", row.by_name));
        }
        if row.version > 1 {
            lines.push(format!("corrected by {}: {}", row.by_name, row.why));
        }
        juices.push(JuiceLines {
            vessel: row.vessel.clone(),
            sums: lines,
        });
    }
    let yielded = extraction(juice, ticket.net, ExtractionBands::DEFAULT)
        .ok()
        .filter(|_| juice > Grams::ZERO)
        .map_or_else(String::new, |(percent, _)| {
            format!(
                "{} of juice ÷ {} of cane: {percent:.1} of 100",
                juice.grams_text(units),
                ticket.net.grams_text(units)
            )
        });
    Ok(TicketLines {
        number: ticket.ticket.ticket,
        date: ticket.ticket.date.show(),
        condition: ticket.ticket.condition.words(),
        net: net_sum(&ticket.loads, ticket.net, units),
        trash: ticket.sample.map_or_else(String::new, |(sample, off)| {
            trash_line(ticket.net, sample, off, units)
        }),
        loads,
        juices,
        yielded,
    })
}

/// The readings of a load and their sum: in pounds where the scale showed pounds, "457.5 lb gross − 40.0 lb tare = 417.5 lb;
/// × 453.59237 = 189,375 g", else in grams.
fn weights(load: &LoadRow, units: Units) -> String {
    let shown = |reading| Graduation::new(load.graduation_g).ok()?.pounds(reading);
    let read = shown(load.gross).zip(shown(load.tare));
    if let Some((net, (gross, tare))) = load.net_lb.zip(read) {
        return format!(
            "{} gross − {} tare = {}; × 453.59237 = {}",
            gross.show(),
            tare.show(),
            net.show(),
            load.kept_net.grams_text(units)
        );
    }
    format!(
        "{} gross − {} tare = {} net ({} − {} = {})",
        load.gross.grams_text(units),
        load.tare.grams_text(units),
        load.kept_net.grams_text(units),
        load.gross.show(units),
        load.tare.show(units),
        load.kept_net.show(units)
    )
}

/// "Load 1: 457.5 lb gross − 40.0 lb tare = 417.5 lb; × 453.59237 = 189,375 g, Platform, by Cora".
fn load_line(load: &LoadRow, units: Units, zone: &Zone) -> String {
    let weights = weights(load, units);
    let corrected = if load.version > 1 {
        format!("; corrected: {}", load.why)
    } else {
        String::new()
    };
    if load.void {
        return format!("Load {} is crossed out: {}", load.number, load.why);
    }
    format!(
        "Load {}: {weights}, {}, by {}{}{corrected}",
        load.number,
        load.scale,
        load.by_name,
        typed_in(load.typed_by.as_ref(), load.at, zone)
    )
}

/// What a sample came to, and what is taken off by the rules.
fn trash_line(net: Grams, sample: Sample, off: bool, units: Units) -> String {
    let found = format!(
        "Sample: {} as it came, {} stripped: {:.1} of 100 is trash. ",
        sample.before.show(units),
        sample.after.show(units),
        sample.trash_percent()
    );
    let by_rules = if off {
        format!(
            "By the rules it is taken off: {}.",
            clean_sum(net, sample, units)
        )
    } else {
        "By the rules nothing is taken off.".to_owned()
    };
    found + &by_rules
}

/// The loads that count, added up.
fn net_sum(loads: &[LoadRow], net: Grams, units: Units) -> String {
    let mut counted: Vec<String> = Vec::new();
    let mut last = 0;
    for load in loads {
        if load.number != last && !load.void {
            counted.push(load.kept_net.grams_text(units));
        }
        last = load.number;
    }
    match counted.len() {
        0 => "no load counts".to_owned(),
        1 => format!("{} of cane", net.grams_text(units)),
        _ => format!(
            "{} = {} of cane",
            counted.join(" + "),
            net.grams_text(units)
        ),
    }
}
