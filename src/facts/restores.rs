//! What a file holds that another does not: what is missing once a backup was put in the place of the database, above which numbers
//! it goes on, and who had been forgotten meanwhile.

use super::restored_words::told;
use crate::store::restores::{self, ChainRow, ForgottenRow, GapRow};
use crate::store::{Conn, Stored};
use crate::units::{LotCode, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

/// How far numbering goes on above a backup's own numbers where nobody can tell which were given after it.
const UNKNOWN: i64 = 100;

/// A table whose rows bear numbers that people know them by, and the season that these run in; 0: they run on.
type Sort = (String, i64);

/// The highest numbers that somebody knows to have been given, from paper that lies there.
#[derive(Debug, Clone, Default)]
pub struct KnownNumbers {
    /// Of tickets, in the latest season.
    pub ticket: Option<i64>,
    /// Of receipts of jars.
    pub receipt: Option<i64>,
    /// Of receipts of money.
    pub payment: Option<i64>,
    /// Of members.
    pub member: Option<i64>,
    /// The lot code that was given last.
    pub lot: Option<LotCode>,
}

impl KnownNumbers {
    /// The number of a sort in the latest season of all.
    fn of(&self, (what, year): (&str, i64), latest: i64) -> Option<i64> {
        match what {
            "tickets" if year == latest => self.ticket,
            "boils" if year == latest => self.lot.as_ref().and_then(|lot| place(lot, year)),
            "hand_overs" => self.receipt,
            "payments" => self.payment,
            "members" => self.member,
            _ => None,
        }
    }
}

/// What a file holds, as far as it is compared with another.
#[derive(Debug, Clone, Default)]
pub struct Held {
    /// The last time at which somebody wrote something.
    pub until: Option<UtcSecond>,
    /// Everybody who was forgotten.
    pub forgotten: Vec<ForgottenRow>,
    /// The numbers of rows, by what tells each from others.
    rows: BTreeMap<Sort, BTreeMap<String, i64>>,
    /// The highest number that was given of each sort.
    given: BTreeMap<Sort, i64>,
    /// Each record.
    chain: Vec<ChainRow>,
    /// The year of the latest season; 0: there is none.
    latest: i64,
}

fn place(lot: &LotCode, year: i64) -> Option<i64> {
    lot.place(i32::try_from(year).ok()?).map(i64::from)
}

impl Held {
    /// Reads it from a file.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn) -> Stored<Self> {
        let mut held = Self {
            until: restores::written_until(conn).await?,
            forgotten: restores::forgotten(conn).await?,
            chain: restores::chain(conn).await?,
            latest: restores::years(conn).await?.last().copied().unwrap_or(0),
            ..Self::default()
        };
        for what in ["hand_overs", "payments", "members"] {
            held.given.insert((what.to_owned(), 0), 0);
        }
        if held.latest > 0 {
            for what in ["tickets", "boils"] {
                held.given.insert((what.to_owned(), held.latest), 0);
            }
        }
        for (what, year, id, number) in restores::numbered(conn).await? {
            held.bears((what, year), id, number);
        }
        for (year, id, lot) in restores::boils(conn).await? {
            held.bears(
                ("boils".to_owned(), year),
                id,
                place(&lot, year).unwrap_or(0),
            );
        }
        for (what, year, number) in restores::given_besides(conn).await? {
            let given = held.given.entry((what, year)).or_default();
            *given = number.max(*given);
        }
        Ok(held)
    }

    fn bears(&mut self, sort: Sort, id: String, number: i64) {
        let given = self.given.entry(sort.clone()).or_default();
        *given = number.max(*given);
        self.rows.entry(sort).or_default().insert(id, number);
    }

    /// How many rows of each table were made after the last record that is in the other file as well.
    fn made_since(&self, other: &Self) -> BTreeMap<&str, i64> {
        let theirs: BTreeSet<(i64, &str)> =
            other.chain.iter().map(|r| (r.0, r.1.as_str())).collect();
        let mut own = self.chain.iter();
        let common = own.rposition(|r| theirs.contains(&(r.0, r.1.as_str())));
        let since = self.chain.iter().skip(common.map_or(0, |last| last + 1));
        let mut made = BTreeMap::new();
        for (_, _, what, _) in since.filter(|record| record.3) {
            *made.entry(what.as_str()).or_default() += 1;
        }
        made
    }

    /// What `old`, the file that is set aside, holds and this backup does not, and above which numbers it goes on; `None`: the
    /// other file was not read.
    pub fn gaps(&self, old: Option<&Self>, known: &KnownNumbers) -> Vec<GapRow> {
        let Some(old) = old else {
            return self.gaps_unknown(known);
        };
        let sorts: BTreeSet<&Sort> = self.given.keys().chain(old.given.keys()).collect();
        let latest = self.latest.max(old.latest);
        let numbered = sorts.into_iter().filter_map(|sort| {
            let known = known.of((sort.0.as_str(), sort.1), latest).unwrap_or(0);
            self.gap_of(old, sort, known)
        });
        let made = old.made_since(self).into_iter();
        let others = made
            .filter(|(what, _)| told(what))
            .map(|(what, missing)| GapRow {
                what: what.to_owned(),
                year: 0,
                missing,
                first: None,
                last: None,
                given: None,
            });
        numbered.chain(others).collect()
    }

    /// What is missing of one sort of rows; `None`: nothing, and no number was given that is not in this backup.
    fn gap_of(&self, old: &Self, sort: &Sort, known: i64) -> Option<GapRow> {
        let own = self.rows.get(sort);
        let theirs = old.rows.get(sort).into_iter().flatten();
        let here = |id: &str| own.is_some_and(|own| own.contains_key(id));
        let lost = theirs.filter(|(id, _)| !here(id));
        let lost: Vec<i64> = lost.map(|(_, number)| *number).collect();
        let of = |held: &Self| held.given.get(sort).copied().unwrap_or(0);
        let given = of(old).max(known).max(of(self));
        (!lost.is_empty() || given > of(self)).then(|| GapRow {
            what: sort.0.clone(),
            year: sort.1,
            missing: i64::try_from(lost.len()).unwrap_or(i64::MAX),
            first: lost.iter().min().copied(),
            last: lost.iter().max().copied(),
            given: Some(given),
        })
    }

    /// Where nobody can tell what is missing: numbering goes on above what somebody knows, or far enough above the backup's own.
    fn gaps_unknown(&self, known: &KnownNumbers) -> Vec<GapRow> {
        let sorts = self.given.iter();
        let current = sorts
            .filter(|((what, year), _)| what != "recalls" && (*year == 0 || *year == self.latest));
        let gap = |((what, year), own): (&Sort, &i64)| GapRow {
            what: what.clone(),
            year: *year,
            missing: 0,
            first: None,
            last: None,
            given: Some(match known.of((what.as_str(), *year), self.latest) {
                Some(known) => known.max(*own),
                None => own + UNKNOWN,
            }),
        };
        current.map(gap).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::restored_words::gap_says;

    fn held(tickets: &[(&str, i64)], lots: i64) -> Held {
        let mut held = Held {
            latest: 2026,
            ..Held::default()
        };
        for (id, number) in tickets {
            held.bears(("tickets".to_owned(), 2026), (*id).to_owned(), *number);
        }
        for n in 1..=lots {
            held.bears(("boils".to_owned(), 2026), format!("b{n}"), n);
        }
        held
    }

    #[test]
    fn where_nothing_is_known_numbers_go_on_a_hundred_higher_or_above_what_somebody_knows() {
        let backup = held(&[("a", 1), ("b", 7)], 3);
        let next = |known: &KnownNumbers| -> Vec<String> {
            backup.gaps_unknown(known).iter().map(gap_says).collect()
        };
        let far = LotCode::nth(2026, 104).unwrap();
        assert_eq!(
            next(&KnownNumbers::default()),
            [
                format!("lots of 2026: the next is {far}"),
                "tickets of 2026: the next is 108".to_owned()
            ]
        );
        let known = KnownNumbers {
            ticket: Some(12),
            lot: LotCode::nth(2026, 5).ok(),
            ..KnownNumbers::default()
        };
        let sixth = LotCode::nth(2026, 6).unwrap();
        assert_eq!(
            next(&known),
            [
                format!("lots of 2026: the next is {sixth}"),
                "tickets of 2026: the next is 13".to_owned()
            ]
        );
    }

    #[test]
    fn the_place_of_a_code_is_that_at_which_it_was_given() {
        for n in [1, 2, 40, 3000] {
            assert_eq!(LotCode::nth(2026, n).unwrap().place(2026), Some(n));
        }
        assert_eq!(LotCode::nth(2026, 1).unwrap().place(2027), None);
    }
}
