//! Who is down for what on a press day.

use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{MemberId, MemberName, PressDayId, UtcSecond};

/// A shift on a day's roster.
#[derive(Debug, Clone)]
pub struct RosterShift {
    /// Place on the page, from 1.
    pub number: i64,
    /// The task, by the stored word.
    pub task: String,
    /// Start, in minutes since midnight.
    pub from: i64,
    /// End, in minutes since midnight.
    pub to: i64,
    /// The member who takes it; `None`: nobody yet.
    pub member_id: Option<MemberId>,
    /// That person's name.
    pub name: Option<MemberName>,
}

/// The roster of a day as it was saved; empty: it was not.
pub fn of_day(day: PressDayId) -> Question<Vec<RosterShift>> {
    question!(
        RosterShift,
        r#"select r.number, r.task, r.from_min as "from", r.to_min as "to", r.member_id as "member_id: MemberId",
        m.name as "name: MemberName" from roster r left join members m on m.id = r.member_id
        where r.press_day_id = ?1 order by r.number"#,
        day
    )
}

/// Writes a day's roster over what stood there.
pub async fn write(
    conn: &mut Conn,
    day: PressDayId,
    shifts: &[RosterShift],
    by: MemberId,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!("delete from roster where press_day_id = ?1", day)
        .execute(&mut *conn)
        .await?;
    for shift in shifts {
        sqlx::query!(
            r#"insert into roster (press_day_id, number, task, from_min, to_min, member_id, by_id, at)
            values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)"#,
            day,
            shift.number,
            shift.task,
            shift.from,
            shift.to,
            shift.member_id,
            by,
            at
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}
