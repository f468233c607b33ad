//! The pages along the way of some cane, from its ticket to the statement it ends on. Every one of these pages links
//! to all others of the same cane, so that the way can be walked in both directions.

use super::my_cane::Step;
use crate::units::{JuiceId, LotCode, MemberId, TicketId};

/// One juice on its way through one boil; a ticket has as many as it has juices in boils, at least one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JuiceWay {
    /// The ticket of the cane.
    pub ticket: TicketId,
    /// The member whose cane it is.
    pub member: MemberId,
    /// The juice, once it is measured.
    pub juice: Option<JuiceId>,
    /// The lot it was poured into, and the step that lot has come to.
    pub lot: Option<(LotCode, Step)>,
}

/// A page on the way; in this order.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stop {
    /// The page of the cane's ticket.
    Ticket(TicketId),
    /// The page of a juice of that ticket.
    Juice(JuiceId),
    /// A boil that holds juice of it.
    Boil(LotCode),
    /// The page that shows how that lot is divided.
    Shares(LotCode),
    /// The cane in the lot and where its jars are: for the crew.
    Jars(LotCode),
    /// The page of the member's statement.
    Statement(MemberId),
}

/// The pages along the way, each once, those nearest to the field first. `only`: the member who reads, who sees the
/// own cane alone, and a lot's shares once they are known; `None`: the crew.
pub fn way(strands: &[JuiceWay], only: Option<MemberId>) -> Vec<Stop> {
    let mine = strands
        .iter()
        .filter(|strand| only.is_none_or(|member| strand.member == member));
    let mut stops = Vec::new();
    for strand in mine {
        stops.push(Stop::Ticket(strand.ticket));
        stops.extend(strand.juice.map(Stop::Juice));
        stops.push(Stop::Statement(strand.member));
        let Some((lot, step)) = &strand.lot else {
            continue;
        };
        stops.push(Stop::Boil(lot.clone()));
        let known = match only {
            Some(_) => Step::ShareKnown,
            None => Step::InJars,
        };
        if *step >= known {
            stops.push(Stop::Shares(lot.clone()));
        }
        if only.is_none() {
            stops.push(Stop::Jars(lot.clone()));
        }
    }
    let place = |stop: &Stop| match stop {
        Stop::Ticket(_) => 0,
        Stop::Juice(_) => 1,
        Stop::Boil(_) => 2,
        Stop::Shares(_) => 3,
        Stop::Jars(_) => 4,
        Stop::Statement(_) => 5,
    };
    // As they came within a kind: tickets by number, boils as they were lit.
    let mut seen = Vec::with_capacity(stops.len());
    for stop in stops {
        if !seen.contains(&stop) {
            seen.push(stop);
        }
    }
    seen.sort_by_key(place);
    seen
}

#[cfg(test)]
#[path = "cane_way_tests.rs"]
mod tests;
