//! Telling a member what others did with a turn of theirs: that it was booked, moved or given up, why and by whom. What is told starts from
//! what the member last knew: of what nobody has learnt yet only the last is news, and nothing is if the turn is back where it was.

use crate::actions::people::notices::{self, NoticeSubject, Tell};
use crate::actions::{Act, Done, Stop};
use crate::calc::people::notices::Kind;
use crate::calc::turns::starts::Span;
use crate::store::WriteTx;
use crate::store::people::notices as store_notices;
use crate::store::people::{household, members};
use crate::store::turns::turn::Turn;
use crate::store::turns::turn_events::{self, TurnEvent, What};
use crate::units::{ClockTime, DayClock, TurnId, Zone};

/// A day and a start on it, as a member is told of them: "Sat 10 Oct 2026 at 09:00".
pub(super) fn place_words(clock: &DayClock, start: ClockTime) -> String {
    format!(
        "{} at {}",
        clock.date().show(),
        clock.show(clock.kept(start))
    )
}

/// Tells the member that a turn was booked, which is in the store already.
pub(super) async fn tell_booked(
    act: &Act,
    tx: &mut WriteTx,
    turn: &Turn,
    (clock, span): (&DayClock, Span),
) -> Done<()> {
    let told = booked(tx, turn, (clock, span), mark(turn.id, 1)).await?;
    tell_by_others(act, tx, turn, told, "").await
}

async fn booked(
    tx: &mut WriteTx,
    turn: &Turn,
    (clock, span): (&DayClock, Span),
    mark: String,
) -> Done<Told> {
    let member = members::find(turn.member_id).ask(tx).await?;
    let cane = turn.cane.show(member.ok_or(Stop::Missing)?.units);
    let (date, start) = (clock.date().show(), clock.show(span.start));
    Ok(Told {
        mark,
        subject: format!("A turn is booked for you: {date}, {start}"),
        went: format!(
            "A turn is booked for you: {date}, {}, {cane} of cane.",
            span.show(clock)
        ),
        done: "Booked",
    })
}

/// Tells the member that the turn was moved, `after` being the turn where it is now; its history says so already.
pub(super) async fn tell_moved(
    act: &Act,
    tx: &mut WriteTx,
    after: &Turn,
    (zone, clock, span): (&Zone, &DayClock, Span),
    why: &str,
) -> Done<()> {
    let events = turn_events::of_turn(after.id).ask(tx).await?;
    let own_mark = mark(after.id, events.len());
    let Some(known) = known(tx, after.id, &events).await? else {
        let told = booked(tx, after, (clock, span), own_mark).await?;
        return tell_by_others(act, tx, after, told, why).await;
    };
    if is_at(known, after) {
        return no_news(act, tx, after, &events).await;
    }
    let from = place_words(&zone.clock(known.date), known.start);
    let (date, start) = (clock.date().show(), clock.show(span.start));
    let told = Told {
        mark: own_mark,
        subject: format!("Your turn was moved to {date}, {start}"),
        went: format!(
            "Your turn on {from} is moved to {date}, {}.",
            span.show(clock)
        ),
        done: "Moved",
    };
    tell_by_others(act, tx, after, told, why).await
}

/// Tells the member that the turn was given up; its history says so already.
pub(super) async fn tell_given_up(
    act: &Act,
    tx: &mut WriteTx,
    after: &Turn,
    zone: &Zone,
    why: &str,
) -> Done<()> {
    let events = turn_events::of_turn(after.id).ask(tx).await?;
    let Some(known) = known(tx, after.id, &events).await? else {
        return no_news(act, tx, after, &events).await;
    };
    let place = place_words(&zone.clock(known.date), known.start);
    let told = Told {
        mark: mark(after.id, events.len()),
        subject: format!("Your turn on {} was cancelled", known.date.show()),
        went: format!("Your turn on {place} is cancelled; its time is free for others."),
        done: "Cancelled",
    };
    tell_by_others(act, tx, after, told, why).await
}

/// The turn as the member last knew it before the last of these changes: past what was told and nobody has learnt of, that is, nobody put
/// the notice away, was called or was sent its letter. `None`: the member never knew of it.
async fn known<'a>(
    tx: &mut WriteTx,
    turn: TurnId,
    events: &'a [TurnEvent],
) -> Done<Option<&'a TurnEvent>> {
    for (before, event) in events.iter().enumerate().rev().skip(1) {
        if !store_notices::unread(&mark(turn, before + 1))
            .ask(tx)
            .await?
        {
            return Ok(Some(event));
        }
    }
    Ok(None)
}

/// How a turn stood for its member before its last change, which is in the history already.
pub(super) struct Before {
    /// The mark of what is told of that change.
    pub(super) mark: String,
    /// The turn as the member knew it; `None`: the member never knew of it.
    pub(super) known: Option<TurnEvent>,
    /// Why it was brought to where it is now when it was brought there before; empty: it was not, or nobody said why.
    pub(super) why: String,
}

impl Before {
    pub(super) async fn read(tx: &mut WriteTx, now: &Turn) -> Done<Self> {
        let events = turn_events::of_turn(now.id).ask(tx).await?;
        let known = known(tx, now.id, &events).await?.cloned();
        let mut earlier = events.iter().rev().skip(1);
        let here = earlier.find(|event| is_at(event, now));
        Ok(Self {
            mark: mark(now.id, events.len()),
            known,
            why: here.map_or_else(String::new, |event| event.why.clone()),
        })
    }

    /// Whether the turn is where the member knew it to be: there is nothing to tell.
    pub(super) fn is_known(&self, now: &Turn) -> bool {
        now.held && self.known.as_ref().is_some_and(|known| is_at(known, now))
    }
}

/// Whether a turn is where it was brought to then.
fn is_at(event: &TurnEvent, turn: &Turn) -> bool {
    let place = (event.press_day_id, event.start, event.minutes);
    event.what != What::Cancelled && place == (turn.press_day_id, turn.start, turn.minutes)
}

/// What was told and nobody has learnt of goes: it is so no more, and what the member knew holds again.
async fn no_news(act: &Act, tx: &mut WriteTx, turn: &Turn, events: &[TurnEvent]) -> Done<()> {
    for before in (1..events.len()).rev() {
        let mark = mark(turn.id, before);
        if !store_notices::unread(&mark).ask(tx).await? {
            break;
        }
        store_notices::put_all_away(&mark, act.at).ask(tx).await?;
    }
    Ok(())
}

/// The mark of what a turn was brought to by the change of that number; the first is its booking.
fn mark(turn: TurnId, change: usize) -> String {
    format!("moved:{turn}:{change}")
}

/// What is told of a turn.
struct Told {
    mark: String,
    subject: String,
    went: String,
    /// What somebody did to it, to go on with who.
    done: &'static str,
}

/// Tells it unless the member did it, who saw it done. Who acts for the card did it for the member, so that nobody else has to call.
async fn tell_by_others(
    act: &Act,
    tx: &mut WriteTx,
    turn: &Turn,
    told: Told,
    why: &str,
) -> Done<()> {
    let (member, actor) = (turn.member_id, act.actor.id);
    if actor == member {
        return Ok(());
    }
    let helps = household::acts(member, actor).ask(tx).await?;
    let by = members::find(actor).ask(tx).await?.ok_or(Stop::Missing)?;
    let why = match why.trim_end_matches('.') {
        "" => String::new(),
        why => format!(" Why: {why}."),
    };
    let tell = Tell {
        member,
        kind: Kind::Moved,
        mark: told.mark,
        subject: told.subject,
        words: format!("{}{why} {} by {}.", told.went, told.done, by.name),
        about: NoticeSubject::Turn(turn.id),
    };
    if helps {
        notices::tell_uncalled(act, tx, tell).await
    } else {
        notices::tell(act, tx, tell).await
    }
}
