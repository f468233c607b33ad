//! A member's season in a few figures, out of the book.

use crate::calc::shares::season_picture::{MySeason, mill_brix};
use crate::facts::cane::yields;
use crate::store::cane::tickets;
use crate::store::season::seasons::Season;
use crate::store::shares::ledger;
use crate::store::{Conn, Stored, Together};
use crate::units::{Grams, MemberId, TicketId};
use std::collections::BTreeSet;

/// Reads a member's season.
///
/// # Errors
/// The store failed.
pub async fn my_season(conn: &mut Conn, season: &Season, member: MemberId) -> Stored<MySeason> {
    let found = (
        tickets::of_season_member(season.id, member),
        yields::of_season(season.id),
        ledger::syrup_of(season.id, member),
        ledger::before_year(member, season.year + 1),
    );
    let (own, yields, syrup, (carried, _)) = found.together().ask(conn).await?;
    let own: BTreeSet<TicketId> = own.iter().map(|ticket| ticket.id).collect();
    let mut out = MySeason::default();
    let mut all = Vec::new();
    for ticket in yields {
        let mine = own.contains(&ticket.ticket_id);
        if mine {
            out.cane += ticket.cane;
        }
        let Some(juice) = ticket.juice.filter(|juice| juice.mass > Grams::ZERO) else {
            continue;
        };
        if mine {
            out.pressed += ticket.cane;
            out.juice += juice.mass;
            out.solids += juice.solids;
        }
        let brix = 100.0 * juice.solids.as_f64() / juice.mass.as_f64();
        all.push((juice.member_id, brix));
    }
    out.mill_brix = mill_brix(&all);
    (out.entitled, out.jarred) = syrup;
    out.carried = carried;
    Ok(out)
}
