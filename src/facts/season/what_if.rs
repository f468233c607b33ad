//! A season's divided boils as they were shared out, to be reckoned again by other rules.

use crate::calc::season::what_if::Boiled;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::division_inputs::divided_of_season;
use crate::store::shares::divisions;
use crate::store::{Conn, Stored};
use crate::units::SeasonId;

/// The season's divided boils, with what everybody was entitled to.
///
/// # Errors
/// The store failed.
pub async fn boiled(conn: &mut Conn, season: SeasonId) -> Stored<Vec<Boiled>> {
    let mut out = Vec::new();
    for measured in divided_of_season(conn, season).await? {
        let Some(row) = divisions::of_boil(measured.boil.id).ask(conn).await? else {
            continue;
        };
        let shares = divisions::shares(row.id).ask(conn).await?;
        out.push(Boiled {
            lot: measured.boil.lot.as_str().to_owned(),
            jarred: row.jarred,
            brought: measured.pours.iter().map(|p| p.brought).collect(),
            present: shares
                .into_iter()
                .map(|s| (Sharer::of(s.member_id), s.entitled))
                .collect(),
        });
    }
    Ok(out)
}
