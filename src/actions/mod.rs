//! What a person can do: load, decide, save, in one write transaction each. Knows nothing of pages.
//! An action that a form asks for takes the key of that form: sent twice, done once, same answer. What has no form, or may be done twice
//! and comes to the same, takes the writer alone: signing out, who is chosen at a station, what a probe sends, the rounds.

pub mod boil;
pub mod cane;
pub mod people;
pub mod restores;
pub mod rounds;
pub mod season;
pub mod shares;
pub mod turns;
pub mod upkeep;

mod from_paper;
mod from_phone;
mod sent_form;
mod stop;

pub use from_paper::FromPaper;
pub use from_phone::FromPhone;
pub use people::secrets::{Hashing, Token, hash_token};
pub use sent_form::{Differs, SentForm};
pub use stop::Stop;

use crate::calc::RuleRefusal;
use crate::store::people::{members, stations};
use crate::store::{
    Question, Reader, Snapshot, WriteTx, Writer, form_keys, sent_from_phone, typed_in,
};
use crate::units::{MemberId, Role, Units, UtcSecond};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use uuid::{Builder, Uuid};

/// The member who does an action.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Actor {
    /// Id of the member.
    pub id: MemberId,
    /// What the member may do.
    pub role: Role,
}

impl Actor {
    /// Whether this person may do what crew do.
    pub fn is_crew(self) -> bool {
        self.role >= Role::Crew
    }

    /// Whether this person is a steward.
    pub fn is_steward(self) -> bool {
        self.role == Role::Steward
    }
}

/// The source of new ids.
#[derive(Debug, Clone)]
pub enum Ids {
    /// Drawn from the operating system's random numbers.
    Chance,
    /// Counted up, for tests and the demo: the same run makes the same ids.
    Counted(Arc<AtomicU64>),
}

impl Ids {
    /// Ids that count up from nothing.
    pub fn counted() -> Self {
        Self::Counted(Arc::new(AtomicU64::new(0)))
    }

    /// A new UUID version 7 of that instant.
    pub fn next(&self, at: UtcSecond) -> Uuid {
        let millis = u64::try_from(at.get()).unwrap_or(0) * 1000;
        let mut random = [0_u8; 10];
        match self {
            Self::Chance => {
                getrandom::fill(&mut random).expect("the operating system gives random bytes");
            }
            Self::Counted(count) => {
                let n = count.fetch_add(1, Ordering::Relaxed);
                random[2..].copy_from_slice(&n.to_be_bytes());
            }
        }
        Builder::from_unix_timestamp_millis(millis, &random).into_uuid()
    }
}

/// What every action is handed: the writer, the moment, the source of ids, who acts and the form.
#[derive(Debug, Clone)]
pub struct Act {
    /// The one writer.
    pub writer: Writer,
    /// The reader for what grows with the season, used before the writer is waited for.
    pub reader: Reader,
    /// The moment of this action.
    pub at: UtcSecond,
    /// The source of new ids.
    pub ids: Ids,
    /// The member who does it.
    pub actor: Actor,
    /// The form that asked for it.
    pub form: SentForm,
}

/// What grows with the season, read before the writer is waited for, with the number of the last record then.
#[derive(Debug)]
pub(crate) struct ReadBefore<T> {
    facts: T,
    last_record: i64,
}

impl<T> ReadBefore<T> {
    /// Holds `facts` that were read in `moment`, from tables that records cover and from no others.
    pub(crate) async fn new(facts: T, moment: &mut Snapshot) -> Done<Self> {
        let last_record = moment.last_record().await?;
        Ok(Self { facts, last_record })
    }

    /// What was read, if nothing was recorded since; else it is to be read again, inside the transaction.
    pub(crate) fn if_it_stands(self, tx: &WriteTx) -> Option<T> {
        (self.last_record == tx.last_record()).then_some(self.facts)
    }
}

/// The result of every action.
pub type Done<T> = Result<T, Stop>;

/// An id that a form's answer can be kept as.
pub trait Answer: Sized {
    /// The text that the answer is kept as.
    fn keep(&self) -> String;
    /// Reads that text back; `None` when it is not one.
    fn read(text: &str) -> Option<Self>;
}

macro_rules! answers {
    ($($id:ident),*) => {$(
        impl Answer for crate::units::$id {
            fn keep(&self) -> String {
                self.to_string()
            }
            fn read(text: &str) -> Option<Self> {
                Self::parse(text)
            }
        }
    )*};
}
answers!(
    MemberId,
    InviteId,
    StationId,
    SeasonId,
    RulesId,
    ScaleId,
    VesselId,
    PanId,
    ProbeId,
    PressDayId,
    TurnId,
    TicketId,
    JuiceId,
    BoilId,
    DivisionId,
    HandOverId,
    PlantingId,
    WaitingId,
    DayChangeId,
    NoticeId,
    FeedId
);

impl Answer for () {
    fn keep(&self) -> String {
        String::new()
    }
    fn read(_: &str) -> Option<Self> {
        Some(())
    }
}

/// A write transaction that knows whether its form was done before.
pub(crate) enum Begun<T> {
    /// The form was done before, with this answer.
    Before(T),
    /// The form was not done yet; here is the transaction to do it in.
    Fresh(WriteTx),
}

/// Waits for the writer, then looks whether this form was done already: two sendings must not both find
/// it undone.
pub(crate) async fn begin_form<T: Answer>(
    writer: &Writer,
    form: &SentForm,
    action: &'static str,
) -> Done<Begun<T>> {
    let done = form_keys::find(form.key, action, &form.target);
    let (tx, before) = writer.begin_asking(done).await?;
    match before {
        None => Ok(Begun::Fresh(tx)),
        Some(before) => Ok(Begun::Before(answer_of(before, form)?)),
    }
}

/// The answer to a form that was done before.
///
/// # Errors
/// It was sent with other content then, or an older program kept its answer in a way that cannot be read.
fn answer_of<T: Answer>(before: form_keys::DoneForm, form: &SentForm) -> Done<T> {
    let Some(answer) = T::read(&before.result) else {
        return Err(RuleRefusal::new(
            "done-by-older-program",
            "This form was already done, by an older version of this program, which kept its answer in a way \
             that cannot be followed any more. Nothing was stored this time. Please look whether what you \
             meant stands there, and open the page anew for anything else.",
        )
        .into());
    };
    if form.is_stored_as(&before.digest) {
        return Ok(answer);
    }
    Err(Stop::SentOtherwise {
        answer: before.result,
        differs: sent_form::differences(&before.boxes, &form.boxes),
    })
}

/// Keeps the answer with the form and commits both with the work, of which these changes are still to be made; `by` is who
/// acted, and when.
pub(crate) async fn finish_form<T: Answer>(
    mut tx: WriteTx,
    changes: Question<()>,
    form: &SentForm,
    (action, answer): (&'static str, T),
    (by, at): (MemberId, UtcSecond),
) -> Done<T> {
    let done = form_keys::DoneForm {
        digest: form.digest.clone(),
        boxes: form.boxes.clone(),
        result: answer.keep(),
    };
    let of = (form.key, action, form.target.as_str());
    let mut all = vec![changes, form_keys::insert(of, &done, Some(by), at)];
    all.extend(form.phone.map(|phone| {
        sent_from_phone::insert(&sent_from_phone::NewSentRow {
            key: form.key,
            action,
            target: &form.target,
            record: &done.result,
            member: by,
            tapped_at: phone.tapped_at,
            ahead_s: phone.ahead_s,
            said_at: phone.said_at(at),
            arrived_at: at,
        })
    }));
    all.extend(form.paper.map(|paper| {
        typed_in::insert(&typed_in::NewTypedRow {
            key: form.key,
            action,
            target: &form.target,
            record: &done.result,
            measured_by: paper.by,
            typed_by: by,
            typed_at: at,
        })
    }));
    all.extend(form.station.map(|station| {
        stations::insert_sent(&stations::NewSentRow {
            key: form.key,
            action,
            target: &form.target,
            record: &done.result,
            member: by,
            station,
            at,
        })
    }));
    tx.by(by, at);
    tx.commit_with(Question::every(all)).await?;
    Ok(answer)
}

impl Act {
    /// Begins the action, unless its form was done before.
    pub(crate) async fn begin<T: Answer>(&self, action: &'static str) -> Done<Begun<T>> {
        begin_form(&self.writer, &self.form, action).await
    }

    /// The answer to this form if it was done before, looked up without waiting for the writer: for what takes its time between the
    /// form and the transaction, which looks again.
    pub(crate) async fn done_before<T: Answer>(&self, action: &'static str) -> Done<Option<T>> {
        let mut now = self.reader.snapshot().await?;
        let done = form_keys::find(self.form.key, action, &self.form.target);
        let before = done.ask(&mut now).await?;
        before.map(|b| answer_of(b, &self.form)).transpose()
    }

    /// Keeps the answer with the form and commits both with the work.
    pub(crate) async fn finish<T: Answer>(
        &self,
        tx: WriteTx,
        action: &'static str,
        answer: T,
    ) -> Done<T> {
        let nothing = Question::answered(());
        self.finish_with(tx, nothing, action, answer).await
    }

    /// As [`Self::finish`], making these changes as well.
    pub(crate) async fn finish_with<T: Answer>(
        &self,
        tx: WriteTx,
        changes: Question<()>,
        action: &'static str,
        answer: T,
    ) -> Done<T> {
        let by = (self.actor.id, self.at);
        finish_form(tx, changes, &self.form, (action, answer), by).await
    }

    /// When whoever acts said so: the time on the paper that is typed in; the tap, if a phone kept the form before
    /// sending; else this moment.
    pub(crate) fn said_at(&self) -> UtcSecond {
        let on_paper = self.form.paper.and_then(|paper| paper.at);
        let tapped = || self.form.phone.map(|phone| phone.said_at(self.at));
        on_paper.or_else(tapped).unwrap_or(self.at)
    }

    /// Who measured: whoever wrote it on the paper that is typed in, else whoever acts.
    pub(crate) fn measured_by(&self) -> MemberId {
        self.form.paper.map_or(self.actor.id, |paper| paper.by)
    }

    /// The tap, where it was before this instant.
    pub(crate) fn said_earlier(&self) -> Option<UtcSecond> {
        Some(self.said_at()).filter(|said| *said < self.at)
    }

    /// The id of the record that this action makes. A phone names what it makes before it can send it, by
    /// the key of its form, so that later entries can say what they belong to.
    pub(crate) fn record_id(&self) -> Uuid {
        match self.form.phone {
            Some(_) => self.form.key.uuid(),
            None => self.id(),
        }
    }

    /// The units that whoever acts reads.
    pub(crate) async fn units(&self, tx: &mut WriteTx) -> Done<Units> {
        self.units_read().ask(tx).await?
    }

    /// The question of which units whoever acts reads.
    pub(crate) fn units_read(&self) -> Question<Done<Units>> {
        members::find(self.actor.id).map(|actor| Ok(actor.ok_or(Stop::Missing)?.units))
    }

    /// A new UUID of this action's instant.
    pub(crate) fn id(&self) -> Uuid {
        self.ids.next(self.at)
    }

    /// Refuses everybody but stewards: the table of pages does so too, this is the second lock.
    pub(crate) fn steward(&self) -> Done<()> {
        if self.actor.is_steward() {
            Ok(())
        } else {
            Err(Stop::Missing)
        }
    }

    /// Refuses everybody but crew and stewards.
    pub(crate) fn crew(&self) -> Done<()> {
        if self.actor.is_crew() {
            Ok(())
        } else {
            Err(Stop::Missing)
        }
    }
}

/// Refuses a form that was filled in from another version of a record than the one that stands; `by_now` says what
/// became of it, such as "This day was changed".
pub(crate) fn as_seen(
    stands: i64,
    seen: i64,
    by_now: impl FnOnce() -> String,
) -> Result<(), RuleRefusal> {
    if stands == seen {
        return Ok(());
    }
    Err(RuleRefusal::changed(format!(
        "{} while you had it open. Your entries are kept below; send again to write them over that.",
        by_now()
    )))
}

/// Opens an action: returns the earlier answer if its form was done before, else the transaction.
macro_rules! begin {
    ($act:expr, $action:expr) => {
        match $act.begin($action).await? {
            $crate::actions::Begun::Before(answer) => return Ok(answer),
            $crate::actions::Begun::Fresh(tx) => tx,
        }
    };
}
pub(crate) use begin;
