//! The call that a watch has made, from one figure to the next.

use super::call::Call;

/// The call that stood before the last figure.
#[derive(Debug, Clone, Copy)]
pub(super) struct Held {
    pub call: Call,
    /// When the reading came that is taken in now, in minutes since the fire was lit.
    pub at: f64,
    /// What chance the courses were followed with until then, so that it is the call that a look showed.
    pub seed: u64,
    /// The same of the reading that it was worked out for.
    of: Option<u64>,
}

impl Default for Held {
    fn default() -> Self {
        Self {
            call: Call::Drawn,
            at: 0.0,
            seed: 0,
            of: None,
        }
    }
}

impl Held {
    /// Whether it is not worked out yet for the reading that is taken in now; from now on it is.
    pub(super) fn is_due(&mut self) -> bool {
        self.of.replace(self.seed) != Some(self.seed)
    }

    /// Nothing that was called counts any more.
    pub(super) fn ends(&mut self) {
        self.call = Call::Drawn;
    }
}
