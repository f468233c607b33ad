//! Where a member's cane is: each ticket of a season with the boils it went into, and the member's
//! part of one boil.

pub use super::my_lot::{DoneAbout, FinishFrom, MyLot, of_lot};
use super::my_lot::{Lots, OnFire};
use crate::calc::shares::cane_way::JuiceWay;
use crate::calc::shares::my_cane::{CaneMarks, CaneState, LotState, Step};
use crate::facts::boil::boil_sums::{self, Stocked};
use crate::facts::boil::finish_of_day::height;
use crate::facts::shares::cane_way::OnTheWay;
use crate::facts::shares::syrup_lost::SyrupLost;
use crate::facts::turns::queue::{StartEstimate, StartEstimates};
use crate::store::boil::boils::{self, BoilRow, DrawRow};
use crate::store::cane::tickets::{self, Ticket};
use crate::store::marks::{self, Mark};
use crate::store::shares::my_cane as store;
use crate::store::shares::{hand_overs, lot_losses};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Question, StoreError, Stored, Together};
use crate::units::{
    Altitude, BoilId, Grams, JuiceId, LotCode, MemberId, PressDate, SeasonId, TicketId, UtcSecond,
    Zone,
};
use std::collections::BTreeSet;

/// Seconds for which cane whose syrup was all lost stands on home with its steps: two weeks (our own choice).
const LOST_IS_NEWS_S: i64 = 14 * 24 * 3600;

/// The cane of one ticket, as its member is told of it.
#[derive(Debug, Clone)]
pub struct MyTicket {
    /// The ticket.
    pub ticket: Ticket,
    /// Net cane of the ticket.
    pub net: Grams,
    /// What was written down of its cane.
    pub marks: CaneMarks,
    /// Its juices that count, in order of pressing.
    pub juices: Vec<JuiceId>,
    /// What of its juice was spilt or spoilt.
    pub lost: Grams,
    /// The way of its cane through juices and boils.
    pub strands: Vec<OnTheWay>,
    /// The boils that hold juice of it, in the order they were lit.
    pub lots: Vec<MyLot>,
    /// About when the mill takes it, as a sentence, while it waits for the mill.
    pub queue: Option<StartEstimate>,
}

impl MyTicket {
    /// Where the cane is.
    pub fn state(&self) -> CaneState {
        self.marks.state()
    }

    /// What was lost of the syrup of its lots.
    pub fn syrup_lost(&self) -> impl Iterator<Item = &SyrupLost> {
        self.lots.iter().flat_map(|lot| &lot.syrup_lost)
    }

    /// Whether home shows it with its steps: something is still to come of it, or all its syrup was lost and that is news, or not
    /// settled yet.
    pub fn on_home(&self, at: UtcSecond) -> bool {
        let lost = self.marks.lost_at();
        let open = self.syrup_lost().any(SyrupLost::to_be_borne);
        let news = lost.is_some_and(|lost| open || at.get() - lost.get() < LOST_IS_NEWS_S);
        self.marks.under_way() || news
    }

    /// Lots of it that are open to be put right, and will be divided again.
    pub fn reopened(&self) -> impl Iterator<Item = &LotCode> {
        let lots = self.lots.iter().filter(|lot| lot.marks.reopened);
        lots.map(|lot| &lot.row.lot)
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
    let found = (Cane::of(season, member), SharedFacts::of(when)).together();
    let (cane, around) = found.ask(conn).await?;
    cane.seen(conn, &around, when).await
}

/// A ticket's cane, as far as it is read at once.
#[derive(Debug)]
pub struct OneTicket {
    cane: Cane,
    around: SharedFacts,
}

impl OneTicket {
    /// Reads the cane of a ticket.
    pub fn of(ticket: &Ticket, when: (&Zone, UtcSecond)) -> Question<Self> {
        let (id, cane) = (ticket.id, Cane::of(ticket.season_id, ticket.member_id));
        let found = (cane, SharedFacts::of(when)).together();
        found.map(move |(cane, around)| Self {
            cane: cane.only(id),
            around,
        })
    }

    /// The ticket's cane as its member is told of it.
    ///
    /// # Errors
    /// The store failed.
    pub async fn member_view(self, conn: &mut Conn, when: (&Zone, UtcSecond)) -> Stored<MyTicket> {
        let told = self.cane.seen(conn, &self.around, when).await?;
        told.into_iter().next().ok_or(StoreError::Corrupt {
            what: "tickets.id",
            found: "a ticket that is not its member's".to_owned(),
        })
    }
}

/// All that was written down of a member's cane in a season.
#[derive(Debug)]
pub struct Cane {
    tickets: Vec<Ticket>,
    marks: Vec<store::TicketMarks>,
    /// The juices that count.
    juices: Vec<Stocked>,
    /// Boils that hold any of it, in the order they were lit.
    rows: Vec<BoilRow>,
    lots: Lots,
}

/// What every member's cane depends on at a moment.
#[derive(Debug)]
pub struct SharedFacts {
    running: Vec<PressDay>,
    height: Altitude,
    mark: Option<Mark>,
}

/// What is read of cane once it is known that it waits for the mill or is on the fire.
#[derive(Debug)]
pub struct ReadSecond {
    on_fire: Vec<(BoilId, OnFire)>,
}

impl SharedFacts {
    /// Reads what every member's cane depends on at this moment.
    pub fn of((zone, at): (&Zone, UtcSecond)) -> Question<Self> {
        let found = (
            press_days::running(zone.local(at).0),
            height(),
            marks::mark(),
        );
        found.together().map(|(running, height, mark)| Self {
            running,
            height,
            mark,
        })
    }

    /// The mark of the moment at which it was read.
    pub fn mark(&self) -> Option<&Mark> {
        self.mark.as_ref()
    }

    /// The press days that are running.
    pub fn running(&self) -> &[PressDay] {
        &self.running
    }
}

impl Cane {
    /// Reads what was written of a member's cane in a season.
    pub fn of(season: SeasonId, member: MemberId) -> Question<Self> {
        let found = (
            tickets::of_season_member(season, member),
            store::tickets(season, member),
            boil_sums::stocked_of_member(season, member),
            boils::of_member(season, member),
            store::boils_of_member(season, member),
            hand_overs::jars_set_aside(Some(member)),
            hand_overs::jars_of_member(season, member),
            lot_losses::of_member(season, member),
        );
        let found = found.together();
        found.map(
            move |(tickets, written, (juices, draws), rows, marks, aside, handed, losses)| Self {
                tickets,
                marks: written,
                juices,
                rows,
                lots: Lots::new(member, draws, (marks, losses), (aside, handed)),
            },
        )
    }

    /// The cane of one ticket only.
    pub fn only(mut self, ticket: TicketId) -> Self {
        self.tickets.retain(|one| one.id == ticket);
        self.juices.retain(|juice| juice.row.ticket_id == ticket);
        self
    }

    /// The boils that hold any of it, as the member is told of them.
    fn lots(&self) -> Vec<MyLot> {
        let drawn = self.juices.iter().flat_map(|juice| &juice.draws);
        let ids: BTreeSet<BoilId> = drawn.map(|draw| draw.boil_id).collect();
        let rows = self.rows.iter().filter(|row| ids.contains(&row.id));
        rows.map(|row| self.lots.lot(row.clone())).collect()
    }

    /// The dates of cane that waits for the mill: whoever shows it asks about when each is pressed, all of a page together.
    pub fn waits_on(&self, zone: &Zone) -> impl Iterator<Item = PressDate> {
        let mine = self.mine(&self.lots(), zone).into_iter();
        mine.filter(|mine| mine.state() == CaneState::Here)
            .map(|mine| mine.ticket.date)
    }

    /// What is read in a second step: boils on the fire.
    pub fn later(&self, around: &SharedFacts) -> Question<ReadSecond> {
        let lots = self.lots();
        let on_fire = lots.iter().filter(|lot| lot.state() == LotState::OnFire);
        let on_fire = on_fire.map(|lot| {
            let id = lot.row.id;
            OnFire::of(&lot.row, around.mark()).map(move |fire| (id, fire))
        });
        Question::all(on_fire).map(|on_fire| ReadSecond { on_fire })
    }

    /// As the member is told of it where nothing else is shown: what is read in a second step is asked here.
    async fn seen(
        &self,
        conn: &mut Conn,
        around: &SharedFacts,
        when: (&Zone, UtcSecond),
    ) -> Stored<Vec<MyTicket>> {
        let dates = self.waits_on(when.0).collect();
        let abouts = StartEstimates::of(&around.running, &dates, when);
        let (later, abouts) = (self.later(around), abouts).together().ask(conn).await?;
        self.member_view(around, (later, &abouts), when)
    }

    /// As the member is told of it, by number of ticket.
    ///
    /// # Errors
    /// What is stored does not read back.
    pub fn member_view(
        &self,
        around: &SharedFacts,
        (later, abouts): (ReadSecond, &StartEstimates),
        (zone, at): (&Zone, UtcSecond),
    ) -> Stored<Vec<MyTicket>> {
        let mut lots = self.lots();
        for (id, fire) in later.on_fire {
            if let Some(lot) = lots.iter_mut().find(|lot| lot.row.id == id) {
                lot.done = fire.done_about(lot.row.clone(), (around.height, at))?;
            }
        }
        let mut out = self.mine(&lots, zone);
        for mine in &mut out {
            if mine.state() == CaneState::Here {
                mine.queue = abouts.of_ticket(mine.ticket.id).cloned();
            }
        }
        Ok(out)
    }

    /// The member's tickets, with these boils.
    fn mine(&self, lots: &[MyLot], zone: &Zone) -> Vec<MyTicket> {
        let mut out = Vec::new();
        for ticket in self.tickets.clone() {
            let Some(found) = self.marks.iter().find(|m| m.ticket_id == ticket.id) else {
                continue;
            };
            let of_it = |j: &&Stocked| j.row.ticket_id == ticket.id;
            let own = || self.juices.iter().filter(of_it);
            let inside =
                |lot: &&MyLot| own().any(|j| j.draws.iter().any(|draw| draw.boil_id == lot.row.id));
            let mut lots: Vec<MyLot> = lots.iter().filter(inside).cloned().collect();
            for lot in &mut lots {
                let of_it = |draw: &DrawRow| draw.ticket_id == ticket.id;
                lot.marks.poured_at = self.lots.poured_at(&lot.row, of_it);
            }
            out.push(MyTicket {
                queue: None,
                strands: strands(&ticket, own(), &lots),
                net: found.net,
                juices: own().map(|juice| juice.row.id).collect(),
                lost: own().map(|juice| juice.lost.mass - juice.twice).sum(),
                marks: CaneMarks {
                    turn_at: found.turn_start.map(|start| zone.at(ticket.date, start)),
                    here_at: Some(found.first_weighed.unwrap_or(ticket.made_at)),
                    pressed_at: own()
                        .filter(|juice| juice.was_there())
                        .map(|juice| juice.row.pressed_at)
                        .min(),
                    standing: own().any(|juice| juice.poured.left.mass > Grams::ZERO),
                    went_home: found.went_home,
                    not_weighed: found.net == Grams::ZERO && found.first_weighed.is_some(),
                    lots: lots.iter().map(|lot| lot.marks).collect(),
                },
                lots,
                ticket,
            });
        }
        out
    }
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
            strand: JuiceWay {
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
