//! What waits for a steward to decide, on home.

use super::lines::{HomeLine, count};
use crate::facts::home::MemberHome;
use crate::store::home::{Desk, OpenBoil};
use crate::store::restores::RestoreRow;
use crate::units::Zone;
use crate::web::paths;

/// What waits for a steward's decision.
pub(super) struct Decisions {
    pub(super) lines: Vec<HomeLine>,
    /// The season's proposal, while a press day is to come; else empty.
    pub(super) proposal: String,
}

/// The calls to make, if there are any.
pub(super) fn calls(n: usize) -> Option<HomeLine> {
    let words = match n {
        0 => return None,
        1 => "1 call to make".to_owned(),
        n => format!("{n} calls to make"),
    };
    let more = "members who have not heard yet".to_owned();
    Some(HomeLine::new(paths::CALLS.to_owned(), words, more))
}

/// A backup that was put in the place of the database, until a steward has seen to it.
pub(super) fn restored_line(row: &RestoreRow, zone: &Zone) -> HomeLine {
    HomeLine {
        tag: "look",
        look: "bad",
        ..HomeLine::new(
            paths::restore(row.number),
            format!(
                "The book was put back from a backup on {}",
                zone.show(row.at)
            ),
            "look what is missing since".to_owned(),
        )
    }
}

pub(super) fn decisions(
    calls: Option<HomeLine>,
    desk: Desk,
    MemberHome {
        days, today, year, ..
    }: &MemberHome,
    open: &[OpenBoil],
) -> Decisions {
    let mut lines = Vec::from_iter(calls);
    for day in days.iter().filter(|d| d.date < *today) {
        lines.push(HomeLine::new(
            paths::day(day.date),
            format!("{} is not closed", day.date.show()),
            format!(
                "{}, {}",
                count(day.turns, "turn", "turns"),
                count(day.tickets, "ticket", "tickets")
            ),
        ));
    }
    for boil in open.iter().filter(|b| b.finished && b.date < *today) {
        lines.push(HomeLine::new(
            paths::boil(&boil.lot),
            format!("Lot {} is finished and not divided", boil.lot),
            boil.date.show(),
        ));
    }
    if desk.owing > 0 {
        lines.push(HomeLine::new(
            paths::LEDGER.to_owned(),
            format!("{} money", count(desk.owing, "member owes", "members owe")),
            format!("{} together", desk.owed.show()),
        ));
    }
    if desk.jars > 0 {
        lines.push(HomeLine::new(
            paths::HAND_OVERS.to_owned(),
            format!(
                "{} to be handed over",
                count(desk.jars, "jar waits", "jars wait")
            ),
            String::new(),
        ));
    }
    if desk.without_account > 0 {
        lines.push(HomeLine::new(
            paths::MEMBERS.to_owned(),
            format!(
                "{} sign in yet",
                count(desk.without_account, "member cannot", "members cannot")
            ),
            "make an invitation from the member’s card".to_owned(),
        ));
    }
    let to_come = days.iter().any(|day| day.date > *today);
    let year = year.filter(|_| to_come);
    Decisions {
        lines,
        proposal: year.map_or_else(String::new, |year| paths::season_part(year, "proposal")),
    }
}
