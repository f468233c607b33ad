//! What rows are called that say who means to come, who was told, and how the program is kept: "turn of member 17 (Amos Trout)".

use super::restored_words::{gap_says, lost_says};
use super::written_words::{Columns, Words, said};
use crate::store::restores::{GapRow, LostRow};
use serde_json::Value;

impl Words {
    /// What a row with an id is called elsewhere; `None`: such rows have no name.
    pub(super) fn called_for_coming(&self, table: &str, columns: &Columns) -> Option<String> {
        let text = |name: &str| said(columns, name);
        let of = |column: &str| self.name(columns, column);
        Some(match table {
            "plantings" => format!("planting of {}", of("member_id")),
            "turns" => format!("turn of {} on {}", of("member_id"), of("press_day_id")),
            "waiting" => format!(
                "place of {} on the waiting list of {}",
                of("member_id"),
                of("press_day_id")
            ),
            "offers" => format!("offer for the {}", of("waiting_id")),
            "day_changes" => format!("change of {}", of("press_day_id")),
            "possible_days" => format!(
                "possible day {}",
                columns
                    .get("date")
                    .map_or_else(String::new, |date| self.value("date", date))
            ),
            "notices" => format!("notice to {}", of("member_id")),
            "stations" => format!("station {}", text("name")),
            "probes" => format!("probe {}", text("name")),
            "invites" => format!("invitation of {}", of("member_id")),
            "feeds" => format!("calendar address of {}", of("member_id")),
            "recalls" => format!("recall {}", text("number")),
            _ => return None,
        })
    }

    /// A row that nothing else names, in words.
    pub(super) fn around(&self, table: &str, columns: &Columns) -> String {
        let text = |name: &str| said(columns, name);
        let of = |column: &str| self.name(columns, column);
        match table {
            "typed_in" => format!(
                "note that {} typed in what {} wrote on paper",
                of("typed_by"),
                of("measured_by")
            ),
            "second_factors" => format!("second factor of {}", of("member_id")),
            "recovery_codes" => format!("recovery code of {}", of("member_id")),
            "sessions" => format!("sign-in of {}", of("member_id")),
            "planting_versions" => format!("{}, version {}", of("planting_id"), text("version")),
            "season_frosts" => format!("frost of {}, version {}", of("season_id"), text("version")),
            "frost_forecasts" => format!(
                "frost forecast of {}, version {}",
                of("season_id"),
                text("version")
            ),
            "forbidden_days" => format!(
                "word on proposals for {}, version {}",
                self.date(columns),
                text("version")
            ),
            "day_answers" => format!("answer of {} for {}", of("member_id"), self.date(columns)),
            "member_tasks" => format!("task {} of {}", text("task"), of("member_id")),
            "roster" => format!(
                "line {} of the roster of {}",
                text("number"),
                of("press_day_id")
            ),
            "turn_events" => format!("note {} of the {}", text("version"), of("turn_id")),
            "offer_plantings" => format!("cane of the {}", of("offer_id")),
            "day_change_turns" => format!("{}, moved by the {}", of("turn_id"), of("change_id")),
            "standstills" => format!("standstill of {}", of("press_day_id")),
            "letters" => format!("letter of the {}", of("notice_id")),
            "probe_offsets" => format!("correction of {}", of("probe_id")),
            "restores" | "restore_gaps" | "restore_lost" | "restore_forgotten"
            | "restores_read" => self.restored(table, columns),
            "upkeep" => {
                let good = columns.get("good").and_then(Value::as_i64) == Some(1);
                let went = if good { "went well" } else { "did not go well" };
                format!(
                    "note of the last {} that {went}",
                    text("kind").trim_matches(['“', '”'])
                )
            }
            "trash_samples" => {
                format!("sample of {}, version {}", of("ticket_id"), text("version"))
            }
            "second_readings" => format!("second reading of {}", of("juice_id")),
            "jar_tares" => format!("empty weight of jars {}", text("size_name")),
            "jar_checks" => format!("check {} of the jars of {}", text("number"), of("boil_id")),
            "jar_weights" => format!("jar {} weighed of {}", text("place"), of("boil_id")),
            "lot_holds" => format!("hold {} of {}", text("number"), of("boil_id")),
            "lot_complaints" => format!("complaint {} about {}", text("number"), of("boil_id")),
            "recall_jars" => format!("line {} of {}", text("line"), of("recall_id")),
            "recall_calls" => format!("call {} of {}", text("call"), of("recall_id")),
            "recall_found" => format!("jars found of {}, line {}", of("recall_id"), text("line")),
            "recall_ends" => format!("end of {}", of("recall_id")),
            other => format!("a row of {}", other.replace('_', " ")),
        }
    }

    /// What is noted of a backup that was put in the place of the database, in words.
    fn restored(&self, table: &str, columns: &Columns) -> String {
        let number = |name: &str| columns.get(name).and_then(Value::as_i64);
        let restore = said(columns, "restore");
        match table {
            "restores" => format!(
                "restore {}: the backup {} was put in place of the database",
                said(columns, "number"),
                said(columns, "backup")
            ),
            "restore_forgotten" => format!(
                "restore {restore}: {} had been forgotten and came back",
                self.name(columns, "member_id")
            ),
            "restores_read" => format!("restore {restore}: a steward has seen to it"),
            "restore_lost" => {
                let bare = |name: &str| match columns.get(name).and_then(Value::as_str) {
                    Some(text) => text.to_owned(),
                    None => String::new(),
                };
                let lost = LostRow {
                    what: bare("what"),
                    op: bare("op"),
                    about: bare("about"),
                    many: number("many").unwrap_or(0),
                };
                let says = lost_says(&lost);
                format!("restore {restore}: {}", says.trim_end_matches('.'))
            }
            _ => {
                let gap = GapRow {
                    what: said(columns, "what").trim_matches(['“', '”']).to_owned(),
                    year: number("year").unwrap_or(0),
                    missing: number("missing").unwrap_or(0),
                    first: number("first"),
                    last: number("last"),
                    given: number("given"),
                };
                format!("restore {restore}: {}", gap_says(&gap))
            }
        }
    }

    fn date(&self, columns: &Columns) -> String {
        columns
            .get("date")
            .map_or_else(String::new, |date| self.value("date", date))
    }
}
