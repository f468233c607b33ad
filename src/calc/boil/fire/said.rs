//! What is said of a boil at a moment, and how loudly: one state sets the words, the colour, the title and the sound, so
//! that none of them is calm while another alarms.

use super::call::Call;

/// How loudly something is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// As nothing that calls.
    Calm,
    /// Set off: somebody is wanted soon.
    Note,
    /// An alarm.
    Alarm,
}

/// A reading that is so long overdue is an alarm of itself, minutes: the fire goes on (house rule).
pub const LATE_MIN: f64 = 2.0;

/// What is said at a moment; the later in order, the graver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Said {
    /// How loudly it is said.
    pub weight: Weight,
    /// The call that it is said of.
    pub call: Call,
    /// Whether it is an alarm only because a reading is long overdue.
    pub late: bool,
}

impl Said {
    /// What is said by a call, at a minute, where the next reading is due at `next`.
    pub(super) fn of(call: Call, next: f64, minute: f64) -> Self {
        let weight = weight(call);
        let late = weight < Weight::Alarm && call != Call::Drawn && minute > next + LATE_MIN;
        Self {
            weight: if late { Weight::Alarm } else { weight },
            call,
            late,
        }
    }

    /// The words, set large.
    pub const fn words(self) -> &'static str {
        if self.late {
            late_words(self.call)
        } else {
            self.call.words()
        }
    }
}

/// How loudly a call is said of itself.
pub const fn weight(call: Call) -> Weight {
    match call {
        Call::Drawn | Call::Heating | Call::TooEarly | Call::Going => Weight::Calm,
        Call::Check => Weight::Note,
        Call::There | Call::Past | Call::Candy => Weight::Alarm,
    }
}

/// The words of a call while the next reading is long overdue.
pub const fn late_words(call: Call) -> &'static str {
    match call {
        Call::Check => "Overdue: check with the refractometer",
        Call::There | Call::Past | Call::Candy | Call::Drawn => call.words(),
        Call::Heating | Call::TooEarly | Call::Going => "Reading overdue: read the pan at once",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_that_is_long_overdue_alarms_in_words_and_weight_alike() {
        let said = |call, minute| Said::of(call, 100.0, minute);
        for calm in [Call::Heating, Call::TooEarly, Call::Going] {
            let (before, after) = (said(calm, 102.0), said(calm, 102.1));
            assert_eq!(
                (before.weight, before.words()),
                (Weight::Calm, calm.words())
            );
            assert_eq!(after.weight, Weight::Alarm);
            assert_eq!(after.words(), "Reading overdue: read the pan at once");
            assert!(before < after);
        }
        let (before, after) = (said(Call::Check, 102.0), said(Call::Check, 102.1));
        assert_eq!(before.weight, Weight::Note);
        assert_eq!(before.words(), "Check with the refractometer");
        assert_eq!(after.weight, Weight::Alarm);
        assert_eq!(after.words(), "Overdue: check with the refractometer");
    }

    #[test]
    fn what_alarms_of_itself_keeps_its_words_and_a_drawn_fire_is_never_late() {
        for call in [Call::There, Call::Past, Call::Candy] {
            let said = Said::of(call, 100.0, 200.0);
            assert_eq!((said.weight, said.words()), (Weight::Alarm, call.words()));
            // What is overdue alone is less grave than a fire to draw.
            assert!(Said::of(Call::Check, 100.0, 200.0) < said);
        }
        let said = Said::of(Call::Drawn, 100.0, 200.0);
        assert_eq!(
            (said.weight, said.words()),
            (Weight::Calm, "The fire is drawn")
        );
    }
}
