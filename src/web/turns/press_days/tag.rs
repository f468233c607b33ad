//! A short state beside a line of a press day, in words and with its look.

/// A state in words, with the look of its tag.
pub(super) struct Tag {
    pub(super) words: String,
    pub(super) look: &'static str,
}

impl Tag {
    pub(super) fn new(look: &'static str, words: impl Into<String>) -> Self {
        Self {
            words: words.into(),
            look,
        }
    }
}
