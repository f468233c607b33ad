//! A juice with all that belongs to it, and what measuring a new one is decided from.

use super::mill::vessels_in_use;
use super::tickets::ticket_of_phone;
use super::yields::{self, Yields};
use crate::calc::cane::juice::{Juice, Measured, WaitLimits, measure};
use crate::calc::cane::second_reading;
use crate::calc::physics::refractometer::AGREE_WITHIN;
use crate::facts::came_by::CameBy;
use crate::facts::rules_versions;
use crate::store::cane::juice::{self, Drawn, JuiceRow};
use crate::store::cane::mill::Vessel;
use crate::store::cane::tickets::{self, Ticket};
use crate::store::cane::yard::{self, LossRow, TicketEnd};
use crate::store::season::seasons::{self, Rules, Terms};
use crate::store::turns::press_days::PressDay;
use crate::store::{Conn, Question, StoreError, Stored, Together, in_json};
use crate::units::{
    Grams, JuiceId, LotCode, MemberId, MemberName, PressDayId, SeasonId, TicketId, Units,
};
use std::collections::BTreeMap;

impl JuiceRow {
    /// Mass, volume at 20 °C and dissolved solids of the juice.
    ///
    /// # Errors
    /// [`StoreError::Corrupt`]: what is stored was checked before, so it must come to something.
    pub fn reckon(&self) -> Stored<Juice> {
        measure(&Measured {
            amount: self.amount,
            sediment: self.sediment,
            readings: &self.readings,
            instrument: self.instrument,
            sample: self.temp,
            agree_within: AGREE_WITHIN,
        })
        .map_err(|refusal| StoreError::Corrupt {
            what: "juice_measures",
            found: format!("{} version {}: {refusal}", self.id, self.version),
        })
    }
}

impl Terms {
    /// How long raw juice may wait.
    pub fn wait_limits(&self) -> WaitLimits {
        WaitLimits {
            amber: self.hold_amber,
            red: self.hold_red,
        }
    }
}

/// A ticket whose juice is measured.
#[derive(Debug)]
pub struct JuiceToMeasure {
    /// The ticket.
    pub ticket: Ticket,
    /// Net cane of the ticket.
    pub cane: Grams,
    /// Vessels in use.
    pub vessels: Vec<Vessel>,
    /// Juices that stand in the season's vessels.
    pub standing: Vec<JuiceInStock>,
    /// The juice of that day that was pressed last: a day goes on as it began.
    pub last_of_day: Option<JuiceRow>,
    /// How the ticket ended without juice, as said last, if it did.
    pub end: Option<TicketEnd>,
}

impl JuiceToMeasure {
    /// Reads what belongs to a ticket.
    pub async fn read(conn: &mut Conn, ticket: Ticket) -> Stored<Self> {
        let found = (
            tickets::net(ticket.id),
            vessels_in_use(),
            of_season(ticket.season_id, ticket.press_day_id),
            yard::end_of(ticket.id),
        );
        let (cane, vessels, (standing, last_of_day), end) = found.together().ask(conn).await?;
        Ok(Self {
            ticket,
            cane,
            vessels,
            standing,
            last_of_day,
            end,
        })
    }

    /// As [`Self::read`], for a ticket of a press day that stands on a phone only: its id is nought.
    pub async fn of_phone(conn: &mut Conn, day: &PressDay, by: MemberId) -> Stored<Self> {
        let ticket = ticket_of_phone(conn, day, by).await?;
        Self::read(conn, ticket).await
    }
}

/// Juice that stands in a vessel.
#[derive(Debug)]
pub struct JuiceInStock {
    /// Name of the vessel.
    pub vessel: String,
    /// Name of the member whose juice it is.
    pub name: MemberName,
    /// What is left of it.
    pub left: Grams,
}

/// A season's juices that stand in vessels, and that of one day which was pressed last.
fn of_season(season: SeasonId, day: PressDayId) -> Question<(Vec<JuiceInStock>, Option<JuiceRow>)> {
    let found = (juice::of_season(season), juice::drawn_of_season(season)).together();
    found.try_map(move |(juices, drawn)| {
        let (mut standing, mut last) = (Vec::new(), None);
        for juice in juices {
            let drawn = drawn.get(&juice.id).copied().unwrap_or_default();
            let left = drawn.left(juice.reckon()?.mass);
            if left > Grams::ZERO {
                standing.push(JuiceInStock {
                    vessel: juice.vessel.clone(),
                    name: juice.member_name.clone(),
                    left,
                });
            }
            if juice.press_day_id == day {
                last = Some(juice);
            }
        }
        Ok((standing, last))
    })
}

impl JuiceToMeasure {
    /// "empty", or whose juice is in a vessel and how much.
    pub fn inside(&self, vessel: &str, units: Units) -> String {
        let inside: Vec<String> = self
            .standing
            .iter()
            .filter(|s| s.vessel == vessel)
            .map(|s| format!("{} of {}", s.left.show(units), s.name))
            .collect();
        if inside.is_empty() {
            "empty".to_owned()
        } else {
            inside.join(" and ")
        }
    }
}

/// A juice with all that belongs to it.
#[derive(Debug)]
pub struct FullJuice {
    /// The juice in its latest version.
    pub juice: JuiceRow,
    /// All versions of its measuring, latest first.
    pub versions: Vec<JuiceRow>,
    /// What was drawn from it.
    pub drawn: Drawn,
    /// Losses of it, those taken back included.
    pub losses: Vec<LossRow>,
    /// The divided lot that its ticket's juice is in: its measuring is closed then.
    pub divided: Option<LotCode>,
    /// Juice per 100 of its ticket's cane.
    pub yields: Yields,
    /// The rules in force.
    pub rules: Rules,
    /// How its entries came.
    pub came: CameBy,
    /// Whether its ticket was drawn by lot for a second person to read again.
    pub drawn_by_lot: bool,
}

impl FullJuice {
    /// Reads all that belongs to a juice.
    pub fn of(juice: JuiceRow) -> Question<Self> {
        let found = (
            tickets::find(juice.ticket_id),
            seasons::rules_list(juice.season_id),
            juice::versions(juice.id),
            juice::drawn(juice.id),
            yard::losses(juice.id),
            tickets::divided_lot(juice.ticket_id),
            yields::of_season(juice.season_id),
            CameBy::of(&juice.id.to_string()),
        );
        let found = found.together();
        found.try_map(
            |(ticket, rules, versions, drawn, losses, divided, season, came)| {
                let ticket = ticket.ok_or_else(|| StoreError::Corrupt {
                    what: "juices.ticket_id",
                    found: juice.ticket_id.to_string(),
                })?;
                let rules = rules_versions::holding(&rules, ticket.date)?;
                Ok(Self {
                    versions,
                    drawn,
                    losses,
                    divided,
                    yields: Yields::of(&season, &ticket, &rules),
                    came,
                    drawn_by_lot: second_reading::drawn(
                        ticket.date,
                        ticket.id,
                        rules.read_again_one_in,
                    ),
                    juice,
                    rules,
                })
            },
        )
    }
}

/// Juice pressed from a ticket so far: what was measured, less what was measured twice.
pub fn juice_of_ticket(ticket: TicketId) -> Question<Grams> {
    let all = juice_of_tickets(&in_json([ticket]));
    all.map(move |all| all.get(&ticket).copied().unwrap_or_default())
}

/// As [`juice_of_ticket`], for several tickets (a JSON array of ids); one that gave no juice is left out.
pub fn juice_of_tickets(tickets: &str) -> Question<BTreeMap<TicketId, Grams>> {
    let found = (juice::of_tickets(tickets), yard::lost_of_tickets(tickets)).together();
    found.try_map(|(juices, lost)| {
        let mut twice: BTreeMap<JuiceId, Grams> = BTreeMap::new();
        for lost in lost {
            if lost.twice {
                *twice.entry(lost.juice_id).or_default() += lost.amount;
            }
        }
        let mut sums: BTreeMap<TicketId, Grams> = BTreeMap::new();
        for juice in juices {
            let gone = twice.remove(&juice.id).unwrap_or_default();
            *sums.entry(juice.ticket_id).or_default() += juice.reckon()?.mass - gone;
        }
        Ok(sums)
    })
}
