//! Why something typed was not taken, in a sentence that says what to write instead.

use std::fmt;

/// A refusal of typed text. Its sentence is shown beside the box, as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused(String);

impl Refused {
    /// A refusal with its sentence: complete, in the page's words, saying what to write.
    pub fn new(sentence: impl Into<String>) -> Self {
        Self(sentence.into())
    }

    /// The sentence that tells why, and what to write instead.
    pub fn sentence(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Refused {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Refused {}
