//! Calendar feeds: their secret addresses, by hash only, and the turns they show.

use crate::store::{Conn, Stored};
use crate::units::{
    ClockTime, FeedId, Grams, MemberId, MemberName, Minutes, PressDate, TurnId, UtcSecond,
};

/// A calendar feed whose address is not revoked.
#[derive(Debug, Clone, Copy)]
pub struct Feed {
    /// The member whose turns it shows; `None`: everybody's, for the crew.
    pub member_id: Option<MemberId>,
    /// When its address was made.
    pub made_at: UtcSecond,
}

/// A turn as a feed shows it.
#[derive(Debug, Clone)]
pub struct FeedTurn {
    /// Id of the turn.
    pub id: TurnId,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member: MemberName,
    /// Civil date of its press day.
    pub date: PressDate,
    /// Its start.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane to expect.
    pub cane: Grams,
    /// Whether its cane is weighed in.
    pub weighed_in: bool,
    /// Whether it is held; else it was cancelled.
    pub held: bool,
    /// Number of the latest event of the turn, from 1, one more with each.
    pub version: i64,
    /// When something last happened to it.
    pub changed_at: UtcSecond,
}

/// The feed of that address, if it answers: not revoked, and its member has not left; the crew's ends as well when the
/// steward who made it is none any more.
pub async fn find(conn: &mut Conn, token_hash: &str) -> Stored<Option<Feed>> {
    Ok(sqlx::query_as!(
        Feed,
        r#"select f.member_id as "member_id: MemberId", f.made_at as "made_at: UtcSecond"
        from feeds f join members m on m.id = f.made_by
        where f.token_hash = ?1 and f.revoked_at is null and m.left_at is null
        and (f.member_id is not null or m.role = 'steward')"#,
        token_hash
    )
    .fetch_optional(conn)
    .await?)
}

/// The feed of a member, or of the crew, that has an address at present.
pub async fn of(conn: &mut Conn, member: Option<MemberId>) -> Stored<Option<Feed>> {
    Ok(sqlx::query_as!(
        Feed,
        r#"select member_id as "member_id: MemberId", made_at as "made_at: UtcSecond"
        from feeds where member_id is ?1 and revoked_at is null"#,
        member
    )
    .fetch_optional(conn)
    .await?)
}

/// Adds an address.
pub async fn insert(
    conn: &mut Conn,
    id: FeedId,
    feed: Feed,
    token_hash: &str,
    by: MemberId,
) -> Stored<()> {
    sqlx::query!(
        "insert into feeds (id, member_id, token_hash, made_by, made_at) values (?1, ?2, ?3, ?4, ?5)",
        id,
        feed.member_id,
        token_hash,
        by,
        feed.made_at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Ends the address of a member or of the crew, if there is one.
pub async fn revoke(conn: &mut Conn, member: Option<MemberId>, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        "update feeds set revoked_at = ?2 where member_id is ?1 and revoked_at is null",
        member,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

macro_rules! turns {
    ($rest:tt, $($bound:expr),*) => {
        sqlx::query_as!(
            FeedTurn,
            r#"select b.id as "id: TurnId", b.member_id as "member_id: MemberId", m.name as "member: MemberName",
            d.date as "date: PressDate", b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes: Minutes",
            b.cane_g as "cane: Grams", b.state = 'held' as "held!: bool", b.version,
            exists (select 1 from tickets t where t.turn_id = b.id) as "weighed_in!: bool",
            coalesce((select max(e.at) from turn_events e where e.turn_id = b.id), b.made_at)
              as "changed_at!: UtcSecond"
            from turns b join press_days d on d.id = b.press_day_id join members m on m.id = b.member_id where "#
                + $rest,
            $($bound),*
        )
    };
}

/// The turns of a member (or everybody's) on days from `from` on, in order; of those cancelled only
/// the ones given up since `since`.
pub async fn turns(
    conn: &mut Conn,
    member: Option<MemberId>,
    from: PressDate,
    since: UtcSecond,
) -> Stored<Vec<FeedTurn>> {
    Ok(turns!(
        "(?1 is null or b.member_id = ?1) and b.press_day_id in
        (select id from press_days where date >= ?2) and (b.state = 'held' or exists
        (select 1 from turn_events e where e.turn_id = b.id and e.at >= ?3))
        order by d.date, b.start_min, b.start_again, b.id",
        member,
        from,
        since
    )
    .fetch_all(conn)
    .await?)
}

/// One turn as a feed shows it.
pub async fn turn(conn: &mut Conn, id: TurnId) -> Stored<Option<FeedTurn>> {
    Ok(turns!("b.id = ?1", id).fetch_optional(conn).await?)
}
