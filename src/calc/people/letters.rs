//! Letters by e-mail: how one is worded, when one is tried again, when one is given up. Never sends
//! anything.

use crate::units::UtcSecond;

/// Seconds from each try to the next: a minute, five, half an hour, two hours, six, then every twelve
/// (our own choice; RFC 5321, section 4.5.4.1, asks for half an hour between tries in general and lets
/// a sender vary it. The first come sooner, for a turn on offer does not wait).
const AGAIN_S: [i64; 6] = [60, 300, 1_800, 7_200, 21_600, 43_200];
/// Seconds after its notice from which a letter is not sent any more: two days (our own choice). What
/// members are told of lies hours or days ahead; and mail turned on later must not send old letters.
pub const LAST_S: i64 = 2 * 24 * 3600;

/// What becomes of a letter that was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next {
    /// It is tried again from this moment on.
    Again(UtcSecond),
    /// It is given up.
    GiveUp,
}

/// What becomes of a letter of a notice made at `made_at` whose `tries`-th try (from 1) at `at` was
/// not taken; `refused`: for good.
pub fn after_try(tries: i64, refused: bool, made_at: UtcSecond, at: UtcSecond) -> Next {
    let last = AGAIN_S.len() - 1;
    let step = usize::try_from(tries - 1).unwrap_or(0).min(last);
    let next = at.plus(AGAIN_S.get(step).copied().unwrap_or(60));
    if refused || too_late(made_at, next) {
        Next::GiveUp
    } else {
        Next::Again(next)
    }
}

/// Whether it is too late to send a letter of a notice made at `made_at`.
pub fn too_late(made_at: UtcSecond, at: UtcSecond) -> bool {
    at.get() - made_at.get() > LAST_S
}

/// Whether a server's reply code refuses this very letter for good: 550 to 559, the mail system's
/// own (RFC 5321, sections 4.2.1 and 4.2.2). Other codes that say no for good (a wrong passphrase of
/// ours, 535; no service, 521) are about us, and pass once somebody has put them right.
pub fn refuses_for_good(code: u16) -> bool {
    (550..=559).contains(&code)
}

/// A letter's name in its Message-ID (RFC 5322, section 3.6.4): made of the notice's id, so that the
/// same letter sent twice is the same to who reads it. `from` is our own address.
pub fn message_id(notice: &str, from: &str) -> String {
    let domain = from.rsplit_once('@').map_or("localhost", |(_, d)| d);
    format!("<{notice}@{domain}>")
}

/// A letter to one member, with all that its text needs.
#[derive(Debug, Clone, Copy)]
pub struct Letter<'a> {
    /// Name of whom it goes to.
    pub name: &'a str,
    /// What the notice says.
    pub words: &'a str,
    /// About when the turn begins that it is about, as the mill runs; none: it does not run.
    pub about: Option<&'a str>,
    /// Address of the page to look at it; `None`: the site's address is not known.
    pub link: Option<&'a str>,
    /// The co-op's name.
    pub coop: &'a str,
    /// Whom to call; empty: nobody was named.
    pub phone: &'a str,
}

impl Letter<'_> {
    /// The letter as plain text.
    pub fn body(&self) -> String {
        let mut body = format!("Good day, {},\n\n{}\n", self.name, self.words);
        if let Some(about) = self.about {
            body.push_str("\nAs the mill runs at this moment: ");
            body.push_str(about);
            body.push('\n');
        }
        if let Some(link) = self.link {
            body.push_str("\nLook at it here: ");
            body.push_str(link);
            body.push('\n');
        }
        body.push('\n');
        body.push_str(self.coop);
        body.push('\n');
        if !self.phone.is_empty() {
            body.push_str("Questions? Please call ");
            body.push_str(self.phone);
            body.push_str(".\n");
        }
        body
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const MADE: UtcSecond = UtcSecond::new(1_789_822_800);

    #[test]
    fn a_letter_is_tried_again_ever_more_seldom_then_given_up() {
        let mut at = MADE;
        let mut waits = Vec::new();
        for tries in 1.. {
            match after_try(tries, false, MADE, at) {
                Next::Again(next) => {
                    waits.push((next.get() - at.get()) / 60);
                    at = next;
                }
                Next::GiveUp => break,
            }
        }
        assert_eq!(waits, [1, 5, 30, 120, 360, 720, 720, 720]);
        // The next would have come after two days.
        assert!(at.get() - MADE.get() + 12 * 3600 > LAST_S);
    }

    #[test]
    fn a_letter_refused_for_good_is_given_up_at_once() {
        assert_eq!(after_try(1, true, MADE, MADE), Next::GiveUp);
        assert!([550, 551, 552, 553, 554].into_iter().all(refuses_for_good));
        assert!(
            ![421, 451, 452, 454, 500, 521, 530, 535]
                .into_iter()
                .any(refuses_for_good)
        );
    }

    #[test]
    fn mail_turned_on_later_sends_no_old_letters() {
        assert!(!too_late(MADE, MADE.plus(LAST_S)));
        assert!(too_late(MADE, MADE.plus(LAST_S + 1)));
    }

    #[test]
    fn a_letter_says_who_what_where_and_whom_to_call() {
        let full = Letter {
            name: "Jürgen Söhne",
            words: "Your turn comes.",
            about: None,
            link: Some("https://mill.example.org/turns/7"),
            coop: "Coldwater Ridge Pressing Co-op",
            phone: "615 555 0100",
        };
        assert_eq!(
            full.body(),
            "Good day, Jürgen Söhne,\n\nYour turn comes.\n\nLook at it here: \
             https://mill.example.org/turns/7\n\nColdwater Ridge Pressing Co-op\n\
             Questions? Please call 615 555 0100.\n"
        );
        let bare = Letter {
            about: None,
            link: None,
            phone: "",
            ..full
        };
        assert_eq!(
            bare.body(),
            "Good day, Jürgen Söhne,\n\nYour turn comes.\n\nColdwater Ridge Pressing Co-op\n"
        );
    }

    #[test]
    fn the_same_notice_has_the_same_message_id() {
        let id = "01920000-0000-7000-8000-000000000001";
        assert_eq!(
            message_id(id, "mill@example.org"),
            "<01920000-0000-7000-8000-000000000001@example.org>"
        );
    }

    proptest! {
        #[test]
        fn a_next_try_is_always_later_and_never_too_late(
            tries in 1_i64..50, age in 0_i64..400_000, refused: bool
        ) {
            let at = MADE.plus(age);
            if let Next::Again(next) = after_try(tries, refused, MADE, at) {
                prop_assert!(next > at && !too_late(MADE, next) && !refused);
            }
        }
    }
}
