//! What every request asks first: the co-op's card, and whose session a cookie names.

use super::accounts::Session;
use super::coop::{self, Coop};
use crate::store::{Conn, Stored};
use crate::units::{MemberId, MemberName, Role, Units, UtcSecond};

/// The co-op, if it is set up, and the session of that token; none where it has none or its member has left.
pub async fn read(conn: &mut Conn, token_hash: &str) -> Stored<(Option<Coop>, Option<Session>)> {
    let row = sqlx::query!(
        r#"select c.name, c.place, c.zone, c.units as "units: Units", c.altitude_m, c.contact_phone, c.way, c.bring,
        c.latitude, c.longitude, m.id as "member_id?: MemberId", m.name as "member_name?: MemberName", m.role as "role?: Role",
        m.units as "own_units?: Units", m.clock as "clock?",
        (select group_concat(h.member_id) from household h join members o on o.id = h.member_id and o.left_at is null
          where h.person_id = m.id and h.acts = 1 and h.version =
          (select max(v.version) from household v where v.member_id = h.member_id and v.person_id = h.person_id)) as "acts_for?: String",
        s.seen_at as "seen_at?: UtcSecond", s.ends_at as "ends_at?: UtcSecond"
        from coop c left join sessions s on s.token_hash = ?1
        left join members m on m.id = s.member_id and m.left_at is null"#,
        token_hash
    )
    .fetch_optional(conn)
    .await?;
    let Some(row) = row else {
        return Ok((None, None));
    };
    let of_member = (row.member_id, row.member_name, row.role, row.own_units);
    let session = match (of_member, row.clock, row.seen_at, row.ends_at) {
        (
            (Some(member_id), Some(name), Some(role), Some(units)),
            Some(clock),
            Some(seen_at),
            Some(ends_at),
        ) => Some(Session {
            member_id,
            name,
            role,
            units,
            clock,
            acts_for: row.acts_for,
            seen_at,
            ends_at,
        }),
        _ => None,
    };
    let card = Coop {
        name: row.name,
        place: row.place,
        zone: coop::zone(&row.zone)?,
        units: row.units,
        altitude_m: row.altitude_m,
        contact_phone: row.contact_phone,
        way: row.way,
        bring: row.bring,
        lies_at: row.latitude.zip(row.longitude),
    };
    Ok((Some(card), session))
}
