//! What was written on paper first and is typed in later: by whom it was written, and when.

use crate::units::{MemberId, UtcSecond};

/// What the paper says of an entry that is typed in later.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FromPaper {
    /// Who weighed, read or handed over, as it stands on the paper.
    pub by: MemberId,
    /// The true time, for entries that have no time of their own.
    pub at: Option<UtcSecond>,
}
