//! Ticket numbers that a phone may give out without network.

use crate::actions::{Act, Done, begin};
use crate::store::cane::tickets;
use crate::store::sent_from_phone;
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
