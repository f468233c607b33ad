//! What one member's statement is made of, as it is asked of the store.

use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::cane::trash;
use crate::store::cane::yard::{self, LostPart};
use crate::store::season::seasons::Season;
use crate::store::shares::divisions;
use crate::store::shares::hand_overs::{self, AsideRow, HandOverJar, HandOverRow};
use crate::store::shares::jar_moves::{self, JarMove};
use crate::store::shares::ledger::{self, LedgerLine};
use crate::store::{Question, Together, in_json};
use crate::units::{Cents, Grams, LotCode, MemberId, TicketId};
use std::collections::BTreeMap;

/// How many members' own parts are asked in one message: nine statements each, of the hundred that one message takes.
pub(super) const MEMBERS_A_MESSAGE: usize = 11;

/// The rows of one member's statement that no other member shares.
pub(super) struct Own {
    pub(super) lots: Vec<LotCode>,
    pub(super) before: (Grams, Cents),
    pub(super) lines: Vec<LedgerLine>,
    pub(super) aside: Vec<AsideRow>,
    pub(super) tickets: Vec<Ticket>,
    pub(super) juices: Vec<JuiceRow>,
    pub(super) jars: Vec<HandOverJar>,
    pub(super) hand_overs: Vec<HandOverRow>,
    /// What broke on the shelf, is missing there or was found again.
    pub(super) moves: Vec<JarMove>,
}

impl Own {
    pub(super) fn of(season: &Season, id: MemberId) -> Question<Self> {
        let found = (
            divisions::lots_of_member(season.id, id),
            ledger::before_year(id, season.year),
            ledger::of_member(season.id, id),
            hand_overs::jars_set_aside(Some(id)),
            tickets::of_season_member(season.id, id),
            juice::of_season_member(season.id, id),
            hand_overs::jars_of_member(season.id, id),
            (hand_overs::of_member(id), jar_moves::of_sharer(Some(id))).together(),
        );
        found.together().map(
            |(lots, before, lines, aside, tickets, juices, jars, (hand_overs, moves))| Self {
                lots,
                before,
                lines,
                aside,
                tickets,
                juices,
                jars,
                hand_overs,
                moves,
            },
        )
    }
}

/// Loads of some tickets, every version, and what of them counts.
pub(super) struct Weighed {
    pub(super) loads: BTreeMap<TicketId, Vec<LoadRow>>,
    pub(super) counted: BTreeMap<TicketId, trash::Counted>,
    /// What was lost of their juices.
    pub(super) lost: Vec<LostPart>,
}

impl Weighed {
    pub(super) fn of<'a>(tickets: impl Iterator<Item = &'a Ticket>) -> Question<Self> {
        let ids = in_json(tickets.map(|ticket| ticket.id));
        let found = (
            tickets::loads_of(&ids),
            trash::counted(&ids),
            yard::lost_of_tickets(&ids),
        );
        found.together().map(|(loads, counted, lost)| {
            let mut by_ticket: BTreeMap<TicketId, Vec<LoadRow>> = BTreeMap::new();
            for (of, load) in loads {
                by_ticket.entry(of).or_default().push(load);
            }
            Self {
                loads: by_ticket,
                counted: counted
                    .into_iter()
                    .map(|row| (row.ticket_id, row))
                    .collect(),
                lost,
            }
        })
    }
}
