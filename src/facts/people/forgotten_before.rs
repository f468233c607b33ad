//! Somebody who had been forgotten in a file that a backup was put in the place of: which words had been taken out for it, and whether
//! one of them stands in the backup still.

use crate::calc::people::forgetting::KnownBy;
use crate::calc::people::taken_out::words_taken_out;
use crate::store::restores_held::{BlankedRow, contents};
use crate::store::{Conn, Stored};
use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// Tables whose words give way as a whole, whatever stands in them: it may be somebody else's name.
const WHOLE: [&str; 8] = [
    "accounts",
    "divisions",
    "hand_overs",
    "letters",
    "member_names",
    "members",
    "notices",
    "station_pins",
];

/// A record that the other file has without the name: its number, its table, each text as it is here and as it is there.
struct Blanked {
    number: i64,
    what: String,
    texts: Vec<(String, String, String)>,
}

/// What had been taken out for one member, in records that the backup holds too.
pub struct ForgottenBefore(Vec<Blanked>);

fn read(content: &str) -> Map<String, Value> {
    serde_json::from_str(content).unwrap_or_default()
}

impl ForgottenBefore {
    /// Reads the records of the backup beside those of the other file, of the member with this number.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, number: i64, blanked: &[&BlankedRow]) -> Stored<Self> {
        let own = KnownBy::new(number);
        // What gave way to another member's number goes with that member.
        let of_own = |there: &str| there.is_empty() || there.contains(own.in_place());
        let numbers: Vec<i64> = blanked.iter().map(|row| row.1).collect();
        let mut out = Vec::new();
        for (record, what, content) in contents(conn, &numbers).await? {
            let there = blanked.iter().find(|row| row.1 == record);
            let there = there.map_or_else(Map::new, |row| read(&row.3));
            let text = |value: &Value| value.as_str().map(str::to_owned);
            let texts = read(&content).into_iter().filter_map(|(column, here)| {
                let (here, there) = (text(&here)?, there.get(&column).and_then(text)?);
                (here != there && of_own(&there)).then_some((column, here, there))
            });
            out.push(Blanked {
                number: record,
                what,
                texts: texts.collect(),
            });
        }
        Ok(Self(out))
    }

    /// Whether no text gave way then that stands here.
    pub fn is_empty(&self) -> bool {
        self.0.iter().all(|row| row.texts.is_empty())
    }

    /// The words that gave way then: those that a steward had given, and the name with its contacts. `all`: the numbers of everybody
    /// who was forgotten.
    pub fn words(&self, number: i64, all: &[i64]) -> Vec<String> {
        let others = self
            .0
            .iter()
            .filter(|row| !WHOLE.contains(&row.what.as_str()));
        let texts = others.flat_map(|row| &row.texts);
        let found = texts.flat_map(|(_, here, there)| words_taken_out(here, there, all));
        let own = found.filter(|(whose, _)| *whose == number);
        let words: BTreeSet<String> = own.map(|(_, word)| word).collect();
        words.into_iter().collect()
    }

    /// Whether a text that gave way in the other file stands here as it stood.
    ///
    /// # Errors
    /// The store failed.
    pub async fn still_stands(&self, conn: &mut Conn) -> Stored<bool> {
        let numbers: Vec<i64> = self.0.iter().map(|row| row.number).collect();
        let now = contents(conn, &numbers).await?;
        Ok(now.iter().any(|(number, _, content)| {
            let before = self.0.iter().find(|row| row.number == *number);
            let now = read(content);
            let stands = |(column, here, _): &(String, String, String)| {
                now.get(column).and_then(Value::as_str) == Some(here)
            };
            before.is_some_and(|row| row.texts.iter().any(stands))
        }))
    }
}
