//! A season as its boils have it: what each holds, which pan it is in, where water boiled, and what
//! the finished ones teach (`calc::boil::boil_habit`).

use super::boil_sums::{Stocked, by_boil, stocked_of_season, warmth_by_boil};
use super::pans::pan_for_charge;
use crate::calc::boil::boil_habit::{BoilHabit, Finished, minutes_at_boil};
use crate::calc::cane::juice::Portion;
use crate::facts::recent_reads::RecentReads;
use crate::store::boil::boil_readings::{self, TempRow};
use crate::store::boil::boils::{self, BoilRow};
use crate::store::boil::pans::{self, Pan};
use crate::store::cane::morning;
use crate::store::marks::{self, Mark};
use crate::store::{Conn, Question, Stored, Together};
use crate::units::{BoilId, Celsius, Grams, Millilitres, PressDayId, SeasonId, UtcSecond};
use std::collections::HashMap;
use std::sync::Arc;

/// The season that is pressed, and one that somebody looks back at.
pub(in crate::facts) static SEASONS: RecentReads<SeasonId, SeasonBoils> = RecentReads::new(
    2,
    &[
        "boil_rules",
        "boils",
        "corrections",
        "divisions",
        "draws",
        "finishes",
        "juice_losses",
        "juice_measures",
        "juices",
        "loss_changes",
        "losses",
        "members",
        "opening_checks",
        "pans",
        "press_days",
        "second_readings",
        "tickets",
        "vessels",
    ],
);

/// A season as its boils have it.
#[derive(Debug, Clone)]
pub struct SeasonBoils {
    /// The season's boils, in the order they were lit.
    pub boils: Vec<BoilRow>,
    /// The season's juices, with what is left of each.
    pub juices: Vec<Stocked>,
    /// The juice that each boil holds.
    pub poured: HashMap<BoilId, Portion>,
    /// Pans in use, by name.
    pub pans: Vec<Pan>,
    /// What the season's finished boils teach.
    pub habit: BoilHabit,
    water: HashMap<PressDayId, Celsius>,
    retired: Vec<Pan>,
}

impl SeasonBoils {
    /// Reads a season, or finds it as it was read last.
    pub async fn read(conn: &mut Conn, season: SeasonId) -> Stored<Arc<Self>> {
        let mark = marks::mark().ask(conn).await?;
        Self::of(mark.as_ref(), season).ask(conn).await
    }

    /// As [`Self::read`], at a moment whose mark is known already.
    pub fn of(mark: Option<&Mark>, season: SeasonId) -> Question<Arc<Self>> {
        SEASONS.ask(mark, season, || Self::read_anew(season))
    }

    pub(in crate::facts) fn read_anew(season: SeasonId) -> Question<Self> {
        let found = (
            boil_readings::temps_of_season(season),
            stocked_of_season(season),
            morning::water_boils_of_season(season),
            pans::list(),
            boils::of_season(season),
        );
        let found = found.together();
        found.map(|(temps, juices, water, pans, boils)| {
            let (retired, pans) = pans.into_iter().partition(|p| p.retired_at.is_some());
            let season = Self {
                boils,
                poured: by_boil(&juices),
                juices,
                pans,
                retired,
                habit: BoilHabit::none(),
                water: water.into_iter().collect(),
            };
            let habit = season.learned(temps);
            Self { habit, ..season }
        })
    }

    /// What the finished boils teach, from their figures and these temperatures.
    fn learned(&self, rows: Vec<TempRow>) -> BoilHabit {
        let mut temps: HashMap<BoilId, Vec<(UtcSecond, Celsius)>> = HashMap::new();
        for row in rows {
            let of_boil = temps.entry(row.boil_id).or_default();
            of_boil.push((row.read_at, row.temp));
        }
        let warmth = warmth_by_boil(&self.juices);
        let finished: Vec<Finished> = self
            .boils
            .iter()
            .filter_map(|boil| {
                let read = temps.remove(&boil.id).unwrap_or_default();
                finished(self, boil, &read, warmth.get(&boil.id).copied())
            })
            .collect();
        BoilHabit::of(&finished)
    }

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

    /// The pan a boil is made in; where nobody wrote it down, the one that takes what was
    /// poured.
    pub fn pan_of(&self, boil: &BoilRow) -> Option<&Pan> {
        let all = || self.pans.iter().chain(&self.retired);
        let own = boil.pan_id.and_then(|id| all().find(|p| p.id == id));
        own.or_else(|| self.pan_for(self.in_boil(boil.id).volume))
    }

    /// The pan that a charge is made in, when nobody says.
    pub fn pan_for(&self, charge: Millilitres) -> Option<&Pan> {
        pan_for_charge(&self.pans, charge)
    }

    /// The juice that a boil holds.
    pub fn in_boil(&self, boil: BoilId) -> Portion {
        self.poured.get(&boil).copied().unwrap_or(Portion {
            volume: Millilitres::ZERO,
            mass: Grams::ZERO,
            solids: Grams::ZERO,
        })
    }
}

/// A boil as far as it teaches anything; nothing while it is on the fire.
fn finished(
    season: &SeasonBoils,
    boil: &BoilRow,
    read: &[(UtcSecond, Celsius)],
    juice_temp: Option<Celsius>,
) -> Option<Finished> {
    let finish = boil.finish.as_ref()?;
    let part = season.poured.get(&boil.id)?;
    let water = season.water_of(boil);
    let pan = season.pan_of(boil);
    Some(Finished {
        water,
        finish_temp: finish.finish_temp,
        brix: finish.brix_20,
        syrup: finish.syrup,
        spilt: finish.spilt,
        juice_temp,
        juice: part.mass,
        solids: part.solids,
        at_boil_min: water
            .and_then(|water| minutes_at_boil(boil.lit_at, read, water, finish.finished_at)),
        area_m2: pan.map(|p| p.settings.area.get()),
        fuel: pan.and_then(|p| Some((p.id, finish.burnt?))),
    })
}
