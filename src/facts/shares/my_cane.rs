//! Where a member's cane is: each ticket of a season with the boils it went into, and the member's
//! part of one boil.

use crate::calc::shares::cane_way::Strand;
use crate::calc::shares::my_cane::{CaneMarks, CaneState, LotMarks, LotState, Step};
use crate::facts::boil::boil_sums::{self, Stocked};
use crate::facts::boil::boils::Boil;
use crate::facts::shares::cane_way::OnTheWay;
use crate::facts::turns::queue::{About, Abouts};
use crate::store::boil::boils::{self, BoilRow, DrawRow};
use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, Ticket};
use crate::store::shares::hand_overs::{self, AsideRow, HandOverJar};
use crate::store::shares::my_cane as store;
use crate::store::{Conn, StoreError, Stored, in_json};
use crate::units::{BoilId, Grams, JuiceId, MemberId, MemberName, SeasonId, UtcSecond, Zone};
use std::collections::{BTreeMap, BTreeSet};

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
    pub queue: Option<About>,
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
    let all = tickets::of_season_member(conn, season, member).await?;
    if all.is_empty() {
        return Ok(Vec::new());
    }
    let juices = juice::of_season_member(conn, season, member).await?;
    read(conn, (season, member), (all, juices), when).await
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
    let whose = (ticket.season_id, ticket.member_id);
    let juices = juice::of_ticket(conn, ticket.id).await?;
    let found = read(conn, whose, (vec![ticket], juices), when).await?;
    found.into_iter().next().ok_or(StoreError::Corrupt {
        what: "tickets.id",
        found: "a ticket that is not its member's".to_owned(),
    })
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
    let draws = boils::draws(conn, row.id).await?;
    let lots = Lots::read(conn, (row.season_id, member), vec![row], &draws).await?;
    let lots = lots.told(conn, at).await?;
    lots.into_iter().next().ok_or(StoreError::Corrupt {
        what: "boils.id",
        found: "a boil that was just read".to_owned(),
    })
}

/// Some tickets of one member, with all their juices that count.
async fn read(
    conn: &mut Conn,
    (season, member): (SeasonId, MemberId),
    (all, juices): (Vec<Ticket>, Vec<JuiceRow>),
    (zone, at): (&Zone, UtcSecond),
) -> Stored<Vec<MyTicket>> {
    let marks = store::tickets(conn, season, member).await?;
    let (juices, lots) = if juices.is_empty() {
        (Vec::new(), Vec::new())
    } else {
        let (juices, beside) = boil_sums::stocked_beside(conn, juices).await?;
        let drawn = juices.iter().flat_map(|juice| &juice.draws);
        let ids: BTreeSet<BoilId> = drawn.map(|draw| draw.boil_id).collect();
        let rows = match ids.len() {
            0 => Vec::new(),
            _ => boils::of_ids(conn, &in_json(ids)).await?,
        };
        let lots = Lots::read(conn, (season, member), rows, &beside).await?;
        (juices, lots.told(conn, at).await?)
    };
    let mut out = Vec::new();
    for ticket in all {
        let Some(found) = marks.iter().find(|marks| marks.ticket_id == ticket.id) else {
            continue;
        };
        let own = || juices.iter().filter(|j| j.row.ticket_id == ticket.id);
        let inside =
            |lot: &&MyLot| own().any(|j| j.draws.iter().any(|draw| draw.boil_id == lot.row.id));
        let lots: Vec<MyLot> = lots.iter().filter(inside).cloned().collect();
        out.push(MyTicket {
            queue: None,
            strands: strands(&ticket, own(), &lots),
            net: found.net,
            juices: own().map(|juice| juice.row.id).collect(),
            marks: CaneMarks {
                turn_at: found.turn_start.map(|start| zone.at(ticket.date, start)),
                here_at: Some(found.first_weighed.unwrap_or(ticket.made_at)),
                pressed_at: own().map(|juice| juice.row.pressed_at).min(),
                standing: own().any(|juice| juice.poured.left.mass > Grams::ZERO),
                crossed_out: found.crossed_out,
                lots: lots.iter().map(|lot| lot.marks).collect(),
            },
            lots,
            ticket,
        });
    }
    let here = |mine: &&MyTicket| mine.marks.state() == CaneState::Here;
    let dates = out.iter().filter(here).map(|mine| mine.ticket.date);
    let abouts = Abouts::read(conn, dates.collect(), (zone, at)).await?;
    for mine in out.iter_mut().filter(|mine| here(&&**mine)) {
        mine.queue = abouts.of_ticket(mine.ticket.id).cloned();
    }
    Ok(out)
}

/// The way of a ticket's cane: through each juice into each boil; the ticket alone while there is no juice.
fn strands<'a>(
    ticket: &Ticket,
    pours: impl Iterator<Item = &'a Stocked>,
    lots: &[MyLot],
) -> Vec<OnTheWay> {
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

/// Boils with what was written down of them for one member.
struct Lots<'a> {
    member: MemberId,
    rows: Vec<BoilRow>,
    draws: &'a [DrawRow],
    marks: Vec<store::BoilMarks>,
    aside: Vec<AsideRow>,
    handed: Vec<HandOverJar>,
}

impl<'a> Lots<'a> {
    /// Reads them; `draws` holds at least all that is in these boils.
    async fn read(
        conn: &mut Conn,
        (season, member): (SeasonId, MemberId),
        rows: Vec<BoilRow>,
        draws: &'a [DrawRow],
    ) -> Stored<Self> {
        let (mut marks, mut aside, mut handed) = (Vec::new(), Vec::new(), Vec::new());
        if !rows.is_empty() {
            marks = store::boils(conn, &in_json(rows.iter().map(|row| row.id))).await?;
            aside = hand_overs::aside(conn, Some(member)).await?;
        }
        if !aside.is_empty() {
            handed = hand_overs::jars_of_member(conn, season, member).await?;
        }
        Ok(Self {
            member,
            rows,
            draws,
            marks,
            aside,
            handed,
        })
    }

    /// As the member is told of them, in the order they were lit.
    async fn told(mut self, conn: &mut Conn, at: UtcSecond) -> Stored<Vec<MyLot>> {
        let mut out = Vec::new();
        for row in std::mem::take(&mut self.rows) {
            let mut lot = self.lot(row);
            if lot.state() == LotState::OnFire {
                lot.done = done_about(conn, lot.row.clone(), at).await?;
            }
            out.push(lot);
        }
        Ok(out)
    }

    fn lot(&self, row: BoilRow) -> MyLot {
        let found = self.marks.iter().find(|marks| marks.boil_id == row.id);
        let of_boil = |jars: &&AsideRow| jars.boil_id == row.id;
        let jars: Vec<AsideRow> = self.aside.iter().filter(of_boil).cloned().collect();
        let handed = self.handed.iter().filter(|jars| jars.lot == row.lot);
        let last = handed.clone().max_by_key(|jars| jars.number);
        let taken_home: i64 = handed.clone().map(|jars| jars.count).sum();
        let divided_at = found.and_then(|marks| marks.divided_at);
        let marks = LotMarks {
            lit_at: row.lit_at,
            finished_at: row.finish.as_ref().map(|finish| finish.finished_at),
            filled: found.is_some_and(|marks| marks.filled),
            lost: row.lost,
            divided_at,
            set_aside: jars.iter().map(AsideRow::left).sum::<i64>() + taken_home,
            handed: taken_home,
            handed_at: last.map(|jars| jars.at),
        };
        MyLot {
            reopened: divided_at.is_some() && row.divided_at.is_none(),
            with: self.with(row.id),
            marks,
            jars,
            done: None,
            row,
        }
    }

    /// Whose juice is in a boil besides the member's own.
    fn with(&self, boil: BoilId) -> (Vec<MemberName>, usize) {
        let inside = self.draws.iter().filter(|draw| draw.boil_id == boil);
        let others: BTreeMap<MemberId, &DrawRow> = inside
            .filter(|draw| draw.member_id != self.member)
            .map(|draw| (draw.member_id, draw))
            .collect();
        let named = others.values().filter(|draw| draw.named);
        let named: Vec<MemberName> = named.map(|draw| draw.member_name.clone()).collect();
        let rest = others.len() - named.len();
        (named, rest)
    }
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
