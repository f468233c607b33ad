//! Forms: what was sent (`Sent`), the form as it is shown (`Sheet`: each box with what was typed and
//! what is wrong with it), and the one exit for a form that is not taken.

use super::error::PageError;
use super::session::Visit;
use crate::actions::{Differs, Ids, SentForm, Stop};
use crate::calc::MAY_BE_SO;
use crate::store::Trouble;
use crate::units::{FormKey, Refused};
use axum::body::Bytes;
use axum::http::StatusCode;
use uuid::Uuid;

/// A form as it was posted: names and strings, nothing meant yet. Only made after its token has
/// been checked, so that no form can be read without.
#[derive(Debug)]
pub(super) struct Sent {
    pairs: Vec<(String, String)>,
    key: FormKey,
}

/// Most bytes a form may have.
pub(super) const MOST_BYTES: usize = 64 * 1024;

/// Boxes whose content is never kept, not even as a digest.
const SECRET: [&str; 7] = [
    "passphrase",
    "old",
    "code",
    "token",
    "pin",
    "mark",
    "signature",
];

impl Sent {
    /// Reads a form that was posted.
    ///
    /// # Errors
    /// It is no form, or its token does not belong to this visit. What a phone kept needs no token (`kept`):
    /// its headers cannot be set by a page elsewhere.
    pub(super) fn read(body: &Bytes, visit: &Visit, kept: bool) -> Result<Self, PageError> {
        let mut pairs: Vec<(String, String)> =
            serde_urlencoded::from_bytes(body).map_err(|_| PageError::Garbled)?;
        for (_, value) in &mut pairs {
            one_line_break(value);
        }
        let find = |name: &str| {
            pairs
                .iter()
                .find(|(n, _)| n == name)
                .map_or("", |(_, v)| v.as_str())
        };
        let key = FormKey::parse(find("form_key")).ok_or(PageError::Untrusted)?;
        if !kept && find("token") != visit.form_token(key) {
            return Err(PageError::Untrusted);
        }
        Ok(Self { pairs, key })
    }

    /// The form as far as it tells one sending from another; `target` is the address it was sent to.
    pub(super) fn as_form(&self, target: &str) -> SentForm {
        let boxes: Vec<(&str, &str)> = self
            .pairs
            .iter()
            .filter(|(name, _)| name != "form_key" && !SECRET.contains(&name.as_str()))
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        SentForm::new(self.key, target, &boxes)
    }

    /// What was typed into a box; empty when there was none.
    pub(super) fn get(&self, name: &str) -> &str {
        self.pairs
            .iter()
            .find(|(n, _)| n == name)
            .map_or("", |(_, v)| v.as_str())
    }

    /// The boxes of one row of a form of many rows: those whose names begin with its mark, with the mark left off.
    pub(super) fn row(&self, mark: &str) -> Vec<(&str, &str)> {
        self.pairs
            .iter()
            .filter_map(|(name, value)| Some((name.strip_prefix(mark)?, value.as_str())))
            .collect()
    }

    /// All values sent under one name: ticked boxes of a list.
    pub(super) fn all(&self, name: &str) -> Vec<&str> {
        self.pairs
            .iter()
            .filter(|(n, _)| n == name)
            .map(|(_, v)| v.as_str())
            .collect()
    }
}

/// Browsers send a line break as two characters, what a phone kept has one: here it is one.
fn one_line_break(value: &mut String) {
    if value.contains('\r') {
        *value = value.replace("\r\n", "\n").replace('\r', "\n");
    }
}

/// One box: what stands in it and what is wrong with it.
#[derive(Debug, Clone, Default)]
pub(super) struct Field {
    /// The text as typed.
    pub typed: String,
    /// What is wrong with it, if anything.
    pub problem: Option<String>,
}

/// A form as it is shown: blank, prefilled, or come back with problems.
#[derive(Debug, Clone)]
pub(super) struct Sheet {
    /// The form's key: the same again when it comes back.
    pub form_key: String,
    /// The token that says the form is ours.
    pub token: String,
    /// What is wrong with the form as a whole.
    pub problem: Option<String>,
    /// Where what was stored stands, when the same form was done before with other content.
    pub stored_at: Option<String>,
    /// Whether the same form was stored before, though its boxes cannot be read now.
    pub sent_before: bool,
    /// The boxes, in the order of the form.
    fields: Vec<(String, Field)>,
    /// Name of the box that was read last.
    last_read: Option<String>,
    refusal: bool,
    /// The trouble that kept the form from being stored, if its content did not.
    trouble: Option<Trouble>,
}

impl Sheet {
    /// An empty form with a fresh key.
    pub(super) fn blank(visit: &Visit, ids: &Ids) -> Self {
        let key = FormKey::new(ids.next(visit.at));
        Self::keyed(visit, key)
    }

    /// The form as it was sent, to be read and perhaps shown again.
    pub(super) fn of(visit: &Visit, sent: &Sent) -> Self {
        let mut sheet = Self::keyed(visit, sent.key);
        for (name, value) in &sent.pairs {
            if name != "form_key" && name != "token" {
                sheet.field(name).typed.clone_from(value);
            }
        }
        sheet
    }

    fn keyed(visit: &Visit, key: FormKey) -> Self {
        Self {
            form_key: key.to_string(),
            token: visit.form_token(key),
            problem: None,
            stored_at: None,
            sent_before: false,
            fields: Vec::new(),
            last_read: None,
            refusal: false,
            trouble: None,
        }
    }

    /// A form outside any visit, for the samples that tests render.
    #[cfg(test)]
    pub(crate) fn sample() -> Self {
        Self {
            form_key: "01920000-0000-7000-8000-000000000000".to_owned(),
            token: "sample".to_owned(),
            problem: None,
            stored_at: None,
            sent_before: false,
            fields: Vec::new(),
            last_read: None,
            refusal: false,
            trouble: None,
        }
    }

    fn find(&self, name: &str) -> Option<&Field> {
        self.fields.iter().find(|(n, _)| n == name).map(|(_, f)| f)
    }

    /// A box, made if it is not there yet. One that was not sent (no choice made of several) stands after
    /// the box that was read before it: forms are read in their order.
    fn field(&mut self, name: &str) -> &mut Field {
        let place = self.fields.iter().position(|(n, _)| n == name);
        let place = place.unwrap_or_else(|| {
            let before = self.last_read.as_ref();
            let after = before.and_then(|b| self.fields.iter().position(|(n, _)| n == b));
            let place = after.map_or(self.fields.len(), |at| at + 1);
            self.fields
                .insert(place, (name.to_owned(), Field::default()));
            place
        });
        &mut self.fields[place].1
    }

    /// Writes into a box.
    pub(super) fn put(&mut self, name: &str, typed: impl Into<String>) -> &mut Self {
        self.field(name).typed = typed.into();
        self
    }

    /// Marks a box as wrong.
    pub(super) fn refuse(&mut self, name: &str, sentence: impl Into<String>) -> &mut Self {
        self.field(name).problem = Some(sentence.into());
        self
    }

    /// Empties boxes whose content is never shown again, such as passphrases.
    pub(super) fn forget(&mut self, names: &[&str]) {
        for name in names {
            self.field(name).typed.clear();
        }
    }

    /// A box with its text and problem, for the template.
    pub(super) fn at(&self, name: &str) -> Field {
        self.find(name).cloned().unwrap_or_default()
    }

    /// Whether a form that was sent has that box, filled or empty; none on a blank sheet.
    pub(super) fn was_sent(&self, name: &str) -> bool {
        self.find(name).is_some()
    }

    /// The text in a box.
    pub(super) fn typed(&self, name: &str) -> &str {
        self.find(name).map_or("", |f| f.typed.as_str())
    }

    /// Whether a choice or tick box has this value.
    pub(super) fn has(&self, name: &str, value: &str) -> bool {
        self.typed(name) == value
    }

    /// Reads a box that must be filled; `None` leaves the problem beside it.
    pub(super) fn read<T>(
        &mut self,
        name: &str,
        parse: impl FnOnce(&str) -> Result<T, Refused>,
    ) -> Option<T> {
        let parsed = parse(self.typed(name));
        if let Err(refused) = &parsed {
            self.refuse(name, refused.sentence());
        }
        self.last_read = Some(name.to_owned());
        parsed.ok()
    }

    /// Reads a box that may be empty: `Some(None)` when it is.
    #[expect(
        clippy::option_option,
        reason = "outer: was it readable; inner: was it filled in"
    )]
    pub(super) fn read_optional<T>(
        &mut self,
        name: &str,
        parse: impl FnOnce(&str) -> Result<T, Refused>,
    ) -> Option<Option<T>> {
        if self.typed(name).trim().is_empty() {
            Some(None)
        } else {
            self.read(name, parse).map(Some)
        }
    }

    /// Whether a tick box is ticked.
    pub(super) fn ticked(&self, name: &str) -> bool {
        self.has(name, "yes")
    }

    /// Figures as they were typed, joined by " and ": what a form that reads them back asks about.
    pub(super) fn together(&self, names: &[&str]) -> String {
        let typed: Vec<&str> = names
            .iter()
            .map(|name| self.typed(name).trim())
            .filter(|typed| !typed.is_empty())
            .collect();
        typed.join(" and ")
    }

    /// These figures as they were typed, where they were asked about and may be so; else nothing.
    pub(super) fn asked_about(&self, names: &[&str]) -> String {
        if self.typed(MAY_BE_SO) == "yes" {
            return self.together(names);
        }
        String::new()
    }

    /// Whether figures that were read back came again as they were, with the answer that they are so.
    pub(super) fn confirmed(&self, names: &[&str]) -> bool {
        let together = self.together(names);
        !together.is_empty() && self.typed("sure").trim() == together
    }

    /// The problems, box by box, for the summary above the form.
    pub(super) fn problems(&self) -> Vec<(String, String)> {
        self.fields
            .iter()
            .filter_map(|(name, field)| field.problem.clone().map(|p| (name.clone(), p)))
            .collect()
    }

    /// The problem of the form as a whole, else that of its first wrong box.
    pub(super) fn first_problem(&self) -> String {
        let first = || self.problems().into_iter().next().map(|(_, p)| p);
        self.problem.clone().or_else(first).unwrap_or_default()
    }

    /// Takes an action's refusal into the form, which is then shown again.
    ///
    /// # Errors
    /// It was no refusal but a missing record or a fault.
    pub(super) fn stop(&mut self, stop: Stop) -> Result<(), PageError> {
        match stop {
            Stop::RuleRefusal(refusal) => {
                self.refusal = true;
                if let Some((name, value)) = refusal.holds {
                    self.put(name, value);
                }
                if let Some(at) = refusal.at {
                    self.refuse(at, refusal.sentence);
                } else {
                    self.problem = Some(refusal.sentence);
                }
                Ok(())
            }
            Stop::Fault(error) => match error.trouble() {
                Some(trouble) => {
                    self.trouble = Some(trouble);
                    self.problem = Some(not_stored(trouble));
                    Ok(())
                }
                None => Err(error.into()),
            },
            other => Err(other.into()),
        }
    }

    /// The trouble that kept the form from being stored, if its content did not.
    pub(super) fn trouble(&self) -> Option<Trouble> {
        self.trouble
    }

    /// Says that the form was done before with other content, and where what was stored stands.
    pub(super) fn stored_otherwise(&mut self, differs: &[Differs], at: String) {
        self.refusal = true;
        self.problem = Some(stored_otherwise(differs));
        for differing in differs {
            let found = self.fields.iter_mut().find(|(n, _)| *n == differing.name);
            if let Some((_, field)) = found {
                field.problem = Some(format!("Stored is {}.", shown(&differing.stored)));
            }
        }
        self.stored_at = Some(at);
    }

    /// The first box that is wrong: the one that the page puts the cursor in.
    pub(super) fn first_wrong(&self, name: &str) -> bool {
        self.fields
            .iter()
            .find(|(_, field)| field.problem.is_some())
            .is_some_and(|(first, _)| first == name)
    }

    /// The status the form is shown again with: 503 when it was right and could not be stored, 409 when a rule was not met or it was
    /// stored before, else 422.
    pub(super) fn status(&self) -> StatusCode {
        if self.trouble.is_some() {
            StatusCode::SERVICE_UNAVAILABLE
        } else if self.refusal || self.sent_before {
            StatusCode::CONFLICT
        } else {
            StatusCode::UNPROCESSABLE_ENTITY
        }
    }
}

/// "Nothing was stored: the disk is full. …"
fn not_stored(trouble: Trouble) -> String {
    let next = match trouble {
        Trouble::Busy => "Please send it again in a minute",
        _ => "Please tell a steward, and send it again afterwards",
    };
    format!(
        "Nothing was stored: {}. What you typed still stands here. {next}.",
        trouble.what()
    )
}

/// What stood in a box, in quotation marks; a choice that only the program can read says just that.
fn shown(text: &str) -> String {
    let text = text.trim();
    if text.is_empty() {
        "nothing".to_owned()
    } else if text.split(", ").all(|part| Uuid::parse_str(part).is_ok()) {
        "another choice".to_owned()
    } else {
        format!("“{}”", text.chars().take(60).collect::<String>())
    }
}

/// "This form was taken before …", with what differs.
fn stored_otherwise(differs: &[Differs]) -> String {
    let pairs: Vec<String> = differs
        .iter()
        .take(3)
        .map(|d| {
            let name = d.name.replace('_', " ");
            format!("{name} {} (now {})", shown(&d.stored), shown(&d.sent))
        })
        .collect();
    let what = if pairs.is_empty() {
        ". What stood in it then is not kept, and this may be something else".to_owned()
    } else {
        format!(" as {}", pairs.join(", "))
    };
    format!(
        "This form was already sent, and stored{what}. Nothing was stored this time. To change what \
         is stored, open it."
    )
}

/// One choice of a list: the value sent and the words shown.
#[derive(Debug, Clone)]
pub(super) struct Choice {
    /// The value that is sent.
    pub value: String,
    /// The words that are shown.
    pub words: String,
}

impl Choice {
    /// A choice with this value and these words.
    pub(super) fn new(value: impl Into<String>, words: impl Into<String>) -> Self {
        Self {
            value: value.into(),
            words: words.into(),
        }
    }
}
