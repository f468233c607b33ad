//! What members are told: the kinds, whether a notice still matters, and which ones somebody has to
//! call about. Never knows how a letter travels.

use crate::units::UtcSecond;

/// Most characters of a notice's subject; the store asserts it.
pub const SUBJECT_MOST: usize = 120;
/// Most characters of a notice's words; the store asserts it.
pub const WORDS_MOST: usize = 600;
/// Seconds that a letter is waited for before somebody calls: a quarter of an hour (our own choice;
/// the time for which a turn is offered may be that short).
const LETTER_S: i64 = 15 * 60;
/// Seconds after which nobody is called any more: a week (our own choice).
pub const CALL_LAST_S: i64 = 7 * 24 * 3600;
/// Seconds for which a call that was ticked off stays on the page, to be taken back: three days (our
/// own choice).
pub const CALLED_LAST_S: i64 = 3 * 24 * 3600;
/// Seconds that a turn has stood where it is before its member is reminded of it: half a day (our
/// own choice). Who booked this morning for this afternoon needs no reminding.
const REMIND_S: i64 = 12 * 3600;

/// What a notice is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A turn is offered, for a set time.
    Offer,
    /// A turn was moved by a steward.
    Moved,
    /// A turn comes up soon.
    Coming,
    /// The member's statement has something new.
    Statement,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Offer, Self::Moved, Self::Coming, Self::Statement];

    /// The word under which the database keeps it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Offer => "offer",
            Self::Moved => "moved",
            Self::Coming => "coming",
            Self::Statement => "statement",
        }
    }

    /// The kind that this word stands for.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// Whether somebody calls when no letter reaches the member. A statement can wait.
    pub fn is_called_about(self) -> bool {
        self != Self::Statement
    }
}

/// How the turn, offer or statement that a notice tells of stands by now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SubjectState {
    /// The notice is about a turn.
    Turn {
        /// Whether the turn is neither cancelled nor put on a waiting list.
        held: bool,
        /// Whether its member has confirmed it.
        confirmed: bool,
        /// Whether its member confirmed it after the notice was made, and so knows where it is.
        confirmed_since: bool,
        /// Whether its cane is weighed in.
        weighed_in: bool,
        /// Whether its start is past.
        begun: bool,
        /// Whether it was changed after the notice was made.
        changed: bool,
    },
    /// The notice is about a turn on offer.
    Offer {
        /// Whether the offer was answered or withdrawn, or its time ran out.
        over: bool,
    },
    /// The notice is about a statement, which stays true.
    Lasting,
}

/// A notice as it is looked at.
#[derive(Debug, Clone, Copy)]
pub struct NoticeState {
    /// The kind of the notice.
    pub kind: Kind,
    /// How what it tells of stands.
    pub matter: SubjectState,
    /// When it was made.
    pub made_at: UtcSecond,
    /// Whether the member put it away.
    pub put_away: bool,
    /// Whether somebody called the member about it.
    pub told: bool,
    /// How its letter stands; `None`: the member has no address.
    pub letter: Option<LetterState>,
}

/// How a letter stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LetterState {
    /// The letter is to be sent.
    Waiting,
    /// The mail server has taken the letter.
    Sent,
    /// The letter is not to be sent any more.
    GivenUp,
}

impl LetterState {
    /// The word under which the database keeps it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Sent => "sent",
            Self::GivenUp => "given_up",
        }
    }

    /// The state that this word stands for.
    pub fn of(word: &str) -> Option<Self> {
        [Self::Waiting, Self::Sent, Self::GivenUp]
            .into_iter()
            .find(|state| state.word() == word)
    }
}

impl NoticeState {
    /// Whether the notice has been overtaken: there is nothing left to do or to know. A turn that is
    /// confirmed, changed again, begun or given up needs no reminding; one that was moved is to be
    /// known of until it is moved again or confirmed where it is, its cane is there, or its start is past.
    pub fn overtaken(&self) -> bool {
        match (self.kind, self.matter) {
            (
                Kind::Coming,
                SubjectState::Turn {
                    held,
                    confirmed,
                    weighed_in,
                    begun,
                    changed,
                    ..
                },
            ) => !held || confirmed || weighed_in || begun || changed,
            (
                _,
                SubjectState::Turn {
                    held,
                    weighed_in,
                    begun,
                    changed,
                    confirmed_since,
                    ..
                },
            ) => weighed_in || changed || confirmed_since || (held && begun),
            (_, SubjectState::Offer { over }) => over,
            (_, SubjectState::Lasting) => false,
        }
    }

    /// Whether somebody has to call: of the kinds that cannot wait, not told and not put away by the
    /// member, not overtaken, and no letter went out: no address, no mail server (`letters_sent` is false),
    /// given up, or still waiting after a quarter of an hour.
    pub fn to_call(&self, letters_sent: bool, at: UtcSecond) -> bool {
        let age = at.get() - self.made_at.get();
        let lettered = match self.letter {
            Some(LetterState::Sent) => true,
            Some(LetterState::Waiting) => letters_sent && age < LETTER_S,
            Some(LetterState::GivenUp) | None => false,
        };
        self.kind.is_called_about()
            && !self.told
            && !self.put_away
            && !lettered
            && age <= CALL_LAST_S
            && !self.overtaken()
    }
}

/// Whether a member is reminded of a turn that is to be confirmed: once it has stood in its place for half a
/// day.
pub fn to_remind(placed_at: UtcSecond, at: UtcSecond) -> bool {
    at.get() - placed_at.get() >= REMIND_S
}

/// A text on one line and within `most` characters, cut with an ellipsis where it is longer: what
/// people wrote (a reason, a name) must not keep a notice from being stored.
pub fn fitted(text: &str, most: usize) -> String {
    let line = text.split_whitespace().collect::<Vec<_>>().join(" ");
    if line.chars().count() <= most {
        return line;
    }
    let mut cut: String = line.chars().take(most.saturating_sub(1)).collect();
    cut.push('…');
    cut
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const MADE: UtcSecond = UtcSecond::new(1_789_822_800);
    const TURN: SubjectState = SubjectState::Turn {
        held: true,
        confirmed: false,
        confirmed_since: false,
        weighed_in: false,
        begun: false,
        changed: false,
    };

    fn state(kind: Kind, matter: SubjectState, letter: Option<LetterState>) -> NoticeState {
        NoticeState {
            kind,
            matter,
            made_at: MADE,
            put_away: false,
            told: false,
            letter,
        }
    }

    #[test]
    fn the_words_of_the_store_read_back() {
        for kind in Kind::ALL {
            assert_eq!(Kind::of(kind.word()), Some(kind));
        }
        for state in ["waiting", "sent", "given_up"] {
            assert_eq!(LetterState::of(state).unwrap().word(), state);
        }
        assert_eq!((Kind::of("news"), LetterState::of("lost")), (None, None));
    }

    #[test]
    fn somebody_calls_when_no_letter_went_out() {
        let calls = |letter, letters_sent, after| {
            state(Kind::Moved, TURN, letter).to_call(letters_sent, MADE.plus(after))
        };
        assert!(calls(None, true, 0));
        assert!(calls(Some(LetterState::GivenUp), true, 0));
        assert!(!calls(Some(LetterState::Sent), true, 0));
        // A letter has a quarter of an hour, if there is a server to take it.
        assert!(!calls(Some(LetterState::Waiting), true, 899));
        assert!(calls(Some(LetterState::Waiting), true, 900));
        assert!(calls(Some(LetterState::Waiting), false, 0));
        assert!(calls(None, false, CALL_LAST_S) && !calls(None, false, CALL_LAST_S + 1));
    }

    #[test]
    fn nobody_calls_about_what_is_known_or_can_wait() {
        let open = state(Kind::Coming, TURN, None);
        assert!(open.to_call(false, MADE));
        let told = NoticeState { told: true, ..open };
        let away = NoticeState {
            put_away: true,
            ..open
        };
        assert!(!told.to_call(false, MADE) && !away.to_call(false, MADE));
        assert!(!state(Kind::Statement, SubjectState::Lasting, None).to_call(false, MADE));
    }

    #[test]
    fn what_has_been_overtaken_is_neither_called_about_nor_written() {
        let turn = |held, confirmed, weighed_in, begun, changed| SubjectState::Turn {
            held,
            confirmed,
            confirmed_since: false,
            weighed_in,
            begun,
            changed,
        };
        let over = |kind, matter| state(kind, matter, None).overtaken();
        for gone in [
            turn(false, false, false, false, false),
            turn(true, true, false, false, false),
            turn(true, false, true, false, false),
            turn(true, false, false, true, false),
            turn(true, false, false, false, true),
        ] {
            assert!(over(Kind::Coming, gone), "{gone:?}");
        }
        assert!(!over(Kind::Coming, TURN));
        // A notice of a turn moved and confirmed unseen, or put on the waiting list, still has to be read.
        assert!(!over(Kind::Moved, turn(true, true, false, false, false)));
        // Confirmed after it was moved, its member knows where it is.
        let knows = SubjectState::Turn {
            held: true,
            confirmed: true,
            confirmed_since: true,
            weighed_in: false,
            begun: false,
            changed: false,
        };
        assert!(over(Kind::Moved, knows));
        // A turn that was moved again has a newer notice.
        assert!(over(Kind::Moved, turn(true, true, false, false, true)));
        assert!(!over(Kind::Moved, turn(false, false, false, true, false)));
        assert!(over(Kind::Moved, turn(true, false, false, true, false)));
        assert!(over(Kind::Moved, turn(true, false, true, false, false)));
        assert!(over(Kind::Offer, SubjectState::Offer { over: true }));
        assert!(!over(Kind::Offer, SubjectState::Offer { over: false }));
        assert!(!over(Kind::Statement, SubjectState::Lasting));
    }

    #[test]
    fn a_turn_booked_this_morning_is_not_reminded_of() {
        assert!(!to_remind(MADE, MADE.plus(12 * 3600 - 1)));
        assert!(to_remind(MADE, MADE.plus(12 * 3600)));
    }

    #[test]
    fn a_text_is_cut_to_its_line() {
        assert_eq!(fitted(" frost\r\non  Friday ", 20), "frost on Friday");
        assert_eq!(fitted("Söhne & Töchter", 6), "Söhne…");
    }

    proptest! {
        #[test]
        fn a_fitted_text_never_exceeds_its_room(text in ".{0,700}", most in 1_usize..600) {
            let line = fitted(&text, most);
            prop_assert!(line.chars().count() <= most);
            prop_assert!(!line.contains('\n'));
        }
    }
}
