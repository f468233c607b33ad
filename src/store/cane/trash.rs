//! Samples of cane that were stripped, and whether a season's rules take the trash off.

use crate::calc::cane::trash::Sample;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored};
use crate::units::{BoilId, Grams, MemberId, MemberName, Pounds, TicketId, UtcSecond};

/// One version of a ticket's sample.
#[derive(Debug, Clone)]
pub struct SampleRow {
    /// Version, from 1; the highest counts.
    pub version: i64,
    /// Weight of the sample as it came.
    pub before: Grams,
    /// Weight of the sample once stripped.
    pub after: Grams,
    /// Whether it is crossed out: there was no sample.
    pub void: bool,
    /// Name of who weighed it.
    pub by_name: MemberName,
    /// When this was written down.
    pub at: UtcSecond,
}

impl SampleRow {
    /// The sample, unless it is crossed out.
    pub fn sample(&self) -> Option<Sample> {
        let of = Sample {
            before: self.before,
            after: self.after,
        };
        (!self.void).then_some(of)
    }
}

/// All versions of a ticket's sample, latest first.
pub fn versions(ticket: TicketId) -> Question<Vec<SampleRow>> {
    question!(
        SampleRow,
        r#"select s.version, s.before_g as "before: Grams", s.after_g as "after: Grams", s.void as "void: bool",
        m.name as "by_name: MemberName", s.at as "at: UtcSecond"
        from trash_samples s join members m on m.id = s.by_id where s.ticket_id = ?1 order by s.version desc"#,
        ticket
    )
}

/// The sample of a ticket that counts.
pub fn of_ticket(ticket: TicketId) -> Question<Option<Sample>> {
    versions(ticket).map(|all| all.first().and_then(SampleRow::sample))
}

/// The cane of a ticket that counts, with its sample.
#[derive(Debug, Clone, Copy)]
pub struct Counted {
    /// The ticket.
    pub ticket_id: TicketId,
    /// Its net cane, as the loads that count add up.
    pub net: Grams,
    /// That net cane in pounds, when every load that counts was read in pounds.
    pub net_lb: Option<Pounds>,
    /// A sample that was stripped, as it came; none, or crossed out: nothing.
    pub before: Option<Grams>,
    /// Weight of that sample once stripped.
    pub after: Option<Grams>,
}

impl Counted {
    /// The sample that was stripped, if it counts.
    pub fn sample(&self) -> Option<Sample> {
        let (before, after) = self.before.zip(self.after)?;
        Some(Sample { before, after })
    }
}

/// The cane that counts of several tickets; `tickets`: a JSON array of their ids.
pub fn counted(tickets: &str) -> Question<Vec<Counted>> {
    question!(
        Counted,
        r#"select t.id as "ticket_id: TicketId",
        (select coalesce(sum(coalesce(l.net_g, l.gross_g - l.tare_g)), 0) from loads l
          where l.ticket_id = t.id and l.void = 0 and l.version = (select max(x.version) from loads x
          where x.ticket_id = l.ticket_id and x.number = l.number)) as "net!: Grams",
        (select case when count(*) = count(l.net_lb) then sum(l.net_lb) end from loads l
          where l.ticket_id = t.id and l.void = 0 and l.version = (select max(x.version) from loads x
          where x.ticket_id = l.ticket_id and x.number = l.number)) as "net_lb?: Pounds",
        s.before_g as "before?: Grams", s.after_g as "after?: Grams"
        from tickets t left join trash_samples s on s.ticket_id = t.id and s.void = 0
        and s.version = (select max(v.version) from trash_samples v where v.ticket_id = t.id)
        where t.id in (select value from json_each(?1))"#,
        tickets
    )
}

/// Whether the rules that a boil is divided by take trash off the cane.
pub fn taken_off(boil: BoilId) -> Question<bool> {
    question!(
        r#"select exists (select 1 from rules_of_boils b join season_rules r on r.id = b.rules_id
        where b.boil_id = ?1 and r.trash_off = 1) as "off!: bool""#,
        boil
    )
    .one()
    .map(|row| row.off)
}

/// Writes a version of a ticket's sample.
pub async fn insert(
    conn: &mut Conn,
    (ticket, version): (TicketId, i64),
    (sample, void): (Sample, bool),
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into trash_samples (ticket_id, version, before_g, after_g, void, by_id, at) values (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        ticket,
        version,
        sample.before,
        sample.after,
        void,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}
