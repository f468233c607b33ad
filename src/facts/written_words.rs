//! Rows in words: "payment of member 17 (Amos Trout) on Sat 3 Oct 2026, line 40 of the ledger".

use super::written_columns::{figure, own_word, rule, with_seconds};
use crate::calc::chain::sha256_hex;
use crate::calc::people::forgetting::is_in_place;
use crate::store::people::coop;
use crate::store::records::{Record, RowRecord};
use crate::store::{Conn, Stored};
use crate::units::{LotCode, PressDate, UtcSecond, Zone};
use serde_json::{Map, Value};
use std::collections::BTreeMap;

/// The names that rows are called by.
#[derive(Debug)]
pub(super) struct Words {
    zone: Option<Zone>,
    /// The name of each row, by its id.
    names: BTreeMap<String, String>,
}

pub(super) type Columns = Map<String, Value>;

fn read(content: &str) -> Columns {
    serde_json::from_str(content).unwrap_or_default()
}

/// Whether a column holds a moment.
fn is_time(column: &str) -> bool {
    column == "at" || column.ends_with("_at")
}

/// Whether a column holds a day of the calendar.
fn is_day(column: &str) -> bool {
    ["date", "holds_from"].contains(&column) || column.ends_with("_on")
}

/// A value as plain text.
pub(super) fn plain(value: &Value) -> String {
    match value {
        Value::Null => "nothing".to_owned(),
        Value::String(text) if text.is_empty() => "nothing".to_owned(),
        Value::String(text) => format!("“{text}”"),
        other => other.to_string(),
    }
}

/// What a row names that no record tells of: "an unknown juice".
fn unknown(column: &str) -> String {
    let noun = match column.strip_suffix("_id").unwrap_or(column) {
        "boil" | "last_boil" => "lot",
        "delivery" => "ticket",
        "id" | "record" => "entry",
        "booking" | "from_booking" | "from_turn" => "turn",
        "waiting" => "place on a waiting list",
        "hand_over" => "hand-over",
        "press_day" | "to_day" | "from_day" => "press day",
        "rules" => return "rules unknown".to_owned(),
        noun @ ("juice" | "ticket" | "division" | "vessel" | "pan" | "scale" | "season"
        | "recall" | "turn" | "planting" | "offer" | "probe" | "station" | "notice"
        | "change" | "application" | "picked") => noun,
        _ => "member",
    };
    format!("an unknown {noun}")
}

/// Whether a text is an id of the program's own, which says nothing to a reader.
fn is_id(text: &str) -> bool {
    uuid::Uuid::try_parse(text).is_ok()
}

/// A column's value as plain text; “?” where the row has no such column: it was written over.
pub(super) fn said(columns: &Columns, column: &str) -> String {
    columns.get(column).map_or_else(|| "?".to_owned(), plain)
}

/// A column's word of the program's own as people say it.
fn own_said(columns: &Columns, column: &str) -> String {
    let said = said(columns, column);
    let word = said.trim_matches(['“', '”']);
    own_word(column, word).unwrap_or_else(|| word.to_owned())
}

impl Words {
    /// Reads what rows are called, from the records: they name rows that are gone as well. Where the co-op's card does not read
    /// back, times are told in plain seconds: what was done to the card is told with the rows.
    ///
    /// # Errors
    /// The store failed.
    pub(super) async fn read(conn: &mut Conn, all: &[Record]) -> Stored<Self> {
        let zone = match coop::find().ask(conn).await {
            Ok(card) => card.map(|c| c.zone),
            Err(error) => {
                error.not_read_back()?;
                None
            }
        };
        Ok(Self::of_all(zone, all))
    }

    /// The names from these records, with times in this zone; `None`: in plain seconds.
    pub(super) fn of_all(zone: Option<Zone>, all: &[Record]) -> Self {
        let mut words = Self {
            zone,
            names: BTreeMap::new(),
        };
        for record in all {
            words.learn_one(&record.what, &read(&record.content));
        }
        words
    }

    /// Words for a few rows: those of the records themselves, and whoever wrote them.
    pub(super) fn of_few(zone: &Zone, all: &[RowRecord]) -> Self {
        let mut words = Self {
            zone: Some(zone.clone()),
            names: BTreeMap::new(),
        };
        for RowRecord { record, by } in all {
            words.learn_one(&record.what, &read(&record.content));
            if let Some((id, (number, name))) = record.by_id.zip(by.as_ref()) {
                let name = format!("member {number} ({name})");
                words.names.insert(id.to_string(), name);
            }
        }
        words
    }

    /// Learns what rows that no record names are called.
    pub(super) fn learn(&mut self, table: &str, rows: &[(String, String)]) {
        for (_, content) in rows {
            let columns = read(content);
            if let Some(Value::String(id)) = columns.get("id")
                && !self.names.contains_key(id)
            {
                self.learn_one(table, &columns);
            }
        }
    }

    fn learn_one(&mut self, table: &str, columns: &Columns) {
        let Some(Value::String(id)) = columns.get("id") else {
            return;
        };
        if let Some(name) = self.called(table, columns) {
            self.names.insert(id.clone(), name);
        }
    }

    /// The name by which other rows call this one.
    fn called(&self, table: &str, columns: &Columns) -> Option<String> {
        let text = |name: &str| said(columns, name);
        let bare = |name: &str| text(name).trim_matches(['“', '”']).to_owned();
        Some(match table {
            "members"
                if text("number")
                    .parse()
                    .is_ok_and(|number| is_in_place(&bare("name"), number)) =>
            {
                format!("member {} (forgotten)", text("number"))
            }
            "members" => format!("member {} ({})", text("number"), bare("name")),
            "seasons" => format!("the season of {}", text("year")),
            "season_rules" => format!(
                "version {} of the rules of {}",
                text("number"),
                self.name(columns, "season_id")
            ),
            "scales" | "vessels" | "pans" => {
                format!("{} {}", table.trim_end_matches('s'), text("name"))
            }
            "press_days" => format!("press day {}", self.value("date", columns.get("date")?)),
            "tickets" => format!("ticket {}", text("ticket")),
            "juices" => format!("juice of {}", self.name(columns, "ticket_id")),
            "boils" => {
                let code = bare("lot_code");
                LotCode::parse(&code)
                    .map_or_else(|_| format!("lot {code}"), |lot| format!("lot {lot}"))
            }
            "divisions" => format!(
                "division {} of {}",
                text("version"),
                self.name(columns, "boil_id")
            ),
            "hand_overs" => format!("hand-over {}", text("number")),
            _ => return self.called_for_coming(table, columns),
        })
    }

    /// The name of the row whose id stands in this column.
    pub(super) fn name(&self, columns: &Columns, column: &str) -> String {
        match columns.get(column) {
            Some(Value::String(id)) => self
                .names
                .get(id)
                .cloned()
                .unwrap_or_else(|| unknown(column)),
            Some(_) => "the mill".to_owned(),
            None => unknown(column),
        }
    }

    /// A row in words, from its content.
    pub(super) fn label(&self, table: &str, content: &str) -> String {
        let columns = read(content);
        if let Some(called) = self.called(table, &columns) {
            return match table {
                "tickets" => format!("{called} of {}", self.name(&columns, "member_id")),
                "hand_overs" => format!("{called} to {}", self.name(&columns, "member_id")),
                _ => called,
            };
        }
        let text = |name: &str| said(&columns, name);
        let own = |name: &str| own_said(&columns, name);
        let of = |column: &str| self.name(&columns, column);
        let on = || match columns.get("at") {
            Some(at) => format!(" on {}", self.value("day", at)),
            None => String::new(),
        };
        match table {
            "coop" => "The co-op’s card".to_owned(),
            "ledger" => format!(
                "{} of {}{}, line {} of the ledger",
                own("kind"),
                of("member_id"),
                on(),
                text("number")
            ),
            "hours" => format!(
                "hours of {}, line {} of the ledger",
                of("member_id"),
                text("line")
            ),
            "jar_sizes" => format!("jar size {} of {}", text("name"), of("rules_id")),
            "season_locks" => format!("lock {} of {}", text("number"), of("season_id")),
            "rules_days" => format!("day {} from which {} holds", text("number"), of("rules_id")),
            "rules_confirmed" => format!("confirmation of {}", of("rules_id")),
            "member_names" => format!("name {} of {}", text("version"), of("member_id")),
            "member_jar_wishes" => format!("wish for jars of {}", of("member_id")),
            "accounts" => format!("account of {}", of("member_id")),
            "station_pins" => format!("PIN of {}", of("member_id")),
            "corrections" => format!("correction {} of {}", text("version"), of("boil_id")),
            "boil_rules" => format!("rules of {}, move {}", of("boil_id"), text("version")),
            "shares" => format!("share of {} in {}", of("member_id"), of("division_id")),
            "share_wishes" => format!("wish of share {} in {}", text("place"), of("division_id")),
            "payments" => format!(
                "payment on receipt {}, line {} of the ledger",
                text("receipt"),
                text("line")
            ),
            "share_jars" | "jar_moves" | "empty_jars" | "hand_over_jars" => {
                self.jars(table, &columns)
            }
            _ => self.measured(table, &columns),
        }
    }

    /// Rows of jars in words.
    fn jars(&self, table: &str, columns: &Columns) -> String {
        let text = |name: &str| said(columns, name);
        let of = |column: &str| self.name(columns, column);
        match table {
            "share_jars" => format!(
                "jars {} of share {} in {}",
                text("size_name"),
                text("place"),
                of("division_id")
            ),
            "jar_moves" => format!(
                "jars {} of {} that were {}, note {} on jars",
                text("size_name"),
                of("boil_id"),
                match columns.get("by_mistake").and_then(Value::as_i64) {
                    Some(1) => "noted as broken by mistake".to_owned(),
                    _ => text("kind").trim_matches(['“', '”']).to_owned(),
                },
                text("number")
            ),
            "empty_jars" => format!(
                "empty jars {}, note {} on empty jars",
                text("size_name"),
                text("number")
            ),
            _ => format!(
                "jars {} of {} in {}",
                text("size_name"),
                of("boil_id"),
                of("hand_over_id")
            ),
        }
    }

    /// A line of a household in words: who acts for which card.
    fn household(&self, columns: &Columns) -> String {
        let acts = columns.get("acts").and_then(Value::as_i64) == Some(1);
        let acts = if acts {
            "acts"
        } else {
            "does not act any more"
        };
        let of = |column: &str| self.name(columns, column);
        let letters = match columns.get("letters").and_then(Value::as_i64) {
            Some(1) => " and gets its letters",
            _ => "",
        };
        format!(
            "{} {acts} for the card of {}{letters}",
            of("person_id"),
            of("member_id")
        )
    }

    /// A row of what was measured, or of who acts for a card, in words.
    fn measured(&self, table: &str, columns: &Columns) -> String {
        let text = |name: &str| said(columns, name);
        let of = |column: &str| self.name(columns, column);
        match table {
            "colours" => format!("colour {} of the card", text("name")),
            "lot_looks" => format!("look {} at {}", text("number"), of("boil_id")),
            "season_weights" => format!("weights of {}", of("rules_id")),
            "forgotten" => format!("forgetting of {}", of("member_id")),
            "forgotten_rows" => format!(
                "note that record {} lost the name of {}",
                text("record"),
                of("member_id")
            ),
            "loads" => format!(
                "load {} of {}, version {}",
                text("number"),
                of("ticket_id"),
                text("version")
            ),
            "juice_measures" => format!("{}, measure {}", of("juice_id"), text("version")),
            "opening_checks" => format!(
                "opening check “{}” of {}",
                own_said(columns, "item"),
                of("press_day_id")
            ),
            "draws" => format!("draw of {} into {}", of("juice_id"), of("boil_id")),
            "boil_readings" => format!("reading {} of {}", text("number"), of("boil_id")),
            "additions" => format!("addition {} to {}", text("number"), of("boil_id")),
            "finishes" => format!("finish of {}, version {}", of("boil_id"), text("version")),
            "fills" => format!(
                "jars {} of {}, {}",
                text("number"),
                of("boil_id"),
                text("size_name")
            ),
            "juice_losses" => format!(
                "lost {}, line {}, version {}",
                of("juice_id"),
                text("number"),
                text("version")
            ),
            "ticket_ends" => format!("end of {}, version {}", of("ticket_id"), text("version")),
            "ticket_moves" => format!("move {} of {}", text("number"), of("ticket_id")),
            "losses" => format!("loss of {}", of("boil_id")),
            "household" => self.household(columns),
            "settled_jars" => format!(
                "what {} was owed, settled on receipt {}",
                of("member_id"),
                text("receipt")
            ),
            "loss_changes" => format!("loss of {}, line {}", of("boil_id"), text("number")),
            "rules_not_voted" => format!(
                "note that “{}” was not voted on in {}",
                rule(text("rule").trim_matches(['“', '”'])),
                of("rules_id")
            ),
            other => self.around(other, columns),
        }
    }

    /// A value before and after, in words: to the second within one minute, and bare where both would look alike.
    pub(super) fn both(&self, column: &str, was: &Value, is: &Value) -> (String, String) {
        let (before, after) = (self.value(column, was), self.value(column, is));
        if before != after {
            return (before, after);
        }
        match (was.as_i64(), is.as_i64()) {
            (Some(a), Some(b)) if is_time(column) && a != b => {
                (with_seconds(&before, a), with_seconds(&after, b))
            }
            _ => (plain(was), plain(is)),
        }
    }

    /// A value in words, by its column.
    pub(super) fn value(&self, column: &str, value: &Value) -> String {
        let number = value.as_i64();
        if let Some(figure) = figure(column, value) {
            return figure;
        }
        if let Value::String(word) = value
            && let Some(says) = own_word(column, word)
            && !word.is_empty()
        {
            return format!("“{says}”");
        }
        match (number, value) {
            (Some(n), _) if column == "day" => self
                .zone
                .as_ref()
                .map_or_else(|| n.to_string(), |z| z.local(UtcSecond::new(n)).0.show()),
            (Some(n), _) if is_time(column) => self
                .zone
                .as_ref()
                .map_or_else(|| n.to_string(), |z| z.show(UtcSecond::new(n))),
            // A secret is told apart, never shown.
            (_, Value::String(hash)) if column.ends_with("_hash") => {
                format!("a secret marked {}", &sha256_hex(hash)[..6])
            }
            (_, Value::String(text)) if is_day(column) => {
                PressDate::parse(text).map_or_else(|_| plain(value), PressDate::show)
            }
            (_, Value::String(id)) if self.names.contains_key(id) => self.names[id].clone(),
            (_, Value::String(id)) if is_id(id) => unknown(column),
            _ => plain(value),
        }
    }
}

#[cfg(test)]
#[path = "written_words_tests.rs"]
mod tests;
