//! A ticket with all that belongs to it, and what weighing in is decided from.

use super::mill::scales_in_use;
use super::yields::{self, Yields};
use crate::calc::cane::morning::may_open_ticket;
use crate::calc::cane::tickets::Condition;
use crate::calc::cane::went_home::GoneHome;
use crate::facts::came_by::CameBy;
use crate::facts::rules_versions;
use crate::store::cane::juice::{self, Drawn, JuiceRow};
use crate::store::cane::mill::Scale;
use crate::store::cane::morning;
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::cane::trash::{self, SampleRow};
use crate::store::cane::weigh_in::{self, Turn};
use crate::store::cane::yard::{self, KnownTare, TicketEnd, TicketMove};
use crate::store::people::members::{self, MemberLine};
use crate::store::people::stations;
use crate::store::season::seasons::Rules;
use crate::store::sent_from_phone::SentRow;
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Question, StoreError, Stored, Together};
use crate::units::{Grams, LotCode, MemberId, PressDate, ScaleId, TicketId, UtcSecond, Zone};

/// A press day on which cane is weighed in.
#[derive(Debug)]
pub struct WeighIn {
    /// The press day.
    pub day: PressDay,
    /// The scales in use.
    pub scales: Vec<Scale>,
    /// Turns that are held and not weighed in yet.
    pub waiting: Vec<Turn>,
    /// All members, for who comes without a turn.
    pub members: Vec<MemberLine>,
    /// The scale that the day's last load was weighed on, else the only one.
    pub scale: Option<ScaleId>,
    /// Tares of whoever holds a turn still to come, and of the mill's trailers.
    pub tares: Vec<KnownTare>,
    /// Tares of everybody else, for who comes without a turn.
    pub others: Vec<KnownTare>,
    /// The opening checks are done or waived.
    pub opened: bool,
    /// The rules that hold on the day, or would come next.
    pub rules: Rules,
}

impl WeighIn {
    /// Reads a press day; nothing when there is none on that date.
    pub async fn read(conn: &mut Conn, date: PressDate) -> Stored<Option<Self>> {
        let Some(day) = press_days::of_date(date).ask(conn).await? else {
            return Ok(None);
        };
        let found = (
            morning::done_or_waived(day.id),
            scales_in_use(),
            weigh_in::last_scale(day.id),
            yard::tares_of_turns(day.id),
            (yard::trailers(), yard::tares_of_others()).together(),
            (
                weigh_in::turns_waiting(day.id),
                rules_versions::on(day.season_id, day.date),
            )
                .together(),
            members::list(),
        );
        let (checked, scales, last, own, (trailers, mut others), (waiting, rules), members) =
            found.together().ask(conn).await?;
        others.retain(|o| !waiting.iter().any(|turn| turn.member_id == o.member_id));
        Ok(Some(Self {
            scale: match scales.as_slice() {
                [only] => Some(only.id),
                all => last.filter(|id| all.iter().any(|s| s.id == *id)),
            },
            scales,
            tares: known_tares(own, trailers),
            others,
            waiting,
            members,
            opened: may_open_ticket(&checked).is_ok(),
            rules,
            day,
        }))
    }
}

/// A ticket of a press day that stands on a phone only: its id is nought, and whose cane it is the phone knows.
pub async fn ticket_of_phone(conn: &mut Conn, day: &PressDay, by: MemberId) -> Stored<Ticket> {
    let name = members::find(by).ask(conn).await?.map(|m| m.name);
    let name = name.ok_or(StoreError::Corrupt {
        what: "members.id",
        found: by.to_string(),
    })?;
    Ok(Ticket {
        id: TicketId::new(uuid::Uuid::nil()),
        season_id: day.season_id,
        ticket: 0,
        press_day_id: day.id,
        date: day.date,
        member_id: by,
        member_name: name.clone(),
        turn_id: None,
        cut_at: None,
        condition: Condition::default(),
        note: String::new(),
        made_by_name: name,
        made_at: UtcSecond::new(0),
    })
}

/// Tares to tap: of each member the last three that differ, and every trailer that has a name once more for all.
pub fn known_tares(own: Vec<KnownTare>, trailers: Vec<KnownTare>) -> Vec<KnownTare> {
    let mut out: Vec<KnownTare> = Vec::new();
    for tare in own {
        let of_member = out.iter().filter(|t| t.member_id == tare.member_id);
        if of_member.count() < 3 && tare.tare > Grams::ZERO {
            out.push(tare);
        }
    }
    for trailer in trailers {
        let stands = |t: &KnownTare| t.trailer == trailer.trailer && t.tare == trailer.tare;
        if !out.iter().any(stands) {
            out.push(trailer);
        }
    }
    out
}

impl TicketEnd {
    /// How the ticket stands closed as gone home; nothing: that was taken back.
    pub fn gone_home(&self, zone: &Zone) -> Option<GoneHome> {
        self.unpressed.then(|| GoneHome {
            by: self.by_name.to_string(),
            at: zone.show(self.at),
            went: self.went.clone(),
        })
    }
}

/// A ticket with all that belongs to it.
#[derive(Debug)]
pub struct FullTicket {
    /// The ticket.
    pub ticket: Ticket,
    /// All versions of its loads: by number, latest version first.
    pub loads: Vec<LoadRow>,
    /// Its juices with what was drawn from each, those poured away last.
    pub juices: Vec<(JuiceRow, Drawn)>,
    /// Juice per 100 of its cane.
    pub yields: Yields,
    /// The divided lot that its juice is in: its weighings are closed then.
    pub divided: Option<LotCode>,
    /// How it ended without juice, as said last, if it did.
    pub end: Option<TicketEnd>,
    /// Moves of the ticket from one member to another, the last first.
    pub moves: Vec<TicketMove>,
    /// The versions of its sample, latest first.
    pub samples: Vec<SampleRow>,
    /// The rules in force.
    pub rules: Rules,
    /// Entries of it that phones kept before sending them.
    pub sent: Vec<SentRow>,
    /// Entries of it made at the mill's own station.
    pub at_station: Vec<stations::SentRow>,
}

impl FullTicket {
    /// Reads all that belongs to a ticket.
    pub fn of(ticket: Ticket) -> Question<Self> {
        let id = ticket.id;
        let juices = (
            juice::of_ticket(id),
            juice::voids_of_ticket(id),
            juice::drawn_of_ticket(id),
        );
        let ends = (yard::end_of(id), yard::moves(id), trash::versions(id));
        let found = (
            rules_versions::on(ticket.season_id, ticket.date),
            tickets::loads(id),
            juices.together(),
            yields::of_season(ticket.season_id),
            tickets::divided_lot(id),
            ends.together(),
            CameBy::of(&id.to_string()),
        );
        let found = found.together();
        found.map(|(rules, loads, juices, season, divided, ends, came)| {
            let (mut rows, voids, drawn) = juices;
            rows.extend(voids);
            let of = |row: &JuiceRow| drawn.get(&row.id).copied().unwrap_or_default();
            let (end, moves, samples) = ends;
            Self {
                loads,
                juices: rows
                    .into_iter()
                    .map(|row| {
                        let drawn = of(&row);
                        (row, drawn)
                    })
                    .collect(),
                yields: Yields::of(&season, &ticket, &rules),
                divided,
                end,
                moves,
                samples,
                sent: came.phones,
                at_station: came.stations,
                ticket,
                rules,
            }
        })
    }
}
