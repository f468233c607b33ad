//! Making and revoking the secret address of a calendar feed: one for each member, one for the crew.

use crate::actions::{Act, Done, Token, begin, hash_token};
use crate::store::people::calendar::{self, Feed};
use crate::units::{FeedId, MemberId};

/// The turns that a feed shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// The turns of whoever makes it.
    Own,
    /// The turns of everybody: only stewards make and revoke its address.
    Crew,
}

/// Makes a new address; the one before ends. Only the hash of `token` is kept: whoever asks shows it.
pub async fn make(act: &Act, whose: Whose, token: &Token) -> Done<FeedId> {
    let member = member(act, whose)?;
    let mut tx = begin!(act, "make_feed");
    calendar::revoke(&mut tx, member, act.at).await?;
    let feed = Feed {
        member_id: member,
        made_at: act.at,
    };
    let id = FeedId::new(act.id());
    let hash = hash_token(token.as_str());
    calendar::insert(&mut tx, id, feed, &hash, act.actor.id).await?;
    act.finish(tx, "make_feed", id).await
}

/// Ends the address: calendar programs that have it get nothing more.
pub async fn revoke(act: &Act, whose: Whose) -> Done<()> {
    let member = member(act, whose)?;
    let mut tx = begin!(act, "revoke_feed");
    calendar::revoke(&mut tx, member, act.at).await?;
    act.finish(tx, "revoke_feed", ()).await
}

fn member(act: &Act, whose: Whose) -> Done<Option<MemberId>> {
    match whose {
        Whose::Own => Ok(Some(act.actor.id)),
        Whose::Crew => act.steward().map(|()| None),
    }
}
