//! Telling members something, inside whatever they are told of; putting a notice away; ticking a call
//! off. And what the sender of letters loads and notes, each in a short transaction of its own.

use crate::actions::{Act, Done, Ids, Stop, begin};
use crate::calc::people::letters::{self as letter_rules, Next, after_try};
use crate::calc::people::notices::{Kind, SUBJECT_MOST, WORDS_MOST, fitted};
use crate::facts::people::notices::state_of;
use crate::facts::turns::queue::StartEstimates;
use crate::store::people::coop::Coop;
use crate::store::people::letters::WaitingLetter;
use crate::store::people::notices::{self, NewNotice, Notice};
use crate::store::people::{coop, household, letters, members};
use crate::store::{WriteTx, Writer};
use crate::units::{
    DayChangeId, MemberId, MemberName, NoticeId, OfferId, SeasonId, TurnId, UtcSecond, twelve_hours,
};
use std::collections::BTreeSet;

/// What a notice is about, which says where its link leads and when it is overtaken.
#[derive(Debug, Clone, Copy)]
pub enum NoticeSubject {
    /// The notice is about a turn.
    Turn(TurnId),
    /// The notice is about a turn on offer.
    Offer(OfferId),
    /// The notice is about a turn that was moved together with others.
    Change(DayChangeId, TurnId),
    /// The notice is about a season's statement.
    Season(SeasonId),
}

/// What a member is to be told.
#[derive(Debug, Clone)]
pub struct Tell {
    /// The member who is told.
    pub member: MemberId,
    /// Kind of the notice.
    pub kind: Kind,
    /// What exactly, in a few letters, such as `coming:<turn>:<version>`: the same is told once. Has
    /// to name the member where the same is told to several.
    pub mark: String,
    /// The letter's subject; cut to 120 characters.
    pub subject: String,
    /// The words, as mailed or read out on the telephone, with date and time in them; cut to 600
    /// characters.
    pub words: String,
    /// What it is about.
    pub about: NoticeSubject,
}

/// Tells a member something in the transaction of what is told of: on the home page, and by a letter
/// if the card has an address. Whoever gets the letters of the card is told what the member is told, by a letter, too.
/// What was told before under the same mark is not told again.
pub async fn tell(act: &Act, tx: &mut WriteTx, what: Tell) -> Done<()> {
    let by = (Some(act.actor.id), false);
    tell_by(&act.ids, act.at, tx, what, by).await
}

/// As [`tell`], of what somebody did who acts for the card: nobody is called about it.
pub async fn tell_uncalled(act: &Act, tx: &mut WriteTx, what: Tell) -> Done<()> {
    let by = (Some(act.actor.id), true);
    tell_by(&act.ids, act.at, tx, what, by).await
}

/// As [`tell`], where no member does the action.
pub async fn tell_at(ids: &Ids, at: UtcSecond, tx: &mut WriteTx, what: Tell) -> Done<()> {
    tell_by(ids, at, tx, what, (None, false)).await
}

/// Tells it; whoever did it is told nothing over again, having seen it done.
async fn tell_by(
    ids: &Ids,
    at: UtcSecond,
    tx: &mut WriteTx,
    what: Tell,
    (by, uncalled): (Option<MemberId>, bool),
) -> Done<()> {
    let member = members::find(what.member)
        .ask(tx)
        .await?
        .ok_or(Stop::Missing)?;
    let (mut turn, mut offer, mut change, mut season) = (None, None, None, None);
    match what.about {
        NoticeSubject::Turn(id) => turn = Some(id),
        NoticeSubject::Offer(id) => offer = Some(id),
        NoticeSubject::Change(id, moved) => (change, turn) = (Some(id), Some(moved)),
        NoticeSubject::Season(id) => season = Some(id),
    }
    let notice = NewNotice {
        id: NoticeId::new(ids.next(at)),
        member: member.id,
        copied: uncalled,
        kind: what.kind,
        mark: &what.mark,
        subject: &fitted(&what.subject, SUBJECT_MOST),
        words: &fitted(&what.words, WORDS_MOST),
        turn,
        offer,
        change,
        season,
    };
    if !notices::insert(tx, &notice, at).await? {
        return Ok(());
    }
    if let Some(email) = member.email {
        letters::insert(tx, notice.id, email.as_str(), at).await?;
    }
    for (person, email) in household::letters_to(member.id).ask(tx).await? {
        if by == Some(person) {
            continue;
        }
        let (subject, words) = copied(&member.name, &what);
        let copy = NewNotice {
            id: NoticeId::new(ids.next(at)),
            member: person,
            copied: true,
            mark: &format!("{}:{person}", what.mark),
            subject: &subject,
            words: &words,
            ..notice
        };
        if notices::insert(tx, &copy, at).await? {
            letters::insert(tx, copy.id, email.as_str(), at).await?;
        }
    }
    Ok(())
}

/// What a member is told, as it is told over again to somebody who acts for the card: subject and words.
fn copied(name: &MemberName, what: &Tell) -> (String, String) {
    (
        fitted(&format!("For {name}: {}", what.subject), SUBJECT_MOST),
        fitted(&format!("{name} is told: {}", what.words), WORDS_MOST),
    )
}

/// Puts a notice of one's own away. Put away again, it stays so.
pub async fn put_away(act: &Act, id: NoticeId) -> Done<NoticeId> {
    let mut tx = begin!(act, "put_away");
    let notice = notices::find(id)
        .ask(&mut tx)
        .await?
        .filter(|n| n.member_id == act.actor.id)
        .ok_or(Stop::Missing)?;
    if notice.seen_at.is_none() {
        notices::mark_put_away(&mut tx, id, act.at).await?;
    }
    act.finish(tx, "put_away", id).await
}

/// Notes that somebody called, or that nobody did after all. The first to note it stands.
pub async fn set_called(act: &Act, id: NoticeId, called: bool) -> Done<NoticeId> {
    act.crew()?;
    let mut tx = begin!(act, "set_called");
    let notice = notices::find(id).ask(&mut tx).await?.ok_or(Stop::Missing)?;
    if notice.told_at.is_some() != called {
        let by = called.then_some((act.actor.id, act.at));
        notices::mark_called(&mut tx, id, by).await?;
    }
    act.finish(tx, "set_called", id).await
}

/// A letter to be sent: its notice, where it goes, and who writes.
#[derive(Debug, Clone)]
pub struct Due {
    /// The notice it carries.
    pub notice: Notice,
    /// The e-mail address it goes to.
    pub address: String,
    /// The co-op that writes.
    pub coop: Coop,
    /// About when the turn begins that the notice is about, while its mill runs.
    about: Option<String>,
    /// Hours of the clock that whoever gets it reads times on: 12 or 24.
    clock: i64,
}

impl Due {
    /// A text told with 24 hours, as whoever gets the letter reads it.
    fn told(&self, text: &str) -> String {
        match self.clock {
            12 => twelve_hours(text),
            _ => text.to_owned(),
        }
    }

    /// The letter's subject.
    pub fn subject(&self) -> String {
        self.told(&self.notice.subject)
    }

    /// The words of its notice.
    pub fn words(&self) -> String {
        self.told(&self.notice.words)
    }

    /// About when the turn begins, while its mill runs.
    pub fn about_when(&self) -> Option<String> {
        self.about.as_deref().map(|about| self.told(about))
    }
}

/// Most letters looked at in one go.
const DUE_MOST: i64 = 20;

/// The next letter to be sent; the try is noted beforehand, so that a program which fails to note how it
/// went does not send the same letter over and over. Letters on the way to it that are not worth
/// sending any more, too old or overtaken, are given up.
pub async fn next_letter(writer: &Writer, at: UtcSecond) -> Done<Option<Due>> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let Some(coop) = coop::find().ask(&mut tx).await? else {
        return Ok(None);
    };
    let mut found = None;
    for WaitingLetter {
        notice_id,
        address,
        tries,
    } in letters::due(&mut tx, at, DUE_MOST).await?
    {
        let Some(notice) = notices::find(notice_id).ask(&mut tx).await? else {
            continue;
        };
        let why = if letter_rules::too_late(notice.made_at, at) {
            TOO_OLD
        } else if state_of(&notice, &coop.zone, at).overtaken() {
            "overtaken before it was sent"
        } else {
            let next_at = match after_try(tries + 1, false, notice.made_at, at) {
                Next::Again(next_at) => next_at,
                // By then the letter would be too late.
                Next::GiveUp => notice.made_at.plus(letter_rules::LAST_S + 1),
            };
            letters::mark_tried(&mut tx, notice_id, tries + 1, next_at).await?;
            let about = match &notice.turn {
                Some(turn) => {
                    let dates = BTreeSet::from([turn.date]);
                    let abouts = StartEstimates::read(&mut tx, dates, (&coop.zone, at)).await?;
                    abouts
                        .of_turn(turn.id)
                        .map(|about| about.words(!notice.copied).to_owned())
                }
                None => None,
            };
            let reader = members::find(notice.member_id).ask(&mut tx).await?;
            found = Some(Due {
                clock: reader.map_or(24, |reader| reader.clock),
                notice,
                address,
                coop,
                about,
            });
            break;
        };
        letters::mark_failed(&mut tx, notice_id, why, None).await?;
    }
    tx.commit().await?;
    Ok(found)
}

/// The reason kept with a letter that was given up unsent.
const TOO_OLD: &str = "too old before it was sent";

/// Gives up letters that are too old, whether or not there is a mail server; gives how many.
pub async fn give_up_old(writer: &Writer, at: UtcSecond) -> Done<u64> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let given_up =
        letters::give_up_before(&mut tx, at.plus(-letter_rules::LAST_S), TOO_OLD).await?;
    tx.commit().await?;
    Ok(given_up)
}

/// The outcome of trying to send a letter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LetterOutcome {
    /// The server took it.
    Taken,
    /// It was not taken this time; with what the server answered.
    NotYet(String),
    /// It will never be taken; with what the server answered.
    Refused(String),
}

/// Notes how sending a letter went.
pub async fn note_letter(
    writer: &Writer,
    at: UtcSecond,
    id: NoticeId,
    went: &LetterOutcome,
) -> Done<()> {
    let mut tx = writer.begin().await?;
    tx.on_server(at);
    let letter = letters::find_waiting(&mut tx, id).await?;
    let notice = notices::find(id).ask(&mut tx).await?;
    let (Some(letter), Some(notice)) = (letter, notice) else {
        return Err(Stop::Missing);
    };
    let (problem, refused) = match went {
        LetterOutcome::Taken => {
            letters::mark_sent(&mut tx, id, at).await?;
            return Ok(tx.commit().await?);
        }
        LetterOutcome::NotYet(problem) => (problem, false),
        LetterOutcome::Refused(problem) => (problem, true),
    };
    let next_at = match after_try(letter.tries, refused, notice.made_at, at) {
        Next::Again(next_at) => Some(next_at),
        Next::GiveUp => None,
    };
    letters::mark_failed(&mut tx, id, &fitted(problem, 300), next_at).await?;
    Ok(tx.commit().await?)
}
