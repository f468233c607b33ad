//! A division read back as it was frozen.

use crate::calc::shares::division::Division;
use crate::calc::shares::frozen::{self, FrozenJars, FrozenShare};
use crate::calc::shares::split::Sharer;
use crate::store::boil::boils::BoilRow;
use crate::store::shares::divisions::{self, DivisionRow};
use crate::store::{Conn, Stored};

/// A division as it was frozen, with its sums redone from the frozen weights.
///
/// # Errors
/// The store failed.
pub async fn recall(conn: &mut Conn, boil: &BoilRow, row: &DivisionRow) -> Stored<Division> {
    let jars = divisions::share_jars(conn, row.id).await?;
    let wishes = divisions::share_wishes(conn, row.id).await?;
    let shares = divisions::shares(conn, row.id).await?;
    let likes = |place| {
        let own = wishes.iter().filter(move |(at, _)| *at == place);
        own.map(|(_, net)| *net).collect()
    };
    let frozen: Vec<FrozenShare> = shares
        .into_iter()
        .map(|share| FrozenShare {
            sharer: Sharer::of(share.member_id),
            weight: u64::try_from(share.weight).unwrap_or(0),
            solids: share.solids,
            carried: share.carried,
            favoured_at: share.favoured_at,
            wishes: likes(share.place),
            entitled: share.entitled,
            jarred: share.jarred,
            carry: share.carry,
            jars: jars
                .iter()
                .filter(|j| j.place == share.place)
                .map(|j| FrozenJars {
                    name: j.size_name.clone(),
                    net: j.net,
                    part: j.part,
                    count: u32::try_from(j.count).unwrap_or(0),
                })
                .collect(),
        })
        .collect();
    Ok(frozen::recall(
        boil.lot.as_str(),
        (row.basis, row.toll),
        Some(row.finish),
        &frozen,
        row.version == 1,
    ))
}
