//! A passphrase changed by the one who signs in with it.

use super::accounts::uncommon_here;
use crate::actions::{Act, Begun, Done, Hashing, Stop, hash_token};
use crate::calc::RuleRefusal;
use crate::store::form_keys;
use crate::store::people::{accounts, members};
use crate::units::Passphrase;

const ACTION: &str = "change_passphrase";

/// Gives the actor a new passphrase and ends all their other sessions.
///
/// # Errors
/// The old one is wrong, the new one is common, or the form was sent before with another.
pub async fn change(
    act: &Act,
    hashing: &Hashing,
    old: Passphrase,
    new: Passphrase,
    session_token: &str,
) -> Done<()> {
    let hash = {
        let mut now = act.reader.snapshot().await?;
        let sent = form_keys::find(act.form.key, ACTION, &act.form.target);
        if sent.ask(&mut now).await?.is_some() {
            drop(now);
            return set_before(act, hashing, new).await;
        }
        let account = accounts::of_member(&mut now, act.actor.id)
            .await?
            .ok_or(Stop::Missing)?;
        let name = accounts::sign_in_of(&mut now, act.actor.id)
            .await?
            .ok_or(Stop::Missing)?;
        let own = members::find(act.actor.id).ask(&mut now).await?;
        let own = own.ok_or(Stop::Missing)?.name;
        uncommon_here(&mut now, &new, &name, &own).await?;
        account.passphrase_hash
    };
    // Hashing is slow: no transaction is open meanwhile.
    if !hashing.matches(old, Some(hash)).await? {
        return Err(RuleRefusal::beside(
            "old",
            "passphrase-wrong",
            "That is not your present passphrase.",
        )
        .into());
    }
    let hash = hashing.hash(new.clone()).await?;
    let mut tx = match act.begin::<()>(ACTION).await? {
        Begun::Before(()) => return set_before(act, hashing, new).await,
        Begun::Fresh(tx) => tx,
    };
    accounts::change_hash(&mut tx, act.actor.id, &hash, act.at).await?;
    accounts::end_sessions(&mut tx, act.actor.id, &hash_token(session_token)).await?;
    act.finish(tx, ACTION, ()).await
}

/// The answer to a form that was done before: nothing of a passphrase is kept with a form, so that it is compared
/// with the one that is set.
async fn set_before(act: &Act, hashing: &Hashing, new: Passphrase) -> Done<()> {
    let account = {
        let mut now = act.reader.snapshot().await?;
        accounts::of_member(&mut now, act.actor.id).await?
    };
    let hash = account.map(|account| account.passphrase_hash);
    if hashing.matches(new, hash).await? {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        "passphrase",
        "another-passphrase",
        "This form was already sent, with another new passphrase, and that one is set. Open the page again to set \
         this one.",
    )
    .into())
}
