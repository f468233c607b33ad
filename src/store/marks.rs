//! Marks: whether what was read at one moment still stands at another, told by the records of what was written between
//! the two.

use super::StoreError;
use super::question::{Question, question};
use serde::Deserialize;
use std::sync::Arc;

/// How many of the last records a mark knows. What was read longer ago is read anew.
const KNOWN: i64 = 40;

/// What the table of readings is called in a mark while the boil is on the fire, where no figure of a season rests on them.
const ON_THE_FIRE: &str = "readings on the fire";

/// One record: its number, its digest, which takes in all before it, and the table that was written to.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
struct Change(i64, String, String);

/// A moment, by the last records of it that are not quiet, the latest first.
#[derive(Debug, Clone)]
pub struct Mark(Arc<[Change]>);

/// Which moment something was read at: the number and the digest of its last record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment(i64, String);

impl Mark {
    /// The moment itself.
    pub fn moment(&self) -> Option<Moment> {
        let Change(number, digest, _) = self.0.first()?;
        Some(Moment(*number, digest.clone()))
    }

    /// Whether nothing was written to these tables since an earlier moment of the same file, or of one that it was copied
    /// from. `false`, too, where that moment is later, of another file, or too many records ago.
    pub fn stands_since(&self, earlier: &Moment, tables: &[&str]) -> bool {
        let Moment(number, digest) = earlier;
        let Some(since) = self.0.iter().position(|change| change.0 == *number) else {
            return false;
        };
        let (after, before) = self.0.split_at(since);
        before.first().is_some_and(|change| change.1 == *digest)
            && !after
                .iter()
                .any(|change| tables.contains(&change.2.as_str()))
    }
}

/// The mark of this moment; `None`: nothing is recorded yet, or the last record is not sealed: it was written just now in the same
/// transaction, or not by the program.
pub fn mark() -> Question<Option<Mark>> {
    question!(
        r#"select coalesce(json_group_array(json_array(k.number, k.digest, k.what) order by k.number desc), '[]') as "known!: String"
        from (select r.number, r.digest, case when r.what = 'boil_readings' and exists (select 1 from boils b
            where b.id = r.content ->> 'boil_id' and not exists (select 1 from finishes f where f.boil_id = b.id))
            then ?1 else r.what end as what
          from records r where r.quiet = 0 order by r.number desc limit ?2) k"#,
        ON_THE_FIRE,
        KNOWN
    )
    .one()
    .try_map(|row| {
        let known: Vec<Change> = serde_json::from_str(&row.known).map_err(|_| StoreError::Corrupt {
            what: "records.what",
            found: row.known.clone(),
        })?;
        let sealed = known.first().is_some_and(|last| !last.1.is_empty());
        Ok(sealed.then(|| Mark(known.into())))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(changes: &[(i64, &str, &str)]) -> Mark {
        let changes = changes.iter();
        let changes =
            changes.map(|(n, digest, what)| Change(*n, (*digest).to_owned(), (*what).to_owned()));
        Mark(changes.collect())
    }

    #[test]
    fn what_was_read_stands_until_one_of_its_tables_is_written_to() {
        let earlier = at(&[(7, "g", "loads"), (6, "f", "juices")]);
        let moment = earlier.moment().unwrap();
        assert!(earlier.stands_since(&moment, &["loads"]));
        let later = at(&[(9, "i", "ledger"), (8, "h", "boils"), (7, "g", "loads")]);
        assert!(later.stands_since(&moment, &["loads", "juices"]));
        assert!(!later.stands_since(&moment, &["loads", "boils"]));
        assert!(!later.stands_since(&moment, &["ledger"]));
    }

    #[test]
    fn another_file_a_later_moment_and_one_long_ago_are_not_told() {
        let later = at(&[(9, "i", "ledger"), (8, "h", "boils"), (7, "g", "loads")]);
        let of = |number, digest: &str| Moment(number, digest.to_owned());
        assert!(!later.stands_since(&of(8, "x"), &[]));
        assert!(!later.stands_since(&of(10, "j"), &[]));
        assert!(!later.stands_since(&of(6, "f"), &[]));
        assert!(later.stands_since(&of(7, "g"), &[]));
    }
}
