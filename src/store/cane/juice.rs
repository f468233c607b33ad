//! Juices: what one ticket gave, in one vessel, and every version of what was measured of it.

pub use super::drawn::{Drawn, drawn, drawn_of_day, drawn_of_season, drawn_of_ticket};
use crate::calc::{cane::juice::Amount, physics::refractometer::Instrument};
use crate::store::Question;
use crate::store::question::{change, question};
use crate::store::{StoreError, Stored};
use crate::units::{
    BrixRead, Celsius, Grams, JuiceId, MemberId, MemberName, Millilitres, PressDayId, SeasonId,
    TicketId, UtcSecond, VesselId,
};

/// A juice as one version of its measuring has it.
#[derive(Debug, Clone)]
pub struct JuiceRow {
    /// Id of the juice.
    pub id: JuiceId,
    /// The ticket it was pressed from.
    pub ticket_id: TicketId,
    /// Number of that ticket in the season.
    pub ticket: i64,
    /// The member whose juice it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member_name: MemberName,
    /// Whether that member agrees, today, to boil together with others.
    pub pools: bool,
    /// The press day.
    pub press_day_id: PressDayId,
    /// The season.
    pub season_id: SeasonId,
    /// Name of the vessel it stands in.
    pub vessel: String,
    /// Id of that vessel.
    pub vessel_id: VesselId,
    /// When it was pressed: its clock starts here.
    pub pressed_at: UtcSecond,
    /// Version of the measuring, from 1.
    pub version: i64,
    /// All of it, sediment and all; a volume is at `temp`.
    pub amount: Amount,
    /// Sediment drawn off, in the same kind; `None` when nothing was.
    pub sediment: Option<Amount>,
    /// Temperature of the juice as measured.
    pub temp: Celsius,
    /// The instrument that its Brix was read with.
    pub instrument: Instrument,
    /// Two or three readings, in the order taken.
    pub readings: Vec<BrixRead>,
    /// Whether it was poured away, or never was.
    pub void: bool,
    /// The member who measured it.
    pub by: MemberId,
    /// That person's name.
    pub by_name: MemberName,
    /// Who typed it in, when it was written on paper first.
    pub typed_by: Option<MemberName>,
    /// When this version was written.
    pub at: UtcSecond,
    /// Why it was corrected; empty for the first version.
    pub why: String,
    /// The second person's reading of it, if there is one.
    pub again: Option<Box<SecondReading>>,
}

/// The reading of a juice by a second person.
#[derive(Debug, Clone)]
pub struct SecondReading {
    /// Brix as read.
    pub brix: BrixRead,
    /// Temperature of the drop.
    pub temp: Celsius,
    /// The instrument that it was read with.
    pub instrument: Instrument,
    /// Name of who read it.
    pub by_name: MemberName,
}

struct JuiceColumns {
    id: JuiceId,
    ticket_id: TicketId,
    ticket: i64,
    member_id: MemberId,
    member_name: MemberName,
    pools: bool,
    press_day_id: PressDayId,
    season_id: SeasonId,
    vessel: String,
    vessel_id: VesselId,
    pressed_at: UtcSecond,
    version: i64,
    amount_kind: String,
    amount: i64,
    sediment: i64,
    temp: Celsius,
    instrument: String,
    brix_1: BrixRead,
    brix_2: BrixRead,
    brix_3: Option<BrixRead>,
    void: bool,
    by: MemberId,
    by_name: MemberName,
    typed_by: Option<MemberName>,
    at: UtcSecond,
    why: String,
    again_brix: Option<BrixRead>,
    again_temp: Option<Celsius>,
    again_instrument: Option<String>,
    again_name: Option<MemberName>,
}

/// The instrument that a stored word stands for.
fn instrument(word: &str, what: &'static str) -> Stored<Instrument> {
    Instrument::parse(word).ok_or_else(|| StoreError::Corrupt {
        what,
        found: word.to_owned(),
    })
}

impl JuiceColumns {
    fn again(&self) -> Stored<Option<SecondReading>> {
        let (Some(brix), Some(temp), Some(word), Some(by_name)) = (
            self.again_brix,
            self.again_temp,
            &self.again_instrument,
            &self.again_name,
        ) else {
            return Ok(None);
        };
        Ok(Some(SecondReading {
            brix,
            temp,
            instrument: instrument(word, "second_readings.instrument")?,
            by_name: by_name.clone(),
        }))
    }

    fn read(self) -> Stored<JuiceRow> {
        let amount = |n: i64| match self.amount_kind.as_str() {
            "mass" => Ok(Amount::Weight(Grams::new(n))),
            "volume" => Ok(Amount::Volume(Millilitres::new(n), self.temp)),
            other => Err(StoreError::Corrupt {
                what: "juice_measures.amount_kind",
                found: other.to_owned(),
            }),
        };
        let sediment = match self.sediment {
            0 => None,
            n => Some(amount(n)?),
        };
        let amount = amount(self.amount)?;
        let instrument = instrument(&self.instrument, "juice_measures.instrument")?;
        let again = self.again()?.map(Box::new);
        let mut readings = vec![self.brix_1, self.brix_2];
        readings.extend(self.brix_3);
        Ok(JuiceRow {
            id: self.id,
            ticket_id: self.ticket_id,
            ticket: self.ticket,
            member_id: self.member_id,
            member_name: self.member_name,
            pools: self.pools,
            press_day_id: self.press_day_id,
            season_id: self.season_id,
            vessel: self.vessel,
            vessel_id: self.vessel_id,
            pressed_at: self.pressed_at,
            version: self.version,
            amount,
            sediment,
            temp: self.temp,
            instrument,
            readings,
            void: self.void,
            by: self.by,
            by_name: self.by_name,
            typed_by: self.typed_by,
            at: self.at,
            why: self.why,
            again,
        })
    }
}
/// Juices with their measures; what follows `where` is the caller’s.
macro_rules! juices {
    ($rest:tt, $($bound:expr),*) => {
        question!(
            JuiceColumns,
            r#"select j.id as "id: JuiceId", j.ticket_id as "ticket_id: TicketId", d.ticket,
            d.member_id as "member_id: MemberId", m.name as "member_name: MemberName", m.pools as "pools: bool",
            d.press_day_id as "press_day_id: PressDayId", d.season_id as "season_id: SeasonId",
            v.name as vessel, j.vessel_id as "vessel_id: VesselId", coalesce(x.pressed_at, j.pressed_at) as "pressed_at!: UtcSecond",
            x.version, x.amount_kind, x.amount, x.sediment, x.temp_c as "temp: Celsius", x.instrument,
            x.brix_1 as "brix_1: BrixRead", x.brix_2 as "brix_2: BrixRead", x.brix_3 as "brix_3: BrixRead",
            x.void as "void: bool", x.by_id as "by: MemberId", b.name as "by_name: MemberName",
            (select m.name from typed_in y join members m on m.id = y.typed_by where y.record = j.id
              and y.typed_at = x.at limit 1) as "typed_by?: MemberName", x.at as "at: UtcSecond", x.why,
            s.brix as "again_brix?: BrixRead", s.temp_c as "again_temp?: Celsius", s.instrument as "again_instrument?",
            t.name as "again_name?: MemberName"
            from juices j join tickets d on d.id = j.ticket_id join members m on m.id = d.member_id
            join vessels v on v.id = j.vessel_id join juice_measures x on x.juice_id = j.id
            join members b on b.id = x.by_id left join second_readings s on s.juice_id = j.id
            and s.number = (select max(z.number) from second_readings z where z.juice_id = j.id)
            left join members t on t.id = s.by_id where "#
                + $rest,
            $($bound),*
        )
        .try_map(|rows| rows.into_iter().map(JuiceColumns::read).collect::<Stored<Vec<JuiceRow>>>())
    };
}

/// The latest version of a juice, poured away or not.
pub fn find(id: JuiceId) -> Question<Option<JuiceRow>> {
    juices!("j.id = ?1 order by x.version desc limit 1", id).first()
}

/// The latest versions of all juices that the boils of a JSON array of ids hold any of, poured away or not.
pub fn of_boils(boils: &str) -> Question<Vec<JuiceRow>> {
    juices!(
        "j.id in (select y.juice_id from draws y where y.boil_id in (select value from json_each(?1)))
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)",
        boils
    )
}

/// All versions of a juice, latest first.
pub fn versions(id: JuiceId) -> Question<Vec<JuiceRow>> {
    juices!("j.id = ?1 order by x.version desc", id)
}

/// The juices of a ticket in their latest versions, in order of pressing; none poured away.
pub fn of_ticket(ticket: TicketId) -> Question<Vec<JuiceRow>> {
    juices!(
        "j.ticket_id = ?1 and x.void = 0
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)
        order by coalesce(x.pressed_at, j.pressed_at), j.id",
        ticket
    )
}

/// The juices of the tickets of a JSON array of ids in their latest versions; none poured away.
pub fn of_tickets(tickets: &str) -> Question<Vec<JuiceRow>> {
    juices!(
        "j.ticket_id in (select value from json_each(?1)) and x.void = 0
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)
        order by coalesce(x.pressed_at, j.pressed_at), j.id",
        tickets
    )
}

/// The juices of a press day in their latest versions, in order of pressing; none poured away.
pub fn of_day(day: PressDayId) -> Question<Vec<JuiceRow>> {
    juices!(
        "d.press_day_id = ?1 and x.void = 0
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)
        order by coalesce(x.pressed_at, j.pressed_at), j.id",
        day
    )
}

/// The juices of a press day that were pressed last, at most `many`, in their latest versions, in order of pressing; none
/// poured away.
pub fn last_of_day(day: PressDayId, many: i64) -> Question<Vec<JuiceRow>> {
    juices!(
        "j.id in (select o.id from tickets q join juices o on o.ticket_id = q.id where q.press_day_id = ?1
          order by o.pressed_at desc limit ?2) and x.void = 0
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)
        order by coalesce(x.pressed_at, j.pressed_at), j.id",
        day,
        many
    )
}

/// A member's juices of a season in their latest versions, in order of pressing; none poured away.
pub fn of_season_member(season: SeasonId, member: MemberId) -> Question<Vec<JuiceRow>> {
    juices!(
        "d.season_id = ?1 and d.member_id = ?2 and x.void = 0
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)
        order by coalesce(x.pressed_at, j.pressed_at), j.id",
        season,
        member
    )
}

/// All juices of a season in their latest versions, in order of pressing; none poured away.
pub fn of_season(season: SeasonId) -> Question<Vec<JuiceRow>> {
    juices!(
        "d.season_id = ?1 and x.void = 0
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)
        order by coalesce(x.pressed_at, j.pressed_at), j.id",
        season
    )
}

/// The juices last put into a vessel, latest first, in their latest versions; none poured away.
pub fn of_vessel(vessel: VesselId) -> Question<Vec<JuiceRow>> {
    // The latest forty by the index: a vessel is filled a thousand times in its life.
    juices!(
        "j.id in (select o.id from juices o where o.vessel_id = ?1 order by o.pressed_at desc limit 40) and x.void = 0
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)
        order by coalesce(x.pressed_at, j.pressed_at) desc, j.id desc limit 20",
        vessel
    )
}

/// A ticket's juices that were poured away, in their latest versions.
pub fn voids_of_ticket(ticket: TicketId) -> Question<Vec<JuiceRow>> {
    juices!(
        "j.ticket_id = ?1 and x.void = 1
        and x.version = (select max(y.version) from juice_measures y where y.juice_id = j.id)
        order by coalesce(x.pressed_at, j.pressed_at), j.id",
        ticket
    )
}

/// A juice to be written.
#[derive(Debug, Clone, Copy)]
pub struct NewJuiceRow {
    /// Id of the juice.
    pub id: JuiceId,
    /// Its ticket.
    pub ticket_id: TicketId,
    /// Its vessel.
    pub vessel: VesselId,
    /// When it was pressed.
    pub pressed_at: UtcSecond,
}

/// Adds a juice; its first measure follows in the same transaction.
pub fn insert(j: &NewJuiceRow, by: MemberId, at: UtcSecond) -> Question<()> {
    change!(
        r"insert into juices (id, ticket_id, vessel_id, pressed_at, made_by, made_at)
        values (?1, ?2, ?3, ?4, ?5, ?6)",
        j.id,
        j.ticket_id,
        j.vessel,
        j.pressed_at,
        by,
        at
    )
}

/// One version of a juice's measuring, to be written.
#[derive(Debug, Clone, Copy)]
pub struct NewMeasure<'a> {
    /// The juice.
    pub juice: JuiceId,
    /// Version of the measuring, from 1.
    pub version: i64,
    /// Amount of all the juice, sediment included.
    pub amount: Amount,
    /// Sediment drawn off, in the same kind.
    pub sediment: Option<Amount>,
    /// Temperature of the juice as measured.
    pub temp: Celsius,
    /// The instrument that its Brix was read with.
    pub instrument: Instrument,
    /// First reading, second, and a third if there was one.
    pub readings: (BrixRead, BrixRead, Option<BrixRead>),
    /// When it was pressed; `None`: as first written down.
    pub pressed_at: Option<UtcSecond>,
    /// Whether the juice was poured away.
    pub void: bool,
    /// Why it was corrected.
    pub why: &'a str,
    /// The member who measured or corrected it.
    pub by: MemberId,
    /// When it is written.
    pub at: UtcSecond,
}

/// Writes a version of a juice's measuring.
pub fn insert_measure(m: &NewMeasure<'_>) -> Question<()> {
    let number = |amount: Amount| match amount {
        Amount::Weight(g) => g.get(),
        Amount::Volume(ml, _) => ml.get(),
    };
    let kind = match m.amount {
        Amount::Weight(_) => "mass",
        Amount::Volume(..) => "volume",
    };
    let (amount, sediment) = (number(m.amount), m.sediment.map_or(0, number));
    let instrument = m.instrument.word();
    let (first, second, third) = m.readings;
    change!(
        r"insert into juice_measures (juice_id, version, amount_kind, amount, sediment, temp_c, instrument,
        brix_1, brix_2, brix_3, void, why, by_id, at, pressed_at)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)",
        m.juice,
        m.version,
        kind,
        amount,
        sediment,
        m.temp,
        instrument,
        first,
        second,
        third,
        m.void,
        m.why,
        m.by,
        m.at,
        m.pressed_at
    )
}
