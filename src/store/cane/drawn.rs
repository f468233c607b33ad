//! What was drawn from juices into boils and what of them is lost, summed by juice.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{Grams, JuiceId, PressDayId, SeasonId, TicketId};
use std::collections::BTreeMap;

/// How much of a juice was drawn into boils, and how much of it is lost.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Drawn {
    /// Sum of the draws that named an amount.
    pub amount: Grams,
    /// Whether all that was left went into a boil, so that nothing stands in the vessel any more.
    pub whole: bool,
    /// Grams spilt, spoilt, or measured twice.
    pub lost: Grams,
}

struct DrawnRow {
    id: JuiceId,
    amount: Grams,
    whole: bool,
    lost: Grams,
}

impl DrawnRow {
    const fn drawn(&self) -> Drawn {
        Drawn {
            amount: self.amount,
            whole: self.whole,
            lost: self.lost,
        }
    }
}

impl Drawn {
    /// How much is left of a juice of this mass.
    pub fn left(self, mass: Grams) -> Grams {
        if self.whole {
            Grams::ZERO
        } else {
            (mass - self.amount - self.lost).max(Grams::ZERO)
        }
    }

    /// Whether anything was drawn.
    pub fn any(self) -> bool {
        self.whole || self.amount > Grams::ZERO
    }
}

macro_rules! drawn {
    ($which:literal, $bound:expr) => {
        question!(
            DrawnRow,
            r#"select j.id as "id: JuiceId",
            (select coalesce(sum(r.amount_g), 0) from draws r where r.juice_id = j.id and r.whole = 0 and r.version =
              (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id)) as "amount!: Grams",
            exists (select 1 from draws r where r.juice_id = j.id and r.whole = 1 and r.version =
              (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id)) as "whole!: bool",
            (select coalesce(sum(l.amount_g), 0) from lost_juice l where l.juice_id = j.id) as "lost!: Grams"
            from juices j join tickets t on t.id = j.ticket_id where "#
                + $which,
            $bound
        )
        .map(|rows| {
            let each = rows.into_iter().map(|row| (row.id, row.drawn()));
            each.collect::<BTreeMap<JuiceId, Drawn>>()
        })
    };
}

/// How much was drawn from a juice and how much of it is lost, by the latest versions.
pub fn drawn(juice: JuiceId) -> Question<Drawn> {
    drawn!("j.id = ?1", juice).map(move |mut all| all.remove(&juice).unwrap_or_default())
}

/// As [`drawn`], for every juice of a ticket.
pub fn drawn_of_ticket(ticket: TicketId) -> Question<BTreeMap<JuiceId, Drawn>> {
    drawn!("j.ticket_id = ?1", ticket)
}

/// As [`drawn`], for every juice pressed on a day.
pub fn drawn_of_day(day: PressDayId) -> Question<BTreeMap<JuiceId, Drawn>> {
    drawn!("t.press_day_id = ?1", day)
}

/// As [`drawn`], for every juice of a season.
pub fn drawn_of_season(season: SeasonId) -> Question<BTreeMap<JuiceId, Drawn>> {
    drawn!("t.season_id = ?1", season)
}
