//! A press day as a whole: whether its turns fit its hours, how much juice still waits,
//! and what must be done before it is closed. Plans no turns.

use crate::calc::RuleRefusal;
use crate::calc::cane::juice::{Measured, measure};
use crate::calc::turns::starts::{Day, Span};
use crate::units::{Grams, LotCode, MinuteOfDay, PressDate};

/// New hours of a day, against the turns that are held on it and whose they are.
///
/// # Errors
/// Beside `opens` or `closes`: turns would lie outside; the sentence names them.
pub fn hours_hold(day: &Day, turns: &[(Span, String)]) -> Result<(), RuleRefusal> {
    let (begins, ends) = (day.begins(), day.ends().get());
    let words = |(span, name): &(Span, String)| format!("{} {name}", span.show(&day.clock));
    let early: Vec<String> = turns
        .iter()
        .filter(|(span, _)| span.start < begins)
        .map(words)
        .collect();
    let late: Vec<String> = turns
        .iter()
        .filter(|(span, _)| span.start >= begins && span.end() > ends)
        .map(words)
        .collect();
    let at = match (early.is_empty(), late.is_empty()) {
        (true, true) => return Ok(()),
        (false, true) => "opens",
        _ => "closes",
    };
    let named = early.into_iter().chain(late).collect::<Vec<_>>().join("; ");
    Err(RuleRefusal::beside(
        at,
        "turns-outside",
        format!(
            "These turns would lie outside the day: {named}. Please move or cancel them first, or keep the hours."
        ),
    ))
}

/// An open press day, as far as it tells which one is being pressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OpenDay {
    /// Its date.
    pub date: PressDate,
    /// When its mill opens.
    pub opens: MinuteOfDay,
    /// Cane was weighed in on it.
    pub begun: bool,
}

/// Which of some open days is being pressed at a moment: today's; but a day that was begun runs on until it is
/// closed, past midnight too, unless another is open today and its mill has opened. Its place among `days`.
pub fn running(days: &[OpenDay], (today, minute): (PressDate, MinuteOfDay)) -> Option<usize> {
    let own = days.iter().position(|d| d.date == today);
    let before = days.iter().rposition(|d| d.date < today && d.begun);
    match (own, before) {
        (Some(own), Some(before)) => {
            let night = days[before].date == today.plus_days(-1) && minute < days[own].opens;
            Some(if night { before } else { own })
        }
        (own, before) => own.or(before),
    }
}

/// Whether a press day is over: it was closed, or its date is past. Today's is not over until it is closed, as cane may still come.
pub fn is_over((date, closed): (PressDate, bool), today: PressDate) -> bool {
    closed || date < today
}

/// The work of a press day that is not done yet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct OpenWork {
    /// Tickets whose juice has not been measured.
    pub tickets: Vec<i64>,
    /// Juices of the day that wait for the pan, in words, as "ticket 4 in Barrel 2".
    pub raw: Vec<String>,
    /// Lots with juice in them that are not divided.
    pub lots: Vec<LotCode>,
    /// Turns whose time is not over and whose cane has not come, in words, as "08:00–08:40 Amos Trout".
    pub to_come: Vec<String>,
}

impl OpenWork {
    /// What is begun and not done, turns to come left out: "ticket 4 without a measured juice"; `None`: nothing is.
    pub fn not_done(&self) -> Option<String> {
        let mut parts = Vec::new();
        if !self.tickets.is_empty() {
            let numbers: Vec<String> = self.tickets.iter().map(i64::to_string).collect();
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
        if !self.raw.is_empty() {
            parts.push(format!(
                "juice that is not boiled nor noted as spilt or spoilt ({})",
                self.raw.join(", ")
            ));
        }
        if !self.lots.is_empty() {
            let lots: Vec<String> = self.lots.iter().map(LotCode::to_string).collect();
            let word = if lots.len() == 1 { "boil" } else { "boils" };
            parts.push(format!("{word} {} not divided", lots.join(", ")));
        }
        (!parts.is_empty()).then(|| parts.join("; "))
    }
}

/// Juice that nobody would light a fire for: less than this in a vessel is its dregs (our own choice).
pub const DREGS: Grams = Grams::new(500);

/// Whether a day may be closed.
///
/// # Errors
/// Turns are still to come, or tickets or boils are not done; the sentence lists them.
pub fn may_close(open: &OpenWork) -> Result<(), RuleRefusal> {
    if !open.to_come.is_empty() {
        // Whoever has a turn would stand before a mill that is shut: nobody is told of a day that is closed.
        return Err(RuleRefusal::new(
            "turns-to-come",
            format!(
                "Turns of this day are still to come: {}. Please move its turns together first, which tells everybody and can close the \
                 day as well; or close it when they are over.",
                open.to_come.join("; ")
            ),
        ));
    }
    match open.not_done() {
        None => Ok(()),
        Some(what) => Err(RuleRefusal::new(
            "day-not-done",
            format!(
                "This day is not done yet: {what}. Please finish these, or cross out what never was, and close the day then."
            ),
        )),
    }
}

/// What is left of a juice after `drawn` of it went into boils; all that was drawn may be more
/// than a corrected reading says there was, so never below nothing.
///
/// # Errors
/// The readings of the juice do not stand.
pub fn juice_left(measured: &Measured<'_>, drawn: Grams) -> Result<Grams, RuleRefusal> {
    let mass = measure(measured)?.mass;
    Ok((mass - drawn).max(Grams::ZERO))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::cane::juice::Amount;
    use crate::calc::physics::refractometer::{AGREE_WITHIN, Instrument};
    use crate::units::{BrixRead, Celsius, DayMinute, Minutes, Zone};

    #[test]
    fn a_day_that_was_begun_runs_on_past_midnight_until_it_is_closed() {
        let date = |text| PressDate::parse(text).unwrap();
        let minute = |n| MinuteOfDay::new(n).unwrap();
        let day = |text, begun| OpenDay {
            date: date(text),
            opens: minute(420),
            begun,
        };
        let sat = day("2026-09-19", true);
        let at = |text, n| (date(text), minute(n));
        assert_eq!(running(&[sat], at("2026-09-19", 600)), Some(0));
        assert_eq!(running(&[sat], at("2026-09-20", 15)), Some(0));
        assert_eq!(running(&[sat], at("2026-09-21", 900)), Some(0));
        assert_eq!(running(&[], at("2026-09-20", 15)), None);
        let not_begun = day("2026-09-19", false);
        assert_eq!(running(&[not_begun], at("2026-09-20", 15)), None);
        let both = [sat, day("2026-09-20", false), day("2026-09-26", false)];
        assert_eq!(running(&both, at("2026-09-20", 15)), Some(0));
        assert_eq!(running(&both, at("2026-09-20", 420)), Some(1));
    }

    #[test]
    fn a_day_is_over_when_it_is_closed_or_past_and_today_is_not_over_by_itself() {
        let date = |text| PressDate::parse(text).unwrap();
        let over = |text, closed| is_over((date(text), closed), date("2026-09-19"));
        assert!(over("2026-09-18", false) && over("2026-09-18", true));
        assert!(!over("2026-09-19", false) && over("2026-09-19", true));
        assert!(!over("2026-09-20", false) && over("2026-09-20", true));
    }

    fn day(opens: i64, closes: i64) -> Day {
        let minute = |n| MinuteOfDay::new(n).unwrap();
        Day {
            clock: Zone::parse("America/Chicago")
                .unwrap()
                .clock(PressDate::parse("2026-09-19").unwrap()),
            opens: minute(opens),
            closes: minute(closes),
            closed: false,
            mill_per_h: Grams::new(200_000),
            changeover: Minutes::new(10),
        }
    }

    fn turn(name: &str, start: i64, minutes: i64) -> (Span, String) {
        let span = Span {
            start: DayMinute::new(start),
            minutes: Minutes::new(minutes),
        };
        (span, name.to_owned())
    }

    #[test]
    fn a_day_shortened_over_a_turn_names_the_turn() {
        let turns = [turn("Amos Trout", 420, 40), turn("Ida Finch", 960, 60)];
        assert!(hours_hold(&day(420, 1020), &turns).is_ok());
        let late = hours_hold(&day(420, 1015), &turns).unwrap_err();
        assert_eq!(late.at, Some("closes"));
        assert!(late.sentence.contains("16:00–17:00 Ida Finch"));
        assert!(!late.sentence.contains("Amos"));
        let early = hours_hold(&day(425, 1020), &turns).unwrap_err();
        assert_eq!(early.at, Some("opens"));
        assert!(early.sentence.contains("07:00–07:40 Amos Trout"));
        let both = hours_hold(&day(425, 1000), &turns).unwrap_err();
        assert!(both.sentence.contains("Amos Trout; 16:00"));
    }

    #[test]
    fn a_day_closes_when_nothing_is_left_open() {
        assert!(may_close(&OpenWork::default()).is_ok());
        let open = OpenWork {
            tickets: vec![3, 7],
            lots: vec![LotCode::nth(2026, 1).unwrap()],
            ..OpenWork::default()
        };
        let said = may_close(&open).unwrap_err().sentence;
        assert!(said.contains("tickets 3, 7 without a measured juice; boil 26"));
        let raw = OpenWork {
            raw: vec!["ticket 4 in Barrel 2".to_owned()],
            ..OpenWork::default()
        };
        let said = may_close(&raw).unwrap_err().sentence;
        assert!(said.contains("(ticket 4 in Barrel 2)"), "{said}");
    }

    #[test]
    fn a_day_with_turns_to_come_does_not_close_and_says_whose_they_are() {
        let open = OpenWork {
            to_come: vec!["08:00–08:40 Amos Trout".to_owned()],
            ..OpenWork::default()
        };
        let refused = may_close(&open).unwrap_err();
        assert_eq!(refused.code, "turns-to-come");
        let said = refused.sentence;
        assert!(
            said.contains("08:00–08:40 Amos Trout") && said.contains("move its turns together")
        );
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
