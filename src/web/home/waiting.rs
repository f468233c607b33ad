//! What stands on the home page of a member who waits for a turn: what is offered, with the buttons
//! that answer it, and the places on lists.

use super::lines::HomeLine;
use crate::calc::turns::starts::span_words;
use crate::calc::turns::waiting::State;
use crate::facts::home::{MemberHome, PlaceInLine};
use crate::facts::turns::waiting::place_of;
use crate::store::turns::offers::Offer;
use crate::units::Minutes;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::PageRequest;
use crate::web::{only_if, paths};

/// A turn on offer. Each has a form key of its own: two may be answered on one page.
pub(super) struct OnOffer {
    pub(super) sheet: Sheet,
    /// First words of the offer: "A turn is free for".
    pub(super) head: &'static str,
    /// Name of the member whose it would be, of a card acted for; empty: the reader.
    pub(super) name: String,
    /// Day, time and cane of the offer.
    pub(super) words: String,
    pub(super) kept: String,
    /// The mill's number, to answer by telephone; empty: nobody is named.
    pub(super) phone: String,
    pub(super) take: String,
    /// Where it is declined; of a turn of the season's proposal for another day or for this year instead.
    pub(super) declines: Vec<(String, &'static str)>,
    pub(super) href: String,
}

/// What is offered to a member, and after it to the cards acted for, each first to run out first; each with a form of its own.
pub(super) fn on_offer(request: &PageRequest, own: &MemberHome) -> Result<Vec<OnOffer>, PageError> {
    let visit = &request.visit;
    let zone = visit.zone()?;
    let me = request.me.id;
    let phone = &visit.coop()?.contact_phone;
    let theirs = own.household.iter().flat_map(|card| &card.offers);
    Ok(own
        .offers
        .iter()
        .chain(theirs)
        .map(|offer| {
            let left = Minutes::new(offer.ends_at.minutes_since(visit.at));
            let until = zone.show_by(offer.ends_at, visit.at);
            OnOffer {
                sheet: request.blank(),
                head: if offer.proposed {
                    "A turn is proposed for"
                } else {
                    "A turn is free for"
                },
                name: only_if(offer.member_id != me, offer.member.to_string()),
                words: {
                    let date = offer.date.show();
                    let span = span_words(&zone.clock(offer.date), offer.start, offer.minutes);
                    let cane = offer.cane.show(visit.units());
                    if offer.planted.is_empty() {
                        format!("{date}, {span}, {cane} of cane.")
                    } else {
                        format!("{date}, {span}, for the {}: {cane} of cane.", offer.planted)
                    }
                },
                kept: format!(
                    "Please answer by {until}, in {}. It is kept for you until then.",
                    left.show()
                ),
                phone: phone.clone(),
                take: paths::take_offer(offer.id),
                declines: if offer.proposed {
                    vec![
                        (paths::another_day(offer.id), "Another day"),
                        (paths::not_this_year(offer.id), "Not this year"),
                    ]
                } else {
                    vec![(paths::decline_offer(offer.id), "Do not take it")]
                },
                href: paths::waiting(offer.waiting_id),
            }
        })
        .collect())
}

/// The lists that a member is on, from today on. A turn of the season's proposal stands among what is offered, and on no list.
pub(super) fn places(places: &[PlaceInLine], offers: &[Offer]) -> Vec<HomeLine> {
    let proposed = |of: &PlaceInLine| {
        let mut offers = offers.iter();
        offers.any(|offer| offer.proposed && offer.waiting_id == of.entry.id)
    };
    let places = places.iter().filter(|place| !proposed(place));
    let line = |PlaceInLine { entry, list }: &PlaceInLine| {
        let more = match (entry.state, place_of(list, entry)) {
            (State::Missed, _) => "an offer ran out; open it to say that you still wait".to_owned(),
            (State::Declined, place) => format!("{place}; an offer was declined"),
            (_, place) => format!("{place} on the waiting list"),
        };
        HomeLine::new(paths::waiting(entry.id), entry.date.show(), more)
    };
    places.map(line).collect()
}

#[cfg(test)]
impl OnOffer {
    pub(super) fn sample(n: usize) -> Self {
        Self {
            sheet: Sheet::sample(),
            head: "A turn is free for",
            name: if n > 0 {
                "Tomás <b>Reyes</b>".to_owned()
            } else {
                String::new()
            },
            words: "Sat 19 Sep 2026, 13:20–14:10, 310.0 lb of cane.".to_owned(),
            kept: "Please answer by 11:30 today, in 2 h. It is kept for you until then.".to_owned(),
            phone: "615 555 0100".to_owned(),
            take: format!("/offers/{n}/take"),
            declines: vec![(format!("/offers/{n}/decline"), "Do not take it")],
            href: format!("/waiting/{n}"),
        }
    }
}
