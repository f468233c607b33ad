//! What may not be done yet, in a sentence that says what would make it possible.

use std::fmt;

/// A rule that is not met.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unmet {
    /// A short stable word for tests and for pages that link to the remedy.
    pub code: &'static str,
    /// The name of the box that it belongs beside, if one.
    pub at: Option<&'static str>,
    /// The sentence as shown: complete, saying what would make it possible.
    pub sentence: String,
}

impl Unmet {
    /// A rule of the whole form that is not met.
    pub fn new(code: &'static str, sentence: impl Into<String>) -> Self {
        Self {
            code,
            at: None,
            sentence: sentence.into(),
        }
    }

    /// A rule that is not met by what stands in one box.
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
