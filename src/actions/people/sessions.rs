//! Ending sessions: one of one's own, all others, or a member's by a steward.

use super::accounts::IDLE_S;
use crate::actions::{Act, Done, Stop, begin, hash_token};
use crate::calc::RuleRefusal;
use crate::store::people::sessions::Open;
use crate::store::people::{accounts, members, sessions};
use crate::store::{Conn, Stored};
use crate::units::{MemberId, UtcSecond};

/// The sessions of a member that can still be used at that instant.
pub async fn open_of(conn: &mut Conn, member: MemberId, at: UtcSecond) -> Stored<Vec<Open>> {
    sessions::of_member(conn, member, at.plus(-IDLE_S), at).await
}

/// The mark by which a page names a session: a part of the digest of its digest, which lets nobody in.
pub fn mark(open: &Open) -> String {
    hash_token(&open.token_hash).chars().take(16).collect()
}

/// Ends the one of one's own sessions that a page named so.
pub async fn end(act: &Act, named: &str) -> Done<()> {
    let mut tx = begin!(act, "end_session");
    let all = open_of(&mut tx, act.actor.id, act.at).await?;
    let Some(open) = all.iter().find(|open| mark(open) == named) else {
        return Err(RuleRefusal::new("session-ended", "That device is signed out already.").into());
    };
    accounts::end_session(&mut tx, &open.token_hash).await?;
    act.finish(tx, "end_session", ()).await
}

/// Ends all of one's own sessions but the one of `token`.
pub async fn end_others(act: &Act, token: &str) -> Done<()> {
    let mut tx = begin!(act, "end_other_sessions");
    accounts::end_sessions(&mut tx, act.actor.id, &hash_token(token)).await?;
    act.finish(tx, "end_other_sessions", ()).await
}

/// Ends all sessions of a member.
pub async fn end_all(act: &Act, member: MemberId) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "end_sessions_of");
    members::find(member)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    accounts::end_sessions(&mut tx, member, "").await?;
    act.finish(tx, "end_sessions_of", ()).await
}
