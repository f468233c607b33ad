//! A press day's sugar from its cane to its jars, as far as it is read: the sums are `calc::boil`'s.

use crate::facts::boil::season_boils::SeasonBoils;
use crate::store::boil::boils::{self, FillRow};
use crate::store::cane::tickets;
use crate::store::turns::press_days::PressDay;
use crate::store::{Conn, Stored, Together, in_json};
use crate::units::{BoilId, Grams};
use std::collections::HashMap;
use std::sync::Arc;

/// All that a day's balance of sugar is worked out from.
#[derive(Debug)]
pub struct DaySugar {
    /// The press day.
    pub day: PressDay,
    /// The boils and juices of its season.
    pub season: Arc<SeasonBoils>,
    /// Jars filled, for each of the day's boils.
    pub fills: HashMap<BoilId, Vec<FillRow>>,
    /// The day's cane on tickets with juice.
    pub cane: Grams,
    /// The day's cane on tickets that have no juice yet.
    pub waiting: Grams,
}

impl DaySugar {
    /// Reads all that of a press day.
    pub async fn read(conn: &mut Conn, day: PressDay) -> Stored<Self> {
        let season = SeasonBoils::read(conn, day.season_id).await?;
        let of_day = season.boils.iter().filter(|b| b.press_day_id == day.id);
        let ids: Vec<BoilId> = of_day.map(|boil| boil.id).collect();
        let filled = boils::fills_of(&in_json(&ids));
        let found = (filled, tickets::nets(day.season_id)).together();
        let (filled, nets) = found.ask(conn).await?;
        let mut fills: HashMap<BoilId, Vec<FillRow>> =
            ids.iter().map(|id| (*id, Vec::new())).collect();
        for (boil, fill) in filled {
            fills.entry(boil).or_default().push(fill);
        }
        let (mut cane, mut waiting) = (Grams::ZERO, Grams::ZERO);
        for row in nets {
            if row.press_day_id != day.id {
                continue;
            }
            if season
                .juices
                .iter()
                .any(|j| j.row.ticket_id == row.ticket_id)
            {
                cane += row.net;
            } else {
                waiting += row.net;
            }
        }
        Ok(Self {
            day,
            season,
            fills,
            cane,
            waiting,
        })
    }
}
