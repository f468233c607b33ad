//! Whether a ticket may bear a number that it has before it is in the book: one from a pad, or one that a phone gave it.

use crate::calc::RuleRefusal;

/// A number so far beyond the next one is asked about: common practice is some 30 turns a day, and a digit typed twice
/// leads further.
pub const FAR: i64 = 100;

/// What the book says of a number.
#[derive(Debug, Clone, Copy)]
pub struct OfNumber<'a> {
    /// Whether a ticket bears it.
    pub taken: bool,
    /// Who was signed in on the phone that holds it, if another one does than the one that sends the ticket.
    pub held_by: Option<&'a str>,
    /// The number that a ticket without one would get.
    pub next: i64,
}

/// Whether a ticket may bear a number.
///
/// # Errors
/// Beside `number`: a ticket bears it. Beside `number_sure`: another phone may have given it to a slip, or it leaves out
/// more than [`FAR`] numbers, and nobody said that the slip bears it.
pub fn may_bear(number: i64, of: &OfNumber<'_>, sure: bool) -> Result<(), RuleRefusal> {
    if of.taken {
        return Err(RuleRefusal::beside(
            "number",
            "number-taken",
            format!(
                "Ticket {number} is in the book already. Leave the number empty to get the next."
            ),
        ));
    }
    if sure {
        return Ok(());
    }
    let odd = |sentence| Err(RuleRefusal::beside("number_sure", "number-odd", sentence));
    if let Some(name) = of.held_by {
        return odd(format!(
            "Number {number} is set aside for a phone of {name}, which gives it out without network: another slip may \
             bear it already. Leave the number empty to get the next; or, if this slip bears it, tick the box for it."
        ));
    }
    if number - of.next > FAR {
        return odd(format!(
            "Number {number} leaves out {} to {}. Please see whether a digit is out of place; or, if this slip bears \
             it, tick the box for it.",
            of.next,
            number - 1
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    const FREE: OfNumber<'_> = OfNumber {
        taken: false,
        held_by: None,
        next: 165,
    };

    fn asked(number: i64, of: OfNumber<'_>, sure: bool) -> Option<(&'static str, String)> {
        let refusal = may_bear(number, &of, sure).err()?;
        Some((refusal.at?, refusal.sentence))
    }

    #[test]
    fn a_number_that_another_phone_holds_is_asked_about() {
        let held = OfNumber {
            held_by: Some("Cora Pell"),
            ..FREE
        };
        let (at, said) = asked(160, held, false).unwrap();
        assert_eq!(at, "number_sure");
        assert!(said.contains("a phone of Cora Pell"), "{said}");
        assert_eq!(asked(160, held, true), None);
    }

    #[test]
    fn a_number_far_beyond_the_next_is_asked_about() {
        let (at, said) = asked(501, FREE, false).unwrap();
        assert_eq!(at, "number_sure");
        assert!(said.contains("leaves out 165 to 500"), "{said}");
        assert!(asked(266, FREE, false).is_some());
        assert_eq!(asked(265, FREE, false), None);
        assert_eq!(asked(3, FREE, false), None, "a gap is filled");
        assert_eq!(asked(501, FREE, true), None);
    }

    #[test]
    fn a_number_in_the_book_is_never_given_twice() {
        let taken = OfNumber {
            taken: true,
            ..FREE
        };
        assert_eq!(asked(7, taken, true).unwrap().0, "number");
    }
}
