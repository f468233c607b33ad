//! That somebody waits for a day already: said instead of the button that joins its list.

use crate::facts::turns::waiting::{is_open, place_of};
use crate::store::turns::offers::Offer;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::waiting::Entry;
use crate::store::turns::{offers, waiting};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{MemberId, UtcSecond};
use crate::web::paths;
use crate::web::session::Me;

/// A member's place on the waiting list of a day.
pub(super) struct Waits {
    /// Name of whoever waits; empty: the reader.
    pub(super) name: String,
    /// "1st of 3 on the waiting list of Sat 19 Sep 2026", to go on after "You are".
    pub(super) place: String,
    /// What there is to do about it; empty: nothing.
    pub(super) more: &'static str,
    pub(super) href: String,
}

impl Waits {
    /// The place that a member who asks to wait for a day has on its list already; `None`: no such place. One of a turn that no longer
    /// fitted does not count, as it does not when a place is asked for.
    pub(super) async fn read(
        db: &mut Conn,
        me: &Me,
        (day, at): (&PressDay, UtcSecond),
        member: MemberId,
    ) -> Stored<Option<Self>> {
        let (list, on_offer) = Self::asked(day).ask(db).await?;
        Ok(Self::of((&list, &on_offer), me, at, member))
    }

    /// What [`Self::of`] needs of a day.
    pub(super) fn asked(day: &PressDay) -> Question<(Vec<Entry>, Vec<Offer>)> {
        (waiting::of_day(day.id), offers::standing_of_day(day.id)).together()
    }

    /// As [`Self::read`], of a list and what is on offer to those on it.
    pub(super) fn of(
        (list, on_offer): (&[Entry], &[Offer]),
        me: &Me,
        at: UtcSecond,
        member: MemberId,
    ) -> Option<Self> {
        let counts = |entry: &&Entry| {
            entry.state.on_list() && entry.member_id == member && entry.from_turn_id.is_none()
        };
        let offered = |entry: &Entry| {
            let mut own = on_offer.iter().filter(|o| o.waiting_id == entry.id);
            own.any(|offer| is_open(offer, at))
        };
        list.iter().find(counts).map(|entry| {
            let (place, date) = (place_of(list, entry), entry.date.show());
            Self {
                name: if member == me.id {
                    String::new()
                } else {
                    entry.member.to_string()
                },
                more: match (offered(entry), place.is_empty()) {
                    (true, _) => "A turn is offered there.",
                    (false, true) => {
                        "An offer ran out without an answer: nothing more is offered until somebody says “still waiting” there."
                    }
                    (false, false) => "",
                },
                place: if place.is_empty() {
                    format!("on the waiting list of {date}")
                } else {
                    format!("{place} on the waiting list of {date}")
                },
                href: paths::waiting(entry.id),
            }
        })
    }

    /// The place of a turn that found no room any more when turns were put off.
    pub(super) fn instead(entry: &Entry, me: &Me) -> Self {
        Self {
            name: if entry.member_id == me.id {
                String::new()
            } else {
                entry.member.to_string()
            },
            place: format!("on the waiting list of {} instead", entry.date.show()),
            more: "What is offered there stands on its page.",
            href: paths::waiting(entry.id),
        }
    }

    /// The same of a place that was given up for a turn and stands again.
    pub(super) fn again(mut self) -> Self {
        self.place.push_str(" again");
        self
    }

    #[cfg(test)]
    pub(super) fn sample(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            place: "1st of 3 on the waiting list of Sat 19 Sep 2026".to_owned(),
            more: "A turn is offered there.",
            href: "/waiting/x".to_owned(),
        }
    }
}
