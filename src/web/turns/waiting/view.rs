//! The pages of waiting lists, as text ready to print.

use crate::calc::turns::starts::span_words;
use crate::calc::turns::waiting::{Answer, State, order};
use crate::facts::turns::waiting::{EntryFacts, is_open, place_of};
use crate::store::turns::offers::Offer;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::waiting::Entry;
use crate::units::{DayClock, DayMinute, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths};
use askama::Template;

#[cfg(test)]
#[path = "view_samples.rs"]
mod view_samples;
#[cfg(test)]
pub(in crate::web) use view_samples::samples;

/// The state of a place in a few words, with the look of its tag.
fn tag(state: State, offered: bool) -> (&'static str, &'static str) {
    match state {
        State::Waiting if offered => ("a turn is offered", "warn"),
        State::Waiting => ("waits", "ok"),
        State::Declined => ("declined an offer", ""),
        State::Missed => ("let an offer run out", ""),
        State::Placed => ("has a turn", "ok"),
        State::Left => ("left the list", ""),
    }
}

/// The state of a place in a sentence.
fn sentence(state: State, offered: bool) -> &'static str {
    match state {
        State::Waiting if offered => "A turn is offered.",
        State::Waiting => {
            "As soon as a turn comes free that is long enough, it is offered in the order of this list, for a set time."
        }
        State::Declined => {
            "The last offer was declined. The others on the list are asked first; after them this place is asked again."
        }
        State::Missed => {
            "An offer ran out without an answer. Nothing more is offered until somebody says: still waiting."
        }
        State::Placed => "This place became a turn.",
        State::Left => "This place on the list is given up.",
    }
}

/// What came of a turn of the season's proposal, in a sentence; its cane waits on no list.
fn sentence_proposed(answer: Option<Answer>) -> &'static str {
    match answer {
        None | Some(Answer::Lapsed) => {
            "This turn was proposed, and its time ran out without an answer. Its cane waits for the season’s next proposal; \
             you can also book a turn yourself."
        }
        Some(Answer::Taken) => "This turn was proposed and taken.",
        Some(Answer::Declined) => "This turn was proposed and not wanted.",
        Some(Answer::Withdrawn | Answer::Recalled) => {
            "This turn was proposed and taken back. Its cane waits for the season’s next proposal; you can also book a turn \
             yourself."
        }
    }
}

/// Somebody on the list.
struct WaitingRow {
    place: String,
    href: String,
    name: String,
    phone: String,
    cane: String,
    since: String,
    state: &'static str,
    look: &'static str,
    more: String,
}

/// The waiting list of a day, for the crew.
#[derive(Template)]
#[template(path = "turns/waiting/list.html")]
pub(super) struct ListPage {
    shell: Shell,
    closed: bool,
    rows: Vec<WaitingRow>,
    gone: Vec<WaitingRow>,
    day: String,
}

impl ListPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        day: &PressDay,
        list: &[Entry],
        offers: &[Offer],
    ) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        let row = |entry: &Entry| {
            let latest = offers.iter().rfind(|offer| offer.waiting_id == entry.id);
            let standing = latest.filter(|offer| is_open(offer, visit.at));
            let (state, look) = tag(entry.state, standing.is_some());
            let said = latest.map_or_else(String::new, |offer| {
                offer_words(offer, entry, (zone, visit.at))
            });
            WaitingRow {
                place: place_of(list, entry),
                href: paths::waiting(entry.id),
                name: entry.member.to_string(),
                phone: entry.phone.to_string(),
                cane: entry.cane.show(visit.units()),
                since: zone.show(entry.made_at),
                state,
                look,
                more: [moved(entry), entry.why.clone(), said]
                    .into_iter()
                    .filter(|words| !words.is_empty())
                    .collect::<Vec<_>>()
                    .join(". "),
            }
        };
        // In the order in which they are asked, then those who are not.
        let states: Vec<State> = list.iter().map(|entry| entry.state).collect();
        let asked = order(&states).into_iter().map(|index| &list[index]);
        let missed = list.iter().filter(|entry| entry.state == State::Missed);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Waiting for {}", day.date.show())),
            closed: day.closed_at.is_some(),
            rows: asked.chain(missed).map(row).collect(),
            gone: list
                .iter()
                .filter(|e| !e.state.on_list())
                .map(row)
                .collect(),
            day: paths::day(day.date),
        })
    }
}

fn moved(entry: &Entry) -> String {
    match entry.from_turn_id {
        Some(_) => "Had a turn that no longer fitted".to_owned(),
        None => String::new(),
    }
}

/// "10:00–11:00 on offer until Sat 10 Oct 2026 09:00", and what came of it.
fn offer_words(offer: &Offer, entry: &Entry, (zone, at): (&Zone, UtcSecond)) -> String {
    let span = span_words(&zone.clock(offer.date), offer.start, offer.minutes);
    let by = offer
        .answered_by
        .as_ref()
        .map_or_else(String::new, |name| format!(" by {name}"));
    let when = offer
        .answered_at
        .map_or_else(String::new, |at| format!(", {}", zone.show(at)));
    match offer.answer {
        None if offer.ends_at > at => {
            format!("{span} is on offer until {}", zone.show(offer.ends_at))
        }
        None | Some(Answer::Lapsed) => format!(
            "{span} was offered; the time ran out {}",
            zone.show(offer.ends_at)
        ),
        // The turn that it became was undone, if the place stands on the list again.
        Some(Answer::Taken) if entry.state.on_list() => {
            format!("{span} was offered, and taken{by} and undone{when}")
        }
        Some(Answer::Taken) => format!("{span} was offered and taken{by}{when}"),
        Some(Answer::Declined) => format!("{span} was offered and declined{by}{when}"),
        Some(Answer::Withdrawn | Answer::Recalled) => format!(
            "{span} was offered and withdrawn{by}{when}, because: {}",
            offer.why
        ),
    }
}

/// The turn on offer, as the page of a place shows it.
struct OnOffer {
    span: String,
    /// The plantings it is for, by variety; empty: it comes from the waiting list.
    planted: String,
    until: String,
    take: String,
    yes: String,
    /// Where it is declined, with the words of each button: of a turn of the season's proposal for another day or for this year.
    declines: Vec<(String, String)>,
    withdraw: String,
}

fn on_offer(offer: &Offer, entry: &Entry, (zone, me): (&Zone, &Me)) -> OnOffer {
    // The crew answers for whoever called: the button says whose turn it is.
    let words = |own: &str, of_another: &str| {
        if entry.member_id == me.id {
            own.to_owned()
        } else {
            format!("{of_another} for {}", entry.member)
        }
    };
    OnOffer {
        span: span_words(&zone.clock(offer.date), offer.start, offer.minutes),
        planted: offer.planted.clone(),
        until: zone.show(offer.ends_at),
        take: paths::take_offer(offer.id),
        yes: words("Take this turn", "Take it"),
        declines: if offer.proposed {
            vec![
                (
                    paths::another_day(offer.id),
                    words("Another day", "Another day"),
                ),
                (
                    paths::not_this_year(offer.id),
                    words("Not this year", "Not this year"),
                ),
            ]
        } else {
            let no = words("Do not take it", "Decline it");
            vec![(paths::decline_offer(offer.id), no)]
        },
        withdraw: if me.is_steward() {
            paths::withdraw_offer(offer.id)
        } else {
            String::new()
        },
    }
}

/// What a steward may do with a place beyond the usual.
struct Overrides {
    /// Where a turn is given out of order; empty: it is no place on a list.
    place: String,
    starts: Vec<Choice>,
    off: String,
}

impl Overrides {
    fn new(entry: &Entry, (starts, clock): (&[DayMinute], &DayClock), proposed: bool) -> Self {
        let start = |start: &DayMinute| Choice::new(clock.value(*start), clock.show(*start));
        Self {
            place: only_if(!proposed, paths::place_waiting(entry.id)),
            starts: starts.iter().map(start).collect(),
            off: paths::take_off_waiting(entry.id),
        }
    }
}

/// One place on a list.
#[derive(Template)]
#[template(path = "turns/waiting/show.html")]
pub(super) struct EntryPage {
    shell: Shell,
    sheet: Sheet,
    closed: bool,
    /// Whether it is a turn of the season's proposal, and no place on a list.
    proposed: bool,
    day_href: String,
    date: String,
    member: String,
    member_href: String,
    phone: String,
    place: String,
    state: &'static str,
    why: String,
    cane: String,
    since: String,
    offer: Option<OnOffer>,
    history: Vec<String>,
    turn: String,
    still: String,
    leave: String,
    /// Where a turn is booked instead; empty: that would be no answer.
    book: String,
    list: String,
    overrides: Option<Overrides>,
}

impl EntryPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        (facts, starts): (&EntryFacts, &[DayMinute]),
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (entry, day, zone) = (&facts.entry, &facts.day, visit.zone()?);
        let closed = day.closed_at.is_some();
        let clock = zone.clock(day.date);
        let standing = facts
            .offers
            .iter()
            .find(|offer| is_open(offer, visit.at) && !closed);
        let proposed = facts.offers.iter().any(|offer| offer.proposed);
        let on_list = entry.state.on_list() && !proposed;
        let latest = facts.offers.last().and_then(|offer| offer.answer);
        let date = day.date.show();
        let title = if proposed {
            format!("A turn proposed for {date}")
        } else {
            format!("On the waiting list of {date}")
        };
        Ok(Self {
            shell: Shell::new(app, visit, title).said_of_card(
                me,
                entry.member_id,
                entry.member.as_str(),
            ),
            proposed,
            sheet,
            closed,
            day_href: paths::day(day.date),
            date: day.date.show(),
            member: entry.member.to_string(),
            member_href: paths::member(entry.member_id),
            phone: only_if(me.is_crew(), entry.phone.to_string()),
            place: only_if(!proposed, place_of(&facts.list, entry)),
            state: if proposed {
                sentence_proposed(latest)
            } else {
                sentence(entry.state, standing.is_some())
            },
            why: entry.why.clone(),
            cane: entry.cane.show(visit.units()),
            since: zone.show(entry.made_at),
            offer: standing.map(|offer| on_offer(offer, entry, (zone, me))),
            history: facts
                .offers
                .iter()
                .filter(|offer| standing.is_none_or(|standing| standing.id != offer.id))
                .map(|offer| offer_words(offer, entry, (zone, visit.at)))
                .collect(),
            turn: entry.turn_id.map_or_else(String::new, paths::turn),
            still: only_if(
                entry.state == State::Missed && !closed && !proposed,
                paths::still_wait(entry.id),
            ),
            leave: only_if(on_list, paths::leave_waiting(entry.id)),
            book: only_if(
                proposed && standing.is_none() && entry.turn_id.is_none(),
                paths::DAYS.to_owned(),
            ),
            list: only_if(me.is_crew(), paths::day_waiting(day.date)),
            overrides: (me.is_steward() && entry.state.on_list() && !closed)
                .then(|| Overrides::new(entry, (starts, &clock), proposed)),
        })
    }
}
