//! A member's name taken out of words: what is looked for, what stands in its place, and which words of a row give way.

use serde_json::{Map, Value};
use std::collections::BTreeSet;

/// Most characters between two words of one name: a line break, a dot and a blank.
const GAP_MOST: usize = 4;
/// Fewest letters of a single word that is looked for: shorter ones stand in too many others.
const LETTERS_LEAST: usize = 3;
/// Characters that every box of words holds; where a longer text would come out than stood there, it ends here.
const BOX_LEAST: usize = 30;

/// Words in which a text may name somebody: a run of letters and digits, in small letters, with where it stands.
fn runs(text: &str) -> Vec<(usize, usize, String)> {
    let mut out: Vec<(usize, usize, String)> = Vec::new();
    for (at, c) in text.char_indices() {
        if !c.is_alphanumeric() {
            continue;
        }
        let end = at + c.len_utf8();
        match out.last_mut() {
            Some((_, last, run)) if *last == at => {
                *last = end;
                run.extend(c.to_lowercase());
            }
            _ => out.push((at, end, c.to_lowercase().collect())),
        }
    }
    out
}

/// The words of a text, in small letters.
pub fn words_of(text: &str) -> Vec<String> {
    runs(text).into_iter().map(|(_, _, run)| run).collect()
}

/// A telephone number as people write it: in one, by threes and fours, without the area code (common practice in the United
/// States), and as it was written.
fn written_ways(phone: &str) -> Vec<String> {
    let digits: String = phone.chars().filter(char::is_ascii_digit).collect();
    let own = digits.strip_prefix('1').filter(|rest| rest.len() == 10);
    let own = own.unwrap_or(&digits);
    let mut out = vec![phone.to_owned(), digits.clone()];
    if let (10, Some((area, rest))) = (own.len(), own.split_at_checked(3))
        && let Some((three, four)) = rest.split_at_checked(3)
    {
        out.extend([
            own.to_owned(),
            format!("{area} {three} {four}"),
            format!("{area} {three}{four}"),
            format!("{area}{three} {four}"),
            format!("{three} {four}"),
            format!("{three}{four}"),
        ]);
    }
    out
}

/// Whether a member's name is only what stands in the place of one that was forgotten.
pub fn is_in_place(name: &str, number: i64) -> bool {
    name == KnownBy::new(number).in_place()
}

/// The names and contacts that a member is known by, and what stands in their place.
#[derive(Debug, Clone)]
pub struct KnownBy {
    in_place: String,
    /// Each in words, the longest first.
    phrases: Vec<Vec<String>>,
}

impl KnownBy {
    /// The member with this number; no name or contact is looked for yet.
    pub fn new(number: i64) -> Self {
        Self {
            in_place: format!("Member {number}"),
            phrases: Vec::new(),
        }
    }

    /// What stands in place of the name: "Member 17".
    pub fn in_place(&self) -> &str {
        &self.in_place
    }

    /// Looks for a text as well, whole words in order; a single word of fewer than three letters is not looked for.
    pub fn add(&mut self, text: &str) {
        let words = words_of(text);
        let short = words
            .first()
            .is_none_or(|w| w.chars().count() < LETTERS_LEAST);
        if (words.len() == 1 && short) || words.is_empty() || self.phrases.contains(&words) {
            return;
        }
        self.phrases.push(words);
        self.phrases
            .sort_by_key(|words| std::cmp::Reverse(words.len()));
    }

    /// Looks for a telephone number as well, however it is written.
    pub fn add_phone(&mut self, phone: &str) {
        for way in written_ways(phone) {
            self.add(&way);
        }
    }

    /// Patterns of SQL's LIKE: a text that none of them is like holds nothing that is looked for.
    pub fn likes(&self) -> Vec<String> {
        let longest = |words: &Vec<String>| words.iter().max_by_key(|w| w.chars().count()).cloned();
        let like = |word: String| {
            let ascii = |c: char| if c.is_ascii() { c } else { '_' };
            format!("%{}%", word.chars().map(ascii).collect::<String>())
        };
        let all: BTreeSet<String> = self.phrases.iter().filter_map(longest).map(like).collect();
        all.into_iter().collect()
    }

    /// The text with the member's number in place of what is looked for; `None`: it holds nothing of that.
    pub fn without(&self, text: &str) -> Option<String> {
        let runs = runs(text);
        let mut out = String::new();
        let (mut at, mut from) = (0, 0);
        while let Some((start, _, _)) = runs.get(at) {
            let Some(many) = self.names_at(text, runs.get(at..).unwrap_or_default()) else {
                at += 1;
                continue;
            };
            out.push_str(text.get(from..*start).unwrap_or_default());
            out.push_str(&self.in_place);
            at += many;
            from = runs.get(at - 1).map_or(from, |(_, end, _)| *end);
        }
        if from == 0 {
            return None;
        }
        out.push_str(text.get(from..).unwrap_or_default());
        let most = text.chars().count().max(BOX_LEAST);
        Some(out.chars().take(most).collect())
    }

    /// How many words from the first on name the member; `None`: they do not.
    fn names_at(&self, text: &str, runs: &[(usize, usize, String)]) -> Option<usize> {
        let near = |pair: &[(usize, usize, String)]| match pair {
            [(_, end, _), (start, _, _)] => text
                .get(*end..*start)
                .is_some_and(|gap| gap.chars().count() <= GAP_MOST),
            _ => false,
        };
        let phrase = self.phrases.iter().find(|words| {
            runs.get(..words.len()).is_some_and(|own| {
                own.iter()
                    .zip(*words)
                    .all(|((_, _, run), word)| run == word)
                    && own.windows(2).all(near)
            })
        })?;
        Some(phrase.len())
    }
}

/// The member whose name is taken out of rows.
#[derive(Debug)]
pub struct Leaver<'a> {
    /// The member's id, as rows bear it.
    pub id: &'a str,
    /// Ids of the member's plantings, as rows bear them.
    pub plantings: &'a BTreeSet<String>,
    /// Ids of the notices to the member, as their letters bear them.
    pub notices: &'a BTreeSet<String>,
    /// What is looked for.
    pub borne: &'a KnownBy,
}

impl Leaver<'_> {
    /// The words that change in a row of a table, or in a record of it, once the name is taken out: only the columns
    /// that change. `columns`: those in which people write words.
    pub fn other_words(
        &self,
        table: &str,
        row: &Map<String, Value>,
        columns: &[&str],
    ) -> Map<String, Value> {
        let is = |column: &str| row.get(column).and_then(Value::as_str) == Some(self.id);
        let name = Value::from(self.borne.in_place.as_str());
        let empty = || Value::from("");
        let own = |column: &str, all: Vec<(&'static str, Value)>| {
            if is(column) { all } else { Vec::new() }
        };
        let planted = row.get("planting_id").and_then(Value::as_str);
        let told = row.get("notice_id").and_then(Value::as_str);
        let whole = match table {
            "members" => own(
                "id",
                vec![
                    ("name", name),
                    ("phone", empty()),
                    ("email", Value::Null),
                    ("call_by", empty()),
                    ("address", empty()),
                ],
            ),
            "member_names" => own("member_id", vec![("name", name)]),
            "accounts" => own(
                "member_id",
                vec![("sign_in", empty()), ("passphrase_hash", empty())],
            ),
            "station_pins" => own("member_id", vec![("pin_hash", empty())]),
            "hand_overs" => own("member_id", vec![("signed_by", name), ("note", empty())]),
            "divisions" => own("signed_by_id", vec![("signed_by", name)]),
            "tickets" | "turns" => own("member_id", vec![("note", empty())]),
            "planting_versions" if planted.is_some_and(|p| self.plantings.contains(p)) => {
                vec![("note", empty())]
            }
            "notices" => own("member_id", vec![("subject", empty()), ("words", empty())]),
            "letters" if told.is_some_and(|n| self.notices.contains(n)) => {
                vec![("address", empty()), ("problem", empty())]
            }
            _ => Vec::new(),
        };
        let mut out: Map<String, Value> = whole
            .into_iter()
            .map(|(column, to)| (column.to_owned(), to))
            .collect();
        // Another member's name is that member's, whatever words the two share.
        for column in columns.iter().filter(|_| table != "member_names") {
            if let Some(Value::String(text)) = row.get(*column)
                && !out.contains_key(*column)
                && let Some(without) = self.borne.without(text)
            {
                out.insert((*column).to_owned(), without.into());
            }
        }
        out.retain(|column, to| row.get(column).is_some_and(|was| was != to));
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn zebedee() -> KnownBy {
        let mut borne = KnownBy::new(17);
        for text in [
            "Zebedee Quillfeather",
            "zeb@quill.example",
            "12 Mill Road,\nBerea KY",
        ] {
            borne.add(text);
        }
        borne.add_phone("(606) 555-0147");
        borne
    }

    #[test]
    fn a_name_goes_whole_whatever_its_case_and_however_it_is_parted() {
        for (text, without) in [
            (
                "paid by Zebedee Quillfeather, cash",
                "paid by Member 17, cash",
            ),
            ("ZEBEDEE  QUILLFEATHER’s jars", "Member 17’s jars"),
            (
                "Zebedee Quillfeather and zebedee quillfeather",
                "Member 17 and Member 17",
            ),
            ("to zeb@quill.example", "to Member 17"),
            (
                "call 606-555-0147 or 6065550147 or +1 606.555.0147",
                "call Member 17 or Member 17 or +1 Member 17",
            ),
            ("call 555 0147", "call Member 17"),
            ("sent to 12 Mill Road, Berea KY", "sent to Member 17"),
        ] {
            assert_eq!(zebedee().without(text).as_deref(), Some(without), "{text}");
        }
    }

    #[test]
    fn what_only_looks_like_it_stays() {
        for text in [
            "",
            "Zebedee Quill",
            "Quillfeather Zebedee",
            "Zebedee told the crew that Quillfeather was late",
            "606 555 0148",
            "12 Mill Road",
        ] {
            assert_eq!(zebedee().without(text), None, "{text}");
        }
    }

    #[test]
    fn single_words_are_looked_for_when_they_are_asked_for_and_long_enough() {
        let mut borne = zebedee();
        borne.add("Quillfeather");
        borne.add("Ze");
        borne.add("…");
        assert_eq!(
            borne.without("Mrs. Quillfeather took Ze’s jars").as_deref(),
            Some("Mrs. Member 17 took Ze’s jars")
        );
        assert_eq!(borne.without("Quillfeathers"), None);
    }

    #[test]
    fn a_short_text_does_not_outgrow_its_box() {
        let mut borne = KnownBy::new(1_000_000_017);
        borne.add("Zeb");
        let text = "Zeb Zeb Zeb Zeb Zeb";
        let without = borne.without(text).unwrap();
        assert_eq!(without, "Member 1000000017 Member 10000");
    }

    #[test]
    fn every_text_that_is_changed_is_like_one_of_the_patterns() {
        let mut borne = zebedee();
        borne.add("Žofie Šťastná");
        let likes = borne.likes();
        assert!(likes.contains(&"%quillfeather%".to_owned()), "{likes:?}");
        assert!(likes.contains(&"%__astn_%".to_owned()), "{likes:?}");
    }

    #[test]
    fn rows_of_the_member_lose_what_is_the_members_and_keep_their_figures() {
        let (borne, plantings) = (zebedee(), BTreeSet::from(["p1".to_owned()]));
        let notices = BTreeSet::from(["n1".to_owned()]);
        let leaver = Leaver {
            id: "m17",
            plantings: &plantings,
            notices: &notices,
            borne: &borne,
        };
        let words = |table: &str, row: Value, columns: &[&str]| {
            let Value::Object(row) = row else {
                return json!("no row");
            };
            Value::Object(leaver.other_words(table, &row, columns))
        };
        let card = json!({"id": "m17", "number": 17, "name": "Zeb", "phone": "1", "email": "x@y.z", "call_by": "", "address": "there", "role": "crew"});
        assert_eq!(
            words("members", card, &["call_by"]),
            json!({"name": "Member 17", "phone": "", "email": null, "address": ""})
        );
        let other = json!({"id": "m18", "name": "Zebedee Quillfeather", "call_by": "by Zebedee Quillfeather"});
        assert_eq!(
            words("members", other, &["call_by"]),
            json!({"call_by": "by Member 17"})
        );
        let borne_by_other = json!({"member_id": "m18", "name": "Zebedee Quillfeather"});
        assert_eq!(words("member_names", borne_by_other, &["name"]), json!({}));
        let handed = json!({"member_id": "m17", "number": 3, "signed_by": "his son", "note": ""});
        assert_eq!(
            words("hand_overs", handed, &["signed_by", "note"]),
            json!({"signed_by": "Member 17"})
        );
        let planted = json!({"planting_id": "p1", "note": "behind the red barn"});
        assert_eq!(
            words("planting_versions", planted, &["note"]),
            json!({"note": ""})
        );
        let told = json!({"id": "n1", "member_id": "m17", "kind": "turn", "subject": "Your turn", "words": "It is on Saturday."});
        assert_eq!(
            words("notices", told, &["subject", "words"]),
            json!({"subject": "", "words": ""})
        );
        for (notice, empty) in [("n1", json!({"address": ""})), ("n2", json!({}))] {
            let letter = json!({"notice_id": notice, "address": "x@y.z", "problem": ""});
            assert_eq!(words("letters", letter, &["problem"]), empty);
        }
        let line = json!({"member_id": "m18", "cents": 100, "says": "with Zebedee Quillfeather"});
        assert_eq!(
            words("ledger", line, &["says"]),
            json!({"says": "with Member 17"})
        );
    }
}
