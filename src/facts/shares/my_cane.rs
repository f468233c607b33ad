//! Where a member's cane is: each ticket of a season with the boils it went into, and the member's
//! part of one boil.

use crate::calc::shares::cane_way::Strand;
use crate::calc::shares::my_cane::{CaneMarks, CaneState, LotMarks, LotState, Step};
use crate::facts::boil::boil_sums::{self, Stocked};
use crate::facts::boil::boils::Boil;
use crate::facts::shares::cane_way::OnTheWay;
use crate::facts::turns::queue::Abouts;
use crate::store::boil::boils::{self, BoilRow, DrawRow};
use crate::store::cane::juice;
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::cane::weigh_in;
use crate::store::people::members;
use crate::store::shares::divisions;
use crate::store::shares::hand_overs::{self, AsideRow, HandOverJar};
use crate::store::{Conn, Stored};
use crate::units::{BoilId, Grams, JuiceId, MemberId, MemberName, SeasonId, UtcSecond, Zone};
use std::collections::BTreeSet;

/// The cane of one ticket.
#[derive(Debug, Clone)]
pub struct MyTicket {
    /// The ticket.
    pub ticket: Ticket,
    /// Its cane, net.
    pub net: Grams,
    /// What was written down of it.
    pub marks: CaneMarks,
    /// Its juices that count, in order of pressing.
    pub juices: Vec<JuiceId>,
    /// The way of its cane through juices and boils.
    pub strands: Vec<OnTheWay>,
    /// The boils that hold juice of it, in the order they were lit.
    pub lots: Vec<MyLot>,
    /// About when the mill takes it, as a sentence, while it waits for the mill.
    pub queue: Option<String>,
}

/// A boil that holds juice of the member's.
#[derive(Debug, Clone)]
pub struct MyLot {
    /// The boil.
    pub row: BoilRow,
    /// What was written down of it.
    pub marks: LotMarks,
    /// Whether it was divided and is open to be put right.
    pub reopened: bool,
    /// The member's jars of it.
    pub jars: Vec<AsideRow>,
    /// When it should be done, while it is on the fire.
    pub done: Option<DoneAbout>,
    /// Whose juice is in it besides: names of those who agreed to be named, and how many others.
    pub with: (Vec<MemberName>, usize),
}

/// When a boil on the fire should be done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DoneAbout {
    /// As likely before as after.
    pub at: UtcSecond,
    /// Four times in five between these; none while only the plan says it.
    pub between: Option<(UtcSecond, UtcSecond)>,
}

impl MyTicket {
    /// Where the cane is.
    pub fn state(&self) -> CaneState {
        self.marks.state()
    }
}

impl MyLot {
    /// How far it has come for the member.
    pub fn state(&self) -> LotState {
        LotState::of(&self.marks)
    }
}

/// A member's tickets of a season, by number.
///
/// # Errors
/// The store failed.
pub async fn of_member(
    conn: &mut Conn,
    (season, member): (SeasonId, MemberId),
    when: (&Zone, UtcSecond),
) -> Stored<Vec<MyTicket>> {
    let taken = Taken::read(conn, season, member).await?;
    let mut out = Vec::new();
    for ticket in tickets::of_season_member(conn, season, member).await? {
        out.push(read(conn, ticket, &taken, when).await?);
    }
    Ok(out)
}

/// The cane of one ticket.
///
/// # Errors
/// The store failed.
pub async fn of_ticket(
    conn: &mut Conn,
    ticket: Ticket,
    when: (&Zone, UtcSecond),
) -> Stored<MyTicket> {
    let taken = Taken::read(conn, ticket.season_id, ticket.member_id).await?;
    read(conn, ticket, &taken, when).await
}

/// A boil as a member whose juice is in it is told of it.
///
/// # Errors
/// The store failed.
pub async fn of_lot(
    conn: &mut Conn,
    row: BoilRow,
    member: MemberId,
    at: UtcSecond,
) -> Stored<MyLot> {
    let taken = Taken::read(conn, row.season_id, member).await?;
    lot(conn, row, &taken, at).await
}

/// What was set aside for a member, and handed over.
struct Taken {
    member: MemberId,
    aside: Vec<AsideRow>,
    handed: Vec<HandOverJar>,
}

impl Taken {
    async fn read(conn: &mut Conn, season: SeasonId, member: MemberId) -> Stored<Self> {
        Ok(Self {
            member,
            aside: hand_overs::aside(conn, Some(member)).await?,
            handed: hand_overs::jars_of_member(conn, season, member).await?,
        })
    }
}

async fn read(
    conn: &mut Conn,
    ticket: Ticket,
    taken: &Taken,
    (zone, at): (&Zone, UtcSecond),
) -> Stored<MyTicket> {
    let turn = match ticket.turn_id {
        Some(id) => weigh_in::turn(conn, id).await?,
        None => None,
    };
    let rows = juice::of_ticket(conn, ticket.id).await?;
    let mut in_boils = BTreeSet::new();
    let mut pours = Vec::new();
    let mut standing = false;
    for row in &rows {
        let Some(all) = boil_sums::stocked(conn, row.id).await? else {
            continue;
        };
        standing |= all.poured.left.mass > Grams::ZERO;
        in_boils.extend(all.draws.iter().map(|draw| (draw.lit_at, draw.boil_id)));
        pours.push(all);
    }
    let mut lots = Vec::new();
    for (_, id) in in_boils {
        if let Some(row) = boils::of_id(conn, id).await? {
            lots.push(lot(conn, row, taken, at).await?);
        }
    }
    let loads = tickets::loads(conn, ticket.id).await?;
    let first = loads.iter().map(LoadRow::weighed).min();
    let marks = CaneMarks {
        turn_at: turn.map(|turn| zone.at(ticket.date, turn.start)),
        here_at: Some(first.unwrap_or(ticket.made_at)),
        pressed_at: rows.iter().map(|row| row.pressed_at).min(),
        standing,
        crossed_out: !juice::voids_of_ticket(conn, ticket.id).await?.is_empty(),
        lots: lots.iter().map(|lot| lot.marks).collect(),
    };
    let queue = if marks.state() == CaneState::Here {
        let abouts = Abouts::read(conn, BTreeSet::from([ticket.date]), (zone, at)).await?;
        abouts.of_ticket(ticket.id).map(str::to_owned)
    } else {
        None
    };
    Ok(MyTicket {
        queue,
        net: tickets::net(conn, ticket.id).await?,
        juices: rows.iter().map(|row| row.id).collect(),
        strands: strands(&ticket, &pours, &lots),
        marks,
        lots,
        ticket,
    })
}

/// The way of a ticket's cane: through each juice into each boil; the ticket alone while there is no juice.
fn strands(ticket: &Ticket, pours: &[Stocked], lots: &[MyLot]) -> Vec<OnTheWay> {
    let step = |draw: &DrawRow| {
        let lot = lots.iter().find(|lot| lot.row.id == draw.boil_id);
        lot.map_or(Step::InPan, |lot| lot.state().step())
    };
    let mut out = Vec::new();
    for juice in pours {
        if juice.draws.is_empty() {
            out.push(OnTheWay::of_juice(&juice.row));
        }
        let draws = juice.draws.iter();
        out.extend(draws.map(|draw| OnTheWay::of_draw(draw, step(draw))));
    }
    if out.is_empty() {
        out.push(OnTheWay {
            strand: Strand {
                ticket: ticket.id,
                member: ticket.member_id,
                juice: None,
                lot: None,
            },
            ticket: ticket.ticket,
            name: ticket.member_name.clone(),
            vessel: String::new(),
        });
    }
    out
}

async fn lot(conn: &mut Conn, row: BoilRow, taken: &Taken, at: UtcSecond) -> Stored<MyLot> {
    let division = divisions::of_boil(conn, row.id).await?;
    let fills = boils::fills(conn, row.id).await?;
    let jars: Vec<AsideRow> = taken
        .aside
        .iter()
        .filter(|jars| jars.boil_id == row.id)
        .cloned()
        .collect();
    let handed = taken.handed.iter().filter(|jars| jars.lot == row.lot);
    let last = handed.clone().map(|jars| jars.number).max();
    let handed_at = match last {
        Some(number) => hand_overs::find(conn, number).await?.map(|over| over.at),
        None => None,
    };
    let taken_home: i64 = handed.map(|jars| jars.count).sum();
    let marks = LotMarks {
        lit_at: row.lit_at,
        finished_at: row.finish.as_ref().map(|finish| finish.finished_at),
        filled: fills.iter().any(|fill| fill.count > 0),
        lost: row.lost,
        divided_at: division.as_ref().map(|row| row.at),
        set_aside: jars.iter().map(AsideRow::left).sum::<i64>() + taken_home,
        handed: taken_home,
        handed_at,
    };
    let done = match LotState::of(&marks) {
        LotState::OnFire => done_about(conn, row.clone(), at).await?,
        _ => None,
    };
    Ok(MyLot {
        reopened: division.is_some() && row.divided_at.is_none(),
        with: with(conn, row.id, taken.member).await?,
        marks,
        jars,
        done,
        row,
    })
}

/// Nothing while no pan is set up, whose surface would say how fast water goes.
async fn done_about(conn: &mut Conn, row: BoilRow, at: UtcSecond) -> Stored<Option<DoneAbout>> {
    let boil = Boil::read(conn, row).await?;
    if boil.for_watch().is_none() {
        return Ok(None);
    }
    let told = boil.looked_at(at).and_then(|looked| looked.finish);
    Ok(Some(DoneAbout {
        at: boil.done_about(at),
        between: told.map(|told| (told.earliest.max(at), told.latest.max(at))),
    }))
}

/// Whose juice is in a boil besides a member's own.
async fn with(conn: &mut Conn, boil: BoilId, member: MemberId) -> Stored<(Vec<MemberName>, usize)> {
    let draws = boils::draws(conn, boil).await?;
    let others: BTreeSet<MemberId> = draws
        .iter()
        .map(|draw| draw.member_id)
        .filter(|id| *id != member)
        .collect();
    let (mut named, mut rest) = (Vec::new(), 0);
    for id in others {
        match members::find(conn, id).await?.filter(|card| card.named) {
            Some(card) => named.push(card.name),
            None => rest += 1,
        }
    }
    Ok((named, rest))
}
