//! A lot with the cane that is in it and where its jars are; and the lots that a ticket's cane went into.

use super::jar_count::LotPlaces;
use crate::calc::shares::jar_places::{Place, Placed};
use crate::calc::shares::trace::{Load, Poured, Stream, streams};
use crate::facts::boil::boil_sums::{InPan, in_pan, stocked_each};
use crate::store::boil::additions::{self, Addition};
use crate::store::boil::boils::{self, BoilRow, FillRow};
use crate::store::cane::juice;
use crate::store::cane::mill::Vessel;
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::people::members;
use crate::store::season::plantings::{self, Planting};
use crate::store::shares::hand_overs::LotReceipt;
use crate::store::shares::holds::{self, ComplaintRow, HoldRow};
use crate::store::shares::lot_looks::{self, LookRow};
use crate::store::shares::{divisions, hand_overs};
use crate::store::{Conn, Stored};
use crate::units::{BoilId, Grams, LotCode, MemberId, MemberName, Phone, TicketId, VesselId};
use std::collections::{BTreeMap, BTreeSet};

/// A load with what of it is in the lot.
#[derive(Debug)]
pub struct TracedLoad {
    /// The load in the version that counts; `None`: every load of the ticket is crossed out.
    pub load: Option<LoadRow>,
    /// Dissolved solids of the load in the lot, g.
    pub solids: Grams,
}

/// A ticket with what of it is in the lot.
#[derive(Debug)]
pub struct TracedTicket {
    /// The ticket.
    pub ticket: Ticket,
    /// Its loads.
    pub loads: Vec<TracedLoad>,
    /// The vessels its juice stood in, each once, by name.
    pub vessels: BTreeMap<String, VesselId>,
    /// Dissolved solids of the ticket in the lot, g.
    pub solids: Grams,
    /// The telephone of whose cane it is, as it is on the card today.
    pub phone: Option<Phone>,
    /// The member's plantings of the season.
    pub plantings: Vec<Planting>,
}

/// Jars of one kind that belong to one sharer.
#[derive(Debug)]
pub struct KeptJars {
    /// The member whose they are; `None`: the mill.
    pub member: Option<(MemberId, MemberName)>,
    /// Name of the size.
    pub size_name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many the division set aside.
    pub set_aside: i64,
    /// How many stand on the shelf.
    pub shelf: i64,
    /// Handed over and not brought back.
    pub handed: i64,
    /// Broken, or not to be found.
    pub lost: i64,
}

/// A lot with all that leads to it and all that came of it.
#[derive(Debug)]
pub struct LotTrace {
    /// The boil.
    pub boil: BoilRow,
    /// Dissolved solids poured in.
    pub solids: Grams,
    /// The tickets in it, most first.
    pub tickets: Vec<TracedTicket>,
    /// Jars filled, those crossed out left out.
    pub fills: Vec<FillRow>,
    /// The jars of each sharer; empty while the lot is not divided.
    pub kept: Vec<KeptJars>,
    /// The jars counted, place by place, and what became of some.
    pub places: LotPlaces,
    /// The jars that left, by receipt.
    pub receipts: Vec<LotReceipt>,
    /// Additions to the boil beside juice.
    pub additions: Vec<Addition>,
    /// Times at which it was held and released; the last one counts.
    pub holds: Vec<HoldRow>,
    /// Colour, taste and the like, as noted at each look.
    pub looks: Vec<LookRow>,
    /// Complaints about the lot.
    pub complaints: Vec<ComplaintRow>,
}

impl LotTrace {
    /// Reads a lot with all that leads to it. `None`: no such lot.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, lot: &LotCode) -> Stored<Option<Self>> {
        match boils::find(lot).ask(conn).await? {
            Some(boil) => Self::of(conn, boil).await.map(Some),
            None => Ok(None),
        }
    }

    async fn of(conn: &mut Conn, boil: BoilRow) -> Stored<Self> {
        let pan = in_pan(boil.id).ask(conn).await?;
        let tickets = traced(conn, &pan, boil.id).await?;
        let fills = boils::fills(boil.id).ask(conn).await?;
        let places = LotPlaces::read(conn, boil.id).await?;
        Ok(Self {
            solids: pan.iter().map(|p| p.part.solids).sum(),
            tickets,
            fills: fills.into_iter().filter(|f| f.count > 0).collect(),
            kept: kept(conn, boil.id, &places.places).await?,
            places,
            receipts: hand_overs::receipts_of_boil(boil.id).ask(conn).await?,
            additions: additions::of_boil(boil.id).ask(conn).await?,
            holds: holds::of_boil(boil.id).ask(conn).await?,
            looks: lot_looks::of_boil(boil.id).ask(conn).await?,
            complaints: holds::complaints(boil.id).ask(conn).await?,
            boil,
        })
    }
}

/// The loads of a ticket that count, in the version that counts.
async fn standing(conn: &mut Conn, ticket: TicketId) -> Stored<Vec<LoadRow>> {
    let mut loads = tickets::loads(ticket).ask(conn).await?;
    loads.dedup_by_key(|l| l.number);
    loads.retain(|l| !l.void);
    Ok(loads)
}

async fn traced(conn: &mut Conn, pan: &[InPan], boil: BoilId) -> Stored<Vec<TracedTicket>> {
    let ids: BTreeSet<TicketId> = pan.iter().map(|p| p.row.ticket_id).collect();
    let mut out = Vec::new();
    for id in ids {
        let Some(ticket) = tickets::find(id).ask(conn).await? else {
            continue;
        };
        let own = || pan.iter().filter(|p| p.row.ticket_id == id);
        let standing = standing(conn, id).await?;
        let loads: Vec<Load> = standing
            .iter()
            .map(|l| Load {
                ticket: id,
                number: l.number,
                net: l.net(),
            })
            .collect();
        let poured: Vec<Poured> = own()
            .map(|p| Poured {
                ticket: id,
                boil,
                solids: p.part.solids,
            })
            .collect();
        let parts = streams(&loads, &poured);
        if parts.is_empty() {
            continue;
        }
        let mut plantings = plantings::of_member(ticket.member_id).ask(conn).await?;
        plantings.retain(|p| p.season_id == ticket.season_id);
        let card = members::find(ticket.member_id).ask(conn).await?;
        out.push(TracedTicket {
            phone: card.map(|c| c.phone),
            plantings,
            ticket,
            solids: parts.iter().map(|s| s.solids).sum(),
            loads: with_rows(parts, &standing),
            vessels: own()
                .map(|p| (p.row.vessel.clone(), p.row.vessel_id))
                .collect(),
        });
    }
    out.sort_by_key(|t| std::cmp::Reverse(t.solids));
    Ok(out)
}

fn with_rows(parts: Vec<Stream>, rows: &[LoadRow]) -> Vec<TracedLoad> {
    parts
        .into_iter()
        .map(|part| TracedLoad {
            load: rows
                .iter()
                .find(|row| Some(row.number) == part.load)
                .cloned(),
            solids: part.solids,
        })
        .collect()
}

/// The jars of a boil by owner, as its latest division says, and where they are.
async fn kept(conn: &mut Conn, boil: BoilId, places: &[Placed]) -> Stored<Vec<KeptJars>> {
    let Some(division) = divisions::of_boil(boil).ask(conn).await? else {
        return Ok(Vec::new());
    };
    let gone = hand_overs::gone_of_boil(boil).ask(conn).await?;
    let shares = divisions::shares(division.id).ask(conn).await?;
    let mut out = Vec::new();
    for jar in divisions::share_jars(division.id).ask(conn).await? {
        let whose = shares
            .iter()
            .find(|s| s.place == jar.place)
            .and_then(|s| s.member_id);
        let member = match whose {
            Some(id) => members::find(id).ask(conn).await?.map(|m| (m.id, m.name)),
            None => None,
        };
        let gone = gone.iter().find(|h| {
            (h.member_id, h.net, h.part) == (whose, jar.net, jar.part)
                && h.size_name == jar.size_name
        });
        let in_places = |of: &[Place]| -> i64 {
            let own = places.iter().filter(|p| {
                p.member == whose
                    && (p.kind.net, p.kind.part) == (jar.net, jar.part)
                    && p.kind.size_name == jar.size_name
                    && of.contains(&p.place)
            });
            own.map(|p| p.count).sum()
        };
        let shelf = jar.count - gone.map_or(0, |g| g.count);
        let (handed, lost) = (
            in_places(&[Place::Handed, Place::Sold]),
            in_places(&[Place::Broken, Place::Unaccounted]),
        );
        out.push(KeptJars {
            member,
            size_name: jar.size_name,
            net: jar.net,
            part: jar.part,
            set_aside: jar.count,
            shelf,
            handed,
            lost,
        });
    }
    Ok(out)
}

/// A ticket with every lot that holds its cane.
#[derive(Debug)]
pub struct TicketTrace {
    /// The ticket.
    pub ticket: Ticket,
    /// The lots, in the order they were lit.
    pub lots: Vec<LotTrace>,
    /// Dissolved solids of its juice that are in no lot yet.
    pub left: Grams,
}

impl TicketTrace {
    /// Follows a ticket's cane into its lots.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of(conn: &mut Conn, ticket: Ticket) -> Stored<Self> {
        let mut left = Grams::ZERO;
        let mut ids = BTreeSet::new();
        let rows = juice::of_ticket(ticket.id).ask(conn).await?;
        for juice in stocked_each(rows).ask(conn).await? {
            left += juice.poured.left.solids;
            for (draw, part) in juice.draws.iter().zip(&juice.poured.parts) {
                if part.solids > Grams::ZERO {
                    ids.insert(draw.boil_id);
                }
            }
        }
        let mut lots = Vec::new();
        for id in ids {
            if let Some(boil) = boils::of_id(id).ask(conn).await? {
                lots.push(LotTrace::of(conn, boil).await?);
            }
        }
        lots.sort_by_key(|lot| (lot.boil.lit_at, lot.boil.id));
        Ok(Self { ticket, lots, left })
    }
}

/// A juice that stood in a vessel, with its dissolved solids.
#[derive(Debug)]
pub struct VesselJuice {
    /// The juice.
    pub row: juice::JuiceRow,
    /// Dissolved solids of the juice, g.
    pub solids: Grams,
}

/// A vessel with the juices that stood in it last and every lot that holds any of them.
#[derive(Debug)]
pub struct VesselTrace {
    /// The vessel.
    pub vessel: Vessel,
    /// The juices, latest first; at most twenty.
    pub juices: Vec<VesselJuice>,
    /// The lots with the solids that came out of the vessel, in the order they were lit.
    pub lots: Vec<(LotTrace, Grams)>,
    /// Dissolved solids that are in no lot yet.
    pub left: Grams,
}

impl VesselTrace {
    /// Follows a vessel's juices into their lots.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of(conn: &mut Conn, vessel: Vessel) -> Stored<Self> {
        let mut juices = Vec::new();
        let mut left = Grams::ZERO;
        let mut parts: BTreeMap<BoilId, Grams> = BTreeMap::new();
        let rows = juice::of_vessel(vessel.id).ask(conn).await?;
        for stocked in stocked_each(rows).ask(conn).await? {
            left += stocked.poured.left.solids;
            let mut solids = stocked.poured.left.solids;
            for (draw, part) in stocked.draws.iter().zip(&stocked.poured.parts) {
                if part.solids > Grams::ZERO {
                    *parts.entry(draw.boil_id).or_default() += part.solids;
                    solids += part.solids;
                }
            }
            juices.push(VesselJuice {
                row: stocked.row,
                solids,
            });
        }
        let mut lots = Vec::new();
        for (id, solids) in parts {
            if let Some(boil) = boils::of_id(id).ask(conn).await? {
                lots.push((LotTrace::of(conn, boil).await?, solids));
            }
        }
        lots.sort_by_key(|(lot, _)| (lot.boil.lit_at, lot.boil.id));
        Ok(Self {
            vessel,
            juices,
            lots,
            left,
        })
    }
}
