//! What is meant by a code, a number, a date or a name that somebody typed to find something.

use crate::store::cane::juice::{self, JuiceRow};
use crate::store::cane::mill::{self, Vessel};
use crate::store::people::members::{self, MemberLine};
use crate::store::shares::hand_overs::{self, HandOverRow};
use crate::store::shares::lots::{self, Lot, NumberedTicket};
use crate::store::turns::press_days;
use crate::store::{Conn, Stored};
use crate::units::{LotCode, PressDate};

/// Most members or juices that are listed for one name.
const MOST: usize = 20;

/// One thing that what was typed may mean.
#[derive(Debug)]
pub enum Candidate {
    /// A lot.
    Lot(Lot),
    /// A ticket.
    Ticket(NumberedTicket),
    /// A receipt.
    Receipt(HandOverRow),
    /// A member.
    Member(MemberLine),
    /// A vessel.
    Vessel(Vessel),
    /// A juice that stands, or stood, in the vessel of that name.
    Juice(JuiceRow),
    /// A press day.
    Day(PressDate),
}

/// What looking something up found.
#[derive(Debug, Default)]
pub struct LookedUp {
    /// All that the words may mean.
    pub found: Vec<Candidate>,
    /// Lots one slip of the pen away, when no lot has the code that was typed.
    pub near: Vec<LotCode>,
}

impl LookedUp {
    /// Looks for what was typed among lots, tickets, receipts, members, vessels and press days.
    ///
    /// # Errors
    /// The store failed.
    pub async fn read(conn: &mut Conn, typed: &str) -> Stored<Self> {
        let typed = typed.trim();
        let mut out = Self::default();
        if typed.is_empty() {
            return Ok(out);
        }
        let lot = match LotCode::parse(typed) {
            Ok(code) => lots::find(&code).ask(conn).await?,
            Err(_) => None,
        };
        match lot {
            Some(lot) => out.found.push(Candidate::Lot(lot)),
            None => out.near = LotCode::near(typed, &lots::codes().ask(conn).await?),
        }
        if let Ok(date) = PressDate::parse(typed)
            && press_days::of_date(date).ask(conn).await?.is_some()
        {
            out.found.push(Candidate::Day(date));
        }
        if let Ok(number) = typed.trim_start_matches('#').parse::<i64>() {
            let tickets = lots::tickets_numbered(number).ask(conn).await?;
            out.found.extend(tickets.into_iter().map(Candidate::Ticket));
            let receipt = hand_overs::find(number).ask(conn).await?;
            out.found.extend(receipt.map(Candidate::Receipt));
        }
        out.found.extend(named(conn, typed).await?);
        Ok(out)
    }
}

/// Members whose name or number, and juices whose vessel, is what was typed.
async fn named(conn: &mut Conn, typed: &str) -> Stored<Vec<Candidate>> {
    let lower = typed.to_lowercase();
    let number = typed.parse::<i64>().ok();
    // One letter would list half the co-op.
    let by_name = lower.chars().count() >= 2;
    let mut out: Vec<Candidate> = members::list()
        .ask(conn)
        .await?
        .into_iter()
        .filter(|m| {
            Some(m.number) == number
                || (by_name && m.name.to_string().to_lowercase().contains(&lower))
        })
        .take(MOST)
        .map(Candidate::Member)
        .collect();
    for vessel in mill::vessels().ask(conn).await? {
        if vessel.name.to_lowercase() == lower {
            let juices = juice::of_vessel(vessel.id).ask(conn).await?;
            out.push(Candidate::Vessel(vessel));
            out.extend(juices.into_iter().take(MOST).map(Candidate::Juice));
        }
    }
    Ok(out)
}
