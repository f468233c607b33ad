//! Tickets: the tickets, and every version of every load weighed on them.

use crate::calc::cane::scale::Net;
use crate::calc::cane::tickets::Condition;
use crate::store::Question;
use crate::store::question::{change, question};
use crate::units::{
    Grams, LotCode, MemberId, MemberName, Pounds, PressDate, PressDayId, ScaleId, SeasonId,
    TicketId, TurnId, UtcSecond,
};

pub use super::loads::{LoadRow, loads, loads_of};

/// A ticket: one member's cane on one press day.
#[derive(Debug, Clone)]
pub struct Ticket {
    /// Id of the ticket.
    pub id: TicketId,
    /// The season.
    pub season_id: SeasonId,
    /// Number in the season; gaps are named on the page of the day.
    pub ticket: i64,
    /// The press day.
    pub press_day_id: PressDayId,
    /// That day's date.
    pub date: PressDate,
    /// The member whose cane it is.
    pub member_id: MemberId,
    /// That member's name.
    pub member_name: MemberName,
    /// The turn it was weighed in for; `None`: walked in.
    pub turn_id: Option<TurnId>,
    /// When the cane was cut; `None`: not known.
    pub cut_at: Option<UtcSecond>,
    /// What was seen of the cane when it came.
    pub condition: Condition,
    /// Remark.
    pub note: String,
    /// Name of who opened the ticket.
    pub made_by_name: MemberName,
    /// When the ticket was opened.
    pub made_at: UtcSecond,
}

/// A new ticket to be written.
#[derive(Debug, Clone)]
pub struct NewTicketRow {
    /// Id of the ticket.
    pub id: TicketId,
    /// The season.
    pub season_id: SeasonId,
    /// Number, from [`next_ticket`] in the same transaction.
    pub ticket: i64,
    /// The press day.
    pub press_day_id: PressDayId,
    /// The member whose cane it is.
    pub member_id: MemberId,
    /// The turn, unless walked in.
    pub turn_id: Option<TurnId>,
    /// When the cane was cut, if that is known.
    pub cut_at: Option<UtcSecond>,
    /// What was seen of the cane when it came.
    pub condition: Condition,
    /// Remark.
    pub note: String,
}

/// A load to be written.
#[derive(Debug, Clone, Copy)]
pub struct NewLoadRow<'a> {
    /// Its ticket.
    pub ticket_id: TicketId,
    /// Number on the ticket.
    pub number: i64,
    /// Version of the load, from 1.
    pub version: i64,
    /// The scale.
    pub scale: ScaleId,
    /// Its graduation, g.
    pub graduation_g: f64,
    /// Weight with the cane on the trailer.
    pub gross: Grams,
    /// Weight of the empty trailer.
    pub tare: Grams,
    /// Net cane that counts.
    pub net: Net,
    /// Name of the trailer; empty: none.
    pub trailer: &'a str,
    /// Whether it is crossed out.
    pub void: bool,
    /// Why it is corrected; empty in the first version.
    pub why: &'a str,
    /// The member who weighs or corrects it.
    pub by: MemberId,
    /// When it is written down.
    pub at: UtcSecond,
    /// When it was on the scale; `None`: just now.
    pub weighed_at: Option<UtcSecond>,
}

/// Net cane of one ticket.
#[derive(Debug, Clone, Copy)]
pub struct CaneRow {
    /// The ticket.
    pub ticket_id: TicketId,
    /// Its press day.
    pub press_day_id: PressDayId,
    /// Sum of its loads that count.
    pub net: Grams,
}

/// A ticket as its columns have it.
struct TicketColumns {
    id: TicketId,
    season_id: SeasonId,
    ticket: i64,
    press_day_id: PressDayId,
    date: PressDate,
    member_id: MemberId,
    member_name: MemberName,
    turn_id: Option<TurnId>,
    cut_at: Option<UtcSecond>,
    stripped: Option<bool>,
    headed: Option<bool>,
    clean: Option<bool>,
    frosted: Option<bool>,
    note: String,
    made_by_name: MemberName,
    made_at: UtcSecond,
}

impl TicketColumns {
    fn read(self) -> Ticket {
        Ticket {
            id: self.id,
            season_id: self.season_id,
            ticket: self.ticket,
            press_day_id: self.press_day_id,
            date: self.date,
            member_id: self.member_id,
            member_name: self.member_name,
            turn_id: self.turn_id,
            cut_at: self.cut_at,
            condition: Condition {
                stripped: self.stripped,
                headed: self.headed,
                clean: self.clean,
                frosted: self.frosted,
            },
            note: self.note,
            made_by_name: self.made_by_name,
            made_at: self.made_at,
        }
    }
}

macro_rules! tickets {
    ($rest:tt, $($bound:expr),*) => {
        question!(
            TicketColumns,
            r#"select d.id as "id: TicketId", d.season_id as "season_id: SeasonId", d.ticket,
            d.press_day_id as "press_day_id: PressDayId", p.date as "date: PressDate",
            d.member_id as "member_id: MemberId",
            coalesce((select n.name from member_names n where n.member_id = d.member_id and n.at <= d.made_at
              order by n.version desc limit 1), m.name) as "member_name!: MemberName",
            d.turn_id as "turn_id: TurnId", d.cut_at as "cut_at: UtcSecond",
            case when d.stripped_said then d.stripped end as "stripped: bool",
            case when d.headed_said then d.headed end as "headed: bool",
            case when d.clean_said then d.clean end as "clean: bool",
            case when d.frosted_said then d.frosted end as "frosted: bool",
            d.note, b.name as "made_by_name: MemberName", d.made_at as "made_at: UtcSecond"
            from tickets d join press_days p on p.id = d.press_day_id join members m on m.id = d.member_id
            join members b on b.id = d.made_by where "#
                + $rest,
            $($bound),*
        )
        .map(|rows| rows.into_iter().map(TicketColumns::read).collect::<Vec<_>>())
    };
}

/// The ticket with this id.
pub fn find(id: TicketId) -> Question<Option<Ticket>> {
    tickets!("d.id = ?1", id).first()
}

/// The ticket of a turn, if it was weighed in.
pub fn of_turn(turn: TurnId) -> Question<Option<Ticket>> {
    tickets!("d.turn_id = ?1", turn).first()
}

/// The tickets of a press day, by number.
pub fn of_day(day: PressDayId) -> Question<Vec<Ticket>> {
    tickets!("d.press_day_id = ?1 order by d.ticket", day)
}

/// A member's tickets of a season, by number.
pub fn of_season_member(season: SeasonId, member: MemberId) -> Question<Vec<Ticket>> {
    tickets!(
        "d.season_id = ?1 and d.member_id = ?2 order by d.ticket",
        season,
        member
    )
}

/// The next ticket number of a season: one above the last that a ticket bears, a phone holds, or a file gave that a backup was put
/// in the place of.
pub fn next_ticket(season: SeasonId) -> Question<i64> {
    question!(
        r#"select max((select coalesce(max(ticket), 0) from tickets where season_id = ?1),
        (select coalesce(max(number), 0) from ticket_numbers where season_id = ?1),
        coalesce((select g.given from restore_gaps g where g.what = 'tickets'
          and g.year = (select s.year from seasons s where s.id = ?1) order by g.restore desc limit 1), 0)) + 1 as "number!: i64""#,
        season
    )
    .one()
    .map(|row| row.number)
}

/// Adds a ticket.
pub fn insert(d: &NewTicketRow, by: MemberId, at: UtcSecond) -> Question<()> {
    change!(
        r"insert into tickets (id, season_id, ticket, press_day_id, member_id, turn_id, cut_at,
        stripped, headed, clean, frosted, note, made_by, made_at,
        stripped_said, headed_said, clean_said, frosted_said)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, coalesce(?8, 0), coalesce(?9, 0), coalesce(?10, 0), coalesce(?11, 0),
        ?12, ?13, ?14, ?8 is not null, ?9 is not null, ?10 is not null, ?11 is not null)",
        d.id,
        d.season_id,
        d.ticket,
        d.press_day_id,
        d.member_id,
        d.turn_id,
        d.cut_at,
        d.condition.stripped,
        d.condition.headed,
        d.condition.clean,
        d.condition.frosted,
        d.note,
        by,
        at
    )
}

/// Whether a ticket of a season bears this number.
pub fn number_taken(season: SeasonId, number: i64) -> Question<bool> {
    question!(r#"select exists (select 1 from tickets where season_id = ?1 and ticket = ?2) as "taken!: bool""#,
        season,
        number).one().map(|row| row.taken)
}

/// Writes a version of a load.
pub fn insert_load(l: &NewLoadRow<'_>) -> Question<()> {
    change!(
        r"insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, void, why,
        by_id, at, weighed_at, trailer, net_g, net_lb)
        values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)",
        l.ticket_id,
        l.number,
        l.version,
        l.scale,
        l.graduation_g,
        l.gross,
        l.tare,
        l.void,
        l.why,
        l.by,
        l.at,
        l.weighed_at,
        l.trailer,
        l.net.grams,
        l.net.lb
    )
}

/// Net cane of a ticket: its loads in their latest versions, without those crossed out.
pub fn net(ticket: TicketId) -> Question<Grams> {
    question!(r#"select coalesce(sum(coalesce(l.net_g, l.gross_g - l.tare_g)), 0) as "net!: Grams" from loads l
        where l.ticket_id = ?1 and l.void = 0 and l.version = (select max(x.version) from loads x
        where x.ticket_id = l.ticket_id and x.number = l.number)"#,
        ticket).one().map(|row| row.net)
}

/// Net cane of a ticket in pounds, when every load that counts was read in pounds.
pub fn net_lb(ticket: TicketId) -> Question<Option<Pounds>> {
    question!(r#"select case when count(*) = count(l.net_lb) then sum(l.net_lb) end as "lb: Pounds" from loads l
        where l.ticket_id = ?1 and l.void = 0 and l.version = (select max(x.version) from loads x
        where x.ticket_id = l.ticket_id and x.number = l.number)"#,
        ticket).one().map(|row| row.lb)
}

/// Net cane of every ticket of a season that has any, by ticket number.
pub fn nets(season: SeasonId) -> Question<Vec<CaneRow>> {
    question!(
        CaneRow,
        r#"select d.id as "ticket_id!: TicketId", d.press_day_id as "press_day_id!: PressDayId",
        sum(coalesce(l.net_g, l.gross_g - l.tare_g)) as "net!: Grams" from tickets d join loads l on l.ticket_id = d.id
        where d.season_id = ?1 and l.void = 0 and l.version = (select max(x.version) from loads x
        where x.ticket_id = l.ticket_id and x.number = l.number)
        group by d.id order by d.ticket"#,
        season
    )
}

/// The lot code of a divided boil that this ticket's juice is in, if there is one: its weighings
/// are closed then.
pub fn divided_lot(ticket: TicketId) -> Question<Option<LotCode>> {
    question!(r#"select b.lot_code as "lot: LotCode" from juices j join draws r on r.juice_id = j.id
        join closed_boils v on v.boil_id = r.boil_id join boils b on b.id = r.boil_id
        where j.ticket_id = ?1 and (r.amount_g > 0 or r.whole = 1) and r.version =
        (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id) limit 1"#,
        ticket).first().map(|row| row.map(|row| row.lot))
}

/// The lot code of a divided boil that counted this ticket's cane, for the split or for a fee, if
/// there is one: all of the cane was laid on the juice measured until then.
pub fn cane_counted_lot(ticket: TicketId) -> Question<Option<LotCode>> {
    question!(r#"select b.lot_code as "lot: LotCode" from juices j join draws r on r.juice_id = j.id
        join divisions v on v.boil_id = r.boil_id join boils b on b.id = r.boil_id
        join rules_of_boils ro on ro.boil_id = b.id join season_rules s on s.id = ro.rules_id
        where j.ticket_id = ?1 and (s.basis = 'cane_mass' or s.cane_mc > 0)
        and (r.amount_g > 0 or r.whole = 1) and r.version =
        (select max(x.version) from draws x where x.boil_id = r.boil_id and x.juice_id = r.juice_id) limit 1"#,
        ticket).first().map(|row| row.map(|row| row.lot))
}
