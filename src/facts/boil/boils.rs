//! A boil with all that belongs to it; and a season's boils with their jars.

use super::boil_sums::{self, InPan, Stocked};
use super::finish_of_day::{FinishOfDay, height};
use super::jar_weights::jar_scale;
use super::probes::{self, ProbeOfBoil};
use super::season_boils::SeasonBoils;
use crate::calc::boil::boil_habit::BoilHabit;
use crate::calc::boil::boil_rules::{Balance, Expected, balance, expect};
use crate::calc::boil::fuel_burnt::{Boiled, FuelBurnt};
use crate::calc::boil::sums::{Stage, total, warmth};
use crate::calc::cane::juice::Portion;
use crate::calc::cane::scale::Graduation;
use crate::calc::physics::elevation::WaterBoil;
use crate::calc::physics::energy::Fuel;
use crate::facts::came_by::CameBy;
use crate::store::boil::boil_readings::{self, ReadingRow};
use crate::store::boil::boils::{self, BoilRow, FillRow};
use crate::store::boil::boils_rules::{self, Moved};
use crate::store::boil::pans::Pan;
use crate::store::season::seasons::{self, JarSize, Rules};
use crate::store::{Conn, StoreError, Stored};
use crate::units::{Altitude, Celsius, Grams, MemberId, SeasonId};

impl BoilRow {
    /// How far it has come.
    pub fn stage(&self) -> Stage {
        Stage::of(self.finish.is_some(), self.divided_at.is_some(), self.lost)
    }
}

/// A boil with all that belongs to it.
#[derive(Debug)]
pub struct Boil {
    /// The boil itself, with its latest finish.
    pub row: BoilRow,
    /// The rules it is divided by: of the day it was lit on, unless a steward moved it.
    pub rules: Rules,
    /// Why a steward moved it to these rules.
    pub moved: Option<Moved>,
    /// The jars of those rules.
    pub sizes: Vec<JarSize>,
    /// What was poured in, juice by juice.
    pub pan: Vec<InPan>,
    /// All of that together.
    pub brought: Portion,
    /// Its readings, by time; none that another one puts right.
    pub readings: Vec<ReadingRow>,
    /// By which way what was noted of it came.
    pub came: CameBy,
    /// What probes sent by themselves: never among the readings that a hand noted.
    pub probes: Vec<ProbeOfBoil>,
    /// Jars filled.
    pub fills: Vec<FillRow>,
    /// Juices with something left, this boil's own among them; pressed last first.
    pub juices: Vec<Stocked>,
    /// Syrup to expect by the season's rules; nothing without juice.
    pub expected: Option<Expected>,
    /// The finish of its day.
    pub day: FinishOfDay,
    /// What the season's finished boils teach.
    pub habit: BoilHabit,
    /// Its pan; where nobody wrote it down, the one in use that takes this charge.
    pub under: Option<Pan>,
    /// One step of the scale that jars are weighed on; nothing when all scales are for cane.
    pub jar_scale: Option<Graduation>,
}

impl Boil {
    /// Reads a boil with all that belongs to it.
    pub async fn read(conn: &mut Conn, row: BoilRow) -> Stored<Self> {
        let season = SeasonBoils::read(conn, row.season_id).await?;
        let height = height(conn).await?;
        Self::of_season(conn, row, &season, height).await
    }

    /// The same, when its season was read before.
    pub async fn of_season(
        conn: &mut Conn,
        row: BoilRow,
        season: &SeasonBoils,
        height: Altitude,
    ) -> Stored<Self> {
        let rules =
            seasons::rules(conn, row.rules_id)
                .await?
                .ok_or_else(|| StoreError::Corrupt {
                    what: "boils.rules_id",
                    found: row.rules_id.to_string(),
                })?;
        let pan = boil_sums::in_pan(conn, row.id).await?;
        let brought = total(pan.iter().map(|juice| juice.part));
        let inside = |j: &Stocked| j.draws.iter().any(|d| d.boil_id == row.id);
        Ok(Self {
            sizes: seasons::jar_sizes(conn, row.rules_id).await?,
            moved: boils_rules::latest(conn, row.id).await?,
            readings: boil_readings::of_boil(conn, row.id).await?,
            came: CameBy::of(conn, &row.id.to_string()).await?,
            probes: probes::of_boil(conn, row.id).await?,
            fills: boils::fills(conn, row.id).await?,
            expected: expect(brought, row.target, rules.recovery_pct),
            day: FinishOfDay::of(&season.habit, season.water_of(&row), height, row.target)?,
            habit: season.habit.clone(),
            under: season.pan_of(&row).cloned(),
            jar_scale: jar_scale(conn).await?.map(|(_, d)| d),
            // The latest first: that is what is poured next.
            juices: season
                .juices
                .iter()
                .rev()
                .filter(|j| j.poured.left.mass > Grams::ZERO || inside(j))
                .cloned()
                .collect(),
            brought,
            pan,
            rules,
            row,
        })
    }

    /// Whether a member's juice is in it.
    pub fn holds(&self, member: MemberId) -> bool {
        self.pan.iter().any(|juice| juice.draw.member_id == member)
    }

    /// Syrup in jars.
    pub fn jarred(&self) -> Grams {
        self.fills.iter().map(FillRow::grams).sum()
    }

    /// Solids in against solids out, once it is finished.
    pub fn balance(&self) -> Option<Balance> {
        let finish = self.row.finish.as_ref()?;
        let sum = balance(self.brought, finish.syrup, finish.brix_20);
        Some(sum.with_spilt(finish.spilt))
    }

    /// Temperature of what was poured in; nothing when nothing was.
    pub fn warmth(&self) -> Option<Celsius> {
        warmth(self.pan.iter().map(|j| (j.row.temp, j.part.mass)))
    }

    /// What burns under it, as it was measured or as the pan is set up.
    pub fn fuel(&self) -> Option<Fuel> {
        let measured = self.row.finish.as_ref().and_then(|f| f.burnt);
        let set_up = || self.under.as_ref().map(|p| p.settings.fuel);
        measured.map(|b| b.fuel).or_else(set_up)
    }

    /// The fuel burnt under it, and the share of its heat that went into the juice, once both are
    /// known.
    pub fn burnt(&self) -> Option<(FuelBurnt, Option<f64>)> {
        let finish = self.row.finish.as_ref()?;
        let burnt = finish.burnt?;
        let share = self.warmth().and_then(|temp| {
            let boiled = Boiled {
                juice: self.brought.mass,
                solids: self.brought.solids,
                temp,
                syrup: finish.brix_20,
                water: match self.day.water {
                    WaterBoil::Measured(read) => Some(read),
                    WaterBoil::Altitude(_) => None,
                },
                finish: finish.finish_temp,
            };
            Some(burnt.share(boiled.heat()?.total_kj()))
        });
        Some((burnt, share))
    }
}

/// A boil of a list.
#[derive(Debug)]
pub struct ListedBoil {
    /// The boil itself.
    pub row: BoilRow,
    /// Its jars.
    pub fills: Vec<FillRow>,
}

/// The boils of a season in the order they were lit: all, or those with the juice of some members.
pub async fn listed(
    conn: &mut Conn,
    season: SeasonId,
    of: Option<&[MemberId]>,
) -> Stored<Vec<ListedBoil>> {
    let rows = match of {
        None => boils::of_season(conn, season).await?,
        Some(members) => {
            let mut rows = Vec::new();
            for member in members {
                rows.extend(boils::of_member(conn, season, *member).await?);
            }
            rows.sort_by_key(|row| (row.lit_at, row.id));
            rows.dedup_by_key(|row| row.id);
            rows
        }
    };
    let mut out = Vec::with_capacity(rows.len());
    for row in rows {
        let fills = boils::fills(conn, row.id).await?;
        out.push(ListedBoil { row, fills });
    }
    Ok(out)
}
