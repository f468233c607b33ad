//! A payment: how it was paid, and when one is so large that it is asked about.

use crate::units::{Cents, Refused};

/// How money changed hands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PaidBy {
    /// Paid in notes and coins.
    Cash,
    /// Paid by check.
    Check,
    /// Paid from account to account.
    Transfer,
    /// Paid some other way.
    Other,
}

impl PaidBy {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Cash, Self::Check, Self::Transfer, Self::Other];

    /// The word a form and the store use.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cash => "cash",
            Self::Check => "check",
            Self::Transfer => "transfer",
            Self::Other => "other",
        }
    }

    /// The name on a page.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Cash => "cash",
            Self::Check => "check",
            Self::Transfer => "bank transfer",
            Self::Other => "another way",
        }
    }

    /// Reads the word back.
    ///
    /// # Errors
    /// None of these words.
    pub fn parse(word: &str) -> Result<Self, Refused> {
        Self::ALL
            .into_iter()
            .find(|kind| kind.word() == word)
            .ok_or_else(|| Refused::new("Please choose how it was paid."))
    }
}

/// Whether a payment is ten times what is owed that way, or more: a point slipped, most likely. Where nothing is owed that way, any
/// payment is: the other way was meant, or another member.
pub fn far_too_much(paid: Cents, owed: Cents) -> bool {
    paid.get() >= owed.get().max(0).saturating_mul(10)
}

/// Days after which a payment that is said to have been made then is asked about (house rule): the year slipped, most likely.
const LONG_AGO: i64 = 120;

/// Whether a payment of so many days ago is asked about.
pub const fn long_ago(days: i64) -> bool {
    days > LONG_AGO
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_payment_of_ten_times_the_debt_is_asked_about() {
        let asks = |paid, owed| far_too_much(Cents::new(paid), Cents::new(owed));
        assert!(asks(15_100, 1_510) && asks(i64::MAX, 1));
        assert!(!asks(15_099, 1_510) && !asks(1_510, 1_510));
        assert!(asks(50_000, 0) && asks(50_000, -300) && asks(1, 0));
        for kind in PaidBy::ALL {
            assert_eq!(PaidBy::parse(kind.word()), Ok(kind));
        }
        assert!(PaidBy::parse("gold").is_err());
    }
}
