//! The leaves with one row a turn, a load or a juice: the slate, the ticket pad, the juice. What the book has
//! already stands on them and asks for nothing.

use crate::calc::turns::starts::span_words;
use crate::store::turns::day_line::InLine;
use crate::units::{DayClock, Minutes, Units};
use crate::web::leaf::{Leaf, columns, leaves};

/// Turns and walk-ins that the leaves have room for.
const ROOM: usize = 30;
/// Rows beyond what is expected: second loads, walk-ins.
const SPARE: usize = 6;
/// Rows of a leaf of tickets or of juice.
const ROWS: usize = 24;
/// How many rows the slate has.
const SLATE_ROWS: usize = 30;
pub(super) const fn weight(units: Units) -> &'static str {
    match units {
        Units::Us => "lb",
        Units::Metric => "kg",
    }
}

pub(super) const fn degrees(units: Units) -> &'static str {
    match units {
        Units::Us => "°F",
        Units::Metric => "°C",
    }
}

/// A label with its unit: "Gross, lb".
pub(super) fn labelled(label: &str, unit: &str) -> String {
    format!("{label}, {unit}")
}

/// Rows of which some are filled in: room for thirty less those in the book, and some to spare.
fn with_room(mut rows: Vec<Vec<String>>, in_book: usize, columns: usize) -> Vec<Vec<String>> {
    let room = ROOM.saturating_sub(in_book).max(rows.len() + SPARE);
    rows.resize(room, vec![String::new(); columns]);
    rows
}

fn who(one: &InLine) -> String {
    format!("{} ({})", one.name, one.number)
}

/// The slate: the turns of the day in order.
pub(super) fn slate(line: &[InLine], clock: &DayClock, units: Units) -> Vec<Leaf> {
    let columns = columns(&[
        "Turn|t",
        "From–to|w",
        "Who|l",
        "Telephone|l",
        "Expected|m",
        "Remark|r",
        "Here|t",
        "Ticket|s",
    ]);
    let rows = line.iter().enumerate().map(|(nth, one)| {
        let planned = one
            .start
            .map(|start| span_words(clock, start, one.minutes.unwrap_or(Minutes::new(0))));
        vec![
            planned
                .as_ref()
                .map_or_else(String::new, |_| (nth + 1).to_string()),
            planned.unwrap_or_else(|| "Walk-in".to_owned()),
            who(one),
            one.phone.to_string(),
            one.cane.show(units),
            one.note.clone(),
            if one.ticket.is_some() { "✓" } else { "" }.to_owned(),
            one.ticket.map_or_else(String::new, |t| t.to_string()),
        ]
    });
    let hint = "The order of the day; what is in the book is ticked. Walk-ins go below.";
    leaves(("Slate", hint), &columns, rows.collect(), SLATE_ROWS)
}

/// One row a load. Turns that are not weighed in yet stand on it by name.
pub(super) fn ticket_pad(line: &[InLine], units: Units) -> Vec<Leaf> {
    let gross = labelled("Gross", weight(units));
    let tare = labelled("Tare", weight(units));
    let columns = columns(&[
        "Ticket no.|s",
        "Whose cane|l",
        "Scale|m",
        &format!("{gross}|m"),
        &format!("{tare}|m"),
        "Weighed at|s",
        "Leaves off|t",
        "Heads off|t",
        "Clean|t",
        "Frosted|t",
        "Cut on|s",
        "At|s",
        "Remark, by|r",
    ]);
    let waiting = line.iter().filter(|one| one.ticket.is_none());
    let rows = waiting.map(|one| row(columns.len(), &[(1, who(one))]));
    let in_book = line.iter().filter(|one| one.ticket.is_some()).count();
    let rows = with_room(rows.collect(), in_book, columns.len());
    let hint = "One row a load. True times; after midnight with the date. By: who weighed.";
    leaves(("Ticket pad", hint), &columns, rows, ROWS)
}

/// The juice pad: a row for each vessel; tickets without juice stand on it by number.
pub(super) fn juice_pad(line: &[InLine], units: Units) -> Vec<Leaf> {
    let temp = labelled("Juice", degrees(units));
    let columns = columns(&[
        "Ticket no.|s",
        "Whose|l",
        "Vessel|m",
        "Was empty|t",
        "lb, kg, gal or L|t",
        "Juice, all of it|m",
        &format!("{temp}|s"),
        "Plain, self-comp., digital|s",
        "Brix 1|t",
        "Brix 2|t",
        "Brix 3|t",
        "Sediment|s",
        "Pressed at|s",
        "By|r",
    ]);
    let waiting = line
        .iter()
        .filter(|one| one.ticket.is_some() && !one.pressed);
    let rows = waiting.map(|one| {
        let ticket = one.ticket.map_or_else(String::new, |t| t.to_string());
        row(columns.len(), &[(0, ticket), (1, who(one))])
    });
    let in_book = line.iter().filter(|one| one.pressed).count();
    let rows = with_room(rows.collect(), in_book, columns.len());
    let hint = "One row a vessel. Two readings of the refractometer; a third when they differ. By: who measured.";
    leaves(("Juice", hint), &columns, rows, ROWS)
}

/// A row with some cells filled in.
fn row(columns: usize, filled: &[(usize, String)]) -> Vec<String> {
    let mut row = vec![String::new(); columns];
    for (at, text) in filled {
        row[*at].clone_from(text);
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirty_turns_of_which_none_is_in_the_book_have_room_and_those_in_it_take_none() {
        let rows = |waiting: usize, in_book| {
            with_room(vec![vec![String::new()]; waiting], in_book, 1).len()
        };
        assert_eq!(rows(30, 0), 36);
        assert_eq!(rows(0, 0), 30);
        assert_eq!(rows(5, 12), 18);
        assert_eq!(rows(0, 40), 6);
    }
}
