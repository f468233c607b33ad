//! A member's season in a few figures, out of the book.

use crate::calc::shares::season_picture::{MySeason, mill_brix};
use crate::facts::cane::yields;
use crate::store::cane::{tickets, yard};
use crate::store::home;
use crate::store::season::seasons::Season;
use crate::store::shares::ledger;
use crate::store::{Conn, Stored, Together};
use crate::units::{Grams, LotCode, MemberId, TicketId};
use std::collections::BTreeSet;

/// A member's season, and of the last lots those that are open to be put right.
///
/// # Errors
/// The store failed.
pub async fn my_season(
    conn: &mut Conn,
    season: &Season,
    member: MemberId,
) -> Stored<(MySeason, BTreeSet<LotCode>)> {
    let found = (
        tickets::of_season_member(season.id, member),
        yields::of_season(season.id),
        ledger::syrup_of(season.id, member),
        ledger::before_year(member, season.year + 1),
        home::last_shares(member),
        yard::lost_of_member(season.id, member),
    );
    let (own, yields, syrup, (carried, _), shares, lost) = found.together().ask(conn).await?;
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
    out.lost = lost.iter().filter(|l| !l.twice).map(|l| l.amount).sum();
    let reopened = shares.into_iter().filter(|share| share.reopened);
    Ok((out, reopened.map(|share| share.lot).collect()))
}
