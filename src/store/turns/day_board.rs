//! A press day at a glance: its turns, tickets, waiting juices and boils, each with what the day's
//! page says of it. Reads only.

use crate::calc::physics::refractometer::Instrument;
use crate::store::Question;
use crate::store::question::question;
use crate::store::{StoreError, Stored};
use crate::units::{
    BrixRead, Celsius, ClockTime, Grams, JuiceId, LotCode, MemberId, MemberName, MinuteOfDay,
    Minutes, Phone, PressDate, PressDayId, SeasonId, TicketId, TurnId, UtcSecond,
};

/// A press day in the list of its season.
#[derive(Debug, Clone)]
pub struct DayLine {
    /// Civil date.
    pub date: PressDate,
    /// When the mill starts.
    pub opens: MinuteOfDay,
    /// When the mill stops.
    pub closes: MinuteOfDay,
    /// Remark.
    pub note: String,
    /// When it was closed; `None` while it takes turns and tickets.
    pub closed_at: Option<UtcSecond>,
    /// Turns held.
    pub turns: i64,
}

/// The press days of a season with their held turns, in order of date.
pub fn days(season: SeasonId) -> Question<Vec<DayLine>> {
    question!(
        DayLine,
        r#"select d.date as "date: PressDate", d.opens_min as "opens: MinuteOfDay",
        d.closes_min as "closes: MinuteOfDay", d.note, d.closed_at as "closed_at: UtcSecond",
        (select count(*) from turns b where b.press_day_id = d.id and b.state = 'held') as "turns!: i64"
        from press_days d where d.season_id = ?1 order by d.date"#,
        season
    )
}

/// A held turn.
#[derive(Debug, Clone)]
pub struct TurnLine {
    /// Id of the turn.
    pub id: TurnId,
    /// The member whose turn it is.
    pub member_id: MemberId,
    /// Their name.
    pub name: MemberName,
    /// Their telephone.
    pub phone: Phone,
    /// When it begins.
    pub start: ClockTime,
    /// Minutes for pressing and change-over.
    pub minutes: Minutes,
    /// Cane expected.
    pub cane: Grams,
    /// Remark.
    pub note: String,
    /// Number of its ticket, once the cane has come.
    pub ticket: Option<i64>,
    /// Id of that ticket.
    pub ticket_id: Option<TicketId>,
    /// When its member confirmed it.
    pub confirmed_at: Option<UtcSecond>,
    /// When the crew noted that nobody came.
    pub no_show_at: Option<UtcSecond>,
}

/// The held turns of a day, in order.
pub fn turns(day: PressDayId) -> Question<Vec<TurnLine>> {
    question!(
        TurnLine,
        r#"select b.id as "id: TurnId", b.member_id as "member_id: MemberId", m.name as "name: MemberName", m.phone as "phone: Phone",
        b.start_min + 1440 * b.start_again as "start!: ClockTime", b.minutes as "minutes: Minutes", b.cane_g as "cane: Grams",
        b.note, d.ticket as "ticket?: i64", d.id as "ticket_id?: TicketId",
        b.confirmed_at as "confirmed_at: UtcSecond", b.no_show_at as "no_show_at: UtcSecond"
        from turns b join members m on m.id = b.member_id
        left join tickets d on d.turn_id = b.id
        where b.press_day_id = ?1 and b.state = 'held' order by b.start_min, b.start_again"#,
        day
    )
}

/// A ticket.
#[derive(Debug, Clone)]
pub struct TicketLine {
    /// Id of the ticket.
    pub id: TicketId,
    /// Its number in the season.
    pub ticket: i64,
    /// The member whose cane it is.
    pub member_id: MemberId,
    /// Their name.
    pub name: MemberName,
    /// Whether it came without a turn.
    pub walk_in: bool,
    /// Loads that count.
    pub loads: i64,
    /// Loads crossed out.
    pub crossed_out: i64,
    /// Net weight of the loads that count.
    pub net: Grams,
    /// Vessels of juice noted.
    pub juices: i64,
    /// All of it crossed out, or gone home unpressed: it waits for nothing.
    pub dropped: bool,
}

/// The tickets of a day, by number.
pub fn tickets(day: PressDayId) -> Question<Vec<TicketLine>> {
    question!(
        TicketLine,
        r#"with latest as not materialized (select l.ticket_id, l.void, coalesce(l.net_g, l.gross_g - l.tare_g) as net_g from loads l
          where l.version = (select max(v.version) from loads v
            where v.ticket_id = l.ticket_id and v.number = l.number))
        select d.id as "id: TicketId", d.ticket, d.member_id as "member_id: MemberId",
        m.name as "name: MemberName", d.turn_id is null as "walk_in!: bool",
        (select count(*) from latest l where l.ticket_id = d.id and l.void = 0) as "loads!: i64",
        (select count(*) from latest l where l.ticket_id = d.id and l.void = 1) as "crossed_out!: i64",
        (select coalesce(sum(l.net_g), 0) from latest l
          where l.ticket_id = d.id and l.void = 0) as "net!: Grams",
        (select count(*) from pressed_tickets j where j.ticket_id = d.id) as "juices!: i64",
        exists (select 1 from dropped_tickets o where o.ticket_id = d.id) as "dropped!: bool"
        from tickets d join members m on m.id = d.member_id
        where d.press_day_id = ?1 order by d.ticket"#,
        day
    )
}

/// A juice that is not all in boils, with its measure in force.
#[derive(Debug, Clone)]
pub struct WaitingJuice {
    /// Id of the juice.
    pub id: JuiceId,
    /// The day it was pressed on.
    pub date: PressDate,
    /// Number of its ticket.
    pub ticket: i64,
    /// Name of the member whose juice it is.
    pub name: MemberName,
    /// Whether that member agrees to pooling.
    pub pools: bool,
    /// The vessel it stands in.
    pub vessel: String,
    /// When it was pressed: its waiting time counts from here.
    pub pressed_at: UtcSecond,
    /// Whether it was weighed; else `amount` is millilitres.
    pub weighed: bool,
    /// Everything in the vessel, g or mL.
    pub amount: i64,
    /// Drawn off as sediment, the same unit.
    pub sediment: i64,
    /// Temperature of the juice as measured.
    pub temp: Celsius,
    /// The instrument that its Brix was read with.
    pub instrument: Instrument,
    /// Brix as read, in order.
    pub readings: Vec<BrixRead>,
    /// Grams poured into boils so far.
    pub drawn: Grams,
    /// Grams spilt, spoilt or measured twice.
    pub lost: Grams,
}

struct JuiceRow {
    id: JuiceId,
    date: PressDate,
    ticket: i64,
    name: MemberName,
    pools: bool,
    vessel: String,
    pressed_at: UtcSecond,
    weighed: bool,
    amount: i64,
    sediment: i64,
    temp: Celsius,
    instrument: String,
    brix_1: BrixRead,
    brix_2: BrixRead,
    brix_3: Option<BrixRead>,
    drawn: Grams,
    lost: Grams,
}

impl JuiceRow {
    fn read(self) -> Stored<WaitingJuice> {
        let instrument =
            Instrument::parse(&self.instrument).ok_or_else(|| StoreError::Corrupt {
                what: "juice_measures.instrument",
                found: self.instrument.clone(),
            })?;
        Ok(WaitingJuice {
            id: self.id,
            date: self.date,
            ticket: self.ticket,
            name: self.name,
            pools: self.pools,
            vessel: self.vessel,
            pressed_at: self.pressed_at,
            weighed: self.weighed,
            amount: self.amount,
            sediment: self.sediment,
            temp: self.temp,
            instrument,
            readings: [Some(self.brix_1), Some(self.brix_2), self.brix_3]
                .into_iter()
                .flatten()
                .collect(),
            drawn: self.drawn,
            lost: self.lost,
        })
    }
}

/// The juices of a season that are not crossed out and were not wholly poured, oldest first.
pub fn waiting(season: SeasonId) -> Question<Vec<WaitingJuice>> {
    question!(JuiceRow,
        r#"with latest as not materialized (select r.juice_id, r.amount_g, r.whole from draws r
          where r.version = (select max(v.version) from draws v
            where v.boil_id = r.boil_id and v.juice_id = r.juice_id))
        select j.id as "id: JuiceId", p.date as "date: PressDate", d.ticket, m.name as "name: MemberName",
        m.pools as "pools: bool", e.name as vessel, coalesce(q.pressed_at, j.pressed_at) as "pressed_at!: UtcSecond",
        q.amount_kind = 'mass' as "weighed!: bool", q.amount, q.sediment, q.temp_c as "temp: Celsius",
        q.instrument, q.brix_1 as "brix_1: BrixRead", q.brix_2 as "brix_2: BrixRead",
        q.brix_3 as "brix_3: BrixRead",
        (select coalesce(sum(r.amount_g), 0) from latest r where r.juice_id = j.id) as "drawn!: Grams",
        (select coalesce(sum(l.amount_g), 0) from lost_juice l where l.juice_id = j.id) as "lost!: Grams"
        from juices j join tickets d on d.id = j.ticket_id
        join press_days p on p.id = d.press_day_id
        join members m on m.id = d.member_id
        join vessels e on e.id = j.vessel_id
        join juice_measures q on q.juice_id = j.id
          and q.version = (select max(v.version) from juice_measures v where v.juice_id = j.id)
        where d.season_id = ?1 and q.void = 0
          and not exists (select 1 from latest r where r.juice_id = j.id and r.whole = 1)
        order by coalesce(q.pressed_at, j.pressed_at), d.ticket"#,
        season).try_map(|rows| rows.into_iter().map(JuiceRow::read).collect())
}

/// A boil.
#[derive(Debug, Clone)]
pub struct BoilLine {
    /// Its lot code.
    pub lot: LotCode,
    /// When it was lit.
    pub lit_at: UtcSecond,
    /// The cook.
    pub cook: MemberName,
    /// The only member whose juice is in it; `None`: a pooled boil.
    pub solo: Option<MemberName>,
    /// Juices poured into it.
    pub juices: i64,
    /// Whether its syrup was drawn off.
    pub finished: bool,
    /// Whether it was divided, or lost whole.
    pub divided: bool,
    /// Whether it was lost whole.
    pub lost: bool,
}

/// The boils lit on a day, in order.
pub fn boils(day: PressDayId) -> Question<Vec<BoilLine>> {
    question!(
        BoilLine,
        r#"select b.lot_code as "lot: LotCode", b.lit_at as "lit_at: UtcSecond", c.name as "cook: MemberName",
        s.name as "solo?: MemberName",
        (select count(*) from draws r where r.boil_id = b.id and (r.amount_g > 0 or r.whole = 1)
          and r.version = (select max(v.version) from draws v
            where v.boil_id = r.boil_id and v.juice_id = r.juice_id)) as "juices!: i64",
        exists (select 1 from finishes f where f.boil_id = b.id) as "finished!: bool",
        exists (select 1 from closed_boils x where x.boil_id = b.id) as "divided!: bool",
        exists (select 1 from counted_losses l where l.boil_id = b.id and l.whole = 1) as "lost!: bool"
        from boils b join members c on c.id = b.cook_id
        left join members s on s.id = b.solo_member_id
        where b.press_day_id = ?1 order by b.lit_at, b.lot_code"#,
        day
    )
}
