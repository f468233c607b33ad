//! Why an action was not done, and what becomes of what the store or a quantity refused.

use super::Differs;
use crate::calc::RuleRefusal;
use crate::store::StoreError;
use crate::units::Refused;

/// Why an action was not done.
#[derive(Debug, thiserror::Error)]
pub enum Stop {
    /// A rule is not met; the sentence says which and what would meet it.
    #[error(transparent)]
    RuleRefusal(#[from] RuleRefusal),
    /// There is no such record, or it is not this person's.
    #[error("no such record")]
    Missing,
    /// This form was done before, with something else in it; nothing was written this time.
    #[error("the form was done before with other content")]
    SentOtherwise {
        /// The answer of the action when it was done.
        answer: String,
        /// The boxes that hold something else than what was stored.
        differs: Vec<Differs>,
    },
    /// The store failed; nothing was written.
    #[error(transparent)]
    Fault(StoreError),
}

impl From<Refused> for Stop {
    /// A quantity refused at its own door, where no box asked for it.
    fn from(refused: Refused) -> Self {
        Self::RuleRefusal(RuleRefusal::new("refused", refused.sentence()))
    }
}

impl From<StoreError> for Stop {
    fn from(error: StoreError) -> Self {
        if error.of_locked_season() {
            return RuleRefusal::new(
                "season-locked",
                "This season is closed and locked: nothing of it is changed any more, but for payments. A steward can lift the \
                 lock, with a reason, from the page of the season’s close.",
            )
            .into();
        }
        Self::Fault(error)
    }
}
