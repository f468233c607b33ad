//! Ticket numbers: those that a phone may give out without network, and those that tickets have before they are in the book.

use crate::actions::{Act, Done, begin};
use crate::calc::cane::own_number::{OfNumber, may_bear};
use crate::store::cane::tickets;
use crate::store::sent_from_phone;
use crate::store::{Question, Together};
use crate::units::SeasonId;

/// How many numbers a phone holds: three hours without network on one scale, at a turn every quarter of an hour.
pub const HELD: usize = 12;

/// Lets a phone hold numbers until it has [`HELD`] that no ticket bears.
///
/// # Errors
/// Not of the crew, or what broke.
pub async fn hold(act: &Act, season: SeasonId, phone: &str) -> Done<()> {
    act.crew()?;
    let mut tx = begin!(act, "hold_numbers");
    let held = sent_from_phone::held_numbers(season).ask(&mut tx).await?;
    let own = held.iter().filter(|held| held.phone == phone).count();
    for _ in own..HELD {
        let next = (season, tickets::next_ticket(season).ask(&mut tx).await?);
        sent_from_phone::hold_number(&mut tx, next, phone, act.actor.id, act.at).await?;
    }
    act.finish(tx, "hold_numbers", ()).await
}

/// A number that a ticket has before it is in the book.
#[derive(Debug, Clone)]
pub struct OwnNumber {
    /// The number.
    pub number: i64,
    /// The phone that sends the ticket, by the id that it made for itself; empty: no phone, or one that holds none.
    pub phone: String,
    /// Whether somebody said that the slip bears it, however odd it is.
    pub sure: bool,
}

/// The number of a new ticket: the one it has already, if it may bear it; else the next.
pub(super) fn number(season: SeasonId, has: Option<OwnNumber>) -> Question<Done<i64>> {
    let Some(own) = has else {
        return tickets::next_ticket(season).map(Ok);
    };
    let found = (
        tickets::number_taken(season, own.number),
        sent_from_phone::held_numbers(season),
        tickets::next_ticket(season),
    );
    found
        .together()
        .map(move |(taken, held, next)| -> Done<i64> {
            let other = held
                .iter()
                .find(|held| held.number == own.number && held.phone != own.phone);
            let of = OfNumber {
                taken,
                held_by: other.map(|held| held.member_name.as_str()),
                next,
            };
            may_bear(own.number, &of, own.sure)?;
            Ok(own.number)
        })
}
