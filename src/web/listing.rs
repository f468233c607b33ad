//! A list that is looked through: words that every row shown has, an order, a part of the rows at a time.

use super::error::PageError;
use super::paths;
use crate::store::season::seasons::Season;
use crate::units::people_order;
use serde::Deserialize;

/// What is looked for, in which order, from which row on, and in which season's list.
#[derive(Debug, Default, Deserialize)]
pub(super) struct ListQuery {
    #[serde(default)]
    pub(super) q: String,
    #[serde(default)]
    pub(super) order: String,
    #[serde(default)]
    pub(super) skip: usize,
    #[serde(default)]
    pub(super) year: Option<String>,
}

impl ListQuery {
    /// Whether nothing is looked for: every row is wanted.
    pub(super) fn all(&self) -> bool {
        self.q.trim().is_empty()
    }

    /// Whether every word that is looked for stands somewhere in a text, whatever its case and accents.
    pub(super) fn stands_in(&self, text: &str) -> bool {
        if self.all() {
            return true;
        }
        let text = people_order(text);
        people_order(&self.q)
            .split_whitespace()
            .all(|word| text.contains(word))
    }
}

/// The season of a year; the latest when none is named.
///
/// # Errors
/// There is none of that year.
pub(super) fn of_year<'a>(
    all: &'a [Season],
    year: Option<&str>,
) -> Result<Option<&'a Season>, PageError> {
    let Some(year) = year else {
        return Ok(all.first());
    };
    let found = all.iter().find(|s| s.year.to_string() == year);
    found.map(Some).ok_or(PageError::NotFound)
}

/// The rows of a list that stand on the page, and the addresses of those before and after.
#[derive(Debug, Default)]
pub(super) struct Part {
    /// "51 to 100 of 203"; empty: all of them stand here.
    pub(super) which: String,
    /// Address of the rows before; empty: there are none.
    pub(super) before: String,
    /// Address of the rows after; empty: there are no more.
    pub(super) more: String,
}

impl Part {
    /// Leaves at most this many rows, from the wanted one on; `list` is the list's address, `order` the order it is in.
    pub(super) fn of<T>(
        (list, order): (&str, &str),
        wanted: &ListQuery,
        most: usize,
        rows: &mut Vec<T>,
    ) -> Self {
        let count = rows.len();
        rows.drain(..wanted.skip.min(count));
        rows.truncate(most);
        Self::already_paged((list, order), wanted, most, (rows.len(), count))
    }

    /// As [`Self::of`], where only the rows to show were read: how many those are, and how many there are in all.
    pub(super) fn already_paged(
        (list, order): (&str, &str),
        wanted: &ListQuery,
        most: usize,
        (rows, count): (usize, usize),
    ) -> Self {
        let skip = wanted.skip.min(count);
        let until = skip + rows;
        let to = |skip| paths::part_of(list, &wanted.q, order, skip);
        let when = |so: bool, words: String| if so { words } else { String::new() };
        Self {
            which: when(count > rows, format!("{} to {until} of {count}", skip + 1)),
            before: when(skip > 0, to(skip.saturating_sub(most))),
            more: when(until < count, to(until)),
        }
    }
}

/// A sample for the tests that render lists.
#[cfg(test)]
pub(super) fn sample(list: &str) -> Part {
    Part {
        which: "51 to 100 of 203".to_owned(),
        before: paths::part_of(list, "<b>", "family", 0),
        more: paths::part_of(list, "<b>", "family", 100),
    }
}

#[cfg(test)]
mod tests {
    use super::{ListQuery, Part};

    fn part(skip: usize) -> (Vec<u32>, Part) {
        let wanted = ListQuery {
            q: "a b".to_owned(),
            skip,
            ..ListQuery::default()
        };
        let mut rows: Vec<u32> = (0..7).collect();
        let part = Part::of(("/boils?year=2026", "lot"), &wanted, 3, &mut rows);
        (rows, part)
    }

    #[test]
    fn a_list_is_shown_part_by_part_and_none_of_its_rows_is_left_out() {
        let (rows, first) = part(0);
        assert_eq!((rows, &first.which[..]), (vec![0, 1, 2], "1 to 3 of 7"));
        assert_eq!(first.before, "");
        assert_eq!(first.more, "/boils?year=2026&q=a%20b&order=lot&skip=3");
        let (rows, last) = part(6);
        assert_eq!((rows, &last.which[..]), (vec![6], "7 to 7 of 7"));
        assert_eq!(last.before, "/boils?year=2026&q=a%20b&order=lot&skip=3");
        assert_eq!(last.more, "");
        assert_eq!(part(90).0, Vec::<u32>::new());
    }

    #[test]
    fn every_word_counts_whatever_its_case_and_accents() {
        let wanted = |q: &str| ListQuery {
            q: q.to_owned(),
            ..ListQuery::default()
        };
        assert!(wanted("emile 3").stands_in("3 Émile Trout"));
        assert!(!wanted("emile 4").stands_in("3 Émile Trout"));
        assert!(wanted(" ").stands_in(""));
    }
}
