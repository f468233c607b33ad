//! Numbers as people type them and as pages print them: comma or point, units spelled out.

use super::Refused;
use super::two_ways::{ask_of_comma, plainly};

/// The system a co-op or a person reads and types in. Stored values are always SI.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(rename_all = "lowercase")]
pub enum Units {
    /// US customary: lb, oz, gal, qt, fl oz, °F, ft.
    Us,
    /// Metric: kg, g, L, mL, °C, m.
    Metric,
}

impl Units {
    /// Reads the word a form or the store uses: `us` or `metric`.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        match text.trim() {
            "us" => Ok(Self::Us),
            "metric" => Ok(Self::Metric),
            _ => Err(Refused::new(
                "Please choose pounds and gallons, or kilograms and litres.",
            )),
        }
    }

    /// The word a form and the store use.
    pub fn word(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Metric => "metric",
        }
    }
}

/// Reads a decimal number with a comma or a point, trimmed; both together only when one of them
/// plainly groups thousands. Exponents, signs other than a leading minus, and words are refused. "1,234" is asked about: it can be
/// read two ways.
///
/// # Errors
/// A sentence that echoes what was typed.
pub fn decimal(text: &str) -> Result<f64, Refused> {
    read(text, None)
}

/// As [`decimal`], for a reader of these units: with US ones, a comma before three digits groups thousands.
///
/// # Errors
/// As [`decimal`].
pub(super) fn decimal_in(text: &str, units: Units) -> Result<f64, Refused> {
    read(text, Some(units))
}

fn read(text: &str, units: Option<Units>) -> Result<f64, Refused> {
    let shown = text.trim();
    let said = || {
        Refused::new(if shown.is_empty() {
            "Please write a number here.".to_owned()
        } else {
            format!(
                "“{}” is not a number. Please write a number, like 350.",
                clip(shown)
            )
        })
    };
    let bare: String = shown
        .chars()
        .filter(|c| !matches!(c, ' ' | '\u{a0}' | '\u{202f}'))
        .collect();
    let (minus, digits) = match bare.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, bare.as_str()),
    };
    let counts = |c| digits.matches(c).count();
    let plain = match (counts(','), counts('.')) {
        (0, 0 | 1) => digits.to_owned(),
        (1, 0) => {
            let (whole, part) = digits.split_once(',').ok_or_else(said)?;
            // "1,234" is 1234 to one reader and 1.234 to another: ask, never guess.
            let two_ways =
                part.len() == 3 && (1..=3).contains(&whole.len()) && !whole.starts_with('0');
            if two_ways && units == Some(Units::Us) {
                digits.replace(',', "")
            } else if two_ways {
                return Err(Refused::new(format!(
                    "“{}” can be read two ways. Please write {whole}{part} or {}.",
                    clip(shown),
                    plainly(whole, part)
                )));
            } else {
                format!("{whole}.{part}")
            }
        }
        (_, 1) if grouped(digits, ',', '.') => digits.replace(',', ""),
        (1, _) if grouped(digits, '.', ',') => digits.replace('.', "").replace(',', "."),
        (commas, 0) if commas > 1 && grouped(digits, ',', '.') => digits.replace(',', ""),
        _ => return Err(said()),
    };
    let well_formed = plain.chars().all(|c| c.is_ascii_digit() || c == '.')
        && plain.chars().any(|c| c.is_ascii_digit())
        && plain.len() <= 24;
    let value = plain
        .parse::<f64>()
        .ok()
        .filter(|_| well_formed)
        .ok_or_else(said)?;
    Ok(if minus { -value } else { value })
}

/// Whether `group` splits the whole part into threes and the decimal mark comes after it.
fn grouped(digits: &str, group: char, mark: char) -> bool {
    let whole = digits.split(mark).next().unwrap_or_default();
    let mut parts = whole.split(group);
    let first = parts.next().unwrap_or_default();
    (1..=3).contains(&first.len())
        && parts.all(|p| p.len() == 3)
        && !digits
            .split_once(mark)
            .is_some_and(|(_, part)| part.contains(group))
}

/// Reads a whole number in a range, named in the refusal.
///
/// # Errors
/// A sentence with the range.
pub fn whole(text: &str, least: i64, most: i64) -> Result<i64, Refused> {
    // A whole number has no decimals, so that a comma in it can only group thousands.
    let value = decimal_in(text, Units::Us)?;
    #[expect(clippy::cast_precision_loss, reason = "ranges here are far below 2^53")]
    let inside = value >= least as f64 && value <= most as f64;
    if value.fract() != 0.0 || !inside {
        return Err(Refused::new(format!(
            "Please write a whole number from {least} to {most}."
        )));
    }
    #[expect(
        clippy::cast_possible_truncation,
        reason = "whole and inside the range just above"
    )]
    Ok(value as i64)
}

/// A number with fixed decimals and thousands set apart: a comma for US customary, a narrow
/// no-break space for metric. What it prints, [`decimal`] reads back (with one decimal or more).
pub fn fixed(value: f64, decimals: usize, units: Units) -> String {
    let text = format!("{:.*}", decimals, value.abs());
    let (whole, part) = text
        .split_once('.')
        .map_or((text.as_str(), None), |(w, p)| (w, Some(p)));
    let mut out = String::new();
    for (i, digit) in whole.chars().enumerate() {
        if i > 0 && (whole.len() - i) % 3 == 0 {
            out.push(match units {
                Units::Us => ',',
                Units::Metric => '\u{202f}',
            });
        }
        out.push(digit);
    }
    if let Some(part) = part {
        out.push('.');
        out.push_str(part);
    }
    let zero = out.chars().all(|c| !c.is_ascii_digit() || c == '0');
    if value < 0.0 && !zero {
        format!("−{out}")
    } else {
        out
    }
}

/// One unit a person may write: its spellings and how many base units it is.
pub(super) struct Spelled {
    pub(super) names: &'static [&'static str],
    pub(super) base: f64,
}

/// Reads "12.5", "12.5 kg" or "12 lb 6 oz" into base units; a bare number takes `default`.
/// Several parts must go from larger to smaller units, and only the first may be negative.
pub(super) fn measure(
    text: &str,
    units: Units,
    default: &Spelled,
    spelled: &[Spelled],
) -> Result<f64, Refused> {
    let shown = text.trim();
    if !shown.is_empty() && !shown.contains(|c: char| c.is_ascii_digit()) {
        return decimal(shown);
    }
    if shown.is_empty() {
        return Err(Refused::new("Please write a number here."));
    }
    let mut sum = 0.0;
    let mut last = f64::INFINITY;
    let mut rest = shown;
    while !rest.is_empty() {
        let at = rest.find(char::is_alphabetic).unwrap_or(rest.len());
        let (number, tail) = rest.split_at(at);
        let end = tail
            .find(|c: char| c.is_ascii_digit())
            .unwrap_or(tail.len());
        let (word, next) = tail.split_at(end);
        let word = word.trim().trim_end_matches(['.', ',']).to_lowercase();
        let base = if word.is_empty() {
            default.base
        } else {
            find(&word, spelled).ok_or_else(|| {
                Refused::new(format!(
                    "“{}” is not a unit this box knows. Please write {}.",
                    clip(&word),
                    list(spelled, (default, units))
                ))
            })?
        };
        if base >= last {
            return Err(Refused::new(format!(
                "Please write “{}” with the larger unit first, like 12 lb 6 oz.",
                clip(shown)
            )));
        }
        if units == Units::Us {
            ask_of_comma(number)?;
        }
        let value = decimal_in(number, units)?;
        if last.is_finite() && value < 0.0 {
            return Err(Refused::new("Please write only one minus sign, in front."));
        }
        sum += if sum < 0.0 {
            -value * base
        } else {
            value * base
        };
        last = base;
        rest = next;
    }
    Ok(sum)
}

fn find(word: &str, spelled: &[Spelled]) -> Option<f64> {
    spelled
        .iter()
        .find(|s| s.names.contains(&word))
        .map(|s| s.base)
}

/// The units of a box in words, the reader's first: of who reads metric units all of those before pounds and feet.
fn list(spelled: &[Spelled], (default, units): (&Spelled, Units)) -> String {
    let mut names: Vec<&str> = spelled
        .iter()
        .filter_map(|s| s.names.first().copied())
        .collect();
    let own = names
        .iter()
        .position(|name| default.names.first() == Some(name));
    match (own, units) {
        (Some(own), Units::Metric) => names.rotate_left(own),
        (Some(own), Units::Us) => names[..=own].rotate_right(1),
        (None, _) => {}
    }
    match names.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        _ => names.join(""),
    }
}

/// Typed text cut short enough to repeat in a sentence.
pub(super) fn clip(text: &str) -> String {
    if text.chars().count() <= 24 {
        text.to_owned()
    } else {
        let start: String = text.chars().take(22).collect();
        format!("{start}…")
    }
}

/// A count with its noun: "1 jar", "2 jars".
pub fn count_of(n: impl Into<i128>, one: &str, many: &str) -> String {
    let n: i128 = n.into();
    if n == 1 {
        format!("1 {one}")
    } else {
        format!("{n} {many}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn comma_and_point_are_both_decimal_marks() {
        for (typed, value) in [
            ("12.5", 12.5),
            (" 12,5 ", 12.5),
            ("1,234.5", 1234.5),
            ("1.234,5", 1234.5),
            ("0,125", 0.125),
        ] {
            assert!((decimal(typed).unwrap() - value).abs() < 1e-12, "{typed}");
        }
    }

    #[test]
    fn a_number_that_can_be_read_two_ways_is_asked_about() {
        let said = decimal("1,234").unwrap_err();
        assert!(said.sentence().contains("1234 or 1.2340"), "{said}");
        assert_eq!(decimal_in("1,234", Units::Metric).unwrap_err(), said);
    }

    #[test]
    fn a_comma_groups_thousands_for_who_reads_pounds() {
        for (typed, value) in [
            ("1,200", 1200.0),
            ("12,5", 12.5),
            ("0,125", 0.125),
            ("1,20", 1.2),
        ] {
            let read = decimal_in(typed, Units::Us).unwrap();
            assert!((read - value).abs() < 1e-12, "{typed}");
        }
        assert_eq!(whole("1,200", 0, 5000), Ok(1200));
    }

    #[test]
    fn what_is_no_number_says_what_one_looks_like() {
        let lb = Spelled {
            names: &["lb"],
            base: 1.0,
        };
        for typed in ["abc", "about"] {
            let said = measure(
                typed,
                Units::Us,
                &lb,
                &[Spelled {
                    names: &["lb"],
                    base: 1.0,
                }],
            );
            let said = said.unwrap_err();
            assert!(
                said.sentence().contains("Please write a number, like 350."),
                "{said}"
            );
        }
    }

    #[test]
    fn words_exponents_and_infinities_are_refused() {
        for typed in [
            "", "eighteen", "1e5", "inf", "NaN", "--3", "1.2.3", "1,2,3", "5 5x", "+",
        ] {
            assert!(decimal(typed).is_err(), "{typed}");
        }
    }

    proptest! {
        #[test]
        fn prop_what_is_printed_reads_back(cents in -999_999_999_i64..999_999_999, metric: bool) {
            #[expect(clippy::cast_precision_loss, reason = "below 2^53")]
            let value = cents as f64 / 100.0;
            let units = if metric { Units::Metric } else { Units::Us };
            let back = decimal(&fixed(value, 2, units)).unwrap();
            prop_assert!((back - value).abs() < 1e-9);
        }

        #[test]
        fn prop_nothing_typed_makes_it_panic(text in "\\PC{0,40}") {
            let _ = decimal(&text);
            let lb = Spelled { names: &["lb"], base: 1.0 };
            let _ = measure(&text, Units::Us, &lb, &[Spelled { names: &["lb"], base: 1.0 }]);
        }
    }
}
