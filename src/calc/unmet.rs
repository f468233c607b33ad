//! What may not be done yet, and what would make it possible: a rule's answer, in a sentence.

use std::fmt;

/// A rule that is not met. The sentence is shown as it stands: beside the box `at`, or above the
/// form when that is `None`. `code` is a short stable word for tests and logs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmet {
    /// A short stable word, such as `turn-taken`.
    pub code: &'static str,
    /// The box it belongs to; `None`: the whole form.
    pub at: Option<&'static str>,
    /// What is wrong and what would make it right.
    pub sentence: String,
}

impl Unmet {
    /// For the whole form.
    pub fn new(code: &'static str, sentence: impl Into<String>) -> Self {
        Self {
            code,
            at: None,
            sentence: sentence.into(),
        }
    }

    /// For one box.
    pub fn beside(at: &'static str, code: &'static str, sentence: impl Into<String>) -> Self {
        Self {
            code,
            at: Some(at),
            sentence: sentence.into(),
        }
    }
}

impl fmt::Display for Unmet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for Unmet {}
