//! What came of a member's cane: the last tickets and shares, and what is carried and to pay.

use super::lines::HomeLine;
use crate::facts::home::MemberHome;
use crate::facts::shares::my_cane::MyTicket;
use crate::store::home::LastShare;
use crate::units::{Grams, LotCode, Units};
use crate::web::reopened::may_change;
use crate::web::{my_cane, paths};
use std::collections::BTreeSet;

/// A ticket whose cane is not under way any more.
pub(super) fn of_ticket(mine: &MyTicket, units: Units) -> HomeLine {
    let mut more = format!(
        "{}, {} of cane, {}",
        mine.ticket.date.show(),
        mine.net.show(units),
        my_cane::in_short(mine)
    );
    for lost in mine.syrup_lost() {
        more = format!("{more}; {}", lost.in_short(units));
    }
    HomeLine::new(
        paths::ticket(mine.ticket.id),
        format!("Ticket {}", mine.ticket.ticket),
        more,
    )
}

/// A member's part of a divided lot, with what was lost of it if any of this cane was in it.
pub(super) fn of_share(s: &LastShare, cane: &[MyTicket], units: Units) -> HomeLine {
    // What is carried is of all lots together and stands above; here is what this lot does to it.
    let of_lot = match s.jarred - s.entitled {
        Grams::ZERO => String::new(),
        more if more > Grams::ZERO => format!(
            ": {} more, which comes off what is carried for you",
            more.said(units)
        ),
        less => format!(
            ": {} less, which is added to what is carried for you",
            (-less).said(units)
        ),
    };
    let mut more = format!(
        "{}: your part {}, in jars {}{of_lot}",
        s.date.show(),
        s.entitled.said(units),
        s.jarred.said(units)
    );
    // The same lot may hold the cane of several tickets.
    let mut lots = cane.iter().flat_map(|mine| &mine.lots);
    let lost = lots.find(|lot| lot.row.lot == s.lot);
    for lost in lost.map_or(&[][..], |lot| &lot.syrup_lost) {
        more = format!("{more}; {}", lost.in_short(units));
    }
    let (mut tag, mut look) = ("", "");
    if s.reopened {
        (tag, look) = ("being put right", "warn");
        more.push_str(". It will be divided again");
    }
    HomeLine {
        tag,
        look,
        ..HomeLine::new(
            paths::boil_part(&s.lot, "divide"),
            format!("Lot {}", s.lot),
            more,
        )
    }
}

/// The lots with a part of the member's that are open to be put right.
fn reopened(facts: &MemberHome) -> BTreeSet<&LotCode> {
    let shares = facts.shares.iter().filter(|share| share.reopened);
    let shares = shares.map(|share| &share.lot);
    let cane = facts.cane.iter().flat_map(MyTicket::reopened);
    shares.chain(cane).collect()
}

/// What is carried and to pay, and which lots may change it.
pub(super) fn balance(facts: &MemberHome, units: Units) -> String {
    let s = facts.balance;
    let syrup = match s.grams {
        Grams::ZERO => "No syrup is carried".to_owned(),
        g if g > Grams::ZERO => format!("{} of syrup is carried for you", g.said(units)),
        g => format!("You have had {} of syrup in advance", (-g).said(units)),
    };
    let money = match s.cents.get() {
        0 => "you owe nothing".to_owned(),
        c if c > 0 => format!("you owe {}", s.cents.show()),
        _ => format!("the co-op owes you {}", (-s.cents).show()),
    };
    let more = may_change(&reopened(facts));
    format!("{syrup}; {money}. {more}").trim_end().to_owned()
}
