//! What stands on the home page of a member who waits for a turn: what is offered, with the buttons
//! that answer it, and the places on lists.

use super::view::Line;
use crate::calc::turns::starts::span_words;
use crate::calc::turns::waiting::State;
use crate::facts::turns::waiting::place_of;
use crate::store::Snapshot;
use crate::store::turns::{offers, waiting};
use crate::units::{MemberId, Minutes, PressDate};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::{App, paths};

/// A turn on offer. Each has a form key of its own: two may be answered on one page.
pub(super) struct OnOffer {
    pub(super) sheet: Sheet,
    pub(super) words: String,
    pub(super) kept: String,
    pub(super) take: String,
    pub(super) decline: String,
    pub(super) href: String,
}

/// What is offered to a member, first to run out first.
pub(super) async fn on_offer(
    app: &App,
    visit: &Visit,
    member: MemberId,
    snapshot: &mut Snapshot,
) -> Result<Vec<OnOffer>, PageError> {
    let zone = visit.zone()?;
    let standing = offers::standing_of_member(snapshot, member, visit.at).await?;
    let phone = &visit.coop()?.contact_phone;
    let call = if phone.is_empty() {
        String::new()
    } else {
        format!(", or call the mill: {phone}")
    };
    Ok(standing
        .iter()
        .map(|offer| {
            let left = Minutes::new(offer.ends_at.minutes_since(visit.at));
            OnOffer {
                sheet: Sheet::blank(visit, &app.ids),
                words: format!(
                    "A turn is free for you: {}, {}, {} of cane.",
                    offer.date.show(),
                    span_words(&zone.clock(offer.date), offer.start, offer.minutes),
                    offer.cane.show(visit.units())
                ),
                kept: format!(
                    "It is kept for you until {}, {} from this moment. Please answer here{call}.",
                    zone.show(offer.ends_at),
                    left.show()
                ),
                take: paths::take_offer(offer.id),
                decline: paths::decline_offer(offer.id),
                href: paths::waiting(offer.waiting_id),
            }
        })
        .collect())
}

/// The lists that a member is on, from today on.
pub(super) async fn places(
    member: MemberId,
    today: PressDate,
    snapshot: &mut Snapshot,
) -> Result<Vec<Line>, PageError> {
    let mut lines = Vec::new();
    for entry in waiting::of_member(snapshot, member, today).await? {
        let list = waiting::of_day(snapshot, entry.press_day_id).await?;
        let more = match (entry.state, place_of(&list, &entry)) {
            (State::Missed, _) => "an offer ran out; open it to say that you still wait".to_owned(),
            (State::Declined, place) => format!("{place}; you declined an offer"),
            (_, place) => format!("{place} on the waiting list"),
        };
        lines.push(Line::new(paths::waiting(entry.id), entry.date.show(), more));
    }
    Ok(lines)
}

#[cfg(test)]
impl OnOffer {
    pub(super) fn sample(n: usize) -> Self {
        Self {
            sheet: Sheet::sample(),
            words: "A turn is free for you: Sat 19 Sep 2026, 13:20–14:10, 310.0 lb of cane."
                .to_owned(),
            kept: "It is kept for you until Sat 19 Sep 2026 11:30, 2 h from this moment."
                .to_owned(),
            take: format!("/offers/{n}/take"),
            decline: format!("/offers/{n}/decline"),
            href: format!("/waiting/{n}"),
        }
    }
}
