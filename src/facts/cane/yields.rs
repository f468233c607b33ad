//! Juice per 100 of cane of one ticket beside the mill's medians of its day and season.

use crate::calc::cane::juice::{Band, ExtractionBands, extraction, median};
use crate::store::cane::juice;
use crate::store::cane::tickets::{self, Ticket};
use crate::store::season::seasons::Rules;
use crate::store::{Conn, Stored};
use crate::units::{Grams, TicketId};
use std::collections::BTreeMap;

/// The figures, percent by mass.
#[derive(Debug, Clone, Default)]
pub struct Yields {
    /// This ticket's, once both cane and juice are measured.
    pub own: Option<(f64, Band)>,
    /// Juice of this ticket that counts.
    pub juice: Grams,
    /// Its net cane.
    pub cane: Grams,
    /// Median of the day's tickets, and how many there are.
    pub day: Option<(f64, usize)>,
    /// Median of the season's tickets, and how many there are.
    pub season: Option<(f64, usize)>,
}

impl Yields {
    /// Reads a ticket's figures.
    pub async fn read(conn: &mut Conn, ticket: &Ticket, rules: &Rules) -> Stored<Self> {
        let mut juice: BTreeMap<TicketId, Grams> = BTreeMap::new();
        for row in juice::of_season(conn, ticket.season_id).await? {
            *juice.entry(row.ticket_id).or_default() += row.reckon()?.mass;
        }
        let bands = ExtractionBands {
            amber_below: rules.yield_amber_pct,
            red_below: rules.yield_red_pct,
        };
        let mut out = Self::default();
        let (mut day, mut season) = (Vec::new(), Vec::new());
        for row in tickets::nets(conn, ticket.season_id).await? {
            let mine = row.ticket_id == ticket.id;
            if mine {
                out.cane = row.net;
            }
            let Some(mass) = juice.get(&row.ticket_id) else {
                continue;
            };
            let Ok((percent, band)) = extraction(*mass, row.net, bands) else {
                continue;
            };
            season.push(percent);
            if row.press_day_id == ticket.press_day_id {
                day.push(percent);
            }
            if mine {
                out.own = Some((percent, band));
            }
        }
        out.juice = juice.get(&ticket.id).copied().unwrap_or_default();
        out.day = median(&day).map(|m| (m, day.len()));
        out.season = median(&season).map(|m| (m, season.len()));
        Ok(out)
    }

    /// "44.1", or nothing yet.
    pub fn figure(&self) -> Option<String> {
        self.own.map(|(percent, _)| format!("{percent:.1}"))
    }

    /// The band in words, and the look of its tag.
    pub fn band(&self) -> (&'static str, &'static str) {
        match self.own {
            None => ("", ""),
            Some((_, Band::Green)) => ("good", "ok"),
            Some((_, Band::Amber)) => ("rather low", "warn"),
            Some((_, Band::Red)) => ("low", "bad"),
        }
    }

    /// The medians in one sentence; empty while there are none.
    pub fn medians(&self) -> String {
        let (Some((day, n)), Some((season, m))) = (self.day, self.season) else {
            return String::new();
        };
        let tickets = |n: usize| if n == 1 { "ticket" } else { "tickets" };
        format!(
            "The mill’s median: {day:.1} that day ({n} {}), {season:.1} in the season ({m} {}).",
            tickets(n),
            tickets(m)
        )
    }
}
