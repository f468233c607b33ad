//! Whether a juice about to be written down is one that somebody else has just measured: of the same ticket, near in amount,
//! Brix and time. Never decides it: the person at the vessel knows.

use super::same_load::{NEAR_PART, NEAR_S};
use crate::calc::RuleRefusal;
use crate::units::{BrixAt20C, Grams, Units, UtcSecond};

/// Two measurings of one juice come as near as this, °Bx: readings agree within half a degree, and their means nearer.
pub const NEAR_BX: f64 = 0.3;

/// A juice of the ticket that stands in the book.
#[derive(Debug, Clone, PartialEq)]
pub struct RecordedJuice {
    /// Its mass, without sediment.
    pub mass: Grams,
    /// Its Brix.
    pub brix: BrixAt20C,
    /// When it was pressed.
    pub pressed: UtcSecond,
    /// Name of the vessel that it stands in.
    pub vessel: String,
    /// Name of who measured it.
    pub by: String,
}

/// What is asked of a juice that one in the book comes near; nothing when none does.
pub fn measured_twice(
    (mass, brix, pressed): (Grams, BrixAt20C, UtcSecond),
    standing: &[RecordedJuice],
    units: Units,
) -> Option<RuleRefusal> {
    let near = |s: &&RecordedJuice| {
        let apart = (s.mass.get() - mass.get()).abs();
        apart * NEAR_PART <= s.mass.get().max(mass.get())
            && (s.brix.get() - brix.get()).abs() <= NEAR_BX
            && (s.pressed.get() - pressed.get()).abs() <= NEAR_S
    };
    let twin = standing.iter().find(near)?;
    Some(RuleRefusal::beside(
        "amount",
        "same-juice",
        format!(
            "The same juice? {} measured {} of {} of this ticket in {}, and this is {} of {}. If it is the same, leave \
             this one.",
            twin.by,
            twin.mass.show(units),
            twin.brix.show(),
            twin.vessel,
            mass.show(units),
            brix.show()
        ),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    const AT: UtcSecond = UtcSecond::new(1_789_822_800);

    fn asked(mass: i64, brix: f64, seconds: i64) -> Option<String> {
        let standing = [RecordedJuice {
            mass: Grams::new(100_000),
            brix: BrixAt20C::new(15.2).unwrap(),
            pressed: AT,
            vessel: "Barrel 3".to_owned(),
            by: "Cora Pell".to_owned(),
        }];
        let new = (
            Grams::new(mass),
            BrixAt20C::new(brix).unwrap(),
            AT.plus(seconds),
        );
        measured_twice(new, &standing, Units::Metric).map(|refusal| refusal.sentence)
    }

    #[test]
    fn the_same_amount_at_the_same_brix_a_moment_later_is_asked_about() {
        let said = asked(100_000, 15.2, 60).unwrap();
        assert!(said.contains("Cora Pell measured 100.0 kg"), "{said}");
        assert!(said.contains("in Barrel 3"), "{said}");
        assert!(asked(98_000, 15.4, -900).is_some());
    }

    #[test]
    fn another_amount_another_brix_or_another_hour_is_other_juice() {
        assert_eq!(asked(97_900, 15.2, 60), None);
        assert_eq!(asked(100_000, 15.6, 60), None);
        assert_eq!(asked(100_000, 15.2, 901), None);
    }
}
