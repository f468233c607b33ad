//! A sample read again: which tickets are drawn by lot for a second person to read, and what the second reading says
//! beside the first. It changes nothing by itself. Never draws by chance of its own.

use crate::calc::RuleRefusal;
use crate::calc::chain::sha256_hex;
use crate::calc::physics::refractometer::AGREE_WITHIN;
use crate::units::{BrixAt20C, PressDate, TicketId};

/// The box in which a version of the rules says one ticket in how many.
pub const BOX: &str = "read_again";
/// Fewest and most tickets of which one is drawn; nought draws none.
pub const ONE_IN: (i64, i64) = (2, 100);

/// One ticket in how many, as a version of the rules may say it.
///
/// # Errors
/// Beside the box: neither nought nor from 2 to 100.
pub fn one_in(many: i64) -> Result<i64, RuleRefusal> {
    if many == 0 || (ONE_IN.0..=ONE_IN.1).contains(&many) {
        return Ok(many);
    }
    Err(RuleRefusal::beside(
        BOX,
        "read-again-range",
        "Please write 0 for none, or one ticket in how many, from 2 to 100.",
    ))
}

/// What is said of a ticket that was drawn: to be read again, or read again.
pub fn drawn_words(one_in: i64, read: bool) -> String {
    let state = if read {
        "and was read again: see its juice."
    } else {
        "and waits for a second person who reads its juice again."
    };
    format!("One ticket in {one_in} is drawn by lot to be read again. This one was drawn, {state}")
}

/// Whether a ticket is drawn to be read again: by the SHA-256 of its day and its id, as a number of eight hexadecimal
/// digits, that leaves nothing over when divided by `one_in`. The id comes about when the ticket is opened, so that
/// nobody can know before, and anybody can work it out afterwards.
pub fn drawn(day: PressDate, ticket: TicketId, one_in: i64) -> bool {
    if one_in < ONE_IN.0 {
        return false;
    }
    let digest = sha256_hex(&format!("{day}:{ticket}"));
    i64::from_str_radix(&digest[..8], 16).is_ok_and(|lot| lot % one_in == 0)
}

/// What the second reading says beside the first, both at 20 °C, as the end of a sentence.
pub fn beside_the_first(first: BrixAt20C, second: BrixAt20C) -> String {
    let off = second.get() - first.get();
    let by = format!("{:.2}", off.abs());
    let side = match () {
        () if by == "0.00" => return "the same".to_owned(),
        () if off > 0.0 => "more",
        () => "less",
    };
    // Brix has two decimals here; a difference of 0.5 is still one that two readings may have.
    if off.abs() > AGREE_WITHIN + 1e-9 {
        format!("{by} {side}: they do not agree")
    } else {
        format!("{by} {side}: they agree")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn day() -> PressDate {
        PressDate::parse("2026-09-19").unwrap()
    }

    fn brix(of: f64) -> BrixAt20C {
        BrixAt20C::new(of).unwrap()
    }

    /// Worked by `printf '2026-09-19:00000000-0000-0000-0000-00000000000N' | sha256sum | cut -c1-8`.
    #[test]
    fn a_ticket_is_drawn_as_a_shell_works_it_out() {
        let lots = [
            (1, 0x485b_4873_i64),
            (2, 0xa8be_89f1_i64),
            (3, 0xac9d_c171_i64),
            (4, 0x2998_5451_i64),
            (5, 0x2bc9_ad9a_i64),
            (6, 0x58de_20e5_i64),
        ];
        for (n, lot) in lots {
            let ticket = TicketId::new(Uuid::from_u128(n));
            for one_in in 2..=100_i64 {
                let expected = lot % one_in == 0;
                assert_eq!(drawn(day(), ticket, one_in), expected, "{n}, 1 in {one_in}");
            }
        }
    }

    #[test]
    fn about_one_in_so_many_is_drawn_and_another_day_draws_others() {
        let other = PressDate::parse("2026-09-20").unwrap();
        let of = |day, one_in| {
            (0..4000_u128)
                .map(|n| drawn(day, TicketId::new(Uuid::from_u128(n)), one_in))
                .collect::<Vec<bool>>()
        };
        let count = |all: &[bool]| all.iter().filter(|drawn| **drawn).count();
        // 4,000 × 1/8 = 500; four times its deviation of 21 is 84.
        assert!(count(&of(day(), 8)).abs_diff(500) < 84);
        assert!(count(&of(day(), 2)).abs_diff(2000) < 127);
        assert_ne!(of(day(), 8), of(other, 8));
    }

    #[test]
    fn where_nothing_is_voted_nothing_is_drawn() {
        for n in 0..200_u128 {
            let ticket = TicketId::new(Uuid::from_u128(n));
            assert!(!drawn(day(), ticket, 0) && !drawn(day(), ticket, 1));
        }
    }

    #[test]
    fn one_in_two_to_a_hundred_or_none_may_be_voted() {
        for sound in [0, 2, 8, 100] {
            assert_eq!(one_in(sound), Ok(sound));
        }
        for wrong in [-1, 1, 101] {
            assert_eq!(one_in(wrong).unwrap_err().at, Some(BOX), "{wrong}");
        }
    }

    #[test]
    fn half_a_brix_apart_still_agrees() {
        assert_eq!(beside_the_first(brix(15.5), brix(15.5)), "the same");
        assert_eq!(
            beside_the_first(brix(15.5), brix(16.0)),
            "0.50 more: they agree"
        );
        assert_eq!(
            beside_the_first(brix(15.5), brix(15.3)),
            "0.20 less: they agree"
        );
        assert_eq!(
            beside_the_first(brix(15.5), brix(14.99)),
            "0.51 less: they do not agree"
        );
    }
}
