//! The juices that were poured into boils, each with its cane and what it brings to a division.

use crate::calc::cane::juice::{Juice, Portion};
use crate::calc::cane::trash::{Sample, counts};
use crate::calc::shares::division::{Brought, cane_behind, pounds_behind};
use crate::calc::shares::split::Sharer;
use crate::facts::boil::boil_sums::{self, InPan};
use crate::facts::cane::juice::juice_of_tickets;
use crate::store::boil::boils::DrawRow;
use crate::store::cane::juice::JuiceRow;
use crate::store::cane::trash;
use crate::store::{Conn, Question, Stored, Together, in_json};
use crate::units::{BoilId, Grams, Pounds, TicketId};
use std::collections::{BTreeMap, BTreeSet, HashMap};

/// One juice of a boil with all that its sum needs.
#[derive(Debug, Clone)]
pub struct PouredJuice {
    /// What was poured, with the member whose juice it is.
    pub draw: DrawRow,
    /// The juice as measured.
    pub juice: JuiceRow,
    /// The whole juice in figures.
    pub whole: Juice,
    /// The part of the juice that is in this boil.
    pub part: Portion,
    /// How much more was poured out of this juice than there is.
    pub over: Grams,
    /// Cane of its ticket that counts: net, less the trash where the rules take it off.
    pub cane: Grams,
    /// What that came from, where trash was taken off: the net cane, and the sample.
    pub cleaned: Option<(Grams, Sample)>,
    /// The cane in pounds: as the scale showed it, or worked out from the grams.
    pub cane_lb: Pounds,
    /// Juice of that ticket, in all its vessels.
    pub ticket_juice: Grams,
    /// What the juice brings to the division.
    pub brought: Brought,
}

/// The juices of a boil, by ticket.
///
/// # Errors
/// The store failed.
pub async fn poured(conn: &mut Conn, boil: BoilId) -> Stored<Vec<PouredJuice>> {
    let off = trash::taken_off(boil).ask(conn).await?;
    let mut all = poured_into(conn, &[(boil, off)]).await?;
    Ok(all.remove(&boil).unwrap_or_default())
}

/// The juices of some boils, by ticket; of each boil is said whether its rules take trash off the cane.
///
/// # Errors
/// The store failed.
pub async fn poured_into(conn: &mut Conn, boils: &[(BoilId, bool)]) -> Stored<Pours> {
    let ids: Vec<BoilId> = boils.iter().map(|(id, _)| *id).collect();
    let pans = boil_sums::in_pans(&ids).ask(conn).await?;
    let behind = Behind::of(pans.values().flatten()).ask(conn).await?;
    behind.pours(pans, boils)
}

/// The juices of each boil, by ticket.
type Pours = BTreeMap<BoilId, Vec<PouredJuice>>;

/// Cane and juice of the tickets that the juices of some boils come from.
pub(super) struct Behind {
    cane: BTreeMap<TicketId, trash::Counted>,
    juice: BTreeMap<TicketId, Grams>,
}

impl Behind {
    pub(super) fn of<'a>(pans: impl Iterator<Item = &'a InPan>) -> Question<Self> {
        let ids: BTreeSet<TicketId> = pans.map(|pan| pan.draw.ticket_id).collect();
        let ids = in_json(ids);
        let found = (trash::counted(&ids), juice_of_tickets(&ids)).together();
        found.map(|(cane, juice)| Self {
            cane: cane.into_iter().map(|row| (row.ticket_id, row)).collect(),
            juice,
        })
    }

    /// What is in some boils, with the cane that stands behind it; of each boil is said whether its rules take trash off.
    pub(super) fn pours(
        &self,
        mut pans: HashMap<BoilId, Vec<InPan>>,
        boils: &[(BoilId, bool)],
    ) -> Stored<Pours> {
        let mut out = BTreeMap::new();
        for (id, trash_off) in boils {
            let mut juices = Vec::new();
            for pan in pans.remove(id).unwrap_or_default() {
                juices.push(poured_juice(self, pan, *trash_off)?);
            }
            out.insert(*id, juices);
        }
        Ok(out)
    }
}

fn poured_juice(behind: &Behind, pan: InPan, trash_off: bool) -> Stored<PouredJuice> {
    let whole = match pan.juice {
        Some(juice) => juice,
        None => pan.row.reckon()?,
    };
    let counted = behind.cane.get(&pan.draw.ticket_id);
    let net = counted.map_or(Grams::ZERO, |row| row.net);
    let sample = counted.and_then(trash::Counted::sample);
    let cane = counts(net, sample, trash_off);
    // What is left after taking off trash was never read off a scale: its pounds are worked out from the grams.
    let read = counted.filter(|_| cane == net).and_then(|row| row.net_lb);
    let cane_lb = read.unwrap_or_else(|| Pounds::of(cane));
    let ticket_juice = behind.juice.get(&pan.draw.ticket_id).copied();
    let ticket_juice = ticket_juice.unwrap_or_default();
    let brought = Brought {
        sharer: Sharer::Member(pan.draw.member_id),
        cane: cane_behind(cane, pan.part.mass, ticket_juice),
        cane_lb: pounds_behind(cane_lb, pan.part.mass, ticket_juice),
        volume: pan.part.volume,
        mass: pan.part.mass,
        solids: pan.part.solids,
    };
    Ok(PouredJuice {
        draw: pan.draw,
        juice: pan.row,
        whole,
        part: pan.part,
        over: pan.over,
        cane,
        cleaned: sample.filter(|_| trash_off).map(|sample| (net, sample)),
        cane_lb,
        ticket_juice,
        brought,
    })
}
