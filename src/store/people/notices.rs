//! What members are told: each notice with whom it is for, how its matter stands, and how its letter
//! fared.

use crate::calc::people::notices::{Kind, LetterState};
use crate::store::Question;
use crate::store::question::{change, question};
use crate::store::{Conn, StoreError, Stored, one_row};
use crate::units::{
    ClockTime, DayChangeId, MemberId, MemberName, Minutes, NoticeId, OfferId, Phone, PressDate,
    PressDayId, SeasonId, TurnId, UtcSecond, WaitingId, by_name,
};

/// A notice to be kept.
#[derive(Debug, Clone)]
pub struct NewNotice<'a> {
    /// Id of the notice.
    pub id: NoticeId,
    /// The member it is for.
    pub member: MemberId,
    /// Whether nobody is called about it: it repeats a notice to somebody who acts for the card of the member it is about, or tells what
    /// such a person did.
    pub copied: bool,
    /// What it is about.
    pub kind: Kind,
    /// Mark of what it tells; what bears the same mark is told only once.
    pub mark: &'a str,
    /// Subject of the notice.
    pub subject: &'a str,
    /// Words of the notice.
    pub words: &'a str,
    /// The turn, if it is about one.
    pub turn: Option<TurnId>,
    /// The offer, if it is about one.
    pub offer: Option<OfferId>,
    /// The change of turns, if it comes from one.
    pub change: Option<DayChangeId>,
    /// The season, if it is about one.
    pub season: Option<SeasonId>,
}

/// Keeps a notice unless its mark is there already; says whether it was kept.
pub async fn insert(conn: &mut Conn, n: &NewNotice<'_>, at: UtcSecond) -> Stored<bool> {
    let kind = n.kind.word();
    let done = sqlx::query!(
        r#"insert into notices (id, member_id, kind, mark, subject, words, turn_id, offer_id, change_id,
        season_id, made_at, copied) values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12) on conflict (mark) do nothing"#,
        n.id,
        n.member,
        kind,
        n.mark,
        n.subject,
        n.words,
        n.turn,
        n.offer,
        n.change,
        n.season,
        at,
        n.copied
    )
    .execute(conn)
    .await?;
    Ok(done.rows_affected() == 1)
}

/// A notice as it stands.
#[derive(Debug, Clone)]
pub struct Notice {
    /// Id of the notice.
    pub id: NoticeId,
    /// The member it is for.
    pub member_id: MemberId,
    /// That member's name.
    pub member: MemberName,
    /// That member's telephone.
    pub phone: Phone,
    /// Whom to ask for that member instead; empty: nobody.
    pub call_by: String,
    /// Told over again to somebody who acts for the card of the member it is about.
    pub copied: bool,
    /// What it is about.
    pub kind: Kind,
    /// Subject of the notice.
    pub subject: String,
    /// Words of the notice.
    pub words: String,
    /// When it was made.
    pub made_at: UtcSecond,
    /// When the member put it away.
    pub seen_at: Option<UtcSecond>,
    /// When somebody called the member about it.
    pub told_at: Option<UtcSecond>,
    /// Name of who called.
    pub told_by: Option<MemberName>,
    /// The turn it is about.
    pub turn: Option<NoticeTurn>,
    /// The offer it is about.
    pub offer: Option<NoticeOffer>,
    /// Year of the season it is about.
    pub year: Option<i64>,
    /// How its letter stands; none: no address was known.
    pub letter: Option<LetterState>,
}

/// The turn of a notice, as it stands.
#[derive(Debug, Clone, Copy)]
pub struct NoticeTurn {
    /// Id of the turn.
    pub id: TurnId,
    /// Its press day.
    pub date: PressDate,
    /// Its start.
    pub start: ClockTime,
    /// Whether it is held.
    pub held: bool,
    /// When its member confirmed it where it is; none: not yet.
    pub confirmed_at: Option<UtcSecond>,
    /// Whether its cane is weighed in.
    pub weighed_in: bool,
    /// Whether it has changed since the notice was made, or a later notice of this kind tells of it. One that is only asked about has
    /// changed if it is on another day, at another start or for another time: moved and back where it was, it is to be confirmed as before.
    pub changed: bool,
}

/// The offer of a notice, as it stands.
#[derive(Debug, Clone, Copy)]
pub struct NoticeOffer {
    /// Id of the offer.
    pub id: OfferId,
    /// The place on the waiting list.
    pub waiting_id: WaitingId,
    /// Whether it was answered.
    pub answered: bool,
    /// When its time runs out.
    pub ends_at: UtcSecond,
}

struct NoticeRow {
    id: NoticeId,
    member_id: MemberId,
    member: MemberName,
    phone: Phone,
    call_by: String,
    copied: bool,
    kind: String,
    subject: String,
    words: String,
    made_at: UtcSecond,
    seen_at: Option<UtcSecond>,
    told_at: Option<UtcSecond>,
    told_by: Option<MemberName>,
    turn_id: Option<TurnId>,
    date: Option<PressDate>,
    start: Option<ClockTime>,
    held: bool,
    confirmed_at: Option<UtcSecond>,
    weighed_in: bool,
    changed_at: Option<UtcSecond>,
    told_since: Option<NoticeId>,
    elsewhere: Option<TurnId>,
    offer_id: Option<OfferId>,
    waiting_id: Option<WaitingId>,
    answered_at: Option<UtcSecond>,
    ends_at: Option<UtcSecond>,
    year: Option<i64>,
    letter: Option<String>,
}

impl NoticeRow {
    fn read(self) -> Stored<Notice> {
        let kind = Kind::of(&self.kind).ok_or(StoreError::Corrupt {
            what: "notices.kind",
            found: self.kind,
        })?;
        let letter = match self.letter {
            None => None,
            Some(word) => Some(LetterState::of(&word).ok_or(StoreError::Corrupt {
                what: "letters.state",
                found: word,
            })?),
        };
        let turn = match (self.turn_id, self.date, self.start, self.changed_at) {
            (Some(id), Some(date), Some(start), Some(changed_at)) => Some(NoticeTurn {
                id,
                date,
                start,
                held: self.held,
                confirmed_at: self.confirmed_at,
                weighed_in: self.weighed_in,
                changed: self.told_since.is_some()
                    || match kind {
                        Kind::Coming => self.elsewhere.is_some(),
                        _ => changed_at > self.made_at,
                    },
            }),
            _ => None,
        };
        let offer = self.offer_id.zip(self.waiting_id).zip(self.ends_at).map(
            |((id, waiting_id), ends_at)| NoticeOffer {
                id,
                waiting_id,
                answered: self.answered_at.is_some(),
                ends_at,
            },
        );
        Ok(Notice {
            id: self.id,
            member_id: self.member_id,
            member: self.member,
            phone: self.phone,
            call_by: self.call_by,
            copied: self.copied,
            kind,
            subject: self.subject,
            words: self.words,
            made_at: self.made_at,
            seen_at: self.seen_at,
            told_at: self.told_at,
            told_by: self.told_by,
            turn,
            offer,
            year: self.year,
            letter,
        })
    }
}

macro_rules! notices {
    ($rest:tt, $($bound:expr),*) => {
        question!(
            NoticeRow,
            r#"select n.id as "id: NoticeId", n.member_id as "member_id: MemberId", m.name as "member: MemberName",
            m.phone as "phone: Phone", m.call_by, n.copied as "copied: bool", n.kind, n.subject, n.words, n.made_at as "made_at: UtcSecond",
            n.seen_at as "seen_at: UtcSecond", n.told_at as "told_at: UtcSecond", c.name as "told_by?: MemberName",
            b.id as "turn_id?: TurnId", d.date as "date?: PressDate", b.start_min + 1440 * b.start_again as "start?: ClockTime",
            coalesce(b.state = 'held', 0) as "held!: bool", b.confirmed_at as "confirmed_at?: UtcSecond",
            exists (select 1 from tickets t where t.turn_id = b.id) as "weighed_in!: bool",
            (select max(e.at) from turn_events e where e.turn_id = b.id) as "changed_at?: UtcSecond",
            (select max(x.id) from notices x where x.member_id = n.member_id and x.turn_id = n.turn_id and x.kind = n.kind and x.id > n.id)
              as "told_since?: NoticeId",
            case when not exists (select 1 from turn_events e where e.turn_id = b.id
              and e.version = (select max(w.version) from turn_events w where w.turn_id = b.id and w.at <= n.made_at)
              and (e.press_day_id, e.start_min, e.start_again, e.minutes) = (b.press_day_id, b.start_min, b.start_again, b.minutes))
              then b.id end as "elsewhere?: TurnId",
            o.id as "offer_id?: OfferId", o.waiting_id as "waiting_id?: WaitingId", o.answered_at as "answered_at?: UtcSecond", o.ends_at as "ends_at?: UtcSecond",
            s.year as "year?: i64", l.state as "letter?: String"
            from notices n join members m on m.id = n.member_id left join members c on c.id = n.told_by
            left join turns b on b.id = n.turn_id left join press_days d on d.id = b.press_day_id
            left join offers o on o.id = n.offer_id left join seasons s on s.id = n.season_id
            left join letters l on l.notice_id = n.id where "#
                + $rest,
            $($bound),*
        )
        .try_map(|rows| rows.into_iter().map(NoticeRow::read).collect::<Stored<Vec<Notice>>>())
    };
}

/// The notice with this id.
pub fn find(id: NoticeId) -> Question<Option<Notice>> {
    notices!("n.id = ?1", id).first()
}

/// Whether a notice with this mark was made that nobody has learnt of: nobody put it away, was called about it or was sent its letter,
/// whom it was told over again neither; and it tells of what somebody did who does not act for the card, and so does not know it.
pub fn unread(mark: &str) -> Question<bool> {
    question!(
        r#"select (count(*) > 0 and coalesce(sum(n.seen_at is not null or n.told_at is not null or l.state is 'sent'
          or (n.mark = ?1 and n.copied = 1)), 0) = 0)
        as "unread!: bool"
        from notices n left join letters l on l.notice_id = n.id
        where n.mark = ?1 or (n.mark > ?1 || ':' and n.mark < ?1 || ';')"#,
        mark
    )
    .one()
    .map(|row| row.unread)
}

/// Puts away all notices with this mark, those to whom it was told over again, too: what they tell of was undone.
pub fn put_all_away(mark: &str, at: UtcSecond) -> Question<()> {
    change!(
        "update notices set seen_at = ?2 where seen_at is null and (mark = ?1 or (mark > ?1 || ':' and mark < ?1 || ';'))",
        mark,
        at
    )
}

/// A member's notices that were not put away, latest first.
pub fn not_put_away(member: MemberId) -> Question<Vec<Notice>> {
    notices!(
        "n.member_id = ?1 and n.seen_at is null order by n.made_at desc, n.id desc",
        member
    )
}

/// Notices made from an instant on that were neither put away nor called about, oldest first; of those made together each member's after one
/// another, by the days that were offered. Nobody is called for what is only told over again.
pub fn open(since: UtcSecond) -> Question<Vec<Notice>> {
    notices!(
        "n.made_at >= ?1 and n.told_at is null and n.seen_at is null and n.copied = 0 order by n.made_at, m.number, (select p.date from waiting w join press_days p on p.id = w.press_day_id where w.id = o.waiting_id), o.start_min, n.id",
        since
    )
}

/// Notices called about from an instant on, latest first.
pub fn called(since: UtcSecond) -> Question<Vec<Notice>> {
    notices!("n.told_at >= ?1 order by n.told_at desc, n.id desc", since)
}

/// The notices of a change of turns, by name.
pub fn of_change(change: DayChangeId) -> Question<Vec<Notice>> {
    notices!(
        "n.change_id = ?1 and n.copied = 0 order by m.number, n.id",
        change
    )
    .map(|all| by_name(all, |notice| ((), notice.member.as_str())))
}

/// Notes that the member put a notice away.
pub async fn mark_put_away(conn: &mut Conn, id: NoticeId, at: UtcSecond) -> Stored<()> {
    let done = sqlx::query!("update notices set seen_at = ?2 where id = ?1", id, at)
        .execute(conn)
        .await?;
    one_row(&done, "put a notice away")
}

/// Notes who told a member by telephone, and when; or that nobody did after all.
pub async fn mark_called(
    conn: &mut Conn,
    id: NoticeId,
    told: Option<(MemberId, UtcSecond)>,
) -> Stored<()> {
    let (by, at) = told.unzip();
    let done = sqlx::query!(
        "update notices set told_by = ?2, told_at = ?3 where id = ?1",
        id,
        by,
        at
    )
    .execute(conn)
    .await?;
    one_row(&done, "tick a call off")
}

/// A turn that comes up soon.
#[derive(Debug, Clone, Copy)]
pub struct ComingTurn {
    /// Id of the turn.
    pub id: TurnId,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// Number of the latest event of the turn, one more with each.
    pub version: i64,
    /// Its press day.
    pub date: PressDate,
    /// Its start.
    pub start: ClockTime,
    /// Its length.
    pub minutes: Minutes,
    /// When it came to the place where it is.
    pub placed_at: UtcSecond,
}

/// Turns held, neither confirmed nor weighed in, from a date to another, in order.
pub fn coming_turns(from: PressDate, to: PressDate) -> Question<Vec<ComingTurn>> {
    question!(
        ComingTurn,
        r#"select b.id as "id: TurnId", b.member_id as "member_id: MemberId", b.version,
        d.date as "date: PressDate", b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes: Minutes",
        (select max(e.at) from turn_events e where e.turn_id = b.id) as "placed_at!: UtcSecond"
        from press_days d join turns b on b.press_day_id = d.id
        where d.date between ?1 and ?2 and d.closed_at is null and b.state = 'held' and b.confirmed_at is null
        and not exists (select 1 from tickets t where t.turn_id = b.id)
        order by d.date, b.start_min, b.start_again"#,
        from,
        to
    )
}

/// Members who have a share in a lot divided on a press day.
pub fn sharers_of_day(day: PressDayId) -> Question<Vec<MemberId>> {
    question!(
        r#"select distinct h.member_id as "member_id!: MemberId" from boils b
        join latest_divisions v on v.boil_id = b.id join shares h on h.division_id = v.id
        where b.press_day_id = ?1 and h.member_id is not null order by h.member_id"#,
        day
    )
    .map(|rows| rows.into_iter().map(|row| row.member_id).collect())
}
