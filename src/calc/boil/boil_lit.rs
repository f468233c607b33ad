//! When a boil may have been lit, for what is keyed in from paper. Knows no time zone: the caller
//! hands over the civil date.

use super::boil_rules::Offered;
use crate::calc::RuleRefusal;
use crate::units::{PressDate, UtcSecond};

/// Whole minutes are compared, since clocks on walls show no more.
const fn minute(at: UtcSecond) -> i64 {
    at.get().div_euclid(60)
}

/// Whether a boil of a press day may have been lit then; `on` is that civil date.
///
/// # Errors
/// Beside `lit_at`: still to come, or before the day.
pub fn may_be_lit(
    (lit, on): (UtcSecond, PressDate),
    day: PressDate,
    present: UtcSecond,
) -> Result<(), RuleRefusal> {
    let said = |code, sentence: String| Err(RuleRefusal::beside("lit_at", code, sentence));
    if minute(lit) > minute(present) {
        return said(
            "lit_to_come",
            "That time is still to come. Please write when the fire was lit, or leave it empty if that is this moment."
                .to_owned(),
        );
    }
    if on < day {
        return said(
            "lit_before_day",
            format!("That is before {}, the press day of this boil.", day.show()),
        );
    }
    Ok(())
}

/// Whether a juice was there when the fire was lit.
///
/// # Errors
/// Beside `lit_at`: it was pressed later.
pub fn pressed_before_fire(juice: &Offered<'_>, lit: UtcSecond) -> Result<(), RuleRefusal> {
    if minute(juice.pressed_at) <= minute(lit) {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        "lit_at",
        "lit-before-juice",
        format!(
            "The juice of ticket {} was pressed after that. Please look at the time again, or pour \
             that juice in later, on the page of the boil.",
            juice.ticket
        ),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::MemberId;
    use uuid::Uuid;

    const NOON: UtcSecond = UtcSecond::new(1_789_837_200);

    #[test]
    fn a_fire_is_lit_neither_in_time_to_come_nor_before_its_press_day() {
        let day = PressDate::parse("2026-09-19").unwrap();
        let code = |lit, on| may_be_lit((lit, on), day, NOON).map_err(|refusal| refusal.code);
        assert_eq!(code(NOON.plus(59), day), Ok(()));
        assert_eq!(code(NOON.plus(60), day), Err("lit_to_come"));
        assert_eq!(
            code(NOON.plus(-86_400), day.plus_days(-1)),
            Err("lit_before_day")
        );
        assert_eq!(code(NOON.plus(-60), day.plus_days(1)), Ok(()));
    }

    #[test]
    fn what_was_pressed_after_the_fire_was_lit_did_not_go_in_then() {
        let juice = Offered {
            ticket: 7,
            member: MemberId::new(Uuid::from_u128(1)),
            name: "Amos Trout",
            pools: true,
            pressed_at: NOON.plus(30),
        };
        assert!(pressed_before_fire(&juice, NOON).is_ok());
        let said = pressed_before_fire(&juice, NOON.plus(-1)).unwrap_err();
        assert_eq!((said.at, said.code), (Some("lit_at"), "lit-before-juice"));
        assert!(said.sentence.contains("ticket 7"), "{said}");
    }
}
