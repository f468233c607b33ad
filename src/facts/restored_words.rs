//! What was missing after a backup was put in the place of the database, in words.

use crate::store::restores::{GapRow, LostRow};
use crate::units::{LotCode, count_of};

/// Tables in words, the gravest first: what is told after a restore comes in this order.
const TABLES: [(&str, &str); 92] = [
    ("lot_holds", "held lots"),
    ("recalls", "recalls"),
    ("recall_jars", "jars asked after in a recall"),
    ("recall_calls", "calls of a recall"),
    ("recall_found", "jars that a recall found"),
    ("recall_ends", "ends of recalls"),
    ("lot_complaints", "complaints about lots"),
    ("season_locks", "locks of seasons, or lifted ones"),
    ("rules_confirmed", "confirmed rules"),
    ("season_rules", "versions of the rules"),
    ("rules_days", "days from which rules hold"),
    ("rules_not_voted", "rules that were not voted on"),
    ("season_weights", "weights of rules"),
    ("jar_sizes", "sizes of jars"),
    ("boil_rules", "boils moved to other rules"),
    ("losses", "losses"),
    ("loss_changes", "changes of losses"),
    ("corrections", "lots opened for a correction"),
    ("divisions", "divisions"),
    ("shares", "shares of divisions"),
    ("share_wishes", "wishes in divisions"),
    ("share_jars", "jars in divisions"),
    ("ledger", "lines of the ledger"),
    ("payments", "receipts of money"),
    ("hours", "hours worked"),
    ("hand_overs", "receipts of jars"),
    ("hand_over_jars", "jars handed over, by lot and size"),
    ("settled_jars", "debts settled in jars"),
    ("jar_moves", "jars broken or brought back"),
    ("empty_jars", "counts of empty jars"),
    ("members", "members"),
    ("member_names", "members’ names"),
    ("household", "notes on who acts for a card"),
    ("accounts", "names and passphrases to sign in with"),
    ("second_factors", "second factors"),
    ("recovery_codes", "recovery codes"),
    ("station_pins", "PINs"),
    ("invites", "invitations"),
    ("sessions", "sign-ins"),
    ("stations", "stations"),
    ("feeds", "calendar addresses"),
    ("coop", "the co-op’s card"),
    ("seasons", "seasons"),
    ("scales", "scales"),
    ("vessels", "vessels"),
    ("pans", "pans"),
    ("colours", "colours of the card"),
    ("jar_tares", "empty weights of jars"),
    ("probes", "probes"),
    ("probe_offsets", "corrections of probes"),
    ("press_days", "press days"),
    ("day_changes", "changes of press days"),
    ("day_change_turns", "turns moved with a day"),
    ("standstills", "standstills"),
    ("opening_checks", "opening checks"),
    ("tickets", "tickets"),
    ("loads", "loads on the scale"),
    ("ticket_moves", "tickets moved to another day"),
    ("ticket_ends", "ends of tickets"),
    ("trash_samples", "samples of trash"),
    ("juices", "vessels of juice"),
    ("juice_measures", "measures of juice"),
    ("second_readings", "second readings"),
    ("juice_losses", "lost juice"),
    ("boils", "lots"),
    ("draws", "pours into boils"),
    ("boil_readings", "readings of boils"),
    ("additions", "additions to boils"),
    ("finishes", "finishes of boils"),
    ("fills", "fills of jars"),
    ("jar_checks", "checks of jars"),
    ("jar_weights", "jars weighed"),
    ("lot_looks", "looks at lots"),
    ("turns", "turns"),
    ("turn_events", "notes on turns"),
    ("waiting", "places on waiting lists"),
    ("offers", "offers"),
    ("offer_plantings", "cane of offers"),
    ("plantings", "plantings"),
    ("planting_versions", "details of plantings"),
    ("possible_days", "possible days"),
    ("day_answers", "answers on possible days"),
    ("member_jar_wishes", "wishes for jars"),
    ("member_tasks", "members’ tasks"),
    ("roster", "lines of rosters"),
    ("season_frosts", "frosts"),
    ("frost_forecasts", "frost forecasts"),
    (
        "forbidden_days",
        "notes on days on which nothing is to be proposed",
    ),
    ("typed_in", "notes on who keyed in from paper"),
    ("notices", "notices"),
    ("letters", "letters"),
    ("forgotten", "forgotten members"),
];

/// Tables whose rows bear numbers that people know them by.
const NUMBERED: [&str; 6] = [
    "tickets",
    "boils",
    "hand_overs",
    "payments",
    "members",
    "recalls",
];

/// Tables in which the program notes how the file is kept, and what it took out of records: nobody typed that.
const OF_THE_FILE: [&str; 7] = [
    "forgotten_rows",
    "restore_forgotten",
    "restore_gaps",
    "restore_lost",
    "restores",
    "restores_read",
    "upkeep",
];

/// Tables of what lets somebody in, or a device: what was changed or ended since a backup holds again as it was.
const KEYS: [&str; 9] = [
    "accounts",
    "second_factors",
    "recovery_codes",
    "station_pins",
    "invites",
    "sessions",
    "stations",
    "feeds",
    "probes",
];

/// Tables whose rows make syrup fit to leave the mill or not.
const OF_FOOD_SAFETY: [&str; 7] = [
    "lot_holds",
    "recalls",
    "recall_jars",
    "recall_calls",
    "recall_found",
    "recall_ends",
    "lot_complaints",
];

pub(super) fn is_numbered(what: &str) -> bool {
    NUMBERED.contains(&what)
}

pub(super) fn is_of_the_file(what: &str) -> bool {
    OF_THE_FILE.contains(&what)
}

/// The place of a table among all, the gravest first.
pub(super) fn rank(what: &str) -> usize {
    let found = TABLES.iter().position(|(table, _)| *table == what);
    found.unwrap_or(TABLES.len())
}

/// What a table holds, in words: "lines of the ledger"; its own name where it has none.
pub(super) fn table_says(what: &str) -> String {
    let own = TABLES.iter().find(|(table, _)| *table == what);
    own.map_or_else(|| what.replace('_', " "), |(_, words)| (*words).to_owned())
}

/// A sort of rows in words: "tickets of 2026".
pub fn sort_says(gap: &GapRow) -> String {
    let words = table_says(&gap.what);
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

/// What became of other rows that are missing, in a sentence: "hours worked: 2 were added (2026)."
pub fn lost_says(lost: &LostRow) -> String {
    let about = match lost.about.as_str() {
        "" => String::new(),
        about => format!(" ({about})"),
    };
    if lost.what == "lot_holds" {
        return hold_says(&lost.op, &about);
    }
    let done = match lost.op.as_str() {
        "made" => "added",
        "changed" => "changed",
        "removed" => "taken away or ended",
        _ => "added and taken away again",
    };
    let sums = count_of(lost.many, "was", "were");
    let again = if KEYS.contains(&lost.what.as_str())
        && ["changed", "removed"].contains(&lost.op.as_str())
    {
        "; what held before holds again"
    } else {
        ""
    };
    let what = match lost.what.as_str() {
        "members" => "members’ cards".to_owned(),
        other => table_says(other),
    };
    format!("{what}: {sums} {done}{about}{again}.")
}

/// The sentence on lots that were held or released since.
fn hold_says(op: &str, about: &str) -> String {
    match op {
        "made" => format!(
            "Lots were held{about} and are NOT held in this book: hold them again before a jar of them leaves the mill."
        ),
        "removed" => format!(
            "Held lots were released{about} and are held again in this book: release them once it is sure that they may go."
        ),
        "changed" => format!(
            "Held lots were released and held anew{about}: in this book the earlier hold stands."
        ),
        _ => format!(
            "Lots were held and released again{about}: nothing of that stands in this book."
        ),
    }
}

/// Of what is missing, in sentences: first what makes jars fit to leave or not, which of numbered rows, then all else.
#[derive(Debug, Clone, Default)]
pub struct MissingWords {
    /// Sentences on held lots, recalls and complaints.
    pub grave: Vec<String>,
    /// Numbered rows that are missing.
    pub numbered: Vec<GapRow>,
    /// Sentences on all else.
    pub others: Vec<String>,
    /// Numbered rows of which none is known to be missing, but above which others go on than the backup's own.
    pub go_on: Vec<GapRow>,
}

impl MissingWords {
    /// Puts it in order.
    pub fn new(gaps: &[GapRow], lost: &[LostRow]) -> Self {
        let mut sorted: Vec<&LostRow> = lost.iter().collect();
        sorted.sort_by_key(|lost| rank(&lost.what));
        let grave = |what: &str| OF_FOOD_SAFETY.contains(&what);
        let recalls = gaps
            .iter()
            .filter(|gap| grave(&gap.what) && gap.missing > 0);
        let recalls = recalls.map(|gap| {
            format!(
                "{}: jars of those lots may still be with people.",
                gap_says(gap)
            )
        });
        let (first, rest): (Vec<&LostRow>, Vec<&LostRow>) =
            sorted.into_iter().partition(|lost| grave(&lost.what));
        let (missing, go_on): (Vec<GapRow>, Vec<GapRow>) =
            gaps.iter().cloned().partition(|gap| gap.missing > 0);
        let says = |lost: Vec<&LostRow>| lost.into_iter().map(lost_says).collect::<Vec<String>>();
        Self {
            grave: says(first).into_iter().chain(recalls).collect(),
            numbered: missing
                .into_iter()
                .filter(|gap| !grave(&gap.what))
                .collect(),
            others: says(rest),
            go_on,
        }
    }

    /// Whether nothing is known to be missing.
    pub fn nothing(&self) -> bool {
        self.grave.is_empty() && self.numbered.is_empty() && self.others.is_empty()
    }
}

/// The sentence on passphrases, where one was chosen since the backup, or may have been; the page to sign in says it as well.
pub fn keys_say(unread: &str, lost: &[LostRow]) -> Option<&'static str> {
    let chosen = |lost: &LostRow| ["accounts", "second_factors"].contains(&lost.what.as_str());
    (!unread.is_empty() || lost.iter().any(chosen)).then_some(
        "Passphrases and codes are those of the backup: one that was chosen since does not hold, the one before it does. The page to sign \
         in says so for two months.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::records::COVERED;

    #[test]
    fn every_table_that_is_covered_is_told_in_words_or_is_of_the_file_itself() {
        for table in COVERED {
            assert_ne!(rank(table) < TABLES.len(), is_of_the_file(table), "{table}");
        }
        assert_eq!(TABLES.len() + OF_THE_FILE.len(), COVERED.len());
        for table in NUMBERED.iter().chain(&KEYS).chain(&OF_FOOD_SAFETY) {
            assert!(rank(table) < TABLES.len(), "{table}");
        }
    }

    #[test]
    fn held_lots_and_recalls_are_told_before_all_else_and_a_nought_is_told_apart() {
        let lost = |what: &str, op: &str, about: &str| LostRow {
            what: what.to_owned(),
            op: op.to_owned(),
            about: about.to_owned(),
            many: 1,
        };
        let gap = |what: &str, missing| GapRow {
            what: what.to_owned(),
            year: 0,
            missing,
            first: (missing > 0).then_some(2),
            last: (missing > 0).then_some(2),
            given: Some(40),
        };
        let told = MissingWords::new(
            &[gap("members", 0), gap("recalls", 1), gap("payments", 1)],
            &[
                lost("accounts", "changed", "member 7"),
                lost("lot_holds", "made", "26002-M"),
                lost("season_locks", "made", "2026"),
            ],
        );
        assert!(told.grave[0].contains("Lots were held (26002-M) and are NOT held"));
        assert!(told.grave[1].contains("recalls: 1 is missing (2)"));
        assert_eq!(
            told.others,
            [
                "locks of seasons, or lifted ones: 1 was added (2026).",
                "names and passphrases to sign in with: 1 was changed (member 7); what held before holds again."
            ]
        );
        assert_eq!(told.numbered.len(), 1);
        assert_eq!(gap_says(&told.go_on[0]), "members: the next is 41");
        assert!(MissingWords::new(&[gap("members", 0)], &[]).nothing());
    }
}
