//! Which version of a season's rules holds on a day. A version is a draft until it is confirmed for a day; from that day on it
//! holds, until another holds from a later one. Confirmed for the same day, the one made later holds.

use crate::units::PressDate;
use std::cmp::Reverse;

/// A version of a season's rules, as far as one is told from another.
pub trait Version {
    /// The day from which it holds; `None`: it is a draft.
    fn holds_from(&self) -> Option<PressDate>;
    /// Its number: a version made later has a higher one.
    fn number(&self) -> i64;
}

/// The version that holds on a day; `None`: nobody confirmed one that does.
pub fn confirmed_on<V: Version>(versions: &[V], date: PressDate) -> Option<&V> {
    let held = |v: &&V| v.holds_from().is_some_and(|from| from <= date);
    let held = versions.iter().filter(held);
    held.max_by_key(|v| (v.holds_from(), v.number()))
}

/// The version that holds on a day; where none does, the one that would come next: of those that are confirmed for later the first,
/// else the draft made last. `None`: there is no version.
pub fn on<V: Version>(versions: &[V], date: PressDate) -> Option<&V> {
    let confirmed = versions.iter().filter(|v| v.holds_from().is_some());
    let next = || confirmed.min_by_key(|v| (v.holds_from(), Reverse(v.number())));
    confirmed_on(versions, date)
        .or_else(next)
        .or_else(|| made_last(versions))
}

/// The version that a season ends with as it stands: confirmed for the latest day, which may be to come; where none is confirmed the
/// draft made last. `None`: there is no version.
pub fn at_the_end<V: Version>(versions: &[V]) -> Option<&V> {
    versions.iter().max_by_key(|v| (v.holds_from(), v.number()))
}

/// The version that was made last, draft or not; `None`: there is no version.
pub fn made_last<V: Version>(versions: &[V]) -> Option<&V> {
    versions.iter().max_by_key(|v| v.number())
}

#[cfg(test)]
mod tests {
    use super::*;

    impl Version for (i64, Option<PressDate>) {
        fn holds_from(&self) -> Option<PressDate> {
            self.1
        }
        fn number(&self) -> i64 {
            self.0
        }
    }

    fn day(text: &str) -> PressDate {
        PressDate::parse(text).expect("a date")
    }

    fn number(found: Option<&(i64, Option<PressDate>)>) -> i64 {
        found.map_or(0, |version| version.0)
    }

    #[test]
    fn a_version_holds_from_its_day_until_a_later_one_does() {
        let [sep, oct] = ["2026-09-01", "2026-10-01"].map(|text| Some(day(text)));
        let all = [(1, sep), (2, oct), (3, oct), (4, None)];
        let expected = [
            ("2026-08-31", 0, 1),
            ("2026-09-01", 1, 1),
            ("2026-09-30", 1, 1),
            ("2026-10-01", 3, 3),
            ("2027-01-01", 3, 3),
        ];
        for (date, confirmed, holds) in expected {
            assert_eq!(number(confirmed_on(&all, day(date))), confirmed, "{date}");
            assert_eq!(number(on(&all, day(date))), holds, "{date}");
        }
        assert_eq!(number(at_the_end(&all)), 3);
        assert_eq!(number(made_last(&all)), 4);
    }

    #[test]
    fn where_none_is_confirmed_yet_the_next_stands_in_and_of_one_day_the_later_one() {
        let oct = Some(day("2026-10-01"));
        let all = [(2, oct), (1, oct), (3, None)];
        assert_eq!(number(on(&all, day("2026-09-01"))), 2);
        let drafts = [(1, None), (2, None)];
        assert_eq!(number(confirmed_on(&drafts, day("2026-09-01"))), 0);
        assert_eq!(number(on(&drafts, day("2026-09-01"))), 2);
        assert_eq!(number(at_the_end(&drafts)), 2);
        assert_eq!(number(on(&all[..0], day("2026-09-01"))), 0);
    }
}
