//! Whom to call for somebody without a telephone, as it was written: the number in it can be dialled.

use super::paths;

/// Fewest digits of a telephone number: a local one.
const LEAST_DIGITS: usize = 7;

/// A line that may hold a telephone number, split around that number.
#[derive(Default)]
pub(super) struct CalledBy {
    /// Text before the number; all of it when there is none.
    pub(super) before: String,
    /// The number as written; empty: there is none.
    pub(super) number: String,
    /// Address that dials the number.
    pub(super) dials: String,
    /// Text after the number.
    pub(super) after: String,
}

impl CalledBy {
    /// Whether nothing was written.
    pub(super) fn is_empty(&self) -> bool {
        self.before.is_empty() && self.number.is_empty()
    }

    pub(super) fn of(text: &str) -> Self {
        let part = |c: char| c.is_ascii_digit() || "+-.() ".contains(c);
        let mut from = 0;
        for run in text.split_inclusive(|c| !part(c)) {
            let number = run.trim_end_matches(|c| !part(c)).trim();
            let dials = paths::dials_written(number);
            let many = number.chars().filter(char::is_ascii_digit).count();
            if many >= LEAST_DIGITS && !dials.is_empty() {
                let at = from + run.find(number).unwrap_or_default();
                return Self {
                    before: text[..at].to_owned(),
                    dials,
                    after: text[at + number.len()..].to_owned(),
                    number: number.to_owned(),
                };
            }
            from += run.len();
        }
        Self {
            before: text.to_owned(),
            ..Self::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_number_in_what_was_written_is_found_where_there_is_one() {
        let of = |text| {
            let by = CalledBy::of(text);
            (by.before, by.number, by.dials, by.after)
        };
        let four = |a: &str, b: &str, c: &str, d: &str| {
            (a.to_owned(), b.to_owned(), c.to_owned(), d.to_owned())
        };
        assert_eq!(
            of("Zeb <next door>, +1 615 555 0199, evenings"),
            four(
                "Zeb <next door>, ",
                "+1 615 555 0199",
                "tel:+16155550199",
                ", evenings"
            )
        );
        assert_eq!(
            of("615-555-0112"),
            four("", "615-555-0112", "tel:6155550112", "")
        );
        assert_eq!(of("José, house 12"), four("José, house 12", "", "", ""));
        assert_eq!(of(""), four("", "", "", ""));
    }
}
