//! Marks: whether what was read at one moment still stands at another, told by the records of what was written between
//! the two.

use super::StoreError;
use super::question::{Question, question};
use std::sync::Arc;

/// How many of the last records a mark knows. What was read longer ago is read anew.
const KNOWN: i64 = 24;

/// One record: its number, its digest, which takes in all before it, and the table that was written to.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Change {
    number: i64,
    digest: String,
    table: String,
}

/// A moment, by its last record that is not quiet, and what the records just before that one tell.
#[derive(Debug, Clone)]
pub struct Mark(Arc<[Change]>);

impl Mark {
    /// Reads a line for each record, the latest first; `None`: a line is none.
    fn of(lines: &str) -> Option<Vec<Change>> {
        let change = |line: &str| {
            let mut words = line.split(' ');
            Some(Change {
                number: words.next()?.parse().ok()?,
                digest: words.next()?.to_owned(),
                table: words.next()?.to_owned(),
            })
        };
        lines.lines().map(change).collect()
    }

    /// Whether this moment is at or after another of the same file.
    pub fn is_no_earlier_than(&self, other: &Self) -> bool {
        let last = |mark: &Self| mark.0.first().map(|c| c.number);
        last(self) >= last(other)
    }

    /// Whether nothing was written to these tables between an earlier moment of the same file, or of one that it was copied
    /// from, and this. `false`, too, where that moment is later, of another file, or too many records ago.
    pub fn stands_since(&self, earlier: &Self, tables: &[&str]) -> bool {
        let Some(last) = earlier.0.first() else {
            return false;
        };
        let Some(at) = self.0.iter().position(|c| c.number == last.number) else {
            return false;
        };
        let (since, until) = self.0.split_at(at);
        let same = until.first().is_some_and(|c| c.digest == last.digest);
        same && !since.iter().any(|c| tables.contains(&c.table.as_str()))
    }
}

/// The mark of this moment; `None`: nothing is recorded yet, or the last record is not sealed: it was written just now in the same
/// transaction, or not by the program.
pub fn mark() -> Question<Option<Mark>> {
    question!(
        r#"select group_concat(k.number || ' ' || k.digest || ' ' || k.what, char(10) order by k.number desc)
        as "known: String" from (select number, digest, what from records where quiet = 0 order by number desc limit ?1) k"#,
        KNOWN
    )
    .one()
    .try_map(|row| {
        let known = Mark::of(row.known.as_deref().unwrap_or_default());
        let known = known.ok_or_else(|| StoreError::Corrupt {
            what: "records.number",
            found: row.known.clone().unwrap_or_default(),
        })?;
        let sealed = known.first().is_some_and(|last| !last.digest.is_empty());
        Ok(sealed.then(|| Mark(known.into())))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(lines: &str) -> Mark {
        Mark(Mark::of(lines).unwrap().into())
    }

    #[test]
    fn what_was_read_stands_until_one_of_its_tables_is_written_to() {
        let earlier = at("7 g loads\n6 f juices");
        assert!(earlier.stands_since(&earlier, &["loads"]));
        let later = at("9 i ledger\n8 h boils\n7 g loads");
        assert!(later.stands_since(&earlier, &["loads", "juices"]));
        assert!(!later.stands_since(&earlier, &["loads", "boils"]));
        assert!(!later.stands_since(&earlier, &["ledger"]));
        assert!(later.is_no_earlier_than(&earlier) && earlier.is_no_earlier_than(&earlier));
        assert!(!earlier.is_no_earlier_than(&later));
    }

    #[test]
    fn another_file_a_later_moment_and_one_long_ago_are_not_told() {
        let later = at("9 i ledger\n8 h boils\n7 g loads");
        assert!(later.stands_since(&at("7 g loads\n6 f juices"), &[]));
        assert!(!later.stands_since(&at("8 x boils"), &[]));
        assert!(!later.stands_since(&at("10 j boils\n9 i ledger"), &[]));
        assert!(!later.stands_since(&at("6 f juices"), &[]));
    }

    #[test]
    fn a_line_that_tells_no_record_is_told_as_such() {
        assert_eq!(Mark::of(""), Some(Vec::new()));
        assert_eq!(Mark::of("7 g"), None);
        assert_eq!(Mark::of("g 7 loads"), None);
    }
}
