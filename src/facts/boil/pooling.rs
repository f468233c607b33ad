//! What stands in tanks on a press day and the pan it would go into, and boils proposed of it.

use super::boil_sums::Stocked;
use super::boils::Parts;
use super::finish_of_day::{FinishOfDay, height};
use super::season_boils::SeasonBoils;
use crate::calc::RuleRefusal;
use crate::calc::boil::boil_plan;
use crate::calc::boil::day_sum::{OVERHEAD, litres_h};
use crate::calc::boil::pan_day::PanDay;
use crate::calc::boil::pooling::{self, Proposals};
use crate::calc::boil::sums::{Stage, total};
use crate::facts::rules_versions;
use crate::store::boil::boils::BoilRow;
use crate::store::boil::pans::Pan;
use crate::store::marks;
use crate::store::season::seasons::{self, JarSize, Rules};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Question, StoreError, Stored, Together};
use crate::units::{BrixAt20C, Grams, MemberId, PanId, PressDate, Units, UtcSecond};
use std::sync::Arc;

/// Half of the hour between two boils comes after the fire is drawn, seconds.
const AFTER_THE_FIRE_S: i64 = 30 * 60;

/// A press day as far as its next boils are proposed.
#[derive(Debug)]
pub struct Pooling {
    /// The press day.
    pub day: PressDay,
    /// The rules in force.
    pub rules: Rules,
    /// The jar sizes of those rules.
    pub sizes: Vec<JarSize>,
    /// The boils and juices of the season.
    pub season: Arc<SeasonBoils>,
    /// Juices with something left, oldest first.
    pub waiting: Vec<Stocked>,
    /// The Brix that boils are to be finished at.
    pub target: BrixAt20C,
    /// That finish as a temperature.
    pub finish: FinishOfDay,
    /// When the fire is free: after the boils of the day that are on it.
    pub free: UtcSecond,
    /// Place of the pan among those in use.
    pub pan: Option<usize>,
}

impl Pooling {
    /// Reads a press day as of `at`, for the pan that is wanted, else the one that suits all that
    /// waits; nothing when there is no press day on that date.
    pub async fn read(
        conn: &mut Conn,
        date: PressDate,
        wanted: Option<PanId>,
        at: UtcSecond,
    ) -> Stored<Option<Self>> {
        let Some(day) = press_days::of_date(date).ask(conn).await? else {
            return Ok(None);
        };
        let rules = rules_versions::on(day.season_id, day.date);
        let found = (rules, height(), marks::mark()).together();
        let (rules, height, mark) = found.ask(conn).await?;
        let sizes = seasons::jar_sizes(rules.id);
        let season = SeasonBoils::of(mark.as_ref(), day.season_id);
        let (sizes, season) = (sizes, season).together().ask(conn).await?;
        let water = season.water_of_day(day.id);
        let mut free = at;
        let lit = |row: &&BoilRow| row.press_day_id == day.id && row.stage() == Stage::Lit;
        let lit: Vec<&BoilRow> = season.boils.iter().filter(lit).collect();
        let parts = Question::all(lit.iter().map(|row| Parts::of(row)));
        for (row, parts) in lit.iter().zip(parts.ask(conn).await?) {
            let on_fire = parts.of_season((*row).clone(), &season, height)?;
            free = free.max(on_fire.done_about(at).plus(AFTER_THE_FIRE_S));
        }
        let waiting: Vec<Stocked> = season
            .juices
            .iter()
            .filter(|j| j.poured.left.mass > Grams::ZERO)
            .cloned()
            .collect();
        Ok(Some(Self {
            target: BrixAt20C::new(rules.target_bx).map_err(|refused| StoreError::Corrupt {
                what: "season_rules.target_bx",
                found: refused.to_string(),
            })?,
            finish: FinishOfDay::of(&season.habit, water, height, rules.target_bx)?,
            sizes,
            rules,
            free,
            pan: place_of_pan(&season, &waiting, wanted),
            waiting,
            season,
            day,
        }))
    }

    /// The pan, if one is set up.
    pub fn pan(&self) -> Option<&Pan> {
        self.season.pans.get(self.pan?)
    }

    /// The pan at the rate it is known by.
    pub fn pan_to_plan(&self) -> Option<boil_plan::Pan> {
        let settings = &self.pan()?.settings;
        let (pan, _) = self
            .season
            .habit
            .pan(settings.area.get(), Some(settings.rate_l_m2_h));
        Some(pan)
    }

    /// Proposes boils for what waits; nothing without a pan or juice. Sentences speak in `units`.
    pub fn propose(&self, units: Units) -> Option<Result<Proposals, RuleRefusal>> {
        let (pan, settings) = (self.pan_to_plan()?, self.pan()?.settings);
        let all = total(self.waiting.iter().map(|j| j.poured.left));
        let day = PanDay {
            least: settings.least,
            greatest: settings.most,
            free: self.free,
            overhead: OVERHEAD,
            litres_h: litres_h(pan, all, self.target)?,
        };
        let labels: Vec<String> = self.waiting.iter().map(label).collect();
        let members = members(&self.waiting);
        let waiting: Vec<pooling::JuiceToPool<'_>> = self
            .waiting
            .iter()
            .zip(&labels)
            .map(|(juice, label)| pooling::JuiceToPool {
                label,
                member: place(&members, juice.row.member_id),
                volume: juice.poured.left.volume,
                due: juice.row.pressed_at.plus(60 * self.rules.hold_red.get()),
                pools: juice.row.pools,
            })
            .collect();
        Some(pooling::propose(&waiting, &day, units))
    }
}

fn place_of_pan(season: &SeasonBoils, waiting: &[Stocked], wanted: Option<PanId>) -> Option<usize> {
    let all = total(waiting.iter().map(|j| j.poured.left));
    let usual = season.pan_for(all.volume).map(|p| p.id);
    let place = |id: Option<PanId>| season.pans.iter().position(|p| Some(p.id) == id);
    place(wanted).or_else(|| place(usual))
}

/// The name of a juice in a sentence: member and vessel.
pub fn label(juice: &Stocked) -> String {
    format!(
        "{}, ticket {} ({})",
        juice.row.member_name, juice.row.ticket, juice.row.vessel
    )
}

fn members(waiting: &[Stocked]) -> Vec<MemberId> {
    let mut seen = Vec::new();
    for juice in waiting {
        if !seen.contains(&juice.row.member_id) {
            seen.push(juice.row.member_id);
        }
    }
    seen
}

fn place(members: &[MemberId], member: MemberId) -> u64 {
    members
        .iter()
        .position(|m| *m == member)
        .and_then(|n| u64::try_from(n).ok())
        .unwrap_or(u64::MAX)
}
