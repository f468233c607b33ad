//! A season's tickets as far as they teach anything about row, juice and pace. What they teach is
//! reckoned on the floor above.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{PressDayId, SeasonId, TicketId, UtcSecond};

/// A ticket whose cane was on the scale.
#[derive(Debug, Clone, Copy)]
pub struct WeighedTicket {
    /// Id of the ticket.
    pub id: TicketId,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// Metres of row that its turn was booked by; none: walked in, or booked otherwise.
    pub row_m: Option<f64>,
    /// When its first load was weighed.
    pub at: UtcSecond,
}

/// The tickets of a season that are weighed, in order of their numbers.
///
/// # Errors
/// The store failed.
pub fn weighed_tickets(season: SeasonId) -> Question<Vec<WeighedTicket>> {
    question!(
        WeighedTicket,
        r#"select d.id as "id!: TicketId", d.press_day_id as "press_day_id!: PressDayId",
        (select b.told_amount from turns b where b.id = d.turn_id and b.told_as = 'row') as "row_m?: f64",
        min(coalesce(l.weighed_at, l.at)) as "at!: UtcSecond"
        from tickets d join loads l on l.ticket_id = d.id where d.season_id = ?1
        group by d.id order by d.ticket"#,
        season
    )
}
