//! Accounts, invitations, the set-up code and sessions. Secrets come hashed; none is stored plain.

use crate::store::question::question;
use crate::store::{Conn, Question, Stored, one_row};
use crate::units::{InviteId, MemberId, MemberName, Role, SignInName, Units, UtcSecond, by_name};

/// An account, with what sign-in compares a passphrase with.
#[derive(Debug)]
pub struct Account {
    /// The member whose account it is.
    pub member_id: MemberId,
    /// argon2id hash of the passphrase, a PHC string.
    pub passphrase_hash: String,
    /// Whether the member has left and so may not sign in.
    pub left: bool,
}

/// A live session with the person behind it.
#[derive(Debug, Clone)]
pub struct Session {
    /// The member who is signed in.
    pub member_id: MemberId,
    /// Name, for the head of each page.
    pub name: MemberName,
    /// What the person may do, as of this request.
    pub role: Role,
    /// Units this person reads and types in.
    pub units: Units,
    /// Hours of the clock that this person reads times on: 12 or 24.
    pub clock: i64,
    /// Ids of the cards that this person acts for besides the own, with commas between; none: no other.
    pub acts_for: Option<String>,
    /// When the session was last used.
    pub seen_at: UtcSecond,
    /// When the session ends, however much it is used.
    pub ends_at: UtcSecond,
}

/// An invitation that can still be used.
#[derive(Debug)]
pub struct Invite {
    /// Id of the invitation.
    pub id: InviteId,
    /// The person it is for.
    pub member_id: MemberId,
    /// That person's name.
    pub name: MemberName,
    /// That person's units.
    pub units: Units,
    /// The card says so far that the juice may be boiled with others'.
    pub pools: bool,
    /// It says that the name may stand on the jars' page.
    pub named: bool,
    /// It says that the first name may stand in the queue.
    pub in_queue: bool,
}

/// The account of that sign-in name.
pub async fn find(conn: &mut Conn, sign_in: &SignInName) -> Stored<Option<Account>> {
    Ok(sqlx::query_as!(
        Account,
        r#"select a.member_id as "member_id: MemberId", a.passphrase_hash,
        m.left_at is not null as "left!: bool"
        from accounts a join members m on m.id = a.member_id where a.sign_in = ?1"#,
        sign_in
    )
    .fetch_optional(conn)
    .await?)
}

/// A member as somebody calls them.
#[derive(Debug)]
pub struct Known {
    /// The member's id.
    pub member_id: MemberId,
    /// The co-op's running number.
    pub number: i64,
    /// The member's name.
    pub name: MemberName,
    /// Whether the member has left the co-op.
    pub left: bool,
}

/// Everybody of that name, sign-in name or number, by number.
pub async fn known_as(conn: &mut Conn, called: &str) -> Stored<Vec<Known>> {
    let lower = called.to_lowercase();
    Ok(sqlx::query_as!(
        Known,
        r#"select m.id as "member_id: MemberId", m.number, m.name as "name: MemberName",
        m.left_at is not null as "left!: bool"
        from members m left join accounts a on a.member_id = m.id
        where m.name = ?1 collate nocase or a.sign_in = ?2 or cast(m.number as text) = ?1 order by m.number"#,
        called,
        lower
    )
    .fetch_all(conn)
    .await?)
}

/// The account of a member, if there is one.
pub async fn of_member(conn: &mut Conn, id: MemberId) -> Stored<Option<Account>> {
    Ok(sqlx::query_as!(
        Account,
        r#"select a.member_id as "member_id: MemberId", a.passphrase_hash,
        m.left_at is not null as "left!: bool"
        from accounts a join members m on m.id = a.member_id where a.member_id = ?1"#,
        id
    )
    .fetch_optional(conn)
    .await?)
}

/// Somebody who can sign with a passphrase or a PIN.
#[derive(Debug, Clone)]
pub struct Signer {
    /// The member's id.
    pub id: MemberId,
    /// The member's number.
    pub number: i64,
    /// The member's name.
    pub name: MemberName,
    /// argon2id of the passphrase, PHC string; `None`: no account.
    pub passphrase_hash: Option<String>,
    /// argon2id of the PIN at the station, PHC string; `None`: no PIN.
    pub pin_hash: Option<String>,
}

/// Everybody who can sign with something of the own, by name.
pub fn signers() -> Question<Vec<Signer>> {
    question!(
        Signer,
        r#"select m.id as "id: MemberId", m.number, m.name as "name: MemberName",
        a.passphrase_hash as "passphrase_hash?", p.pin_hash as "pin_hash?"
        from members m left join accounts a on a.member_id = m.id left join station_pins p on p.member_id = m.id
        where m.left_at is null and (a.member_id is not null or p.member_id is not null)
        order by m.number"#
    )
    .map(|all| by_name(all, |signer| ((), signer.name.as_str())))
}

/// The sign-in name of a member, if there is an account.
pub async fn sign_in_of(conn: &mut Conn, id: MemberId) -> Stored<Option<SignInName>> {
    Ok(sqlx::query_scalar!(
        r#"select sign_in as "sign_in: SignInName" from accounts where member_id = ?1"#,
        id
    )
    .fetch_optional(conn)
    .await?)
}

/// Makes an account, or gives an existing one a new name and passphrase.
pub async fn put(
    conn: &mut Conn,
    id: MemberId,
    sign_in: &SignInName,
    hash: &str,
    at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into accounts (member_id, sign_in, passphrase_hash, changed_at) values (?1, ?2, ?3, ?4)
        on conflict (member_id) do update set sign_in = ?2, passphrase_hash = ?3, changed_at = ?4"#,
        id,
        sign_in,
        hash,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Gives an account a new passphrase.
pub async fn change_hash(conn: &mut Conn, id: MemberId, hash: &str, at: UtcSecond) -> Stored<()> {
    let done = sqlx::query!(
        "update accounts set passphrase_hash = ?2, changed_at = ?3 where member_id = ?1",
        id,
        hash,
        at
    )
    .execute(conn)
    .await?;
    one_row(&done, "change a passphrase")
}

/// Keeps a new invitation.
pub async fn insert_invite(
    conn: &mut Conn,
    id: InviteId,
    member: MemberId,
    token_hash: &str,
    made_by: MemberId,
    at: UtcSecond,
    ends_at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        r#"insert into invites (id, member_id, token_hash, made_by, made_at, ends_at)
        values (?1, ?2, ?3, ?4, ?5, ?6)"#,
        id,
        member,
        token_hash,
        made_by,
        at,
        ends_at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Ends a member's unused invitations.
pub async fn end_invites(conn: &mut Conn, member: MemberId, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        "update invites set ends_at = ?2 where member_id = ?1 and used_at is null and ends_at > ?2",
        member,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The invitation of that token, if it is unused and has not run out.
pub async fn find_invite(
    conn: &mut Conn,
    token_hash: &str,
    at: UtcSecond,
) -> Stored<Option<Invite>> {
    Ok(sqlx::query_as!(
        Invite,
        r#"select i.id as "id: InviteId", i.member_id as "member_id: MemberId", m.name as "name: MemberName",
        m.units as "units: Units", m.pools as "pools: bool", m.named as "named: bool", m.in_queue as "in_queue: bool"
        from invites i join members m on m.id = i.member_id
        where i.token_hash = ?1 and i.used_at is null and i.ends_at > ?2 and m.left_at is null"#,
        token_hash,
        at
    )
    .fetch_optional(conn)
    .await?)
}

/// Marks an invitation used.
pub async fn mark_invite_used(conn: &mut Conn, id: InviteId, at: UtcSecond) -> Stored<()> {
    let done = sqlx::query!(
        "update invites set used_at = ?2 where id = ?1 and used_at is null",
        id,
        at
    )
    .execute(conn)
    .await?;
    one_row(&done, "use an invitation")
}

/// The hash of the set-up code, while set-up is open.
pub async fn setup_hash(conn: &mut Conn) -> Stored<Option<String>> {
    Ok(
        sqlx::query_scalar!("select code_hash from setup_codes where id = 1")
            .fetch_optional(conn)
            .await?,
    )
}

/// Writes a new set-up code over any earlier one.
pub async fn put_setup_hash(conn: &mut Conn, hash: &str, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        r#"insert into setup_codes (id, code_hash, made_at) values (1, ?1, ?2)
        on conflict (id) do update set code_hash = ?1, made_at = ?2"#,
        hash,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Ends set-up for good.
pub async fn clear_setup(conn: &mut Conn) -> Stored<()> {
    sqlx::query!("delete from setup_codes")
        .execute(conn)
        .await?;
    Ok(())
}

/// Opens a session.
pub async fn insert_session(
    conn: &mut Conn,
    token_hash: &str,
    member: MemberId,
    at: UtcSecond,
    ends_at: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        "insert into sessions (token_hash, member_id, made_at, seen_at, ends_at) values (?1, ?2, ?3, ?3, ?4)",
        token_hash,
        member,
        at,
        ends_at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Notes that a session was used.
pub async fn touch_session(conn: &mut Conn, token_hash: &str, at: UtcSecond) -> Stored<()> {
    sqlx::query!(
        "update sessions set seen_at = ?2 where token_hash = ?1",
        token_hash,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Ends one session.
pub async fn end_session(conn: &mut Conn, token_hash: &str) -> Stored<()> {
    sqlx::query!("delete from sessions where token_hash = ?1", token_hash)
        .execute(conn)
        .await?;
    Ok(())
}

/// Ends a member's sessions, except the one of `keep` (empty: all).
pub async fn end_sessions(conn: &mut Conn, member: MemberId, keep: &str) -> Stored<()> {
    sqlx::query!(
        "delete from sessions where member_id = ?1 and token_hash <> ?2",
        member,
        keep
    )
    .execute(conn)
    .await?;
    Ok(())
}
