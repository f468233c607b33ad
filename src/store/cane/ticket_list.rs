//! The tickets of a season, as a list shows them.

use crate::store::Question;
use crate::store::question::question;
use crate::units::{Grams, MemberName, PressDate, SeasonId, TicketId};

/// A ticket of the list.
#[derive(Debug, Clone)]
pub struct ListedTicket {
    /// Id of the ticket.
    pub id: TicketId,
    /// Number of the ticket.
    pub number: i64,
    /// Its press day.
    pub date: PressDate,
    /// Name of the member whose cane it is, as it was on that day.
    pub member_name: MemberName,
    /// Net cane of the loads that stand, g.
    pub net: Grams,
    /// Whether its juice was measured.
    pub pressed: bool,
    /// Whether it ended without being pressed.
    pub unpressed: bool,
}

/// The tickets of a season, by number.
pub fn of_season(season: SeasonId) -> Question<Vec<ListedTicket>> {
    question!(
        ListedTicket,
        r#"select t.id as "id: TicketId", t.ticket as number, d.date as "date: PressDate",
        coalesce((select n.name from member_names n where n.member_id = t.member_id and n.at <= t.made_at
          order by n.version desc limit 1), m.name) as "member_name!: MemberName",
        coalesce((select sum(coalesce(l.net_g, l.gross_g - l.tare_g)) from loads l
          where l.ticket_id = t.id and l.void = 0 and l.version =
            (select max(v.version) from loads v where v.ticket_id = l.ticket_id and v.number = l.number)), 0)
          as "net!: Grams",
        exists (select 1 from juices j where j.ticket_id = t.id) as "pressed!: bool",
        coalesce((select e.unpressed from ticket_ends e where e.ticket_id = t.id order by e.version desc limit 1), 0)
          as "unpressed!: bool"
        from tickets t join press_days d on d.id = t.press_day_id join members m on m.id = t.member_id
        where t.season_id = ?1 order by t.ticket"#,
        season
    )
}
