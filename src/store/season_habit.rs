//! A season's finished boils as far as they teach anything, with the pans in use: rows read
//! elsewhere on this floor, put together here. No SQL of its own; what they teach is
//! `calc::season_habit`.

use super::boil_sums::{Stocked, by_boil, stocked_of_season};
use super::boils::BoilRow;
use super::pans::{self, Pan};
use super::{Conn, Stored, boil_readings, boils, morning};
use crate::calc::juice::Portion;
use crate::calc::pan::{Settings, suits};
use crate::calc::season_habit::{Finished, Habit, minutes_at_boil};
use crate::units::{BoilId, Celsius, Grams, Millilitres, PressDayId, SeasonId, UtcSecond};
use std::collections::HashMap;

/// A season as its boils have it.
#[derive(Debug, Clone)]
pub struct Season {
    /// Its boils, in the order they were lit.
    pub boils: Vec<BoilRow>,
    /// Its juices, with what is left of each.
    pub juices: Vec<Stocked>,
    /// What each boil holds.
    pub poured: HashMap<BoilId, Portion>,
    /// Pans in use, by name.
    pub pans: Vec<Pan>,
    /// What its finished boils teach.
    pub habit: Habit,
    water: HashMap<PressDayId, Celsius>,
}

impl Season {
    /// Where water boils by the thermometer of a boil: read when it was lit, else on its day;
    /// nothing when nobody read it.
    pub fn water_of(&self, boil: &BoilRow) -> Option<Celsius> {
        boil.water_boil
            .or_else(|| self.water_of_day(boil.press_day_id))
    }

    /// The reading of boiling water of a day: of the morning's checks, else of its latest boil that
    /// has one.
    pub fn water_of_day(&self, day: PressDayId) -> Option<Celsius> {
        let by_boil = || {
            let mut of_day = self.boils.iter().rev().filter(|b| b.press_day_id == day);
            of_day.find_map(|b| b.water_boil)
        };
        self.water.get(&day).copied().or_else(by_boil)
    }

    /// The pan that a charge is made in.
    pub fn pan_for(&self, charge: Millilitres) -> Option<&Pan> {
        let settings: Vec<Settings> = self.pans.iter().map(|p| p.settings).collect();
        suits(&settings, charge).and_then(|n| self.pans.get(n))
    }

    /// What a boil holds.
    pub fn in_boil(&self, boil: BoilId) -> Portion {
        self.poured.get(&boil).copied().unwrap_or(Portion {
            volume: Millilitres::ZERO,
            mass: Grams::ZERO,
            solids: Grams::ZERO,
        })
    }
}

/// Reads a season.
pub async fn read(conn: &mut Conn, season: SeasonId) -> Stored<Season> {
    let mut temps: HashMap<BoilId, Vec<(UtcSecond, Celsius)>> = HashMap::new();
    for row in boil_readings::temps_of_season(conn, season).await? {
        temps
            .entry(row.boil_id)
            .or_default()
            .push((row.read_at, row.temp));
    }
    let juices = stocked_of_season(conn, season).await?;
    let water = morning::water_boils_of_season(conn, season).await?;
    let mut pans = pans::list(conn).await?;
    pans.retain(|p| p.retired_at.is_none());
    let mut found = Season {
        boils: boils::of_season(conn, season).await?,
        poured: by_boil(&juices),
        juices,
        pans,
        habit: Habit::none(),
        water: water.into_iter().collect(),
    };
    let finished: Vec<Finished> = found
        .boils
        .iter()
        .filter_map(|boil| {
            let read = temps.remove(&boil.id).unwrap_or_default();
            finished(&found, boil, &read)
        })
        .collect();
    found.habit = Habit::of(&finished);
    Ok(found)
}

/// A boil as far as it teaches anything; nothing while it is on the fire.
fn finished(season: &Season, boil: &BoilRow, read: &[(UtcSecond, Celsius)]) -> Option<Finished> {
    let finish = boil.finish.as_ref()?;
    let part = season.poured.get(&boil.id)?;
    let water = season.water_of(boil);
    Some(Finished {
        water,
        finish_temp: finish.finish_temp,
        brix: finish.brix_20,
        syrup: finish.syrup,
        juice: part.mass,
        solids: part.solids,
        at_boil_min: water
            .and_then(|water| minutes_at_boil(boil.lit_at, read, water, finish.finished_at)),
        area_m2: season.pan_for(part.volume).map(|p| p.settings.area.get()),
    })
}
