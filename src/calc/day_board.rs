//! A press day as a whole: room left, whether its turns fit its hours, how much juice still waits,
//! and what must be done before it is closed. Plans no turns.

use super::Unmet;
use super::juice::{Measured, measure};
use crate::units::{Grams, LotCode, MinuteOfDay, Minutes};

/// A turn that is held.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldTurn {
    /// Whose it is.
    pub name: String,
    /// When it begins.
    pub start: MinuteOfDay,
    /// Pressing and change-over.
    pub minutes: Minutes,
}

impl HeldTurn {
    /// "07:00–07:40 Amos Trout".
    fn words(&self) -> String {
        format!("{} {}", span(self.start, self.minutes), self.name)
    }
}

/// "07:00–07:40". An end beyond midnight is shown as 24:00.
pub fn span(start: MinuteOfDay, minutes: Minutes) -> String {
    let end = start.after(minutes).clamp(0, 1440);
    format!("{}–{:02}:{:02}", start.show(), end / 60, end % 60)
}

/// Minutes of a day not taken by turns; never below nothing.
pub fn room(opens: MinuteOfDay, closes: MinuteOfDay, taken: Minutes) -> Minutes {
    Minutes::new((closes.get() - opens.get() - taken.get()).max(0))
}

/// New hours of a day, against the turns that are held on it.
///
/// # Errors
/// Beside `opens` or `closes`: turns would lie outside; the sentence names them.
pub fn hours_hold(
    opens: MinuteOfDay,
    closes: MinuteOfDay,
    turns: &[HeldTurn],
) -> Result<(), Unmet> {
    let early: Vec<String> = turns
        .iter()
        .filter(|turn| turn.start < opens)
        .map(HeldTurn::words)
        .collect();
    let late: Vec<String> = turns
        .iter()
        .filter(|turn| turn.start >= opens && turn.start.after(turn.minutes) > closes.get())
        .map(HeldTurn::words)
        .collect();
    let at = match (early.is_empty(), late.is_empty()) {
        (true, true) => return Ok(()),
        (false, true) => "opens",
        _ => "closes",
    };
    let named = early.into_iter().chain(late).collect::<Vec<_>>().join("; ");
    Err(Unmet::beside(
        at,
        "turns-outside",
        format!(
            "These turns would lie outside the day: {named}. Please move or cancel them first, or keep the hours."
        ),
    ))
}

/// What is not done on a day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct OpenWork {
    /// Tickets whose juice has not been measured.
    pub tickets: Vec<i64>,
    /// Lots with juice in them that are not divided.
    pub lots: Vec<LotCode>,
}

/// Whether a day may be closed.
///
/// # Errors
/// Tickets or boils are not done; the sentence lists them.
pub fn may_close(open: &OpenWork) -> Result<(), Unmet> {
    let mut parts = Vec::new();
    if !open.tickets.is_empty() {
        let numbers: Vec<String> = open.tickets.iter().map(i64::to_string).collect();
        let word = if numbers.len() == 1 {
            "ticket"
        } else {
            "tickets"
        };
        parts.push(format!(
            "{word} {} without a measured juice",
            numbers.join(", ")
        ));
    }
    if !open.lots.is_empty() {
        let lots: Vec<String> = open.lots.iter().map(LotCode::to_string).collect();
        let word = if lots.len() == 1 { "boil" } else { "boils" };
        parts.push(format!("{word} {} not divided", lots.join(", ")));
    }
    if parts.is_empty() {
        return Ok(());
    }
    Err(Unmet::new(
        "day-not-done",
        format!(
            "This day is not done yet: {}. Please finish these, or cross out what never was, and close the day then.",
            parts.join(" and ")
        ),
    ))
}

/// What is left of a juice after `drawn` of it went into boils; all that was drawn may be more
/// than a corrected reading says there was, so never below nothing.
///
/// # Errors
/// The readings of the juice do not stand.
pub fn juice_left(measured: &Measured<'_>, drawn: Grams) -> Result<Grams, Unmet> {
    let mass = measure(measured)?.mass;
    Ok((mass - drawn).max(Grams::ZERO))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::juice::Amount;
    use crate::calc::refractometer::{AGREE_WITHIN, Instrument};
    use crate::units::{BrixRead, Celsius};

    fn minute(n: i64) -> MinuteOfDay {
        MinuteOfDay::new(n).unwrap()
    }

    fn turn(name: &str, start: i64, minutes: i64) -> HeldTurn {
        HeldTurn {
            name: name.to_owned(),
            start: minute(start),
            minutes: Minutes::new(minutes),
        }
    }

    #[test]
    fn a_day_shortened_over_a_turn_names_the_turn() {
        let turns = [turn("Amos Trout", 420, 40), turn("Ida Finch", 960, 60)];
        assert!(hours_hold(minute(420), minute(1020), &turns).is_ok());
        let late = hours_hold(minute(420), minute(1015), &turns).unwrap_err();
        assert_eq!(late.at, Some("closes"));
        assert!(late.sentence.contains("16:00–17:00 Ida Finch"));
        assert!(!late.sentence.contains("Amos"));
        let early = hours_hold(minute(425), minute(1020), &turns).unwrap_err();
        assert_eq!(early.at, Some("opens"));
        assert!(early.sentence.contains("07:00–07:40 Amos Trout"));
        let both = hours_hold(minute(425), minute(1000), &turns).unwrap_err();
        assert!(both.sentence.contains("Amos Trout; 16:00"));
    }

    #[test]
    fn room_is_what_turns_leave_of_the_hours() {
        let room = |taken| room(minute(420), minute(1020), Minutes::new(taken)).get();
        assert_eq!((room(0), room(590), room(700)), (600, 10, 0));
    }

    #[test]
    fn a_day_closes_when_nothing_is_left_open() {
        assert!(may_close(&OpenWork::default()).is_ok());
        let open = OpenWork {
            tickets: vec![3, 7],
            lots: vec![LotCode::nth(2026, 1).unwrap()],
        };
        let said = may_close(&open).unwrap_err().sentence;
        assert!(said.contains("tickets 3, 7 without a measured juice and boil 26"));
    }

    #[test]
    fn a_juice_weighed_and_drawn_to_the_last_gram_is_gone() {
        let brix = BrixRead::new(15.0).unwrap();
        let measured = Measured {
            amount: Amount::Weight(Grams::new(20_000)),
            sediment: Some(Amount::Weight(Grams::new(500))),
            readings: &[brix, brix],
            instrument: Instrument::SelfCompensating,
            sample: Celsius::new(20.0).unwrap(),
            agree_within: AGREE_WITHIN,
        };
        let left = |drawn| juice_left(&measured, Grams::new(drawn)).unwrap().get();
        assert_eq!((left(0), left(19_500), left(19_600)), (19_500, 0, 0));
    }
}
