//! The call that a watch has made, and whether it told a finish, from one figure to the next.

use super::call::Call;

/// The call that stood before the last figure.
#[derive(Debug, Clone, Copy)]
pub(super) struct CallBefore {
    pub call: Call,
    /// When the reading came that is taken in now, in minutes since the fire was lit.
    pub at: f64,
    /// What chance the courses were followed with until then, so that it is the call that a look showed.
    pub seed: u64,
    /// The same of the reading that it was worked out for.
    of: Option<u64>,
    /// Whether a finish was told before the last figure, and when that was looked at.
    pub told: bool,
    looked_at: f64,
    /// When a probe last sent something.
    pub probe_at: f64,
}

/// So long after a probe last sent something its wavering takes back nothing that was told, minutes.
const HEARS_MIN: f64 = 5.0;
/// While the end is far and a finish is told, it is looked so often whether it still is, minutes.
const LOOKS_MIN: f64 = 2.5;

impl Default for CallBefore {
    fn default() -> Self {
        Self {
            call: Call::Drawn,
            at: 0.0,
            seed: 0,
            of: None,
            told: false,
            looked_at: f64::NEG_INFINITY,
            probe_at: f64::NEG_INFINITY,
        }
    }
}

impl CallBefore {
    /// Whether it is not worked out yet for the reading that is taken in now; from now on it is.
    pub(super) fn is_due(&mut self) -> bool {
        self.of.replace(self.seed) != Some(self.seed)
    }

    /// Whether a finish that was told goes on being told at a minute, unless that is clearly not so: while a probe sends. By
    /// hand a reading is one by itself, and takes back what it must.
    pub(super) fn keeps_told(&self, minute: f64) -> bool {
        self.told && minute - self.probe_at <= HEARS_MIN
    }

    /// Whether it is due again to look whether a finish is told; `near`: the end may be.
    pub(super) fn looks_again(&mut self, near: bool) -> bool {
        let hears = self.at - self.probe_at <= HEARS_MIN;
        let due = near || (hears && (!self.told || self.at - self.looked_at >= LOOKS_MIN));
        if due {
            self.looked_at = self.at;
        }
        due
    }

    /// Nothing that was called or told counts any more.
    pub(super) fn ends(&mut self) {
        self.call = Call::Drawn;
        self.told = false;
    }
}
