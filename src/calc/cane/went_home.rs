//! A ticket that was closed as gone home unpressed: whatever is measured or weighed of it afterwards asks first whether its
//! cane is pressed after all, so that the book never says both.

use crate::calc::RuleRefusal;

/// The box that says that it is pressed after all.
pub const AFTER_ALL: &str = "after_all";

/// How a ticket was closed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GoneHome {
    /// Name of whoever closed it.
    pub by: String,
    /// When, in words.
    pub at: String,
    /// Where its cane went; empty: those words were forgotten.
    pub went: String,
}

impl GoneHome {
    /// "Ruth Bell closed this ticket as gone home unpressed (Sat 10 Oct 2026 11:40): home for feed."
    fn words(&self) -> String {
        let Self { by, at, went } = self;
        let went = match went.trim().trim_end_matches('.') {
            "" => String::new(),
            went => format!(": {went}"),
        };
        format!("{by} closed this ticket as gone home unpressed ({at}){went}.")
    }

    /// The same, and the question.
    pub fn question(&self) -> String {
        format!("{} Is its cane pressed here after all?", self.words())
    }

    /// What a form is refused with as long as nobody has answered, beside the box of the answer.
    pub fn asks(&self) -> RuleRefusal {
        let asked = format!(
            "{} If so, tick the box for it and send again.",
            self.question()
        );
        RuleRefusal::beside(AFTER_ALL, "gone-home", asked)
    }

    /// What a button is refused with, which has no box for an answer.
    pub fn back_first(&self) -> RuleRefusal {
        let first = format!(
            "{} Please take that back on its ticket first.",
            self.words()
        );
        RuleRefusal::new("gone-home", first)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gone(went: &str) -> GoneHome {
        GoneHome {
            by: "Ruth Bell".to_owned(),
            at: "Sat 10 Oct 2026 11:40".to_owned(),
            went: went.to_owned(),
        }
    }

    #[test]
    fn the_question_says_who_when_and_where_to_once_with_a_full_stop() {
        let asked = "Ruth Bell closed this ticket as gone home unpressed (Sat 10 Oct 2026 11:40): home for feed. \
                     Is its cane pressed here after all?";
        assert_eq!(gone("home for feed").question(), asked);
        assert_eq!(gone("home for feed. ").question(), asked);
        assert!(gone("").question().contains("11:40). Is its"));
    }

    #[test]
    fn a_form_is_asked_beside_its_box_and_a_button_as_a_whole() {
        assert_eq!(gone("").asks().at, Some(AFTER_ALL));
        assert_eq!(gone("").back_first().at, None);
    }
}
