//! Further words taken out for a member who was forgotten before: a nickname that nobody thought of then, or one that came back with a
//! backup.

use super::forgetting::{WRONG, named_by_coop, nobody_elses_words, take_words_out, write_anew};
use super::members::Proof;
use super::own_passphrase::own_passphrase;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::facts::people::forgetting::{ToForget, shared_word};
use crate::store::people::{forgotten, members};
use crate::units::MemberId;

/// Takes words out of notes and reasons for a member who was forgotten before; for stewards, with their own passphrase.
pub async fn forget_more(
    act: &Act,
    id: MemberId,
    words: Vec<String>,
    proof: Proof<'_>,
) -> Done<MemberId> {
    act.steward()?;
    if let Some(done) = act.done_before("forget_more").await? {
        return Ok(done);
    }
    own_passphrase(act, proof.hashing, proof.passphrase, WRONG).await?;
    let mut tx = begin!(act, "forget_more");
    let member = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if forgotten::find(id).ask(&mut tx).await?.is_none() {
        return Err(Stop::Missing);
    }
    if words.is_empty() {
        let sentence = "Please write the words that are to go, one on a line.";
        return Err(RuleRefusal::beside("words", "no-words", sentence).into());
    }
    nobody_elses_words(&mut tx, &member, &words).await?;
    let asked = ToForget::read(&mut tx, &member, &words).await?;
    if let Some(sentence) = named_by_coop(&mut tx, &asked).await? {
        return Err(RuleRefusal::beside("words", "named-by-coop", sentence).into());
    }
    forgotten::note_again(&mut tx, id).await?;
    take_words_out(&mut tx, id, &asked).await?;
    // The form bears the words, so they are not kept with it.
    let mut nameless = act.clone();
    nameless.form = nameless.form.without_content();
    let id = nameless.finish(tx, "forget_more", id).await?;
    write_anew(&act.writer).await;
    Ok(id)
}

/// Takes words out again that had been taken out for a member who is forgotten, where nobody else bears them.
pub(in crate::actions) async fn take_out_again(
    act: &Act,
    id: MemberId,
    mut words: Vec<String>,
) -> Done<()> {
    let mut tx = act.writer.begin().await?;
    tx.on_server(act.at);
    let member = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    while let Some((shared, _)) = shared_word(&mut tx, &member, &words).await? {
        words.retain(|word| *word != shared);
    }
    if words.is_empty() {
        return Ok(());
    }
    let asked = ToForget::read(&mut tx, &member, &words).await?;
    forgotten::note_again(&mut tx, id).await?;
    take_words_out(&mut tx, id, &asked).await?;
    tx.commit().await?;
    write_anew(&act.writer).await;
    Ok(())
}
