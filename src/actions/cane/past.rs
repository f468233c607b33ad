//! What the loads that a member had before say of the one that is weighed.

use crate::calc::cane::expected::{Expected, Others};
use crate::store::cane::weigh_in::PastLoad;
use crate::units::{Grams, TicketId};

/// Loads of a member before, the latest first.
#[derive(Debug, Clone)]
pub(super) struct Past(Vec<PastLoad>);

impl Past {
    /// All of these loads.
    pub(super) fn of(loads: Vec<PastLoad>) -> Self {
        Self(loads)
    }

    /// All loads but the one that is put right, unless it is the only one.
    pub(super) fn besides(loads: Vec<PastLoad>, ticket: TicketId, number: i64) -> Self {
        let (own, others): (Vec<_>, Vec<_>) = loads
            .into_iter()
            .partition(|l| l.ticket_id == ticket && l.number == number);
        Self(if others.is_empty() { own } else { others })
    }

    /// The tares of those loads, the last first.
    pub(super) fn tares(&self) -> Vec<Grams> {
        self.0.iter().map(|load| load.tare).collect()
    }

    /// What a load is expected to come to: by the turn, if there is one, with these other loads of its ticket; else by what
    /// the member's loads weighed.
    pub(super) fn expected(&self, turn: Option<Grams>, others: &[Grams]) -> Option<Expected> {
        if let Some(cane) = turn {
            return Expected::of_turn(cane, Others::of(others));
        }
        let nets: Vec<Grams> = self.0.iter().map(|load| load.net).collect();
        Expected::usual(&nets)
    }
}
