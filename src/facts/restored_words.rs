//! What was missing after a backup was put in the place of the database, in words.

use crate::store::restores::GapRow;
use crate::units::{LotCode, count_of};

/// Tables of which it is told how many rows are missing, besides those whose rows bear numbers; in words.
const TOLD: [(&str, &str); 20] = [
    ("additions", "additions to boils"),
    ("boil_readings", "readings of boils"),
    ("corrections", "lots opened for a correction"),
    ("divisions", "divisions"),
    ("draws", "pours into boils"),
    ("empty_jars", "counts of empty jars"),
    ("fills", "fills of jars"),
    ("finishes", "finishes of boils"),
    ("hours", "hours worked"),
    ("jar_moves", "jars broken or brought back"),
    ("juice_measures", "measures of juice"),
    ("ledger", "lines of the ledger"),
    ("loads", "loads on the scale"),
    ("losses", "losses"),
    ("opening_checks", "opening checks"),
    ("planting_versions", "plantings"),
    ("press_days", "press days"),
    ("season_rules", "versions of the rules"),
    ("turns", "turns"),
    ("waiting", "places on waiting lists"),
];

/// Tables whose rows bear numbers, in words.
const NUMBERED: [(&str, &str); 6] = [
    ("tickets", "tickets"),
    ("boils", "lots"),
    ("hand_overs", "receipts of jars"),
    ("payments", "receipts of money"),
    ("members", "members"),
    ("recalls", "recalls"),
];

pub(super) fn told(what: &str) -> bool {
    TOLD.iter().any(|(table, _)| *table == what)
}

/// A sort of rows in words: "tickets of 2026".
pub fn sort_says(gap: &GapRow) -> String {
    let mut all = NUMBERED.iter().chain(&TOLD);
    let own = all.find(|(table, _)| *table == gap.what);
    let words = own.map_or_else(
        || gap.what.replace('_', " "),
        |(_, words)| (*words).to_owned(),
    );
    match gap.year {
        0 => words,
        year => format!("{words} of {year}"),
    }
}

/// A number as people know it: that of a boil is a lot code.
fn number_says(gap: &GapRow, number: i64) -> String {
    let lot = || {
        let year = i32::try_from(gap.year).ok()?;
        LotCode::nth(year, u32::try_from(number).ok()?).ok()
    };
    if gap.what == "boils"
        && let Some(lot) = lot()
    {
        return lot.to_string();
    }
    number.to_string()
}

/// The numbers of what is missing: "120", "120 to 123"; empty: none is known.
pub fn numbers_say(gap: &GapRow) -> String {
    match gap.first.zip(gap.last) {
        None => String::new(),
        Some((first, last)) if first == last => number_says(gap, first),
        Some((first, last)) => {
            format!("{} to {}", number_says(gap, first), number_says(gap, last))
        }
    }
}

/// The next number that is given; empty: such rows bear none.
pub fn next_says(gap: &GapRow) -> String {
    gap.given
        .map_or_else(String::new, |given| number_says(gap, given + 1))
}

/// A gap in one line, for a terminal: "3 tickets of 2026 are missing: 120 to 122; the next is 123".
pub fn gap_says(gap: &GapRow) -> String {
    let sort = sort_says(gap);
    let next = match next_says(gap) {
        next if next.is_empty() => String::new(),
        next => format!("the next is {next}"),
    };
    if gap.missing == 0 {
        return format!("{sort}: {next}");
    }
    let numbers = match numbers_say(gap) {
        numbers if numbers.is_empty() => String::new(),
        numbers => format!(" ({numbers})"),
    };
    let missing = count_of(gap.missing, "is missing", "are missing");
    let next = if next.is_empty() {
        next
    } else {
        format!("; {next}")
    };
    format!("{sort}: {missing}{numbers}{next}")
}
