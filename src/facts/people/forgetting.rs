//! What a member who is to be forgotten is named and reached by, and where that stands in words.

use crate::calc::people::forgetting::{KnownBy, Leaver, words_of};
use crate::store::people::members::Member;
use crate::store::people::{accounts, forgetting, members};
use crate::store::season::plantings;
use crate::store::{Conn, Stored};
use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// Columns of words that are looked at in what was written alone: the co-op's own card is put right by hand.
const OF_THE_COOP: &[&str] = &["contact_phone", "way", "bring"];

/// The columns in which people write words, of a table.
fn columns_of(table: &str) -> &'static [&'static str] {
    let own = forgetting::WORDS.iter().find(|(name, _)| *name == table);
    match own {
        Some((_, columns)) => columns,
        None if table == "coop" => OF_THE_COOP,
        None => &[],
    }
}

fn read(content: &str) -> Map<String, Value> {
    serde_json::from_str(content).unwrap_or_default()
}

/// A member who is to be forgotten.
#[derive(Debug)]
pub struct ToForget {
    id: String,
    plantings: BTreeSet<String>,
    notices: BTreeSet<String>,
    borne: KnownBy,
}

/// A row, or what was written of it, with other words.
#[derive(Debug)]
pub struct OtherWords {
    /// The names of the columns that change.
    pub columns: Vec<String>,
    /// The words that take their place: a JSON object by column.
    pub words: String,
}

impl OtherWords {
    /// The name that is to stand there; `None`: no name changes.
    pub fn name(&self) -> Option<String> {
        Some(read(&self.words).get("name")?.as_str()?.to_owned())
    }
}

/// Words that the name stands in.
#[derive(Debug, PartialEq, Eq)]
pub struct StandsIn {
    /// The sort of thing it is, named after its table.
    pub what: String,
    /// The words as they stand.
    pub text: String,
    /// The words as they will stand, without the name.
    pub without: String,
}

impl ToForget {
    /// Reads every name, telephone, e-mail and address that the member ever bore; `more`: words to be looked for besides.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, member: &Member, more: &[String]) -> Stored<Self> {
        let mut borne = KnownBy::new(member.number);
        let mut texts: BTreeSet<String> = BTreeSet::new();
        let mut phones = BTreeSet::from([member.phone.to_string()]);
        texts.extend(member.email.as_ref().map(|email| email.as_str().to_owned()));
        texts.extend([member.name.as_str().to_owned(), member.address.clone()]);
        for name in members::names(member.id).ask(conn).await? {
            texts.insert(name.name.as_str().to_owned());
        }
        for content in forgetting::cards_written(conn, member.id).await? {
            let card = read(&content);
            let text = |column: &str| card.get(column).and_then(Value::as_str).map(str::to_owned);
            texts.extend(["name", "email", "address"].iter().filter_map(|c| text(c)));
            phones.extend(text("phone"));
        }
        let sign_in = accounts::sign_in_of(conn, member.id).await?;
        texts.extend(sign_in.map(|name| name.as_str().to_owned()));
        // A single word may be somebody else's too: it is looked for when a steward says so.
        for text in texts.iter().filter(|text| words_of(text).len() > 1) {
            borne.add(text);
        }
        for phone in phones.iter().filter(|phone| !phone.is_empty()) {
            borne.add_phone(phone);
        }
        for word in more {
            borne.add(word);
        }
        let plantings = plantings::of_member(member.id).ask(conn).await?;
        Ok(Self {
            id: member.id.to_string(),
            plantings: plantings.iter().map(|p| p.id.to_string()).collect(),
            notices: forgetting::notices_written(conn, member.id).await?,
            borne,
        })
    }

    /// The words that take the place of the name, as "Member 17".
    pub fn in_place(&self) -> &str {
        self.borne.in_place()
    }

    /// Patterns of LIKE, as a JSON array: a text that matches none of them holds no word that is looked for.
    pub fn likes(&self) -> String {
        Value::from(self.borne.likes()).to_string()
    }

    /// Whether a text holds a word that is looked for.
    pub fn stands_in(&self, text: &str) -> bool {
        self.borne.without(text).is_some()
    }

    /// Whether what was typed into a form, urlencoded, holds a word that is looked for.
    pub fn typed_in(&self, boxes: &str) -> bool {
        let read: Vec<(String, String)> = serde_urlencoded::from_str(boxes).unwrap_or_default();
        read.iter().any(|(_, typed)| self.stands_in(typed))
    }

    fn changes(&self, table: &str, content: &str) -> (Map<String, Value>, Map<String, Value>) {
        let row = read(content);
        let leaver = Leaver {
            id: &self.id,
            plantings: &self.plantings,
            notices: &self.notices,
            borne: &self.borne,
        };
        let words = leaver.other_words(table, &row, columns_of(table));
        (row, words)
    }

    /// A row of a table, or what was written of it, without the name; `None`: nothing in it changes.
    pub fn other_words(&self, table: &str, content: &str) -> Option<OtherWords> {
        let (_, words) = self.changes(table, content);
        (!words.is_empty()).then(|| OtherWords {
            columns: words.keys().cloned().collect(),
            words: Value::Object(words).to_string(),
        })
    }

    /// The words in which the name stands, the member's own card and names left out.
    ///
    /// # Errors
    /// The store failed.
    pub async fn found(&self, conn: &mut Conn, member: &Member) -> Stored<Vec<StandsIn>> {
        let mut out = Vec::new();
        for (table, _, content) in forgetting::rows(conn, member.id, &self.likes()).await? {
            if ["members", "member_names", "notices", "letters"].contains(&table) {
                continue;
            }
            let (row, words) = self.changes(table, &content);
            for (column, without) in words {
                let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
                let stands = StandsIn {
                    what: table.trim_end_matches('s').replace('_', " "),
                    text: row.get(&column).map(text).unwrap_or_default(),
                    without: text(&without),
                };
                if !out.contains(&stands) {
                    out.push(stands);
                }
            }
        }
        Ok(out)
    }
}

/// Single words that somebody may have written for the member: those of the name, and the name to sign in with, where no other
/// member's name has them.
///
/// # Errors
/// The store failed.
pub async fn single_words(conn: &mut Conn, member: &Member) -> Stored<Vec<String>> {
    let mut others: BTreeSet<String> = BTreeSet::new();
    for other in members::list().ask(conn).await? {
        if other.id != member.id {
            others.extend(words_of(other.name.as_str()));
        }
    }
    let mut out: Vec<String> = Vec::new();
    let mut names: Vec<String> = members::names(member.id)
        .ask(conn)
        .await?
        .iter()
        .map(|n| n.name.as_str().to_owned())
        .collect();
    let sign_in = accounts::sign_in_of(conn, member.id).await?;
    names.extend(sign_in.map(|name| name.as_str().to_owned()));
    for word in names.iter().flat_map(|name| name.split_whitespace()) {
        let parts = words_of(word);
        let letters: usize = parts.iter().map(|part| part.chars().count()).sum();
        // Of a double name one part may be another's: the two together are not.
        let own = letters > 2 && parts.iter().any(|part| !others.contains(part));
        if own && out.iter().all(|known| words_of(known) != parts) {
            out.push(word.to_owned());
        }
    }
    Ok(out)
}

/// Another member whose name has one of the words, with that word.
///
/// # Errors
/// The store failed.
pub async fn shared_word(
    conn: &mut Conn,
    member: &Member,
    words: &[String],
) -> Stored<Option<(String, String)>> {
    let all = members::list().ask(conn).await?;
    let others = all.iter().filter(|other| other.id != member.id);
    let mut pairs = others.flat_map(|other| words.iter().map(move |word| (other, word)));
    let shared = pairs.find(|(other, word)| {
        let (name, word) = (words_of(other.name.as_str()), words_of(word));
        !word.is_empty() && name.windows(word.len()).any(|part| part == word)
    });
    Ok(shared.map(|(other, word)| (word.clone(), other.name.to_string())))
}
