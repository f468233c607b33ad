//! Why a computation or a rule cannot go on: a code for the program, the box it belongs beside,
//! and a sentence for the person. Never holds what broke inside the program.

use crate::units::Refused;
use std::fmt;

/// The box of a form shown again that holds “yes” where its figures were asked about and may be so; where they cannot be, it is empty.
pub const MAY_BE_SO: &str = "may_be_so";

/// A condition that is not met, in words that say what would meet it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleRefusal {
    /// A short fixed word for tests and records, like `brix-apart`.
    pub code: &'static str,
    /// The box it belongs beside, or none when it concerns the whole form.
    pub at: Option<&'static str>,
    /// The sentence, shown as it stands.
    pub sentence: String,
    /// A box that no hand fills, and what the form holds in it when it is shown again.
    pub holds: Option<(&'static str, String)>,
}

impl RuleRefusal {
    /// A condition of the whole form.
    pub fn new(code: &'static str, sentence: impl Into<String>) -> Self {
        Self {
            code,
            at: None,
            sentence: sentence.into(),
            holds: None,
        }
    }

    /// A condition of one box.
    pub fn beside(at: &'static str, code: &'static str, sentence: impl Into<String>) -> Self {
        Self {
            code,
            at: Some(at),
            sentence: sentence.into(),
            holds: None,
        }
    }

    /// The same, and the form that is shown again holds `value` in a box that no hand fills.
    #[must_use]
    pub fn holding(self, name: &'static str, value: impl Into<String>) -> Self {
        Self {
            holds: Some((name, value.into())),
            ..self
        }
    }

    /// The books have changed since whoever sent the form had it before them.
    pub fn changed(sentence: impl Into<String>) -> Self {
        Self::new("changed-meanwhile", sentence)
    }

    /// A quantity refused at its own door, set beside the box it was typed in.
    pub fn refused(at: &'static str, refused: &Refused) -> Self {
        Self::beside(at, "refused", refused.sentence())
    }
}

impl fmt::Display for RuleRefusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for RuleRefusal {}
