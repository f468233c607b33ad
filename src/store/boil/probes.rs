//! Probes: thermometers in pans that send by themselves; what they sent, how far they are off.

use crate::calc::boil::probes::{Fire, TempAt};
use crate::store::Question;
use crate::store::question::question;
use crate::store::{Conn, Stored, one_row};
use crate::units::{
    BoilId, Celsius, CelsiusDifference, MemberId, MemberName, PanId, ProbeId, UtcSecond,
};

/// A probe.
#[derive(Debug, Clone)]
pub struct Probe {
    /// Id of the probe.
    pub id: ProbeId,
    /// What it is called at the mill.
    pub name: String,
    /// The pan it writes for.
    pub pan_id: PanId,
    /// The name of that pan.
    pub pan_name: String,
    /// Name of who made its token.
    pub made_by: MemberName,
    /// When the token was made.
    pub made_at: UtcSecond,
    /// When its token was revoked; `None` while it is accepted.
    pub revoked_at: Option<UtcSecond>,
    /// Its last reading, in a boil or not; `None`: it was never heard.
    pub last: Option<LastRead>,
}

/// The last reading of a probe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastRead {
    /// When it read, and what it showed, with no offset taken off.
    pub read: TempAt,
    /// The boil it read that in; `None`: none was lit.
    pub boil: Option<BoilId>,
}

/// One reading of a probe in boiling water, from which its offset is learned.
#[derive(Debug, Clone)]
pub struct Offset {
    /// When the probe was held in boiling water.
    pub at: UtcSecond,
    /// Temperature that the probe showed.
    pub read: Celsius,
    /// Temperature at which water boiled.
    pub water: Celsius,
    /// Whether that was read on the day; else it is by the mill's height.
    pub measured: bool,
    /// Name of who held it in.
    pub by_name: MemberName,
}

impl Offset {
    /// How much too high the probe reads.
    pub fn off(&self) -> CelsiusDifference {
        self.read.above(self.water)
    }
}

struct ProbeRow {
    id: ProbeId,
    name: String,
    pan_id: PanId,
    pan_name: String,
    made_by: MemberName,
    made_at: UtcSecond,
    revoked_at: Option<UtcSecond>,
    last_at: Option<UtcSecond>,
    last_temp: Option<Celsius>,
    last_boil: Option<BoilId>,
}

impl ProbeRow {
    fn read(self) -> Probe {
        Probe {
            id: self.id,
            name: self.name,
            pan_id: self.pan_id,
            pan_name: self.pan_name,
            made_by: self.made_by,
            made_at: self.made_at,
            revoked_at: self.revoked_at,
            last: self.last_at.zip(self.last_temp).map(|(at, temp)| LastRead {
                read: TempAt { at, temp },
                boil: self.last_boil,
            }),
        }
    }
}

macro_rules! probes {
    ($rest:literal $(, $bound:expr)*) => {
        question!(
            ProbeRow,
            r#"select r.id as "id: ProbeId", r.name, r.pan_id as "pan_id: PanId", p.name as pan_name,
            m.name as "made_by: MemberName", r.made_at as "made_at: UtcSecond",
            r.revoked_at as "revoked_at: UtcSecond", r.last_at as "last_at: UtcSecond",
            r.last_c as "last_temp: Celsius", r.last_boil_id as "last_boil: BoilId"
            from probes r join pans p on p.id = r.pan_id join members m on m.id = r.made_by "#
                + $rest
            $(, $bound)*
        )
    };
}

/// The probe with this id.
pub fn find(id: ProbeId) -> Question<Option<Probe>> {
    probes!("where r.id = ?1", id)
        .first()
        .map(|row| row.map(ProbeRow::read))
}

/// The probe whose token has that hash, if it is not revoked.
pub fn of_token(token_hash: &str) -> Question<Option<Probe>> {
    probes!(
        "where r.token_hash = ?1 and r.revoked_at is null",
        token_hash
    )
    .first()
    .map(|row| row.map(ProbeRow::read))
}

/// All probes, those whose token is taken first, by pan and name.
pub fn list() -> Question<Vec<Probe>> {
    probes!("order by r.revoked_at is not null, p.name, r.name, r.id")
        .map(|rows| rows.into_iter().map(ProbeRow::read).collect())
}

/// The probes of a boil: those that stand in its pan, and those that sent something of it; by age.
pub fn of_boil(boil: BoilId) -> Question<Vec<Probe>> {
    probes!(
        "where (r.revoked_at is null and r.pan_id = (select b.pan_id from boils b where b.id = ?1))
        or r.last_boil_id = ?1
        or r.id in (select x.probe_id from probe_readings x where x.boil_id = ?1)
        order by r.made_at, r.id",
        boil
    )
    .map(|rows| rows.into_iter().map(ProbeRow::read).collect())
}

/// Adds a probe, with the hash of its token.
pub async fn insert(
    conn: &mut Conn,
    id: ProbeId,
    (pan, name): (PanId, &str),
    token_hash: &str,
    (by, at): (MemberId, UtcSecond),
) -> Stored<()> {
    sqlx::query!(
        "insert into probes (id, pan_id, name, token_hash, made_by, made_at) values (?1, ?2, ?3, ?4, ?5, ?6)",
        id,
        pan,
        name,
        token_hash,
        by,
        at
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// Revokes a probe's token.
pub async fn revoke(conn: &mut Conn, id: ProbeId, by: MemberId, at: UtcSecond) -> Stored<()> {
    let done = sqlx::query!(
        "update probes set revoked_by = ?2, revoked_at = ?3 where id = ?1 and revoked_at is null",
        id,
        by,
        at
    )
    .execute(conn)
    .await?;
    one_row(&done, "revoke a probe")
}

/// Notes what a probe read last.
pub async fn spoke(conn: &mut Conn, id: ProbeId, last: LastRead) -> Stored<()> {
    let done = sqlx::query!(
        "update probes set last_at = ?2, last_c = ?3, last_boil_id = ?4 where id = ?1",
        id,
        last.read.at,
        last.read.temp,
        last.boil
    )
    .execute(conn)
    .await?;
    one_row(&done, "note what a probe read last")
}

/// The boils of a pan that were on the fire at `since` or later, without those that are divided or lost, or of a
/// season that is locked.
pub async fn fires(conn: &mut Conn, pan: PanId, since: UtcSecond) -> Stored<Vec<Fire>> {
    Ok(sqlx::query_as!(
        Fire,
        r#"select b.id as "boil: BoilId", b.lit_at as "lit_at: UtcSecond", f.finished_at as "finished_at?: UtcSecond"
        from boils b left join finishes f on f.boil_id = b.id
          and f.version = (select max(v.version) from finishes v where v.boil_id = b.id)
        where b.season_id in (select s.id from seasons s where not exists (select 1 from season_locks k
          where k.season_id = s.id and k.locked = 1 and k.number = (select max(x.number) from season_locks x where x.season_id = s.id)))
          and +b.pan_id = ?1 and (f.finished_at is null or f.finished_at >= ?2)
          and not exists (select 1 from closed_boils c where c.boil_id = b.id)
        order by b.lit_at, b.id"#,
        pan,
        since
    )
    .fetch_all(conn)
    .await?)
}

/// What is kept of a probe from `from` to `until`, both included, by time; nothing taken off.
pub async fn kept_between(
    conn: &mut Conn,
    id: ProbeId,
    from: UtcSecond,
    until: UtcSecond,
) -> Stored<Vec<TempAt>> {
    Ok(sqlx::query_as!(
        TempAt,
        r#"select at as "at: UtcSecond", celsius as "temp: Celsius" from probe_readings
        where probe_id = ?1 and at between ?2 and ?3 order by at"#,
        id,
        from,
        until
    )
    .fetch_all(conn)
    .await?)
}

/// What is kept of probes in a boil, by probe and time; nothing taken off.
pub fn kept_of_boil(boil: BoilId) -> Question<Vec<(ProbeId, TempAt)>> {
    question!(
        r#"select probe_id as "probe_id: ProbeId", at as "at: UtcSecond", celsius as "temp: Celsius" from probe_readings
        where boil_id = ?1 order by probe_id, at"#,
        boil
    )
    .map(|rows| {
        let read = |at, temp| TempAt { at, temp };
        let rows = rows.into_iter();
        rows.map(|r| (r.probe_id, read(r.at, r.temp))).collect()
    })
}

/// Keeps a reading of a probe.
pub async fn keep(
    conn: &mut Conn,
    id: ProbeId,
    boil: BoilId,
    read: TempAt,
    received: UtcSecond,
) -> Stored<()> {
    sqlx::query!(
        "insert into probe_readings (probe_id, at, boil_id, celsius, received_at) values (?1, ?2, ?3, ?4, ?5)",
        id,
        read.at,
        boil,
        read.temp,
        received
    )
    .execute(conn)
    .await?;
    Ok(())
}

/// The offsets of all probes, in order of time.
pub fn offsets() -> Question<Vec<(ProbeId, Offset)>> {
    question!(
        r#"select o.probe_id as "probe_id: ProbeId", o.at as "at: UtcSecond", o.celsius as "read: Celsius", o.water_c as "water: Celsius",
        o.measured as "measured: bool", m.name as "by_name: MemberName"
        from probes p cross join probe_offsets o on o.probe_id = p.id join members m on m.id = o.by_id order by o.at"#
    )
    .map(|rows| {
        let offset = rows.into_iter().map(|r| {
            let offset = Offset {
                at: r.at,
                read: r.read,
                water: r.water,
                measured: r.measured,
                by_name: r.by_name,
            };
            (r.probe_id, offset)
        });
        offset.collect()
    })
}

/// Notes what a probe showed in boiling water.
pub async fn insert_offset(
    conn: &mut Conn,
    id: ProbeId,
    read: TempAt,
    (water, measured): (Celsius, bool),
    by: MemberId,
) -> Stored<()> {
    sqlx::query!(
        "insert into probe_offsets (probe_id, at, celsius, water_c, measured, by_id) values (?1, ?2, ?3, ?4, ?5, ?6)",
        id,
        read.at,
        read.temp,
        water,
        measured,
        by
    )
    .execute(conn)
    .await?;
    Ok(())
}
