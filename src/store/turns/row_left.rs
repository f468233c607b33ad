//! The cane of a member's turns and tickets of a season, as it uses up the member's rows.

use crate::calc::turns::row_left::CaneOfRow;
use crate::store::{Conn, Stored};
use crate::units::{Grams, MemberId, SeasonId};

/// The cane of each turn that is held and was not missed, and of each ticket without a turn.
///
/// # Errors
/// The store failed.
pub async fn of_member(
    conn: &mut Conn,
    member: MemberId,
    season: SeasonId,
) -> Stored<Vec<CaneOfRow>> {
    Ok(sqlx::query_as!(
        CaneOfRow,
        r#"select case when b.told_as = 'row' then b.told_amount end as "row_m?: f64",
        coalesce((select sum(coalesce(l.net_g, l.gross_g - l.tare_g)) from loads l where l.ticket_id = t.id
          and l.void = 0 and l.version = (select max(x.version) from loads x
          where x.ticket_id = l.ticket_id and x.number = l.number)), b.cane_g, 0) as "cane!: Grams"
        from (select id as turn_id, null as ticket_id, member_id, press_day_id from turns where state = 'held'
          union all select null, id, member_id, press_day_id from tickets where turn_id is null) i
        join press_days p on p.id = i.press_day_id
        left join turns b on b.id = i.turn_id
        left join tickets t on t.id = i.ticket_id or t.turn_id = i.turn_id
        where i.member_id = ?1 and p.season_id = ?2 and (b.no_show_at is null or t.id is not null)"#,
        member,
        season
    )
    .fetch_all(conn)
    .await?)
}
