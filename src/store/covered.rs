//! Which tables the records cover, which they leave out and why, and the columns that pass. Which are quiet, so that nothing kept
//! from page to page rests on them, says the column `records.quiet` (migration 0079).

/// The tables that are covered, in the order that records are looked over.
pub const COVERED: [&str; 99] = [
    "coop",
    "members",
    "member_names",
    "household",
    "member_jar_wishes",
    "accounts",
    "station_pins",
    "seasons",
    "season_rules",
    "season_weights",
    "jar_sizes",
    "rules_confirmed",
    "rules_days",
    "rules_not_voted",
    "season_locks",
    "scales",
    "vessels",
    "pans",
    "press_days",
    "opening_checks",
    "tickets",
    "loads",
    "ticket_moves",
    "ticket_ends",
    "juices",
    "juice_measures",
    "juice_losses",
    "boils",
    "boil_rules",
    "draws",
    "boil_readings",
    "additions",
    "finishes",
    "fills",
    "losses",
    "loss_changes",
    "divisions",
    "corrections",
    "shares",
    "share_wishes",
    "share_jars",
    "hand_overs",
    "hand_over_jars",
    "settled_jars",
    "jar_moves",
    "empty_jars",
    "ledger",
    "payments",
    "hours",
    "second_readings",
    "trash_samples",
    "jar_tares",
    "jar_checks",
    "jar_weights",
    "lot_holds",
    "lot_complaints",
    "lot_looks",
    "colours",
    "recalls",
    "recall_jars",
    "recall_calls",
    "recall_found",
    "recall_ends",
    "forgotten",
    "forgotten_rows",
    "typed_in",
    "invites",
    "sessions",
    "second_factors",
    "recovery_codes",
    "stations",
    "feeds",
    "plantings",
    "planting_versions",
    "season_frosts",
    "frost_forecasts",
    "forbidden_days",
    "possible_days",
    "day_answers",
    "member_tasks",
    "roster",
    "turns",
    "turn_events",
    "waiting",
    "offers",
    "offer_plantings",
    "day_changes",
    "day_change_turns",
    "standstills",
    "notices",
    "letters",
    "probes",
    "probe_offsets",
    "restores",
    "restore_gaps",
    "restore_lost",
    "restore_forgotten",
    "restores_read",
    "upkeep",
];

/// The tables that are not covered, each with the reason.
pub const LEFT_OUT: [(&str, &str); 11] = [
    ("records", "the chain itself"),
    ("pin_tries", "wrong tries at a PIN; the PIN is covered"),
    ("form_keys", "answers a form that is sent twice"),
    ("sent_from_phone", "says on which phone a form waited"),
    ("sent_from_station", "says at which station a form was sent"),
    (
        "setup_codes",
        "opens the first account; the account is covered",
    ),
    ("probe_readings", "only the watch of a boil reads them"),
    (
        "booked_minutes",
        "the minutes that turns and offers hold: compared with both, which are covered",
    ),
    (
        "ticket_numbers",
        "numbers held for a phone; the ticket is covered",
    ),
    (
        "kept_names",
        "goes on its day and is to leave nothing; that a member was forgotten is covered",
    ),
    (
        "_sqlx_migrations",
        "the steps of the schema: compared with the program's own",
    ),
];

/// Columns of covered tables that no record notes: they change all the time, or say something of somebody that is to go with a
/// deleted row.
pub const PASSING: [(&str, &[&str]); 5] = [
    // Who is signed in is noted, not when it was last used or on what.
    ("sessions", &["seen_at", "device"]),
    ("stations", &["seen_at", "picked_id", "picked_at"]),
    ("probes", &["last_at", "last_c", "last_boil_id"]),
    // The secret is not copied: its digest stands beside it and is noted.
    ("second_factors", &["secret", "last_step"]),
    // Where a letter goes is noted, not how often it was tried.
    ("letters", &["tries", "next_at", "problem"]),
];

/// What nothing compares, for whoever reads what came of looking over: the table, and what it holds in plain words.
const UNSEEN: [(&str, &str); 12] = [
    ("probe_readings", "what a probe sent"),
    ("probes", "when a probe sent last"),
    ("form_keys", "which forms were sent"),
    ("sent_from_phone", "on which phone a form waited"),
    ("sent_from_station", "at which station it was sent"),
    ("sessions", "when a sign-in was last used and on what"),
    ("stations", "who is chosen at a station"),
    ("pin_tries", "wrong tries at a PIN"),
    ("second_factors", "which code was used last"),
    ("setup_codes", "the code of the first account"),
    ("letters", "how often a letter was tried"),
    ("ticket_numbers", "ticket numbers held for phones"),
];

/// What looking over leaves out, a plain sentence.
pub fn not_looked_over() -> String {
    let all: Vec<&str> = UNSEEN.iter().map(|(_, words)| *words).collect();
    format!(
        "Not looked over, since no figure rests on it: {}; and the names that are kept apart for members who were forgotten.",
        all.join(", ")
    )
}

/// Rows of covered tables that no record notes, as SQL; `{}` stands for the row. The pulse says every minute that the program runs.
const PASSING_ROWS: [(&str, &str); 1] = [("upkeep", "{}kind = 'pulse'")];

/// Whether a row is noted, as SQL: `of` is `new.`, `old.` or empty. `None`: every row is.
pub(super) fn noted(table: &str, of: &str) -> Option<String> {
    let found = PASSING_ROWS.iter().find(|(passing, _)| *passing == table);
    found.map(|(_, which)| format!("not ({})", which.replace("{}", of)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whatever_is_left_out_or_passes_is_said_or_compared_otherwise() {
        // The chain, the steps of the schema and the minutes are compared by themselves; of kept names the sentence speaks.
        let otherwise = [
            "records",
            "_sqlx_migrations",
            "booked_minutes",
            "kept_names",
        ];
        let said = |table: &str| UNSEEN.iter().any(|(name, _)| *name == table);
        let left = LEFT_OUT.iter().map(|(table, _)| *table);
        let left = left.filter(|table| !otherwise.contains(table));
        let passing = PASSING.iter().map(|(table, _)| *table);
        let all: Vec<&str> = left.chain(passing).collect();
        let unsaid: Vec<&&str> = all.iter().filter(|table| !said(table)).collect();
        assert!(unsaid.is_empty(), "{unsaid:?}");
        assert_eq!(UNSEEN.len(), all.len());
    }
}
