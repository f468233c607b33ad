//! Whether whoever acts typed the own passphrase. The writer is not held for it: what is stored is read by the side, and comparing takes a
//! tenth of a second.

use crate::actions::{Act, Done, Hashing, Stop};
use crate::calc::RuleRefusal;
use crate::store::people::accounts;
use crate::units::Passphrase;

/// Refuses, with this sentence beside the box, whoever did not type the own passphrase.
pub(super) async fn own_passphrase(
    act: &Act,
    hashing: &Hashing,
    typed: Passphrase,
    sentence: &str,
) -> Done<()> {
    let account = {
        let mut now = act.reader.snapshot().await?;
        accounts::of_member(&mut now, act.actor.id).await?
    };
    let hash = account.ok_or(Stop::Missing)?.passphrase_hash;
    if hashing.matches(typed, Some(hash)).await? {
        return Ok(());
    }
    Err(RuleRefusal::beside("passphrase", "passphrase-wrong", sentence).into())
}
