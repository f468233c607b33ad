//! A boil with all that belongs to it; and a season's boils with their jars.

use super::boil_sums::{self, InPan, Stocked};
use super::finish_of_day::{FinishOfDay, height};
use super::jar_checks::jar_scale;
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
use crate::store::boil::boils::{self, BoilRow, DrawnThen, FillRow};
use crate::store::boil::boils_rules::{self, Moved};
use crate::store::boil::pans::Pan;
use crate::store::marks;
use crate::store::season::seasons::{self, JarSize, Rules};
use crate::store::typed_in::{self, TypedRow};
use crate::store::{Conn, Question, StoreError, Stored, Together, in_json};
use crate::units::{Altitude, BoilId, Celsius, Grams, MemberId, SeasonId};
use std::collections::BTreeMap;

impl BoilRow {
    /// How far the boil has come.
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
    /// A steward's move of the boil to these rules, with the reason, if there was one.
    pub moved: Option<Moved>,
    /// Whether it was divided before, be it open for a correction: its rules stay then.
    pub was_divided: bool,
    /// The jar sizes of those rules.
    pub sizes: Vec<JarSize>,
    /// The juices poured in, by ticket.
    pub pan: Vec<InPan>,
    /// All those juices added up.
    pub brought: Portion,
    /// The versions of what was poured in.
    pub drawn: Vec<DrawnThen>,
    /// Its readings, by time; none that another one puts right.
    pub readings: Vec<ReadingRow>,
    /// How the entries of the boil came.
    pub came: CameBy,
    /// Who typed in that it was lit, if that was written on paper first.
    pub typed: Option<TypedRow>,
    /// What probes sent by themselves: never among the readings that a hand noted.
    pub probes: Vec<ProbeOfBoil>,
    /// The jars filled from it.
    pub fills: Vec<FillRow>,
    /// Juices with something left, this boil's own among them; pressed last first.
    pub juices: Vec<Stocked>,
    /// Syrup to expect by the season's rules; nothing without juice.
    pub expected: Option<Expected>,
    /// The finish by the day's boiling point of water.
    pub day: FinishOfDay,
    /// What the season's finished boils teach.
    pub habit: BoilHabit,
    /// Its pan; where nobody wrote it down, the one in use that takes this charge.
    pub under: Option<Pan>,
    /// One step of the scale that jars are weighed on; nothing when all scales are for cane.
    pub jar_scale: Option<Graduation>,
}

/// The rows that belong to one boil alone.
#[derive(Debug)]
pub struct Parts {
    rules: Option<Rules>,
    moved: Option<Moved>,
    was_divided: bool,
    sizes: Vec<JarSize>,
    pan: Vec<InPan>,
    drawn: Vec<DrawnThen>,
    readings: Vec<ReadingRow>,
    came: CameBy,
    typed: Option<TypedRow>,
    probes: Vec<ProbeOfBoil>,
    fills: Vec<FillRow>,
    jar_scale: Option<Graduation>,
}

impl Parts {
    /// Reads the rows that belong to a boil.
    pub fn of(row: &BoilRow) -> Question<Self> {
        let found = (
            seasons::rules(row.rules_id),
            (
                boils_rules::latest(row.id),
                boils_rules::was_divided(row.id),
            )
                .together(),
            seasons::jar_sizes(row.rules_id),
            (boil_sums::in_pan(row.id), boils::draws_then(row.id)).together(),
            boil_readings::of_boil(row.id),
            (
                CameBy::of(&row.id.to_string()),
                typed_in::made(row.lot.as_str(), "light_boil"),
            )
                .together(),
            probes::of_boil(row.id),
            boils::fills(row.id),
            jar_scale(),
        );
        let found = found.together();
        found.map(
            |(
                rules,
                (moved, was_divided),
                sizes,
                (pan, drawn),
                readings,
                (came, typed),
                probes,
                fills,
                scale,
            )| {
                Self {
                    rules,
                    moved,
                    was_divided,
                    sizes,
                    pan,
                    drawn,
                    readings,
                    came,
                    typed,
                    probes,
                    fills,
                    jar_scale: scale.map(|(_, step)| step),
                }
            },
        )
    }

    /// The boil among those of its season.
    ///
    /// # Errors
    /// [`StoreError::Corrupt`]: its rules are gone, or its target has no finish.
    pub fn of_season(self, row: BoilRow, season: &SeasonBoils, height: Altitude) -> Stored<Boil> {
        let rules = self.rules.ok_or_else(|| StoreError::Corrupt {
            what: "boils.rules_id",
            found: row.rules_id.to_string(),
        })?;
        let brought = total(self.pan.iter().map(|juice| juice.part));
        let inside = |j: &Stocked| j.draws.iter().any(|d| d.boil_id == row.id);
        Ok(Boil {
            sizes: self.sizes,
            moved: self.moved,
            was_divided: self.was_divided,
            readings: self.readings,
            came: self.came,
            typed: self.typed,
            probes: self.probes,
            fills: self.fills,
            expected: expect(brought, row.target, rules.recovery_pct),
            day: FinishOfDay::of(&season.habit, season.water_of(&row), height, row.target)?,
            habit: season.habit.clone(),
            under: season.pan_of(&row).cloned(),
            jar_scale: self.jar_scale,
            // The latest come first: those are poured next.
            juices: season
                .juices
                .iter()
                .rev()
                .filter(|j| j.poured.left.mass > Grams::ZERO || inside(j))
                .cloned()
                .collect(),
            brought,
            drawn: self.drawn,
            pan: self.pan,
            rules,
            row,
        })
    }
}

impl Boil {
    /// Whether a steward may move it to another version of the rules.
    pub fn may_be_moved(&self) -> bool {
        matches!(self.row.stage(), Stage::Lit | Stage::Finished) && !self.was_divided
    }

    /// Reads a boil with all that belongs to it.
    pub async fn read(conn: &mut Conn, row: BoilRow) -> Stored<Self> {
        let found = (Parts::of(&row), height(), marks::mark()).together();
        let (parts, height, mark) = found.ask(conn).await?;
        let season = SeasonBoils::of(mark.as_ref(), row.season_id);
        let season = season.ask(conn).await?;
        parts.of_season(row, &season, height)
    }

    /// Whether a member's juice is in it.
    pub fn holds(&self, member: MemberId) -> bool {
        self.pan.iter().any(|juice| juice.draw.member_id == member)
    }

    /// Syrup in the jars filled.
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
    pub fn fuel_burnt(&self) -> Option<(FuelBurnt, Option<f64>)> {
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

/// A boil as a list shows it.
#[derive(Debug)]
pub struct ListedBoil {
    /// The boil itself.
    pub row: BoilRow,
    /// The jars filled from it.
    pub fills: Vec<FillRow>,
}

/// The boils of a season in the order they were lit: all, or those with the juice of some members.
pub async fn listed(
    conn: &mut Conn,
    season: SeasonId,
    of: Option<&[MemberId]>,
) -> Stored<Vec<ListedBoil>> {
    let rows = match of {
        None => boils::of_season(season).ask(conn).await?,
        Some(members) => {
            let of_each = members.iter().map(|one| boils::of_member(season, *one));
            let found = Question::all(of_each).ask(conn).await?;
            let mut rows: Vec<BoilRow> = found.into_iter().flatten().collect();
            rows.sort_by_key(|row| (row.lit_at, row.id));
            rows.dedup_by_key(|row| row.id);
            rows
        }
    };
    let ids = in_json(rows.iter().map(|row| row.id));
    let mut fills: BTreeMap<BoilId, Vec<FillRow>> = BTreeMap::new();
    for (boil, fill) in boils::fills_of(&ids).ask(conn).await? {
        fills.entry(boil).or_default().push(fill);
    }
    let listed = rows.into_iter().map(|row| ListedBoil {
        fills: fills.remove(&row.id).unwrap_or_default(),
        row,
    });
    Ok(listed.collect())
}
