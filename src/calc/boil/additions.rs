//! What is added to a boil beside juice: kinds, the dose as measured, and what may be put right.
//! Never knows or proposes a dose: the maker's sheet rules.

use crate::calc::RuleRefusal;
use crate::units::{Refused, plain_text};

/// The kind of an addition.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// Amylase, invertase and the like.
    Enzyme,
    /// A defoamer, which keeps foam down.
    Defoamer,
    /// Any other thing that is added.
    Other,
}

impl What {
    /// Every kind, in the order a form offers them.
    pub const ALL: [Self; 3] = [Self::Enzyme, Self::Defoamer, Self::Other];

    /// The word a form and the store use; a page prints it too.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Enzyme => "enzyme",
            Self::Defoamer => "defoamer",
            Self::Other => "other",
        }
    }

    /// Reads the word back; nothing for any other word.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|what| what.word() == word)
    }
}

/// A dose as it was measured out: a number and its unit, in the crew's own words, up to 40
/// characters. Never computed with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dose(String);

impl Dose {
    /// Reads "15 mL", "2 ½ tsp", "3 drops".
    ///
    /// # Errors
    /// Without a number, without a unit, or too long.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let text = plain_text(text, 1, 40)?;
        if text.chars().any(char::is_numeric) && text.chars().any(char::is_alphabetic) {
            Ok(Self(text))
        } else {
            Err(Refused::new(
                "Please write the dose as a number with its unit, as you measured it, like 15 mL.",
            ))
        }
    }

    /// The dose as it was typed.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// Those facts of an addition that decide whether it counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Noted {
    /// Number of the addition in its boil, from 1.
    pub number: i64,
    /// The number of the one it puts right.
    pub replaces: Option<i64>,
    /// Whether it is void: it never went into the pan.
    pub void: bool,
}

/// Whether the addition of that number counts: it is there, not crossed out, and no other puts it
/// right.
pub fn stands(all: &[Noted], number: i64) -> bool {
    all.iter().any(|a| a.number == number && !a.void)
        && all.iter().all(|a| a.replaces != Some(number))
}

/// Whether an addition may put another right, or cross it out.
///
/// # Errors
/// Beside `replaces`: there is no such addition, or it does not count any more. Beside `why`: no
/// reason given.
pub fn may_put_right(all: &[Noted], replaces: Option<i64>, why: &str) -> Result<(), RuleRefusal> {
    let Some(number) = replaces else {
        return Ok(());
    };
    if !stands(all, number) {
        return Err(RuleRefusal::beside(
            "replaces",
            "addition-gone",
            format!("Addition {number} does not count any more. Please choose one that does."),
        ));
    }
    if why.trim().is_empty() {
        return Err(RuleRefusal::beside(
            "why",
            "why-missing",
            "Please write why it is put right.",
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn noted(number: i64, replaces: Option<i64>, void: bool) -> Noted {
        Noted {
            number,
            replaces,
            void,
        }
    }

    #[test]
    fn a_dose_has_a_number_and_a_unit() {
        for typed in ["15 mL", " 2½ tsp", "3 drops", "1 lb per 100 gal"] {
            assert!(Dose::parse(typed).is_ok(), "{typed}");
        }
        for typed in ["", "15", "some", "  "] {
            assert!(Dose::parse(typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn what_is_put_right_or_crossed_out_does_not_count() {
        let all = [
            noted(1, None, false),
            noted(2, Some(1), false),
            noted(3, None, false),
            noted(4, Some(3), true),
        ];
        let counting: Vec<i64> = (1..=5).filter(|n| stands(&all, *n)).collect();
        assert_eq!(counting, [2]);
    }

    #[test]
    fn putting_right_needs_one_that_counts_and_a_reason() {
        let all = [noted(1, None, false), noted(2, Some(1), false)];
        let code = |replaces, why| may_put_right(&all, replaces, why).err().map(|u| u.code);
        assert_eq!(code(None, ""), None);
        assert_eq!(code(Some(2), "spilt half"), None);
        assert_eq!(code(Some(2), " "), Some("why-missing"));
        assert_eq!(code(Some(1), "spilt half"), Some("addition-gone"));
        assert_eq!(code(Some(9), "spilt half"), Some("addition-gone"));
    }

    #[test]
    fn the_words_read_back() {
        for what in What::ALL {
            assert_eq!(What::parse(what.word()), Some(what));
        }
    }
}
