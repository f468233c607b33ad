//! What a file holds that another does not: what is missing once a backup was put in the place of the database, above which numbers
//! it goes on, and who had been forgotten meanwhile.

use super::restored_lost::{Missing, handed_on, lost_since};
use crate::store::restores::GapRow;
use crate::store::restores_held::{
    self as held, BlankedRow, ChainRow, EarlierRestore, ForgottenRow,
};
use crate::store::{Conn, Stored};
use crate::units::{LotCode, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

/// How far numbering goes on above a backup's own numbers where nobody can tell which were given after it.
const UNKNOWN: i64 = 100;

/// A table whose rows bear numbers that people know them by, and the season that these run in; 0: they run on.
type Sort = (String, i64);

/// The highest numbers that somebody knows to have been given, from paper that lies there. Each takes the place of what would be
/// guessed, or was guessed at an earlier restore.
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
    /// The lot code that was given last, in whatever season.
    pub lot: Option<LotCode>,
}

impl KnownNumbers {
    /// The year of the lot, of the century of the latest season: a code has but two digits of it.
    fn lot_year(&self, latest: i64) -> Option<i64> {
        let two: i64 = self.lot.as_ref()?.as_str().get(..2)?.parse().ok()?;
        let century = if latest > 0 { latest / 100 * 100 } else { 2000 };
        Some(century + two)
    }

    /// The number of a sort in the latest season of all; of lots, in the season of the one that is known.
    fn of(&self, (what, year): (&str, i64), latest: i64) -> Option<i64> {
        match what {
            "tickets" if year == latest => self.ticket,
            "boils" => self.lot.as_ref().and_then(|lot| place(lot, year)),
            "hand_overs" => self.receipt,
            "payments" => self.payment,
            "members" => self.member,
            _ => None,
        }
    }
}

/// What a file holds, as far as it is compared with another.
#[derive(Debug, Clone, Default)]
pub struct FileHolds {
    /// The last time at which somebody wrote something.
    pub until: Option<UtcSecond>,
    /// Everybody who was forgotten.
    pub forgotten: Vec<ForgottenRow>,
    /// The records that their names were taken out of.
    pub blanked: Vec<BlankedRow>,
    /// The numbers of rows, by what tells each from others.
    rows: BTreeMap<Sort, BTreeMap<String, i64>>,
    /// The highest number of each sort that is known to have been given.
    given: BTreeMap<Sort, i64>,
    /// The highest number of a sort that somebody guessed or typed.
    guessed: BTreeMap<Sort, i64>,
    /// Each record.
    chain: Vec<ChainRow>,
    /// What rows are called that others belong to, by their ids.
    called: BTreeMap<String, String>,
    /// Restores that it notes.
    earlier: Vec<EarlierRestore>,
    /// The year of the latest season; 0: there is none.
    latest: i64,
}

fn place(lot: &LotCode, year: i64) -> Option<i64> {
    lot.place(i32::try_from(year).ok()?).map(i64::from)
}

impl FileHolds {
    /// Reads it from a file.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn) -> Stored<Self> {
        let mut out = Self {
            until: held::written_until(conn).await?,
            forgotten: held::forgotten(conn).await?,
            blanked: held::blanked(conn).await?,
            chain: held::chain(conn).await?,
            called: held::called(conn).await?,
            earlier: held::earlier(conn).await?,
            latest: held::years(conn).await?.last().copied().unwrap_or(0),
            ..Self::default()
        };
        for what in ["hand_overs", "payments", "members"] {
            out.given.insert((what.to_owned(), 0), 0);
        }
        if out.latest > 0 {
            for what in ["tickets", "boils"] {
                out.given.insert((what.to_owned(), out.latest), 0);
            }
        }
        for (what, year, id, number) in held::numbered(conn).await? {
            if what == "members" || what == "recalls" {
                let name = what.trim_end_matches('s');
                out.called.insert(id.clone(), format!("{name} {number}"));
            }
            out.bears((what, year), id, number);
        }
        for (year, id, lot) in held::boils(conn).await? {
            out.called.insert(id.clone(), lot.to_string());
            let number = place(&lot, year).unwrap_or(0);
            out.bears(("boils".to_owned(), year), id, number);
        }
        for (what, year, known, guessed) in held::given_besides(conn).await? {
            let sort = (what, year);
            let given = out.given.entry(sort.clone()).or_default();
            *given = known.max(*given);
            let most = out.guessed.entry(sort).or_default();
            *most = guessed.max(*most);
        }
        Ok(out)
    }

    fn bears(&mut self, sort: Sort, id: String, number: i64) {
        let given = self.given.entry(sort.clone()).or_default();
        *given = number.max(*given);
        self.rows.entry(sort).or_default().insert(id, number);
    }

    fn given(&self, sort: &Sort) -> i64 {
        self.given.get(sort).copied().unwrap_or(0)
    }

    /// Above which number a sort goes on in this file.
    fn goes_on(&self, sort: &Sort) -> i64 {
        let guessed = self.guessed.get(sort).copied().unwrap_or(0);
        guessed.max(self.given(sort))
    }

    /// Whether the two hold the same record under a number.
    pub fn has_record(&self, number: i64, digest: &str) -> bool {
        let found = self.chain.binary_search_by_key(&number, |r| r.number);
        found.is_ok_and(|at| self.chain[at].digest == digest)
    }

    /// The records after the last one that is in the other file as well.
    fn since(&self, other: &Self) -> &[ChainRow] {
        let common = |r: &ChainRow| other.has_record(r.number, &r.digest);
        let first = self.chain.iter().rposition(common).map_or(0, |at| at + 1);
        self.chain.get(first..).unwrap_or_default()
    }

    /// What `old`, the file that is set aside, holds and this backup does not, and above which numbers it goes on; or why the other
    /// file was not read.
    pub fn missing(&self, old: Result<&Self, &str>, known: &KnownNumbers) -> Missing {
        let held = old.map_or(0, |old| old.latest).max(self.latest);
        let lot_year = known.lot_year(held);
        let latest = lot_year.map_or(held, |year| year.max(held));
        let no_season = known.ticket.is_some() && latest == 0;
        let lot = lot_year.map(|year| ("boils".to_owned(), year));
        let ticket = known.ticket.map(|_| ("tickets".to_owned(), latest));
        let typed: Vec<Sort> = lot
            .into_iter()
            .chain(ticket.filter(|_| latest > 0))
            .collect();
        let old = match old {
            Ok(old) => old,
            Err(why) => {
                return Missing {
                    gaps: self.gaps_unknown(known, latest, &typed),
                    unread: why.to_owned(),
                    no_season,
                    ..Missing::default()
                };
            }
        };
        let sorts: BTreeSet<&Sort> = self.given.keys().chain(old.given.keys()).collect();
        let sorts: BTreeSet<&Sort> = sorts.into_iter().chain(&typed).collect();
        let gaps = sorts
            .into_iter()
            .filter_map(|sort| self.gap_of(old, sort, known.of((&sort.0, sort.1), latest)))
            .collect();
        let missing = Missing {
            gaps,
            lost: lost_since(old.since(self), &old.called),
            no_season,
            ..Missing::default()
        };
        let unknown = |e: &&EarlierRestore| !self.notes(e);
        let earlier: Vec<&EarlierRestore> = old.earlier.iter().filter(unknown).collect();
        let until = self.until.map_or(i64::MIN, UtcSecond::get);
        handed_on(missing, &earlier, (self.since(old).is_empty(), until))
    }

    /// Whether it notes a restore that another file notes.
    fn notes(&self, other: &EarlierRestore) -> bool {
        let same = |e: &EarlierRestore| (e.number, e.at) == (other.number, other.at);
        self.earlier.iter().any(same)
    }

    /// What is missing of one sort of rows; `None`: nothing, and it goes on as in this backup.
    fn gap_of(&self, old: &Self, sort: &Sort, known: Option<i64>) -> Option<GapRow> {
        let own = self.rows.get(sort);
        let theirs = old.rows.get(sort).into_iter().flatten();
        let here = |id: &str| own.is_some_and(|own| own.contains_key(id));
        let lost = theirs.filter(|(id, _)| !here(id));
        let lost: Vec<i64> = lost.map(|(_, number)| *number).collect();
        let given = match known {
            Some(known) => known.max(old.given(sort)).max(self.given(sort)),
            None => old.goes_on(sort).max(self.goes_on(sort)),
        };
        let says = !lost.is_empty() || known.is_some() || given != self.goes_on(sort);
        says.then(|| GapRow {
            what: sort.0.clone(),
            year: sort.1,
            missing: i64::try_from(lost.len()).unwrap_or(i64::MAX),
            first: lost.iter().min().copied(),
            last: lost.iter().max().copied(),
            given: Some(given),
        })
    }

    /// Where nobody can tell what is missing: numbering goes on above what somebody knows, or far enough above the backup's own.
    fn gaps_unknown(&self, known: &KnownNumbers, latest: i64, typed: &[Sort]) -> Vec<GapRow> {
        let current =
            |(what, year): &&Sort| what != "recalls" && (*year == 0 || *year == self.latest);
        let own = self.given.keys().filter(current);
        let sorts: BTreeSet<&Sort> = own.chain(typed).collect();
        let gap = |sort: &Sort| GapRow {
            what: sort.0.clone(),
            year: sort.1,
            missing: 0,
            first: None,
            last: None,
            given: Some(match known.of((sort.0.as_str(), sort.1), latest) {
                Some(known) => known.max(self.given(sort)),
                None => self.goes_on(sort) + UNKNOWN,
            }),
        };
        sorts.into_iter().map(gap).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::restored_words::gap_says;

    fn held(tickets: &[(&str, i64)], lots: i64) -> FileHolds {
        let mut held = FileHolds {
            latest: 2026,
            ..FileHolds::default()
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
            let gaps = backup.missing(Err("it is damaged"), known).gaps;
            gaps.iter().map(gap_says).collect()
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
    fn a_lot_of_another_season_is_taken_and_tickets_of_none_are_not() {
        let backup = held(&[("a", 1)], 3);
        let known = KnownNumbers {
            lot: LotCode::nth(2025, 9).ok(),
            ..KnownNumbers::default()
        };
        let gaps = backup.missing(Err("gone"), &known).gaps;
        let of_2025 = gaps.iter().find(|gap| gap.year == 2025);
        assert_eq!(of_2025.and_then(|gap| gap.given), Some(9));
        let known = KnownNumbers {
            ticket: Some(9),
            ..KnownNumbers::default()
        };
        assert!(FileHolds::default().missing(Err("gone"), &known).no_season);
    }

    #[test]
    fn what_somebody_knows_takes_the_place_of_a_guess_but_not_of_what_was_given() {
        let sort = ("tickets".to_owned(), 2026);
        let backup = held(&[("a", 40)], 0);
        let mut old = backup.clone();
        old.guessed.insert(sort, 140);
        let next = |old: &FileHolds, ticket| {
            let known = KnownNumbers {
                ticket,
                ..KnownNumbers::default()
            };
            let gaps = backup.missing(Ok(old), &known).gaps;
            let found = gaps.into_iter().find(|gap| gap.what == "tickets");
            found.and_then(|gap| gap.given)
        };
        assert_eq!(next(&old, None), Some(140));
        assert_eq!(next(&old, Some(55)), Some(55));
        assert_eq!(next(&old, Some(7)), Some(40));
        assert_eq!(next(&backup, None), None);
    }

    #[test]
    fn the_place_of_a_code_is_that_at_which_it_was_given() {
        for n in [1, 2, 40, 3000] {
            assert_eq!(LotCode::nth(2026, n).unwrap().place(2026), Some(n));
        }
        assert_eq!(LotCode::nth(2026, 1).unwrap().place(2027), None);
    }
}
