//! Which records are versions of one thing, so that a new version is told by what it changes: of rules, of a weighing, of a planting.

use crate::store::records::Record;
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// Stands for the season whose rules a row belongs to.
const SEASON: &str = "season of rules_id";

/// Tables of versions: the thing they are versions of, and the columns that say which one.
#[rustfmt::skip] // one table a line
const TABLES: &[(&str, &str, &[&str])] = &[
    ("boil_rules", "rules of a boil", &["boil_id"]),
    ("divisions", "division", &["boil_id"]),
    ("draws", "draw", &["boil_id", "juice_id"]),
    ("fills", "fill", &["boil_id", "number"]),
    ("finishes", "finish", &["boil_id"]),
    ("forbidden_days", "word on a day", &["season_id", "date"]),
    ("frost_forecasts", "frost forecast", &["season_id"]),
    ("household", "who acts", &["member_id", "person_id"]),
    ("jar_sizes", "size of jar", &[SEASON, "name"]),
    ("jar_tares", "empty weight of a jar", &["size_name"]),
    ("juice_losses", "lost juice", &["juice_id", "number"]),
    ("juice_measures", "juice", &["juice_id"]),
    ("loads", "load", &["ticket_id", "number"]),
    ("loss_changes", "loss", &["boil_id"]),
    ("losses", "loss", &["boil_id"]),
    ("member_names", "name", &["member_id"]),
    ("opening_checks", "check", &["press_day_id", "item"]),
    ("planting_versions", "planting", &["planting_id"]),
    ("rules_confirmed", "day of rules", &["rules_id"]),
    ("rules_days", "day of rules", &["rules_id"]),
    ("season_frosts", "first frost", &["season_id"]),
    ("season_rules", "rules", &["season_id"]),
    ("season_weights", "weights", &[SEASON]),
    ("ticket_ends", "end of a ticket", &["ticket_id"]),
    ("trash_samples", "sample", &["ticket_id"]),
];

/// The latest version of each thing, as records are gone through in order.
#[derive(Debug, Default)]
pub(super) struct Versions<'a> {
    latest: BTreeMap<(&'static str, String), &'a Record>,
    /// The season of each version of rules, by its id.
    seasons: BTreeMap<String, Value>,
}

impl<'a> Versions<'a> {
    /// The version before a record's row, if that is a version of something; its row is the latest from there on.
    pub(super) fn before(&mut self, record: &'a Record) -> Option<&'a Record> {
        let (_, thing, columns) = TABLES.iter().find(|(table, _, _)| *table == record.what)?;
        let row: Map<String, Value> = serde_json::from_str(&record.content).ok()?;
        if record.what == "season_rules" {
            let id = row.get("id").map(ToString::to_string);
            let season = row.get("season_id").cloned();
            self.seasons.extend(id.zip(season));
        }
        let which = columns.iter().map(|column| {
            if *column == SEASON {
                let rules = row.get("rules_id").map(ToString::to_string)?;
                return self.seasons.get(&rules).map(ToString::to_string);
            }
            row.get(*column).map(ToString::to_string)
        });
        let which = which.collect::<Option<Vec<String>>>()?.join(" ");
        self.latest.insert((thing, which), record)
    }
}

/// The columns that every version has of its own, so that they are no change since the one before.
pub(super) fn of_its_own(table: &str) -> &'static [&'static str] {
    match table {
        // Which rules a boil is moved to is the change.
        "boil_rules" => &["at", "by_id"],
        _ => &[
            "at", "by_id", "id", "made_at", "made_by", "number", "position", "rules_id",
        ],
    }
}
