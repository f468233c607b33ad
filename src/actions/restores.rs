//! A backup that was put in the place of the database: noted in the restored book, and seen to by a steward.

use super::people::forget_more::take_out_again;
use super::people::forgetting::forget_again;
use super::{Act, Actor, Done, Ids, SentForm, Stop, begin};
use crate::calc::RuleRefusal;
use crate::facts::people::forgotten_before::ForgottenBefore;
use crate::facts::restored_lost::Missing;
use crate::facts::restores::{FileHolds, KnownNumbers};
use crate::store::people::{forgotten, members};
use crate::store::restores::{self, RestoreRow};
use crate::store::restores_held::ForgottenRow;
use crate::store::{Question, Reader, Writer};
use crate::units::{FormKey, MemberId, Role, UtcSecond, count_of};

/// Most characters kept of a file's name, and of why a file was not read.
const NAME_MOST: usize = 300;
const WHY_MOST: usize = 400;

/// What is to be noted of a restore.
#[derive(Debug)]
pub struct NewRestore {
    /// Name of the backup's file.
    pub backup: String,
    /// What the file that is set aside held; or why it was not read.
    pub old: Result<FileHolds, String>,
    /// The highest numbers that somebody knows to have been given.
    pub known: KnownNumbers,
}

/// A member who came back by name with a backup.
#[derive(Debug, Clone)]
pub struct BackByName {
    /// The member's number.
    pub number: i64,
    /// What stands in the way of forgetting again, a sentence each; empty: it was done.
    pub open: Vec<String>,
    /// Whether a text that gave way the first time stands as it stood.
    pub partly: bool,
    /// Whether the backup had forgotten the member, and only further words came back.
    pub words_alone: bool,
}

/// What was noted of a restore.
#[derive(Debug, Clone)]
pub struct NotedRestore {
    /// The last time at which somebody wrote into the backup.
    pub written_until: Option<UtcSecond>,
    /// The same of the file that is set aside.
    pub lost_until: Option<UtcSecond>,
    /// What is missing, and above which numbers it goes on.
    pub missing: Missing,
    /// Members who had been forgotten since, and came back.
    pub back: Vec<BackByName>,
}

/// Notes in the copy of a backup what the file that is set aside holds and the copy does not, and forgets again whoever had been
/// forgotten since, where nothing is open.
pub async fn note(
    (writer, reader): (&Writer, &Reader),
    (ids, at): (&Ids, UtcSecond),
    new: NewRestore,
) -> Done<NotedRestore> {
    let own = FileHolds::read(&mut *reader.snapshot().await?).await?;
    let old = new.old.as_ref();
    let mut missing = own.missing(old.map_err(String::as_str), &new.known);
    missing.unread = missing.unread.chars().take(WHY_MOST).collect();
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let mut back: Vec<CameBack> = Vec::new();
    for was in old.iter().flat_map(|old| &old.forgotten) {
        let Some(card) = members::find(was.member_id).ask(&mut tx).await? else {
            continue;
        };
        let blanked = old.iter().flat_map(|old| &old.blanked);
        let blanked = blanked.filter(|row| row.0 == was.member_id && own.has_record(row.1, &row.2));
        let blanked: Vec<_> = blanked.collect();
        let before = ForgottenBefore::read(&mut tx, card.number, &blanked).await?;
        let gone = forgotten::find(was.member_id).ask(&mut tx).await?.is_some();
        if !gone || !before.is_empty() {
            back.push(CameBack {
                number: card.number,
                was: was.clone(),
                before,
                gone,
            });
        }
    }
    let row = RestoreRow {
        number: restores::next_number().ask(&mut tx).await?,
        at,
        backup: new.backup.chars().take(NAME_MOST).collect(),
        written_until: own.until,
        lost_until: old.ok().and_then(|old| old.until),
        unread: missing.unread.clone(),
        read_by: None,
        read_at: None,
    };
    let mut all = vec![restores::insert(&row)];
    let gaps = missing.gaps.iter();
    all.extend(gaps.map(|gap| restores::insert_gap(row.number, gap)));
    let lost = missing.lost.iter();
    all.extend(lost.map(|lost| restores::insert_lost(row.number, lost)));
    let came = back.iter();
    all.extend(
        came.map(|back| restores::insert_came_back(row.number, back.was.member_id, back.was.at)),
    );
    tx.commit_with(Question::every(all)).await?;
    let back = forget_all_again((writer, reader), (ids, at), back).await?;
    Ok(NotedRestore {
        written_until: row.written_until,
        lost_until: row.lost_until,
        missing,
        back,
    })
}

/// Somebody who had been forgotten in the other file, and whose name or a word of it the backup holds.
struct CameBack {
    number: i64,
    was: ForgottenRow,
    before: ForgottenBefore,
    /// Was forgotten in the backup already.
    gone: bool,
}

/// Forgets again whoever came back by name, with the words that had been taken out in the other file; and looks afterwards whether
/// one of them still stands.
async fn forget_all_again(
    (writer, reader): (&Writer, &Reader),
    (ids, at): (&Ids, UtcSecond),
    back: Vec<CameBack>,
) -> Done<Vec<BackByName>> {
    let numbers: Vec<i64> = back.iter().map(|back| back.number).collect();
    let mut told = Vec::new();
    for back in &back {
        let act = acts_for(writer, reader, (ids, at), &back.was).await?;
        let words = back.before.words(back.number, &numbers);
        let done = if back.gone {
            take_out_again(&act, back.was.member_id, words)
                .await
                .map(|()| Vec::new())
        } else {
            forget_again(&act, &back.was, words).await
        };
        let open = match done {
            Ok(open) => open,
            Err(Stop::RuleRefusal(refusal)) => vec![refusal.sentence],
            Err(stop) => return Err(stop),
        };
        let partly = back
            .before
            .still_stands(&mut *reader.snapshot().await?)
            .await?;
        told.push(BackByName {
            number: back.number,
            partly: open.is_empty() && partly,
            open,
            words_alone: back.gone,
        });
    }
    Ok(told)
}

/// Acts as the steward who had forgotten the member; as the member where the backup does not know that steward.
async fn acts_for(
    writer: &Writer,
    reader: &Reader,
    (ids, at): (&Ids, UtcSecond),
    was: &ForgottenRow,
) -> Done<Act> {
    let mut moment = reader.snapshot().await?;
    let steward = members::find(was.by_id).ask(&mut moment).await?;
    let id: MemberId = steward.map_or(was.member_id, |steward| steward.id);
    Ok(Act {
        writer: writer.clone(),
        reader: reader.clone(),
        at,
        ids: ids.clone(),
        actor: Actor {
            id,
            role: Role::Steward,
        },
        form: SentForm::from(FormKey::new(ids.next(at))),
    })
}

/// A steward has seen to a restore: it does not stand on home any more. Not while somebody who was forgotten stands there by name.
pub async fn put_away(act: &Act, number: i64) -> Done<()> {
    act.steward()?;
    let mut tx = begin!(act, "put_restore_away");
    let row = restores::find(number)
        .ask(&mut tx)
        .await?
        .ok_or(Stop::Missing)?;
    if row.read_at.is_some() {
        return act.finish(tx, "put_restore_away", ()).await;
    }
    let back = restores::came_back(number).ask(&mut tx).await?;
    let named: Vec<String> = back
        .iter()
        .filter(|back| !back.again)
        .map(|back| back.number.to_string())
        .collect();
    if !named.is_empty() {
        let many = i64::try_from(named.len()).unwrap_or(i64::MAX);
        return Err(RuleRefusal::new(
            "named-again",
            format!(
                "{} had been forgotten and stands here by name again: number {}. Please forget them again first, from the card.",
                count_of(many, "member", "members"),
                named.join(", ")
            ),
        )
        .into());
    }
    let read = restores::insert_read(number, act.actor.id, act.at);
    act.finish_with(tx, read, "put_restore_away", ()).await
}
