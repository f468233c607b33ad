//! A form as it was sent, so far as it tells one sending from another: its key, where it was sent to, and
//! what was typed. Holds nothing secret and knows nothing of pages.

use super::from_paper::FromPaper;
use super::from_phone::FromPhone;
use crate::units::{FormKey, StationId};
use hmac::{Hmac, KeyInit, Mac};
use sha2::{Digest, Sha256};
use std::sync::LazyLock;

/// Most characters kept of what was typed; longer forms are told apart by their digest alone.
const BOXES_MOST: usize = 4_000;

/// What the digest of a form begins with of which nothing may be kept that its content could be guessed from.
const NOT_KEPT: &str = "not kept:";

/// Drawn anew with each start and stored nowhere: by it alone two such contents are told apart.
static OF_THIS_RUN: LazyLock<[u8; 32]> = LazyLock::new(|| {
    let mut key = [0_u8; 32];
    getrandom::fill(&mut key).expect("the operating system gives random bytes");
    key
});

/// The form that asks for an action, as it was sent this time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SentForm {
    /// The key the form carries.
    pub key: FormKey,
    /// The address it was sent to.
    pub target: String,
    /// SHA-256 of what was typed, in hexadecimal.
    pub digest: String,
    /// What was typed, urlencoded; empty when it is too long to keep.
    pub boxes: String,
    /// What the phone says of it, when it was kept there before it was sent.
    pub phone: Option<FromPhone>,
    /// What stands on the paper that it is typed in from.
    pub paper: Option<FromPaper>,
    /// The mill's station that it was sent from.
    pub station: Option<StationId>,
}

/// One box that was sent again with something else in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Differs {
    /// The box's name.
    pub name: String,
    /// The content that was stored.
    pub stored: String,
    /// The content that was sent this time.
    pub sent: String,
}

impl From<FormKey> for SentForm {
    /// A form without boxes, as the program itself sends it.
    fn from(key: FormKey) -> Self {
        Self::new(key, "", &[])
    }
}

impl SentForm {
    /// A form sent to `target` with these boxes, which must hold nothing secret.
    pub fn new(key: FormKey, target: &str, boxes: &[(&str, &str)]) -> Self {
        let text = serde_urlencoded::to_string(boxes).unwrap_or_default();
        Self {
            key,
            target: target.to_owned(),
            digest: format!(
                "{:x}",
                HexDigest(Sha256::digest(text.as_bytes()).as_slice())
            ),
            boxes: if text.len() > BOXES_MOST {
                String::new()
            } else {
                text
            },
            phone: None,
            paper: None,
            station: None,
        }
    }

    /// This form without its content: sent again while the program runs it is known as the same, and nobody can guess at
    /// what stood in it.
    pub(super) fn without_content(self) -> Self {
        let mut mac = Hmac::<Sha256>::new_from_slice(&*OF_THIS_RUN).expect("any length is a key");
        mac.update(self.digest.as_bytes());
        let code = mac.finalize().into_bytes();
        Self {
            digest: format!("{NOT_KEPT}{:x}", HexDigest(code.as_slice())),
            boxes: String::new(),
            ..self
        }
    }

    /// Whether it is what was stored with this digest.
    pub(super) fn is_stored_as(&self, digest: &str) -> bool {
        self.digest == digest
            || digest.starts_with(NOT_KEPT) && self.clone().without_content().digest == digest
    }

    /// This form, with what the phone says that kept it before sending.
    pub fn kept(self, phone: Option<FromPhone>) -> Self {
        Self { phone, ..self }
    }

    /// This form, with what stands on the paper that it is typed in from.
    pub fn on_paper(self, paper: Option<FromPaper>) -> Self {
        Self { paper, ..self }
    }

    /// This form, with the station that it was sent from.
    pub fn sent_at(self, station: Option<StationId>) -> Self {
        Self { station, ..self }
    }
}

/// The boxes in which two sendings of a form differ, in the order of the form; none where nothing was kept of the first.
pub(super) fn differences(stored: &str, sent: &str) -> Vec<Differs> {
    if stored.is_empty() {
        return Vec::new();
    }
    let read = |text: &str| -> Vec<(String, String)> {
        serde_urlencoded::from_str(text).unwrap_or_default()
    };
    let (stored, sent) = (read(stored), read(sent));
    let value = |of: &[(String, String)], name: &str| -> String {
        let values: Vec<&str> = of
            .iter()
            .filter(|(n, _)| n == name)
            .map(|(_, v)| v.as_str())
            .collect();
        values.join(", ")
    };
    let mut names: Vec<&str> = Vec::new();
    for (name, _) in stored.iter().chain(&sent) {
        if !names.contains(&name.as_str()) {
            names.push(name);
        }
    }
    names
        .into_iter()
        .map(|name| Differs {
            name: name.to_owned(),
            stored: value(&stored, name),
            sent: value(&sent, name),
        })
        .filter(|d| d.stored != d.sent)
        .collect()
}

/// Bytes shown in hexadecimal.
struct HexDigest<'a>(&'a [u8]);

impl std::fmt::LowerHex for HexDigest<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn key() -> FormKey {
        FormKey::new(Uuid::from_u128(7))
    }

    #[test]
    fn the_digest_is_that_of_the_boxes_and_tells_two_contents_apart() {
        let one = SentForm::new(key(), "/x", &[("gross", "300")]);
        let other = SentForm::new(key(), "/x", &[("gross", "310")]);
        // SHA-256 of "gross=300", by coreutils' sha256sum.
        assert_eq!(
            one.digest,
            "194854e9f2832268e46325c3bc2bf6f976c4dfc1854bb3a65e86335562830f8f"
        );
        assert_ne!(one.digest, other.digest);
        assert_eq!(one.boxes, "gross=300");
    }

    #[test]
    fn a_form_whose_content_is_not_kept_is_known_again_and_nothing_of_it_stands_there() {
        let one = SentForm::new(key(), "/x", &[("words", "Quillfeather")]);
        let other = SentForm::new(key(), "/x", &[("words", "Quillfeather Zeb")]);
        let stored = one.clone().without_content();
        assert_eq!(stored.boxes, "");
        assert!(!stored.digest.contains(&one.digest), "{}", stored.digest);
        assert!(one.is_stored_as(&stored.digest));
        assert!(!other.is_stored_as(&stored.digest));
        // What was emptied later is nobody's.
        assert!(!one.is_stored_as(""));
        assert_eq!(differences(&stored.boxes, &other.boxes), []);
    }

    #[test]
    fn what_differs_is_named_box_by_box_and_ticked_lists_as_one() {
        let found = differences(
            "gross=300&tick=a&tick=b&note=x",
            "gross=310&tick=a&note=x&new=1",
        );
        let words: Vec<(&str, &str, &str)> = found
            .iter()
            .map(|d| (d.name.as_str(), d.stored.as_str(), d.sent.as_str()))
            .collect();
        assert_eq!(
            words,
            [
                ("gross", "300", "310"),
                ("tick", "a, b", "a"),
                ("new", "", "1")
            ]
        );
        assert_eq!(differences("gross=300", "gross=300"), []);
    }

    #[test]
    fn a_very_long_form_is_told_apart_by_its_digest_alone() {
        let long = "x".repeat(BOXES_MOST + 1);
        let one = SentForm::new(key(), "/x", &[("note", &long)]);
        let other = SentForm::new(key(), "/x", &[("note", &long[1..])]);
        assert_eq!(one.boxes, "");
        assert_ne!(one.digest, other.digest);
    }
}
