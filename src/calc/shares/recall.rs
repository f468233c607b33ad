//! A recall: which jars are touched by something that went wrong, where each of them is, whom to ask, and what
//! came back. Knows no database and no names.
//!
//! What stands in one pan is one liquid: a lot that took any juice of a load is touched whole, however
//! little it was.

use super::jar_places::{Place, Placed};
use crate::units::{BoilId, Grams, MemberId, PressDate, TicketId, VesselId};
use std::collections::{BTreeMap, BTreeSet};

/// What a recall starts from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum From {
    /// One lot, whatever is in it.
    Lot(BoilId),
    /// The cane of one ticket: its loads are pressed together, so one load is as good as all of them.
    Ticket(TicketId),
    /// All juice that stood in a vessel.
    Vessel(VesselId),
    /// The lot on the pack of something that was added to boils.
    Pack(String),
    /// All cane of a member.
    Member(MemberId),
    /// All cane of a press day, and all boils of it.
    Day,
}

/// The kinds of things a recall may start from, as a form names them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StartKind {
    /// A lot, by its code.
    Lot,
    /// A ticket, by its number.
    Ticket,
    /// A load, by its ticket's number and its own.
    Load,
    /// A vessel, by its name.
    Vessel,
    /// What was added, by the lot on its pack.
    Pack,
    /// A member, by name or number.
    Member,
    /// A press day, by its date.
    Day,
}

impl StartKind {
    /// Every kind.
    pub const ALL: [Self; 7] = [
        Self::Lot,
        Self::Ticket,
        Self::Load,
        Self::Vessel,
        Self::Pack,
        Self::Member,
        Self::Day,
    ];

    /// The word that a form and the store use.
    pub fn word(self) -> &'static str {
        match self {
            Self::Lot => "lot",
            Self::Ticket => "ticket",
            Self::Load => "load",
            Self::Vessel => "vessel",
            Self::Pack => "pack",
            Self::Member => "member",
            Self::Day => "day",
        }
    }

    /// The kind that this word stands for.
    pub fn parse(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// Where a recall starts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Start {
    /// What it starts from.
    pub from: From,
    /// Press day on which the cane was weighed in or the boil lit; `None`: any day.
    pub day: Option<PressDate>,
}

/// A juice poured into a boil, in the version that counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pour {
    /// Ticket of the juice.
    pub ticket: TicketId,
    /// The member whose cane it is.
    pub member: MemberId,
    /// The press day it was weighed in on.
    pub day: PressDate,
    /// The vessel that the juice stood in.
    pub vessel: VesselId,
    /// The boil that it was poured into.
    pub boil: BoilId,
}

/// Something added to a boil beside juice; what was crossed out or put right counts as well, to be safe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Added {
    /// The boil that it was added to.
    pub boil: BoilId,
    /// Number of the lot on the pack of what was added.
    pub pack: String,
}

/// All that decides which lots are touched.
#[derive(Debug, Clone, Default)]
pub struct Records {
    /// Every juice poured.
    pub pours: Vec<Pour>,
    /// Everything added.
    pub added: Vec<Added>,
    /// Every boil with its press day.
    pub boils: Vec<(BoilId, PressDate)>,
}

fn same_pack(one: &str, other: &str) -> bool {
    one.trim().to_lowercase() == other.trim().to_lowercase()
}

/// The lots that a recall which starts so touches.
pub fn touched_lots(start: &Start, records: &Records) -> BTreeSet<BoilId> {
    let on_day = |day: PressDate| start.day.is_none_or(|only| only == day);
    let lit_on_day = |boil: BoilId| {
        let mut of = records.boils.iter().filter(|(id, _)| *id == boil);
        of.any(|(_, day)| on_day(*day))
    };
    let poured = |is: &dyn Fn(&Pour) -> bool| -> BTreeSet<BoilId> {
        let some = records.pours.iter().filter(|p| on_day(p.day) && is(p));
        some.map(|p| p.boil).collect()
    };
    match &start.from {
        From::Lot(boil) => BTreeSet::from([*boil]),
        From::Ticket(ticket) => poured(&|p| p.ticket == *ticket),
        From::Vessel(vessel) => poured(&|p| p.vessel == *vessel),
        From::Member(member) => poured(&|p| p.member == *member),
        From::Day => {
            let mut all = poured(&|_| true);
            let lit = records.boils.iter().filter(|(_, day)| on_day(*day));
            all.extend(lit.map(|(boil, _)| *boil));
            all
        }
        From::Pack(pack) => {
            let of = records.added.iter().filter(|a| same_pack(&a.pack, pack));
            of.map(|a| a.boil).filter(|b| lit_on_day(*b)).collect()
        }
    }
}

/// The one to ask about jars, by one call or one look at the shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ask {
    /// The shelf at the mill.
    Mill,
    /// A member who took jars home.
    Member(MemberId),
    /// Whoever took jars of the mill's own on that receipt.
    Receipt(i64),
    /// Nobody knows: count again, look for them.
    Nobody,
}

/// The one to ask about jars in one place.
pub fn ask(jars: &Placed) -> Ask {
    match (jars.place, jars.member, jars.receipt) {
        (Place::Handed, Some(member), _) => Ask::Member(member),
        (Place::Handed | Place::Sold, _, Some(receipt)) => Ask::Receipt(receipt),
        (Place::Shelf | Place::Undivided, _, _) => Ask::Mill,
        _ => Ask::Nobody,
    }
}

/// The calls of a recall, each with its jars: the shelf first, then members, then receipts of the mill's own, then
/// what nobody can say.
pub fn calls(jars: &[Placed]) -> Vec<(Ask, Vec<&Placed>)> {
    let mut all: BTreeMap<Ask, Vec<&Placed>> = BTreeMap::new();
    for one in jars {
        all.entry(ask(one)).or_default().push(one);
    }
    all.into_iter().collect()
}

/// What was said about the jars of one line of a recall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Said {
    /// Jars there: set apart, or on their way back.
    pub back: i64,
    /// Jars eaten, given away or broken.
    pub gone: i64,
}

/// Jars and the syrup in them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Amount {
    /// Number of jars.
    pub jars: i64,
    /// Syrup in those jars, g.
    pub grams: Grams,
}

impl Amount {
    fn add(&mut self, jars: i64, net: Grams) {
        self.jars += jars;
        self.grams += Grams::new(net.get() * jars);
    }
}

/// How many jars a recall touched, and what became of them: the last three sum to the first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Jars that the recall touches.
    pub touched: Amount,
    /// Jars that were recovered.
    pub back: Amount,
    /// Jars known to be gone.
    pub gone: Amount,
    /// Jars not accounted for.
    pub open: Amount,
}

/// Adds up what was said of every line: its jars in each, how many, and what was said (nothing: not asked yet).
pub fn tally(lines: &[(Grams, i64, Said)]) -> Tally {
    let mut sum = Tally::default();
    for (net, count, said) in lines {
        sum.touched.add(*count, *net);
        sum.back.add(said.back, *net);
        sum.gone.add(said.gone, *net);
        sum.open.add(count - said.back - said.gone, *net);
    }
    sum
}

#[cfg(test)]
#[path = "recall_tests.rs"]
mod tests;
