//! A season's divided boils as they were shared out, to be reckoned again by other rules.

use crate::calc::season::what_if::Boiled;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::division_inputs::DivisionInputs;
use crate::store::boil::boils;
use crate::store::shares::divisions::{self, DivisionRow};
use crate::store::{Conn, Stored, in_json};
use crate::units::{BoilId, DivisionId, Grams, SeasonId};
use std::collections::BTreeMap;

/// The season's divided boils, with what everybody was entitled to.
///
/// # Errors
/// The store failed.
pub async fn boiled(conn: &mut Conn, season: SeasonId) -> Stored<Vec<Boiled>> {
    let mut all = boils::of_season(season).ask(conn).await?;
    let ids = in_json(all.iter().map(|boil| boil.id));
    let rows = divisions::of_boils(&ids).ask(conn).await?;
    let rows: BTreeMap<BoilId, DivisionRow> =
        rows.into_iter().map(|row| (row.boil_id, row)).collect();
    let ids = in_json(rows.values().map(|row| row.id));
    let mut entitled: BTreeMap<DivisionId, Vec<(Sharer, Grams)>> = BTreeMap::new();
    for (of, share) in divisions::shares_of(&ids).ask(conn).await? {
        let own = entitled.entry(of).or_default();
        own.push((Sharer::of(share.member_id), share.entitled));
    }
    all.retain(|boil| rows.contains_key(&boil.id));
    let mut out = Vec::new();
    for measured in DivisionInputs::all_measured(conn, all).await? {
        if let Some(row) = rows.get(&measured.boil.id) {
            out.push(Boiled {
                lot: measured.boil.lot.as_str().to_owned(),
                jarred: row.jarred,
                brought: measured.pours.iter().map(|p| p.brought).collect(),
                present: entitled.remove(&row.id).unwrap_or_default(),
            });
        }
    }
    Ok(out)
}
