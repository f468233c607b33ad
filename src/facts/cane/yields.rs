//! Juice per 100 of cane: every ticket of a season, and one ticket beside the medians of its day and
//! season.

use crate::calc::cane::juice::{Band, ExtractionBands, extraction, median};
use crate::store::cane::tickets::{self, Ticket};
use crate::store::cane::{juice, yard};
use crate::store::season::seasons::Rules;
use crate::store::{Question, Together};
use crate::units::{
    Grams, JuiceId, MemberId, MemberName, PressDayId, SeasonId, TicketId, UtcSecond,
};
use std::collections::HashMap;

/// The juice of one ticket: what was measured, less what was measured twice.
#[derive(Debug, Clone)]
pub struct TicketJuice {
    /// The ticket's number.
    pub number: i64,
    /// The member whose ticket it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member_name: MemberName,
    /// When the first of its juice was pressed.
    pub pressed_at: UtcSecond,
    /// When the last of its juice was pressed.
    pub last_pressed_at: UtcSecond,
    /// Mass of all its juice that counts.
    pub mass: Grams,
    /// Dissolved solids in that juice.
    pub solids: Grams,
}

/// A ticket's cane and what was pressed from it.
#[derive(Debug, Clone)]
pub struct TicketYield {
    /// The ticket.
    pub ticket_id: TicketId,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// Net cane of the ticket.
    pub cane: Grams,
    /// The ticket's juice, once any is measured.
    pub juice: Option<TicketJuice>,
}

impl TicketYield {
    /// Percent by mass and its band; nothing until both cane and juice are measured.
    pub fn percent(&self, bands: ExtractionBands) -> Option<(f64, Band)> {
        extraction(self.juice.as_ref()?.mass, self.cane, bands).ok()
    }
}

/// The measured juice of every ticket of a season that has any.
///
/// # Errors
/// The store failed.
pub fn juice_by_ticket(season: SeasonId) -> Question<HashMap<TicketId, TicketJuice>> {
    let found = (yard::lost_of_season(season), juice::of_season(season)).together();
    found.try_map(|(lost, juices)| {
        let mut pressed: HashMap<TicketId, TicketJuice> = HashMap::new();
        let mut twice: HashMap<JuiceId, Grams> = HashMap::new();
        for lost in lost {
            if lost.twice {
                *twice.entry(lost.juice_id).or_default() += lost.amount;
            }
        }
        for row in juices {
            let twice = twice.remove(&row.id).unwrap_or_default();
            let (mass, solids) = row.reckon()?.counted_once(twice);
            let sum = pressed.entry(row.ticket_id).or_insert_with(|| TicketJuice {
                number: row.ticket,
                member_id: row.member_id,
                member_name: row.member_name,
                pressed_at: row.pressed_at,
                last_pressed_at: row.pressed_at,
                mass: Grams::ZERO,
                solids: Grams::ZERO,
            });
            sum.mass += mass;
            sum.solids += solids;
            sum.last_pressed_at = sum.last_pressed_at.max(row.pressed_at);
        }
        Ok(pressed)
    })
}

/// The tickets of a season that have cane, by number.
pub fn of_season(season: SeasonId) -> Question<Vec<TicketYield>> {
    let found = (juice_by_ticket(season), tickets::nets(season)).together();
    found.map(|(mut pressed, nets)| {
        let nets = nets.into_iter().map(|row| TicketYield {
            ticket_id: row.ticket_id,
            press_day_id: row.press_day_id,
            cane: row.net,
            juice: pressed.remove(&row.ticket_id),
        });
        nets.collect()
    })
}

/// The figures of one ticket, percent by mass.
#[derive(Debug, Clone, Default)]
pub struct Yields {
    /// Yield of this ticket with its band, once cane and juice are both measured.
    pub own: Option<(f64, Band)>,
    /// Juice of this ticket that counts.
    pub juice: Grams,
    /// Net cane of this ticket.
    pub cane: Grams,
    /// Median of the day's tickets, and how many there are.
    pub day: Option<(f64, usize)>,
    /// Median of the season's tickets, and how many there are.
    pub season: Option<(f64, usize)>,
}

impl Yields {
    /// A ticket's figures, among those of its season.
    pub fn of(tickets: &[TicketYield], ticket: &Ticket, rules: &Rules) -> Self {
        let bands = ExtractionBands {
            amber_below: rules.yield_amber_pct,
            red_below: rules.yield_red_pct,
        };
        let mut out = Self::default();
        let (mut day, mut season) = (Vec::new(), Vec::new());
        for of in tickets {
            let own = of.percent(bands);
            if of.ticket_id == ticket.id {
                out.cane = of.cane;
                out.juice = of.juice.as_ref().map_or(Grams::ZERO, |j| j.mass);
                out.own = own;
            }
            if let Some((percent, _)) = own {
                season.push(percent);
                if of.press_day_id == ticket.press_day_id {
                    day.push(percent);
                }
            }
        }
        out.day = median(&day).map(|m| (m, day.len()));
        out.season = median(&season).map(|m| (m, season.len()));
        out
    }
}
