//! A day's waiting list: one's place on it, what is offered, and where there would be room.

use super::room::DayRoom;
use crate::calc::RuleRefusal;
use crate::calc::turns::starts::{Asker, Span, offered};
use crate::calc::turns::waiting::{Answer, State, Waiter, order, place_words};
use crate::store::people::members;
use crate::store::turns::offers::{self, Offer};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::waiting::{self, Entry};
use crate::store::{Conn, Stored};
use crate::units::{DayClock, DayMinute, PressDayId, Units, UtcSecond, Zone};

/// "2nd of 3", in the order in which they are asked; empty: not asked.
pub fn place_of(list: &[Entry], entry: &Entry) -> String {
    let states: Vec<State> = list.iter().map(|other| other.state).collect();
    let order = order(&states);
    order
        .iter()
        .position(|index| list[*index].id == entry.id)
        .map_or_else(String::new, |place| place_words(place, order.len()))
}

/// Whether a place on a list that became a turn stands there again once that is undone; not if it was a turn of the season's proposal,
/// or its member waits for that day anew.
pub fn place_again(entry: &Entry, list: &[Entry], offers: &[Offer]) -> bool {
    let waits_anew = |e: &Entry| e.member_id == entry.member_id && e.state.on_list();
    let mut own = offers.iter().filter(|offer| offer.waiting_id == entry.id);
    !list.iter().any(waits_anew) && !own.any(|offer| offer.proposed)
}

/// Whether an offer can still be answered.
pub fn is_open(offer: &Offer, at: UtcSecond) -> bool {
    offer.answer.is_none() && offer.ends_at > at
}

/// Whether an offer can still be answered; if not, why.
///
/// # Errors
/// It was answered or its time is over: how and when is said.
pub fn may_answer(offer: &Offer, zone: &Zone, at: UtcSecond) -> Result<(), RuleRefusal> {
    let by = offer
        .answered_by
        .as_ref()
        .map_or_else(String::new, |name| format!(" by {name}"));
    let when = offer
        .answered_at
        .map_or_else(String::new, |at| format!(" on {}", zone.show(at)));
    match offer.answer {
        None if is_open(offer, at) => Ok(()),
        None | Some(Answer::Lapsed) => Err(RuleRefusal::new(
            "offer-ran-out",
            format!(
                "This offer ran out at {}. {}",
                zone.show(offer.ends_at),
                if offer.proposed {
                    "Please book a turn, or wait for the season’s next proposal."
                } else {
                    "Say that you still wait, and you will be asked again."
                }
            ),
        )),
        Some(Answer::Taken) => Err(RuleRefusal::new(
            "offer-taken",
            format!("This offer was taken{by}{when}: the turn is booked."),
        )),
        Some(Answer::Declined) => Err(RuleRefusal::new(
            "offer-declined",
            format!("This offer was declined{by}{when}."),
        )),
        Some(Answer::Withdrawn | Answer::Recalled) => Err(RuleRefusal::new(
            "offer-withdrawn",
            format!("This offer was withdrawn{by}{when} because: {}.", offer.why),
        )),
    }
}

/// The list of a day as starts are allotted.
///
/// # Errors
/// The store failed.
pub async fn waiters(
    conn: &mut Conn,
    list: &[Entry],
    day: PressDayId,
    clock: &DayClock,
) -> Stored<Vec<Waiter>> {
    let made = offers::of_day(day).ask(conn).await?;
    let alone = members::who_boil_alone().ask(conn).await?;
    let of = |entry: &Entry| {
        let own = || made.iter().filter(|offer| offer.waiting_id == entry.id);
        Waiter {
            state: entry.state,
            cane: entry.cane,
            pools: !alone.contains(&entry.member_id),
            free: !entry.gone && own().all(|offer| offer.answer.is_some()),
            barred: own()
                // What was taken, and the place is on the list again, was undone.
                .filter(|o| {
                    matches!(
                        o.answer,
                        Some(Answer::Declined | Answer::Withdrawn | Answer::Taken)
                    )
                })
                .map(|offer| Span::kept(clock, offer.start, offer.minutes))
                .collect(),
        }
    };
    Ok(list.iter().map(of).collect())
}

/// One place on a waiting list with all that belongs to it.
#[derive(Debug)]
pub struct EntryFacts {
    /// The place on the list.
    pub entry: Entry,
    /// Its press day.
    pub day: PressDay,
    /// The whole list, by rank.
    pub list: Vec<Entry>,
    /// The offers to this place, in the order they were made.
    pub offers: Vec<Offer>,
}

impl EntryFacts {
    /// Reads them; nothing when its press day is gone, which cannot be.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, entry: Entry) -> Stored<Option<Self>> {
        let Some(day) = press_days::find(entry.press_day_id).ask(conn).await? else {
            return Ok(None);
        };
        let mut offers = offers::of_day(day.id).ask(conn).await?;
        offers.retain(|offer| offer.waiting_id == entry.id);
        Ok(Some(Self {
            list: waiting::of_day(day.id).ask(conn).await?,
            offers,
            day,
            entry,
        }))
    }
}

/// Where a steward could put somebody who waits: free among the turns, whatever is on offer; empty
/// when the turn is longer than the day.
///
/// # Errors
/// The store failed.
pub async fn starts_out_of_order(
    conn: &mut Conn,
    of: &EntryFacts,
    (zone, units): (&Zone, Units),
    at: UtcSecond,
) -> Stored<Vec<DayMinute>> {
    let mut room = DayRoom::read(conn, &of.day, (zone, at), &[]).await?;
    let clock = room.day.clock;
    let on_offer: Vec<Span> = offers::standing_of_day(of.day.id)
        .ask(conn)
        .await?
        .iter()
        .map(|offer| Span::kept(&clock, offer.start, offer.minutes))
        .collect();
    room.held.retain(|held| !on_offer.contains(&held.span));
    let asker = Asker { at, crew: true };
    let (member, cane) = (of.entry.member_id, of.entry.cane);
    Ok(room.day.minutes_for(cane, units).map_or_else(
        |_| Vec::new(),
        |minutes| {
            let wanted = room.wanted(member, minutes, cane);
            offered(&room.rooms().free(wanted, asker).starts)
        },
    ))
}
