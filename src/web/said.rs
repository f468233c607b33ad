//! What happened after a tap, said once on the page that follows. A form that was taken leaves a cookie with the
//! address it was sent to; the next page says what was done there, and lets the cookie go. The words stand here and
//! nowhere else: a cookie can choose among them, and write none. Works without scripts.

use super::cookies::{cookie, set_cookie};
use super::paths;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::response::Response;

/// The cookie that keeps the address of the form until it was said.
const SAID: &str = "canewright-said";
/// How long the cookie waits for a page to say it, seconds.
const WAITS_S: i64 = 120;

/// The words that tell what each form did, by its address.
const WORDS: &[(&str, &str)] = &[
    // people
    (paths::PASSPHRASE, "Passphrase changed."),
    (paths::SIGN_OUT, "You are signed out."),
    (paths::END_SESSION, "That device is signed out."),
    (
        paths::END_OTHERS,
        "All your other devices are signed out. This one stays.",
    ),
    (
        paths::NO_SECOND_FACTOR,
        "Signing in asks for no code any more.",
    ),
    (
        paths::HOUSEHOLD_LETTERS,
        "Letters and notices of the card go there, too, from now on.",
    ),
    (
        paths::NO_HOUSEHOLD_LETTERS,
        "Letters and notices of the card do not go there any more.",
    ),
    (paths::JOIN, "Welcome: you are signed in."),
    (paths::NEW_MEMBER, "The member is added."),
    (paths::EDIT_MEMBER, "The card is saved."),
    (paths::LET_GO, "The member has left the co-op."),
    (paths::TAKE_BACK, "The member is back."),
    (paths::PIN, "The PIN is set."),
    (paths::CALL_TOLD, "Noted: the member was told."),
    (
        paths::CALL_NOT_TOLD,
        "Noted: the member was not told after all.",
    ),
    (
        paths::PUT_AWAY,
        "Noted as read; it does not stand here any more.",
    ),
    (
        paths::RESTORE_SEEN,
        "Noted: it does not stand on home any more.",
    ),
    (
        paths::REVOKE_FEED,
        "The calendar address does not answer any more.",
    ),
    // season
    (paths::NEW_PLANTING, "The planting is noted."),
    (paths::EDIT_PLANTING, "The planting is changed."),
    (paths::REMOVE_PLANTING, "The planting is taken off."),
    (paths::PLANTINGS_AGAIN, "The plantings are taken over."),
    (paths::COOP, "The co-op’s card is saved."),
    (paths::NEW_DAY, "The press day is planned."),
    (paths::EDIT_DAY, "The press day is saved."),
    (paths::CLOSE_DAY, "The press day is closed."),
    (paths::OPEN_DAY, "The press day is open again."),
    // turns
    (paths::CAN_COME, "Noted: the days that are possible."),
    (paths::BOOK, "Your turn is booked."),
    (paths::MOVE_TURN, "The turn is moved."),
    (paths::CANCEL_TURN, "The turn is cancelled."),
    (paths::UNDO_TURN, "Undone."),
    (paths::RUNS_AGAIN, "Noted: the mill runs."),
    (
        paths::BRING_BACK,
        "The turns are back where they were. Who had learnt of being put off is told.",
    ),
    (paths::CONFIRM_TURN, "The turn is confirmed."),
    (paths::MISS_TURN, "Noted on the turn."),
    (paths::DAY_WAITING, "You are on the waiting list."),
    (paths::LEAVE_WAITING, "You are off the waiting list."),
    (paths::STILL_WAIT, "Noted: you still wait."),
    (paths::TAKE_OFFER, "The turn is yours."),
    (paths::DECLINE_OFFER, "Noted: you do not take that turn."),
    (
        paths::ANOTHER_DAY,
        "Noted: you ask for another day. That turn is given up.",
    ),
    (
        paths::NOT_THIS_YEAR,
        "Noted: no turn this year for the cane of that turn. What else you were asked about, or have booked, stays.",
    ),
    (paths::WITHDRAW_OFFER, "The offer is withdrawn."),
    // cane
    (paths::MORNING, "The morning’s checks are noted."),
    (paths::NEW_TICKET, "Weighed in."),
    (paths::NEW_LOAD, "The load is weighed in."),
    (paths::FIX_LOAD, "The load is put right."),
    (paths::UNDO_LOAD, "Undone."),
    (paths::MOVE_TICKET, "The ticket is moved."),
    (paths::NEW_JUICE, "The juice is noted."),
    (paths::FIX_JUICE, "The juice is put right."),
    (paths::UNDO_JUICE, "Undone."),
    (paths::LOSE_JUICE, "The loss is noted."),
    (paths::TAKE_LOSS_BACK, "The loss is taken back."),
    (
        paths::LOSS,
        "The loss is written down. Those whose juice was in the boil read it on their home page and by letter; please tell whoever has neither.",
    ),
    (
        paths::BEAR_LOSS,
        "The season bears the loss: it is shared out. Those whose juice was in the boil read it on their home page and by letter; please tell whoever has neither.",
    ),
    (paths::BOIL_NOT_LOST, "The loss is taken back."),
    // boil and shares
    (paths::RULES_DAY, "The day is put right."),
    (paths::NEW_BOIL, "The boil is lit."),
    (paths::DRAW, "The juice is poured into the boil."),
    (paths::READING, "The reading is noted."),
    (paths::FINISH, "The boil is finished."),
    (paths::FILL, "The jars are noted."),
    (paths::FIX_FILL, "The jars are put right."),
    (paths::DIVIDE, "The lot is divided."),
    (paths::NEW_HAND_OVER, "The jars are handed over."),
    (paths::PAYMENT, "The payment is noted."),
    (paths::HOURS, "The hours are noted."),
];

/// The same words of a card that is not the reader's own, after its name; whatever is not here names nobody.
const OF_A_CARD: &[(&str, &str)] = &[
    (paths::BOOK, "the turn is booked."),
    (paths::DAY_WAITING, "it is on the waiting list."),
    (paths::LEAVE_WAITING, "it is off the waiting list."),
    (paths::STILL_WAIT, "noted: it still waits."),
    (paths::TAKE_OFFER, "the turn is taken."),
    (paths::DECLINE_OFFER, "noted: that turn is not taken."),
    (
        paths::ANOTHER_DAY,
        "noted: another day is asked for. That turn is given up.",
    ),
    (
        paths::NOT_THIS_YEAR,
        "noted: no turn this year for the cane of that turn. What else was asked about, or is booked, stays.",
    ),
];

/// What was said, in words about somebody else's card.
pub(super) fn of_a_card(said: &str) -> String {
    let path = WORDS.iter().find(|(_, words)| *words == said);
    let other = path.and_then(|(path, _)| OF_A_CARD.iter().find(|(of, _)| of == path));
    if let Some((_, words)) = other {
        return (*words).to_owned();
    }
    let mut letters = said.chars();
    let first = letters.next().map(|c| c.to_lowercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}

/// What is said after a form was sent to an address, as the router knows it.
fn words(path: &str) -> Option<(&'static str, &'static str)> {
    WORDS.iter().find(|(of, _)| *of == path).copied()
}

/// The cookie to set after a form to `path` was answered.
pub(super) fn to_say(
    path: &str,
    method: &Method,
    response: &Response,
    secure: bool,
) -> Option<HeaderValue> {
    if *method != Method::POST || response.status() != StatusCode::SEE_OTHER {
        return None;
    }
    let (path, _) = words(path)?;
    Some(set_cookie(SAID, path, WAITS_S, secure))
}

/// What a page is to say of the form before it; empty: nothing. Only where somebody looks: a page that a script
/// fetches by itself says nothing, and leaves it to be said.
pub(super) fn said(headers: &HeaderMap) -> &'static str {
    let looked_at = headers
        .get(HeaderName::from_static("sec-fetch-mode"))
        .is_none_or(|mode| mode == "navigate");
    if !looked_at {
        return "";
    }
    cookie(headers, SAID)
        .and_then(words)
        .map_or("", |(_, words)| words)
}

/// The cookie that forgets what was said, when this answer is a page that said it.
pub(super) fn said_once(
    said: &str,
    method: &Method,
    response: &Response,
    secure: bool,
) -> Option<HeaderValue> {
    let kind = response.headers().get(header::CONTENT_TYPE);
    let page = kind
        .and_then(|kind| kind.to_str().ok())
        .is_some_and(|kind| kind.starts_with("text/html"));
    (!said.is_empty() && page && *method == Method::GET).then(|| set_cookie(SAID, "", 0, secure))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::guard::Who;
    use crate::web::table;

    /// Forms of members whose answer is the page itself, with what was made on it: codes, an address for a calendar.
    const ANSWERED_AT_ONCE: [&str; 2] = [paths::SECOND_FACTOR, paths::CALENDAR];

    #[test]
    fn whatever_a_member_sends_is_answered_in_words() {
        for line in table() {
            if line.posts && line.who == Who::Members && !ANSWERED_AT_ONCE.contains(&line.path) {
                assert!(
                    words(line.path).is_some(),
                    "nothing is said after {}",
                    line.path
                );
            }
        }
    }

    #[test]
    fn nobody_is_called_you_of_somebody_elses_card() {
        // Forms of the reader's own sign-in, devices and calendar, and a card's letters, which go to whoever asks for them.
        let own = [
            paths::PASSPHRASE,
            paths::SIGN_OUT,
            paths::END_OTHERS,
            paths::JOIN,
        ];
        let addressed = |words: &str| {
            let mut words = words.split(|c: char| !c.is_alphanumeric());
            words.any(|word| ["you", "your", "yours"].contains(&word.to_lowercase().as_str()))
        };
        let mut seen = 0;
        for (path, words) in WORDS.iter().filter(|(path, _)| !own.contains(path)) {
            assert!(
                !addressed(&of_a_card(words)),
                "{path}: {}",
                of_a_card(words)
            );
            seen += usize::from(addressed(words));
        }
        assert!(seen >= 7, "only {seen} of the words speak to somebody");
        assert_eq!(of_a_card("The turn is moved."), "the turn is moved.");
        assert_eq!(of_a_card("Your turn is booked."), "the turn is booked.");
    }

    #[test]
    fn each_address_that_is_spoken_of_takes_forms_and_fits_a_cookie() {
        for (path, words) in WORDS {
            let taken = table()
                .into_iter()
                .any(|line| line.path == *path && line.posts);
            assert!(taken, "{path}");
            assert!(path.len() <= 64 && words.ends_with('.'), "{path}");
            let plain = |c: char| c.is_ascii_graphic() && !"\",;\\".contains(c);
            assert!(
                path.chars().all(plain),
                "{path} is no cookie (RFC 6265, 4.1.1)"
            );
        }
    }
}
