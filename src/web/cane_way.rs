//! The links along the way of some cane, on every page of it: ticket, juice, boil, lot, statement.

use crate::calc::shares::cane_way::{JuiceWay, Stop, way};
use crate::facts::shares::cane_way::{CaneWay, OnTheWay};
use crate::units::MemberId;
use crate::web::paths;
use crate::web::session::Me;

/// A page on the way.
#[derive(Clone)]
pub(super) struct StopView {
    pub(super) words: String,
    /// Name of the member, where several people's pages lie on the way; else empty.
    pub(super) name: String,
    pub(super) href: String,
    /// Whether it is the page that is read.
    pub(super) here: bool,
}

/// The pages along the way as somebody sees them who stands on one of them.
pub(super) fn stops(on: &CaneWay, me: &Me, here: &Stop) -> Vec<StopView> {
    // The reader's own way; where none of the cane is the reader's, that of a card acted for.
    let has = |card: &MemberId| on.strands.iter().any(|on| on.strand.member == *card);
    let theirs = me.cards().into_iter().find(has);
    let only = (!me.is_crew()).then_some(theirs.unwrap_or(me.id));
    stops_of(on, only, me, here)
}

/// The pages along the way of one card's cane; `None`: of everybody's.
pub(super) fn stops_of(
    on: &CaneWay,
    only: Option<MemberId>,
    me: &Me,
    here: &Stop,
) -> Vec<StopView> {
    let strands: Vec<JuiceWay> = on.strands.iter().map(|on| on.strand.clone()).collect();
    let all = way(&strands, only).into_iter();
    all.map(|stop| view(&stop, on, me.id, stop == *here))
        .collect()
}

/// The pages along the way as a member sees them, or the crew in that member's stead.
pub(super) fn of_member(on: &CaneWay, member: MemberId) -> Vec<StopView> {
    let strands: Vec<JuiceWay> = on.strands.iter().map(|on| on.strand.clone()).collect();
    let all = way(&strands, Some(member)).into_iter();
    all.map(|stop| view(&stop, on, member, false)).collect()
}

fn view(stop: &Stop, on: &CaneWay, me: MemberId, here: bool) -> StopView {
    let find = |is: &dyn Fn(&OnTheWay) -> bool| on.strands.iter().find(|on| is(on));
    let (words, name, href) = match stop {
        Stop::Ticket(id) => {
            let found = find(&|on| on.strand.ticket == *id);
            let number = found.map_or(0, |on| on.ticket);
            (
                format!("Ticket {number}"),
                String::new(),
                paths::ticket(*id),
            )
        }
        Stop::Juice(id) => {
            let found = find(&|on| on.strand.juice == Some(*id));
            let vessel = found.map_or("", |on| on.vessel.as_str());
            (
                format!("Juice in {vessel}"),
                String::new(),
                paths::juice(*id),
            )
        }
        Stop::Boil(lot) => (format!("Boil {lot}"), String::new(), paths::boil(lot)),
        Stop::Shares(lot) => {
            let href = paths::boil_part(lot, "divide");
            (format!("Shares of lot {lot}"), String::new(), href)
        }
        Stop::Jars(lot) => {
            let words = format!("Cane and jars of lot {lot}");
            (words, String::new(), paths::lot_trace(lot))
        }
        Stop::Statement(id) => {
            let found = find(&|on| on.strand.member == *id && *id != me);
            let name = found.map_or_else(String::new, |on| on.name.to_string());
            let words = if *id == me {
                "Your statement"
            } else {
                "Statement of"
            };
            (words.to_owned(), name, paths::statement(*id, on.year))
        }
    };
    StopView {
        words,
        name,
        href,
        here,
    }
}

#[cfg(test)]
pub(super) fn sample(n: usize) -> Vec<StopView> {
    let stop = |at| StopView {
        words: format!("Statement of {at}"),
        name: "Ann <b>Fenn</b>".to_owned(),
        href: format!("/boils/{at}"),
        here: at == 1,
    };
    (0..n).map(stop).collect()
}
