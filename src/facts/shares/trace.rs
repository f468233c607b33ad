//! A lot with the cane that is in it and where its jars are; and the lots that a ticket's cane went into.

use super::jar_count::LotPlaces;
use super::recalls::jars_and_moves;
use crate::calc::shares::jar_places::{Place, Placed, placed};
use crate::calc::shares::trace::{Load, Poured, Stream, streams};
use crate::facts::boil::boil_sums::{InPan, in_pans, stocked_each};
use crate::store::boil::additions::{self, Addition};
use crate::store::boil::boils::{self, BoilRow, FillRow};
use crate::store::cane::juice;
use crate::store::cane::mill::Vessel;
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::people::members::{self, Member};
use crate::store::season::plantings::{self, Planting};
use crate::store::shares::divisions::{DivisionRow, ShareJarRow, ShareRow};
use crate::store::shares::hand_overs::{GoneRow, LotReceipt};
use crate::store::shares::holds::{self, ComplaintRow, HoldRow};
use crate::store::shares::lot_looks::{self, LookRow};
use crate::store::shares::{divisions, hand_overs};
use crate::store::{Conn, Question, Stored, Together, in_json};
use crate::units::{
    BoilId, DivisionId, Grams, LotCode, MemberId, MemberName, Phone, TicketId, VesselId,
};
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

/// What is written down of one lot, but for its cane and its jars' places.
struct Written {
    fills: Vec<FillRow>,
    receipts: Vec<LotReceipt>,
    additions: Vec<Addition>,
    holds: Vec<HoldRow>,
    looks: Vec<LookRow>,
    complaints: Vec<ComplaintRow>,
    division: Option<DivisionRow>,
    gone: Vec<GoneRow>,
}

impl Written {
    fn of(boil: BoilId) -> Question<Self> {
        let found = (
            boils::fills(boil),
            hand_overs::receipts_of_boil(boil),
            additions::of_boil(boil),
            holds::of_boil(boil),
            lot_looks::of_boil(boil),
            holds::complaints(boil),
            divisions::of_boil(boil),
            hand_overs::gone_of_boil(boil),
        );
        found.together().map(
            |(fills, receipts, additions, holds, looks, complaints, division, gone)| Self {
                fills,
                receipts,
                additions,
                holds,
                looks,
                complaints,
                division,
                gone,
            },
        )
    }
}

/// The tickets of some lots and the divisions' shares, each read once.
struct Behind {
    /// Each ticket with its loads that count, in the version that counts.
    tickets: BTreeMap<TicketId, (Ticket, Vec<LoadRow>)>,
    shares: Vec<(DivisionId, ShareRow)>,
    jars: Vec<(DivisionId, ShareJarRow)>,
    cards: BTreeMap<MemberId, Member>,
    plantings: Vec<Planting>,
}

impl Behind {
    async fn read(
        conn: &mut Conn,
        tickets: BTreeSet<TicketId>,
        divisions: impl Iterator<Item = DivisionId>,
    ) -> Stored<Self> {
        let divided = in_json(divisions);
        let loads = |id: &TicketId| (tickets::find(*id), tickets::loads(*id)).together();
        let found = (
            Question::all(tickets.iter().map(loads)),
            divisions::shares_of(&divided),
            divisions::share_jars_of(&divided),
        );
        let (found, shares, jars) = found.together().ask(conn).await?;
        let tickets: BTreeMap<_, _> = found
            .into_iter()
            .filter_map(|(ticket, loads)| Some((ticket?, counting(loads))))
            .map(|(ticket, loads)| (ticket.id, (ticket, loads)))
            .collect();
        let growers: BTreeSet<MemberId> = tickets.values().map(|(t, _)| t.member_id).collect();
        let own_jars = shares.iter().filter_map(|(_, share)| share.member_id);
        let people: BTreeSet<MemberId> = own_jars.chain(growers.iter().copied()).collect();
        let found = (
            Question::all(people.into_iter().map(members::find)),
            Question::all(growers.into_iter().map(plantings::of_member)),
        );
        let (cards, plantings) = found.together().ask(conn).await?;
        Ok(Self {
            tickets,
            shares,
            jars,
            cards: cards.into_iter().flatten().map(|m| (m.id, m)).collect(),
            plantings: plantings.into_iter().flatten().collect(),
        })
    }
}

impl LotTrace {
    /// Reads a lot with all that leads to it. `None`: no such lot.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, lot: &LotCode) -> Stored<Option<Self>> {
        match boils::find(lot).ask(conn).await? {
            Some(boil) => Ok(Self::each(conn, vec![boil]).await?.pop()),
            None => Ok(None),
        }
    }

    /// Lots with all that leads to each, in their order; as many messages for many as for one.
    async fn each(conn: &mut Conn, lots: Vec<BoilRow>) -> Stored<Vec<Self>> {
        let ids: Vec<BoilId> = lots.iter().map(|boil| boil.id).collect();
        let found = (
            in_pans(&ids),
            jars_and_moves(&ids.iter().copied().collect()),
            Question::all(ids.into_iter().map(Written::of)),
        );
        let (pans, (jars, moves), written) = found.together().ask(conn).await?;
        let tickets = pans.values().flatten().map(|p| p.row.ticket_id).collect();
        let divided = written.iter().filter_map(|w| Some(w.division.as_ref()?.id));
        let behind = Behind::read(conn, tickets, divided).await?;
        let all_placed = placed(&jars);
        let none = Vec::new();
        let each = lots.into_iter().zip(written).map(|(boil, written)| {
            let pan = pans.get(&boil.id).unwrap_or(&none);
            let places = LotPlaces::of(boil.id, &jars, &all_placed, &moves);
            Self {
                solids: pan.iter().map(|p| p.part.solids).sum(),
                tickets: traced(pan, boil.id, &behind),
                kept: kept(&written, &behind, &places.places),
                fills: written.fills.into_iter().filter(|f| f.count > 0).collect(),
                places,
                receipts: written.receipts,
                additions: written.additions,
                holds: written.holds,
                looks: written.looks,
                complaints: written.complaints,
                boil,
            }
        });
        Ok(each.collect())
    }
}

/// Of the loads of a ticket those that count, in the version that counts.
fn counting(mut loads: Vec<LoadRow>) -> Vec<LoadRow> {
    loads.dedup_by_key(|l| l.number);
    loads.retain(|l| !l.void);
    loads
}

fn traced(pan: &[InPan], boil: BoilId, behind: &Behind) -> Vec<TracedTicket> {
    let ids: BTreeSet<TicketId> = pan.iter().map(|p| p.row.ticket_id).collect();
    let mut out = Vec::new();
    for id in ids {
        let Some((ticket, rows)) = behind.tickets.get(&id) else {
            continue;
        };
        let own = || pan.iter().filter(|p| p.row.ticket_id == id);
        let loads: Vec<Load> = rows
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
        let planted = behind
            .plantings
            .iter()
            .filter(|p| (p.member_id, p.season_id) == (ticket.member_id, ticket.season_id));
        out.push(TracedTicket {
            phone: behind.cards.get(&ticket.member_id).map(|c| c.phone.clone()),
            plantings: planted.cloned().collect(),
            ticket: ticket.clone(),
            solids: parts.iter().map(|s| s.solids).sum(),
            loads: with_rows(parts, rows),
            vessels: own()
                .map(|p| (p.row.vessel.clone(), p.row.vessel_id))
                .collect(),
        });
    }
    out.sort_by_key(|t| std::cmp::Reverse(t.solids));
    out
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

/// Whose the jars of a lot are, by its latest division, and where they are.
fn kept(written: &Written, behind: &Behind, places: &[Placed]) -> Vec<KeptJars> {
    let Some(division) = written.division.as_ref().map(|d| d.id) else {
        return Vec::new();
    };
    let shares = || behind.shares.iter().filter(|(of, _)| *of == division);
    let jars = behind.jars.iter().filter(|(of, _)| *of == division);
    let mut out = Vec::new();
    for (_, jar) in jars {
        let whose = shares()
            .find(|(_, s)| s.place == jar.place)
            .and_then(|(_, s)| s.member_id);
        let member = whose
            .and_then(|id| behind.cards.get(&id))
            .map(|m| (m.id, m.name.clone()));
        let gone = written.gone.iter().find(|h| {
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
            size_name: jar.size_name.clone(),
            net: jar.net,
            part: jar.part,
            set_aside: jar.count,
            shelf,
            handed,
            lost,
        });
    }
    out
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
        let lots = boils::of_ids(&in_json(ids)).ask(conn).await?;
        let lots = LotTrace::each(conn, lots).await?;
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
        let lots = boils::of_ids(&in_json(parts.keys())).ask(conn).await?;
        let lots = LotTrace::each(conn, lots).await?.into_iter();
        let lots = lots
            .map(|lot| {
                let solids = parts.get(&lot.boil.id).copied().unwrap_or_default();
                (lot, solids)
            })
            .collect();
        Ok(Self {
            vessel,
            juices,
            lots,
            left,
        })
    }
}
