//! What was written into a file after the last record that a backup knows as well, and what earlier restores had told that the backup
//! does not know of.

use super::restored_words::{is_numbered, is_of_the_file, rank};
use crate::store::restores::{GapRow, LostRow};
use crate::store::restores_held::{ChainRow, EarlierRestore};
use crate::units::{UtcSecond, Zone};
use std::collections::{BTreeMap, BTreeSet};

/// Most characters of what rows belong to, as it is kept: some hundred lot codes.
const ABOUT_MOST: usize = 900;

/// What is missing after a restore.
#[derive(Debug, Clone, Default)]
pub struct Missing {
    /// Of rows that bear numbers, and above which numbers they go on.
    pub gaps: Vec<GapRow>,
    /// Whatever else was written.
    pub lost: Vec<LostRow>,
    /// Why it is not known what an earlier file held; empty: it is.
    pub unread: String,
    /// Whether a number of tickets that somebody knows was not taken, since no season is known.
    pub no_season: bool,
}

/// What became of one row: what was done to it first and last, and what it belongs to.
struct Became<'a> {
    first: &'a str,
    last: &'a str,
    about: Option<&'a str>,
}

impl Became<'_> {
    fn op(&self) -> &'static str {
        match (self.first, self.last) {
            ("made", "removed") => "undone",
            ("made", _) => "made",
            (_, "removed") => "removed",
            _ => "changed",
        }
    }
}

/// What became of rows, by table, from the records in which it was written. Left out are what the file notes of itself; the rows that
/// were made and bear numbers, which are told by those; and what a forgetting changed, since that is done again.
pub(super) fn lost_since(since: &[ChainRow], called: &BTreeMap<String, String>) -> Vec<LostRow> {
    let mut rows: BTreeMap<(&str, &str), Became<'_>> = BTreeMap::new();
    let mut forgetting = None;
    for record in since {
        let act = (record.by_id.as_deref(), record.at);
        if record.what == "forgotten" {
            forgetting = Some(act);
        }
        if forgetting.is_some_and(|forgot| forgot == act) {
            continue;
        }
        forgetting = None;
        if record.op == "found" || is_of_the_file(&record.what) {
            continue;
        }
        let about = record.about.as_deref();
        // Of a lot only the last hold or release counts.
        let (key, op) = match record.held {
            Some(1) => (about.unwrap_or_default(), "made"),
            Some(_) => (about.unwrap_or_default(), "removed"),
            None => (record.key.as_str(), record.op.as_str()),
        };
        let row = rows.entry((record.what.as_str(), key));
        let became = row.or_insert(Became {
            first: op,
            last: op,
            about,
        });
        (became.last, became.about) = (op, about);
    }
    let mut sums: BTreeMap<(usize, &str, &str), (i64, BTreeSet<&str>)> = BTreeMap::new();
    for ((what, _), became) in &rows {
        if is_numbered(what) && ["made", "undone"].contains(&became.op()) {
            continue;
        }
        let sum = sums.entry((rank(what), what, became.op())).or_default();
        sum.0 += 1;
        let named = became.about.and_then(|id| called.get(id));
        sum.1.extend(named.map(String::as_str));
    }
    let lost = sums
        .into_iter()
        .map(|((_, what, op), (many, about))| LostRow {
            what: what.to_owned(),
            op: op.to_owned(),
            about: joined(about),
            many,
        });
    lost.collect()
}

/// What rows belong to, shortest first, so that member 2 stands before member 10; not longer than is kept.
fn joined(all: BTreeSet<&str>) -> String {
    let mut all: Vec<&str> = all.into_iter().collect();
    all.sort_by_key(|text| (text.chars().count(), *text));
    let mut out = String::new();
    for (at, text) in all.iter().enumerate() {
        if out.chars().count() + text.chars().count() > ABOUT_MOST {
            return format!("{out} and {} more", all.len() - at);
        }
        if at > 0 {
            out.push_str(", ");
        }
        out.push_str(text);
    }
    out
}

/// Adds what earlier restores had told that the backup does not know of. `whole`: the file set aside holds all that the backup does,
/// so that whatever was missing in it is missing still; `until`: when the backup was last written to, seconds.
pub(super) fn handed_on(
    mut missing: Missing,
    earlier: &[&EarlierRestore],
    (whole, until): (bool, i64),
) -> Missing {
    for restore in earlier {
        if whole {
            for gap in restore.gaps.iter().filter(|gap| gap.missing > 0) {
                add_gap(&mut missing.gaps, gap);
            }
            for lost in &restore.lost {
                add_lost(&mut missing.lost, lost);
            }
        }
        let when = shown(restore.at);
        let unread = if restore.unread.is_empty() {
            if whole || restore.lost_until.is_none_or(|lost| lost <= until) {
                continue;
            }
            format!(
                "the one set aside was itself put back from a backup at {when}, and what was missing then is told in it alone"
            )
        } else if restore.lost_until.is_none() {
            format!(
                "{}, when a backup was put in its place at {when}",
                restore.unread
            )
        } else {
            restore.unread.clone()
        };
        missing.unread = unread;
    }
    missing.lost.sort_by_key(|lost| rank(&lost.what));
    missing
}

fn shown(at: i64) -> String {
    Zone::parse("UTC").map_or_else(
        |_| at.to_string(),
        |utc| format!("{} UTC", utc.show(UtcSecond::new(at))),
    )
}

/// Adds what was missing of one sort before: no number is counted twice, should one have been given anew in between.
fn add_gap(gaps: &mut Vec<GapRow>, more: &GapRow) {
    let same = |gap: &&mut GapRow| (&gap.what, gap.year) == (&more.what, more.year);
    let Some(gap) = gaps.iter_mut().find(same) else {
        return gaps.push(more.clone());
    };
    gap.first = gap.first.into_iter().chain(more.first).min();
    gap.last = gap.last.max(more.last);
    gap.given = gap.given.max(more.last);
    let span = gap
        .first
        .zip(gap.last)
        .map(|(first, last)| last - first + 1);
    gap.missing = (gap.missing + more.missing).min(span.unwrap_or(i64::MAX));
}

fn add_lost(lost: &mut Vec<LostRow>, more: &LostRow) {
    let same = |row: &&mut LostRow| (&row.what, &row.op) == (&more.what, &more.op);
    let Some(row) = lost.iter_mut().find(same) else {
        return lost.push(more.clone());
    };
    let both = row.about.split(", ").chain(more.about.split(", "));
    let both = joined(both.filter(|text| !text.is_empty()).collect());
    (row.about, row.many) = (both, row.many + more.many);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(number: i64, what: &str, op: &str, key: &str, about: &str) -> ChainRow {
        ChainRow {
            number,
            what: what.to_owned(),
            op: op.to_owned(),
            key: key.to_owned(),
            about: Some(about.to_owned()),
            ..ChainRow::default()
        }
    }

    fn said(since: &[ChainRow]) -> Vec<String> {
        let called = [("b1", "26002-M"), ("m7", "member 7"), ("m10", "member 10")];
        let called = called.map(|(id, name)| (id.to_owned(), name.to_owned()));
        let rows = lost_since(since, &called.into());
        let says = |row: &LostRow| format!("{} {} {} ({})", row.many, row.what, row.op, row.about);
        rows.iter().map(says).collect()
    }

    #[test]
    fn each_row_counts_once_by_what_became_of_it_and_a_hold_stands_first() {
        let hold = |number, held| ChainRow {
            held: Some(held),
            ..record(number, "lot_holds", "made", &format!("[{number}]"), "b1")
        };
        let since = [
            record(1, "upkeep", "made", "u", "u"),
            record(2, "members", "changed", "m10", "m10"),
            record(3, "members", "changed", "m7", "m7"),
            record(4, "members", "changed", "m7", "m7"),
            record(5, "members", "made", "m8", "m8"),
            record(6, "sessions", "removed", "s1", "m7"),
            record(7, "sessions", "made", "s2", "m7"),
            record(8, "sessions", "removed", "s2", "m7"),
            hold(9, 1),
        ];
        assert_eq!(
            said(&since),
            [
                "1 lot_holds made (26002-M)",
                "2 members changed (member 7, member 10)",
                "1 sessions removed (member 7)",
                "1 sessions undone (member 7)",
            ]
        );
        let released = [hold(1, 1), hold(2, 0)];
        assert_eq!(said(&released), ["1 lot_holds undone (26002-M)"]);
        assert!(said(&since[..1]).is_empty());
    }

    #[test]
    fn what_a_forgetting_changed_is_not_told_but_what_follows_is() {
        let by = |at: i64, record: ChainRow| ChainRow {
            by_id: Some("m1".to_owned()),
            at: Some(at),
            ..record
        };
        let since = [
            by(5, record(1, "members", "changed", "m7", "m7")),
            by(9, record(2, "forgotten", "made", "m7", "m7")),
            by(9, record(3, "accounts", "removed", "m7", "m7")),
            by(12, record(4, "hours", "made", "h", "m10")),
        ];
        assert_eq!(
            said(&since),
            ["1 hours made (member 10)", "1 members changed (member 7)"]
        );
    }

    #[test]
    fn a_file_that_was_itself_put_back_hands_on_what_was_missing_and_what_is_not_known() {
        let gap = |missing, first, last| GapRow {
            what: "tickets".to_owned(),
            year: 2026,
            missing,
            first,
            last,
            given: last,
        };
        let unread = EarlierRestore {
            unread: "there was no database in its place".to_owned(),
            gaps: vec![gap(0, None, Some(107))],
            ..EarlierRestore::default()
        };
        let read = EarlierRestore {
            lost_until: Some(50),
            gaps: vec![gap(3, Some(120), Some(122))],
            ..EarlierRestore::default()
        };
        let own = || Missing {
            gaps: vec![gap(1, Some(120), Some(120))],
            ..Missing::default()
        };
        let both = handed_on(own(), &[&unread, &read], (true, 10));
        assert!(
            both.unread
                .contains("there was no database in its place, when")
        );
        assert_eq!(both.gaps, [gap(3, Some(120), Some(122))]);
        // Another backup may hold what was missing: only that it is not known is handed on.
        let other = handed_on(own(), &[&read], (false, 10));
        assert_eq!(other.gaps, own().gaps);
        assert!(other.unread.contains("itself put back from a backup"));
        assert!(handed_on(own(), &[&read], (false, 60)).unread.is_empty());
    }
}
