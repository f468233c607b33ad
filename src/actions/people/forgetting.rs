//! Forgetting a member who has left: name, contact and sign-in go, figures stay under the member's number.

use super::household::end_all;
use super::members::{Proof, not_forgotten, stands_says};
use super::own_passphrase::own_passphrase;
use crate::actions::{Act, Done, Stop, begin};
use crate::calc::RuleRefusal;
use crate::calc::chain::sha256_hex;
use crate::facts::people::forgetting::{ToForget, shared_word, single_words};
use crate::store::people::members::Member;
use crate::store::people::{coop, forgetting, forgotten, members};
use crate::store::restores_held::ForgottenRow;
use crate::store::{Conn, StoreError, Stored, WriteTx, Writer, home};
use crate::units::{MemberId, MemberName, Phone, PressDate, Role, Units, UtcSecond, count_of};
use std::time::Duration;

/// How a steward wants a member to be forgotten.
#[derive(Debug, Clone)]
pub struct NewForgetting {
    /// Words that are taken out of notes and reasons besides the whole name: a family name, a nickname.
    pub words: Vec<String>,
    /// Keep the name apart through this day, for the books that the law asks for; `None`: it is not kept.
    pub keep_until: Option<PressDate>,
}

/// What is still open for somebody who is to be forgotten, a sentence each; empty: nothing.
///
/// # Errors
/// The store failed.
pub async fn still_open(
    conn: &mut Conn,
    member: &Member,
    (today, units): (PressDate, Units),
) -> Stored<Vec<String>> {
    let mut open = Vec::new();
    if member.left_at.is_none() {
        open.push("The member has not left. Let the member go first, on the card.".to_owned());
    }
    let stands = home::balance(member.id).ask(conn).await?;
    if stands.is_open() {
        open.push(format!(
            "Not settled yet: {}. A payment, a settlement or a hand-over settles it.",
            stands_says(&stands, units)
        ));
    }
    let comes = forgotten::still_comes(member.id, today).ask(conn).await?;
    if comes.turns > 0 {
        open.push(format!(
            "{} still ahead. Give up what is booked first.",
            count_of(comes.turns, "turn is", "turns are")
        ));
    }
    if comes.places > 0 {
        open.push(format!(
            "{} still held. Take the member off the waiting list first.",
            count_of(
                comes.places,
                "place on a waiting list is",
                "places on waiting lists are"
            )
        ));
    }
    if let Some(year) = comes.season {
        open.push(format!(
            "The season of {year} is not closed, and the member brought cane in it: what it still shares out may come to this \
             member. Close the season first."
        ));
    }
    if comes.recalls > 0 {
        open.push(format!(
            "{} not ended, and the member’s jars are in it. Whoever has them must be reached until it is.",
            count_of(comes.recalls, "recall is", "recalls are")
        ));
    }
    let asked = ToForget::read(conn, member, &[]).await?;
    open.extend(named_by_coop(conn, &asked).await?);
    Ok(open)
}

/// The sentence that the co-op's own card, which is put right by hand, holds a word that is looked for.
///
/// # Errors
/// The store failed.
pub(super) async fn named_by_coop(conn: &mut Conn, asked: &ToForget) -> Stored<Option<String>> {
    let card = coop::find().ask(conn).await?;
    let named = card.is_some_and(|card| {
        let texts = [&card.contact_phone, &card.way, &card.bring];
        texts.iter().any(|text| asked.stands_in(text))
    });
    Ok(named.then(|| {
        "The co-op’s own card names this member, or a telephone or address of theirs. Change the co-op’s card first."
            .to_owned()
    }))
}

/// What a steward who typed another passphrase reads.
pub(super) const WRONG: &str = "That is not your passphrase. A member is forgotten only with it.";

/// Forgets a member. What can be forgotten is forgotten in one transaction; then the file is written anew, so that nothing of it is
/// left between the rows.
pub async fn forget(
    act: &Act,
    id: MemberId,
    new: NewForgetting,
    proof: Proof<'_>,
) -> Done<MemberId> {
    act.steward()?;
    if let Some(done) = act.done_before("forget_member").await? {
        return Ok(done);
    }
    own_passphrase(act, proof.hashing, proof.passphrase, WRONG).await?;
    let mut tx = begin!(act, "forget_member");
    let member = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    not_forgotten(&mut tx, &member).await?;
    let card = coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let today = card.zone.local(act.at).0;
    may_be_forgotten(&mut tx, &member, &new, (today, card.units)).await?;
    take_out(act, &mut tx, member, &new, today).await?;
    // The form bears words of the name, so they are not kept with it.
    let mut nameless = act.clone();
    nameless.form = nameless.form.without_content();
    let id = nameless.finish(tx, "forget_member", id).await?;
    write_anew(&act.writer).await;
    Ok(id)
}

/// Takes out all that is to go of a member.
async fn take_out(
    act: &Act,
    tx: &mut WriteTx,
    member: Member,
    new: &NewForgetting,
    today: PressDate,
) -> Done<()> {
    let id = member.id;
    let asked = ToForget::read(tx, &member, &new.words).await?;
    forgotten::insert(tx, id, act.actor.id, act.at).await?;
    if let Some(until) = new.keep_until {
        forgotten::keep_name(tx, id, &member.name, until).await?;
    }
    forgotten::delete_all(tx, id, today).await?;
    // Whoever left under an older version of this program may still act for a card.
    end_all(act, tx, id).await?;
    empty_card(tx, member, &asked).await?;
    take_words_out(tx, id, &asked).await
}

/// Takes the words out of rows, out of what was written of them, and out of forms.
pub(super) async fn take_words_out(tx: &mut WriteTx, id: MemberId, asked: &ToForget) -> Done<()> {
    take_out_of_rows(tx, id, asked).await?;
    take_out_of_records(tx, id, asked).await?;
    for form in forgetting::typed_forms(tx, id).await? {
        if form.own || asked.typed_in(&form.boxes) {
            forgetting::empty_form(tx, form.row).await?;
        }
    }
    Ok(())
}

/// Forgets a member again who had been forgotten and came back by name with a backup: with the single words of the name and the words
/// `given`, that had been taken out then, if nobody else bears them. What is still open in the backup stands in the way as it does for a steward, but that the member had not left then:
/// that is so by now. Gives what is still open, a sentence each; empty: it is done.
pub async fn forget_again(act: &Act, was: &ForgottenRow, given: Vec<String>) -> Done<Vec<String>> {
    let mut tx = act.writer.begin().await?;
    tx.on_server(act.at);
    let id = was.member_id;
    let mut member = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if member.left_at.is_none() {
        let gone = Member {
            left_at: Some(was.left_at.unwrap_or(was.at)),
            ..member
        };
        members::update(&mut tx, &gone).await?;
        member = members::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    }
    let card = coop::find().ask(&mut tx).await?.ok_or(Stop::Missing)?;
    let today = card.zone.local(act.at).0;
    let open = still_open(&mut tx, &member, (today, card.units)).await?;
    if !open.is_empty() {
        return Ok(open);
    }
    let mut words = single_words(&mut tx, &member).await?;
    words.extend(given);
    while let Some((shared, _)) = shared_word(&mut tx, &member, &words).await? {
        words.retain(|word| *word != shared);
    }
    let new = NewForgetting {
        words,
        keep_until: was.kept_until.filter(|until| *until >= today),
    };
    take_out(act, &mut tx, member, &new, today).await?;
    tx.commit().await?;
    write_anew(&act.writer).await;
    Ok(Vec::new())
}

/// Deletes the name that was kept for the books, before its day; for stewards.
pub async fn drop_kept_name(act: &Act, id: MemberId) -> Done<MemberId> {
    act.steward()?;
    let mut tx = begin!(act, "drop_kept_name");
    let known = forgotten::find(id)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if known.kept.is_none() {
        return Err(
            RuleRefusal::new("not-kept", "No name is kept for this member any more.").into(),
        );
    }
    forgotten::drop_name(&mut tx, id).await?;
    let id = act.finish(tx, "drop_kept_name", id).await?;
    write_anew(&act.writer).await;
    Ok(id)
}

/// Deletes the names whose day is over.
pub(in crate::actions) async fn drop_old_names(writer: &Writer, at: UtcSecond) -> Done<()> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let Some(coop) = coop::find().ask(&mut tx).await? else {
        return Ok(());
    };
    let dropped = forgotten::drop_names(&mut tx, coop.zone.local(at).0).await?;
    tx.commit().await?;
    if dropped > 0 {
        write_anew(writer).await;
    }
    Ok(())
}

/// How many times the database's log is asked to empty itself while pages are being read.
const TRIES: u32 = 5;

/// Writes the file anew and empties its log. What was forgotten is forgotten without that as well: what is deleted is overwritten, and
/// the log is emptied when the server stops. So a fault here is said in the log alone.
pub(super) async fn write_anew(writer: &Writer) {
    for _ in 0..TRIES {
        match writer.write_anew().await {
            Ok(true) => return,
            Ok(false) => tokio::time::sleep(Duration::from_millis(200)).await,
            Err(error) => {
                tracing::error!(
                    "the file was not written anew after a member was forgotten: {error}"
                );
                return;
            }
        }
    }
    tracing::warn!("the log of the file is in use; it is emptied when the server stops");
}

/// Refuses a word that stands in another member's name.
pub(super) async fn nobody_elses_words(
    tx: &mut WriteTx,
    member: &Member,
    words: &[String],
) -> Done<()> {
    let Some((word, other)) = shared_word(tx, member, words).await? else {
        return Ok(());
    };
    let sentence = format!(
        "“{word}” stands in the name of {other} as well, and would go out of that member’s notes too. Please leave it out."
    );
    Err(RuleRefusal::beside("words", "shared-word", sentence).into())
}

async fn may_be_forgotten(
    tx: &mut WriteTx,
    member: &Member,
    new: &NewForgetting,
    (today, units): (PressDate, Units),
) -> Done<()> {
    let open = still_open(tx, member, (today, units)).await?;
    if !open.is_empty() {
        return Err(RuleRefusal::new("still-open", open.join(" ")).into());
    }
    nobody_elses_words(tx, member, &new.words).await?;
    if new.keep_until.is_some_and(|until| until < today) {
        let sentence = "That day is over. Please choose a later one, or leave the box empty.";
        return Err(RuleRefusal::beside("keep_until", "day-over", sentence).into());
    }
    Ok(())
}

/// Leaves the number on the card, how sums are read, and nothing else.
async fn empty_card(tx: &mut WriteTx, member: Member, asked: &ToForget) -> Done<()> {
    let name = MemberName::parse(asked.in_place())
        .map_err(|refused| RuleRefusal::refused("words", &refused))?;
    let card = Member {
        name,
        phone: Phone::none(),
        email: None,
        address: String::new(),
        call_by: String::new(),
        named: false,
        in_queue: false,
        role: Role::Member,
        ..member
    };
    Ok(members::update(tx, &card).await?)
}

async fn take_out_of_rows(tx: &mut WriteTx, id: MemberId, asked: &ToForget) -> Done<()> {
    for (table, key, content) in forgetting::rows(tx, id, &asked.likes()).await? {
        if let Some(other) = asked.other_words(table, &content) {
            let set = (other.columns.as_slice(), other.words.as_str());
            let put = forgetting::put_words(tx, table, &key, set).await;
            if put.as_ref().is_err_and(StoreError::is_taken) {
                let as_named = other.name().unwrap_or_default();
                return Err(RuleRefusal::new("same-name", same_name(table, &as_named)).into());
            }
            put?;
        }
    }
    Ok(())
}

/// The sentence that refuses to take a name out of what the mill calls a thing.
fn same_name(table: &str, name: &str) -> String {
    let things = table.replace('_', " ");
    format!(
        "Two of the mill’s {things} would both be called “{name}” without the member’s name. Please give one of them another name \
         first, or take it out of use."
    )
}

/// Takes the name out of what was written, and notes the digest of what stands there from here on. What this transaction wrote itself
/// is not sealed yet and simply loses it; but that it changed rows which nothing else changes is noted.
async fn take_out_of_records(tx: &mut WriteTx, id: MemberId, asked: &ToForget) -> Done<()> {
    let sealed = tx.last_record();
    for record in forgetting::records(tx, id, &asked.likes()).await? {
        let Some(other) = asked.other_words(&record.what, &record.content) else {
            continue;
        };
        let content = forgetting::with_other_words(tx, &record.content, &other.words).await?;
        if record.number <= sealed {
            forgetting::insert_row(tx, record.number, id, &sha256_hex(&content)).await?;
        }
        forgetting::put_record(tx, record.number, &content).await?;
    }
    for (number, content) in forgetting::changed_now(tx).await? {
        forgetting::insert_row(tx, number, id, &sha256_hex(&content)).await?;
    }
    Ok(())
}
