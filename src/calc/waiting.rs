//! The waiting list of a press day: how an entry stands, what came of an offer. Never knows who
//! waits.

/// How a place on the list stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Waits: is offered the first start that fits.
    Waiting,
    /// Declined what was offered: is asked again when other room comes free.
    Declined,
    /// Let an offer run out: is asked no more until the member says so.
    Missed,
    /// Came to a turn.
    Placed,
    /// Left the list, or was taken off it.
    Left,
}

impl State {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Waiting,
        Self::Declined,
        Self::Missed,
        Self::Placed,
        Self::Left,
    ];

    /// The word the store uses.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Declined => "declined",
            Self::Missed => "missed",
            Self::Placed => "placed",
            Self::Left => "left",
        }
    }

    /// The state of that word; none: there is none.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.word() == word)
    }

    /// Whether the member is still on the list.
    pub const fn on_list(self) -> bool {
        matches!(self, Self::Waiting | Self::Declined | Self::Missed)
    }
}

/// What came of an offer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Answer {
    /// It became a turn.
    Taken,
    /// The member did not want it.
    Declined,
    /// Nobody answered in time.
    Lapsed,
    /// It was taken back, with a reason.
    Withdrawn,
}

impl Answer {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Taken, Self::Declined, Self::Lapsed, Self::Withdrawn];

    /// The word the store uses.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Taken => "taken",
            Self::Declined => "declined",
            Self::Lapsed => "lapsed",
            Self::Withdrawn => "withdrawn",
        }
    }

    /// The answer of that word; none: there is none.
    pub fn of_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|answer| answer.word() == word)
    }
}
