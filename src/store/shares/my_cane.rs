//! What was written down of a member's tickets and of the boils that hold their juice, many at a time.

use crate::store::{Conn, Stored};
use crate::units::{BoilId, ClockTime, Grams, MemberId, SeasonId, TicketId, UtcSecond};

/// What was written down of a ticket.
#[derive(Debug, Clone, Copy)]
pub struct TicketMarks {
    /// The ticket.
    pub ticket_id: TicketId,
    /// When its turn was to start, if it came by a turn.
    pub turn_start: Option<ClockTime>,
    /// When the first of its loads was on the scale, crossed out or not; none: no load was weighed.
    pub first_weighed: Option<UtcSecond>,
    /// Its cane: the loads that count.
    pub net: Grams,
    /// Whether a juice of it was crossed out.
    pub crossed_out: bool,
}

/// What was written down of a member's tickets of a season.
pub async fn tickets(
    conn: &mut Conn,
    season: SeasonId,
    member: MemberId,
) -> Stored<Vec<TicketMarks>> {
    Ok(sqlx::query_as!(
        TicketMarks,
        r#"select d.id as "ticket_id: TicketId",
        (select b.start_min + 1440 * b.start_again from turns b where b.id = d.turn_id) as "turn_start?: ClockTime",
        (select min(coalesce(l.weighed_at, l.at)) from loads l where l.ticket_id = d.id) as "first_weighed?: UtcSecond",
        (select coalesce(sum(coalesce(l.net_g, l.gross_g - l.tare_g)), 0) from loads l
          where l.ticket_id = d.id and l.void = 0 and l.version = (select max(x.version) from loads x
          where x.ticket_id = l.ticket_id and x.number = l.number)) as "net!: Grams",
        exists (select 1 from juices j join juice_measures x on x.juice_id = j.id
          where j.ticket_id = d.id and x.void = 1 and x.version =
          (select max(y.version) from juice_measures y where y.juice_id = j.id)) as "crossed_out!: bool"
        from tickets d where d.season_id = ?1 and d.member_id = ?2"#,
        season,
        member
    )
    .fetch_all(conn)
    .await?)
}

/// What was written down of a boil.
#[derive(Debug, Clone, Copy)]
pub struct BoilMarks {
    /// The boil.
    pub boil_id: BoilId,
    /// When it was last divided, if it was, opened to be put right since or not.
    pub divided_at: Option<UtcSecond>,
    /// Whether some of it is in jars.
    pub filled: bool,
}

/// What was written down of the boils of a JSON array of ids.
pub async fn boils(conn: &mut Conn, ids: &str) -> Stored<Vec<BoilMarks>> {
    Ok(sqlx::query_as!(
        BoilMarks,
        r#"select b.id as "boil_id: BoilId",
        (select v.at from divisions v where v.boil_id = b.id order by v.version desc limit 1) as "divided_at?: UtcSecond",
        exists (select 1 from fills f where f.boil_id = b.id and f.count > 0 and f.version =
          (select max(v.version) from fills v where v.boil_id = f.boil_id and v.number = f.number)) as "filled!: bool"
        from boils b where b.id in (select value from json_each(?1))"#,
        ids
    )
    .fetch_all(conn)
    .await?)
}
