//! Whom the words about a member's cane are for, and how times are told to that person.

use crate::units::{MemberId, PressDate, Units, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::session::{Me, Visit};

/// The moment and the person that the words are for.
#[derive(Clone, Copy)]
pub(super) struct Reader<'a> {
    pub(super) zone: &'a Zone,
    pub(super) at: UtcSecond,
    pub(super) units: Units,
    /// The words are for the member whose cane it is; else for somebody who acts for the card, or for crew.
    pub(super) own: bool,
}

impl<'a> Reader<'a> {
    /// Whoever this visit is of, at its moment.
    pub(super) fn of(visit: &'a Visit) -> Result<Self, PageError> {
        Ok(Self {
            zone: visit.zone()?,
            at: visit.at,
            units: visit.units(),
            own: true,
        })
    }

    /// Whoever this visit is of, reading of the card of this member.
    pub(super) fn of_card(visit: &'a Visit, me: &Me, member: MemberId) -> Result<Self, PageError> {
        Ok(Self {
            own: me.id == member,
            ..Self::of(visit)?
        })
    }

    /// Picks one of two words: for the member whose cane it is, or for somebody else.
    pub(super) const fn says(&self, own: &'static str, other: &'static str) -> &'static str {
        if self.own { own } else { other }
    }

    /// "11:43", or with its date when that is not today.
    pub(super) fn when(&self, at: UtcSecond) -> String {
        let (date, minute) = self.zone.local(at);
        if date == self.zone.local(self.at).0 {
            minute.show()
        } else {
            self.zone.show(at)
        }
    }

    /// "11:43", or only the date, short, when that is not today.
    pub(super) fn short(&self, at: UtcSecond) -> String {
        let (date, minute) = self.zone.local(at);
        if date == self.zone.local(self.at).0 {
            minute.show()
        } else {
            day_and_month(date)
        }
    }
}

/// A date without its year: "Sat 19 Sep".
fn day_and_month(date: PressDate) -> String {
    let all = date.show();
    all.rsplit_once(' ')
        .map_or(all.clone(), |(day, _)| day.to_owned())
}
