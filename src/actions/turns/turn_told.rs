//! Telling a member whose turn the crew moved or gave up: who booked it reads on home what became of it, and why.

use super::asker::zone;
use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::{Act, Done};
use crate::calc::people::notices::Kind;
use crate::calc::turns::starts::Span;
use crate::store::WriteTx;
use crate::store::people::household;
use crate::store::turns::turn::Turn;
use crate::units::{ClockTime, DayClock};

/// A day and a start on it, as a member is told of them: "Sat 10 Oct 2026 at 09:00".
pub(super) fn place_words(clock: &DayClock, start: ClockTime) -> String {
    format!(
        "{} at {}",
        clock.date().show(),
        clock.show(clock.kept(start))
    )
}

/// Tells the member that the turn was moved, `after` being the turn where it is now.
pub(super) async fn tell_moved(
    act: &Act,
    tx: &mut WriteTx,
    (after, from): (&Turn, &str),
    (clock, span): (&DayClock, Span),
    why: &str,
) -> Done<()> {
    let (date, start) = (clock.date().show(), clock.show(span.start));
    let subject = format!("Your turn was moved to {date}, {start}");
    let went = format!(
        "Your turn on {from} is moved to {date}, {}.",
        span.show(clock)
    );
    tell_by_crew(act, tx, after, (subject, went), why).await
}

/// Tells the member that the turn was given up.
pub(super) async fn tell_given_up(
    act: &Act,
    tx: &mut WriteTx,
    after: &Turn,
    why: &str,
) -> Done<()> {
    let place = place_words(&zone(tx).await?.clock(after.date), after.start);
    let subject = format!("Your turn on {} was cancelled", after.date.show());
    let went = format!("Your turn on {place} is cancelled; its time is free for others.");
    tell_by_crew(act, tx, after, (subject, went), why).await
}

/// Tells it if neither the member nor whoever acts for the card did it: they saw it done.
async fn tell_by_crew(
    act: &Act,
    tx: &mut WriteTx,
    turn: &Turn,
    (subject, went): (String, String),
    why: &str,
) -> Done<()> {
    let (member, actor) = (turn.member_id, act.actor.id);
    if actor == member || household::acts(member, actor).ask(tx).await? {
        return Ok(());
    }
    let why = match why.trim_end_matches('.') {
        "" => String::new(),
        why => format!(" Why: {why}."),
    };
    let tell = Tell {
        member,
        kind: Kind::Moved,
        mark: format!("moved:{}:{}", turn.id, turn.version + 1),
        subject,
        words: format!("{went}{why}"),
        about: NoticeSubject::Turn(turn.id),
    };
    notices::tell(act, tx, tell).await
}
