//! A season's finished boils as far as they teach anything: rows read elsewhere on this floor, put
//! together here. No SQL of its own; what they teach is `calc::season_habit`.

use super::boil_sums::{by_boil, stocked_of_season};
use super::{Conn, Stored, boil_readings, boils};
use crate::calc::season_habit::{Finished, minutes_at_boil};
use crate::units::{BoilId, Celsius, SeasonId, UtcSecond};
use std::collections::HashMap;

/// The finished boils of a season, in the order they were lit.
pub async fn finished(conn: &mut Conn, season: SeasonId) -> Stored<Vec<Finished>> {
    let mut temps: HashMap<BoilId, Vec<(UtcSecond, Celsius)>> = HashMap::new();
    for row in boil_readings::temps_of_season(conn, season).await? {
        temps
            .entry(row.boil_id)
            .or_default()
            .push((row.read_at, row.temp));
    }
    let poured = by_boil(&stocked_of_season(conn, season).await?);
    let mut out = Vec::new();
    for boil in boils::of_season(conn, season).await? {
        let (Some(finish), Some(part)) = (boil.finish, poured.get(&boil.id)) else {
            continue;
        };
        let read = temps.remove(&boil.id).unwrap_or_default();
        out.push(Finished {
            water: boil.water_boil,
            finish_temp: finish.finish_temp,
            brix: finish.brix_20,
            syrup: finish.syrup,
            juice: part.mass,
            solids: part.solids,
            at_boil_min: boil
                .water_boil
                .and_then(|water| minutes_at_boil(boil.lit_at, &read, water, finish.finished_at)),
        });
    }
    Ok(out)
}
