//! Members in bulk: many cards from a list, and invitations for many at once. All of them or none.

use super::accounts::invite_one;
use super::members::{NewMember, add_one};
use crate::actions::{Act, Done, Token, begin, hash_token};
use crate::units::MemberId;

/// Adds members, in their order. The names are looked over one by one, those of the list itself included.
pub async fn add_many(act: &Act, new: Vec<NewMember>) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "add_members");
    for one in new {
        add_one(act, &mut tx, one).await?;
    }
    act.finish(tx, "add_members", ()).await
}

/// Makes an invitation for each of these members; earlier unused ones of theirs end.
pub async fn invite_many(act: &Act, of: &[(MemberId, Token)]) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "invite_many");
    for (member, token) in of {
        let hash = hash_token(token.as_str());
        invite_one(act, &mut tx, *member, &hash).await?;
    }
    act.finish(tx, "invite_many", ()).await
}
