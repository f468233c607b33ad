//! What the page of a boil is made from, read in one moment.

use crate::calc::boil::boil_habit::Habit;
use crate::calc::boil::boil_rules::{Balance, Expected, balance, expect};
use crate::calc::boil::burnt::{Boiled, Burnt};
use crate::calc::boil::sums::{total, warmth};
use crate::calc::cane::juice::Portion;
use crate::calc::paper::label::LEAST_SOLIDS;
use crate::calc::physics::elevation::{Factor, FactorFrom, Finish, WaterBoil, finish};
use crate::calc::physics::energy::Fuel;
use crate::facts::boil::probes::{self, ProbeOfBoil};
use crate::store::StoreError;
use crate::store::boil::boil_habit::{self, Season};
use crate::store::boil::boil_readings::{self, ReadingRow};
use crate::store::boil::boil_sums::{self, InPan, Stocked};
use crate::store::boil::boils::{self, BoilRow, FillRow};
use crate::store::boil::pans::Pan;
use crate::store::season::seasons::{self, JarSize, Rules};
use crate::units::{Altitude, BrixAt20C, Celsius, Grams, MemberId};
use crate::web::App;
use crate::web::error::PageError;
use crate::web::session::Visit;

/// A boil with all that its page shows.
pub(in crate::web) struct Boil {
    pub row: BoilRow,
    pub rules: Rules,
    pub sizes: Vec<JarSize>,
    pub pan: Vec<InPan>,
    pub brought: Portion,
    pub readings: Vec<ReadingRow>,
    /// What probes sent by themselves: never among the readings that a hand noted.
    pub probes: Vec<ProbeOfBoil>,
    pub fills: Vec<FillRow>,
    /// Juices with something left, this boil's own among them.
    pub juices: Vec<Stocked>,
    pub expected: Option<Expected>,
    pub day: FinishOfDay,
    /// What the season's finished boils teach.
    pub habit: Habit,
    /// Its pan; where nobody wrote it down, the one in use that takes this charge.
    pub under: Option<Pan>,
}

/// The finish temperature of the day.
#[derive(Clone, Copy)]
pub(in crate::web) struct FinishOfDay {
    pub water: WaterBoil,
    pub factor: Factor,
    pub from: FactorFrom,
    /// For the boil's target.
    pub target: Finish,
    /// For the least that the name of the food asks.
    pub least: Finish,
}

impl Boil {
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
    pub fn burnt(&self) -> Option<(Burnt, Option<f64>)> {
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
                    _ => None,
                },
                finish: finish.finish_temp,
            };
            Some(burnt.share(boiled.heat()?.total_kj()))
        });
        Some((burnt, share))
    }
}

/// Reads all of a boil's page.
pub(in crate::web) async fn load(
    app: &App,
    visit: &Visit,
    row: BoilRow,
) -> Result<Boil, PageError> {
    let mut snapshot = app.read().await?;
    let conn = &mut snapshot;
    let rules = seasons::rules(conn, row.rules_id)
        .await?
        .ok_or(PageError::NotFound)?;
    let pan = boil_sums::in_pan(conn, row.id).await?;
    let brought = total(pan.iter().map(|juice| juice.part));
    let season = boil_habit::read(conn, row.season_id).await?;
    let day = finish_of_day(&season, season.water_of(&row), visit, row.target)?;
    let under = season.pan_of(&row).cloned();
    let mut juices = season.juices;
    juices.reverse();
    juices.retain(|j| {
        j.poured.left.mass > Grams::ZERO || j.draws.iter().any(|d| d.boil_id == row.id)
    });
    Ok(Boil {
        sizes: seasons::jar_sizes(conn, row.rules_id).await?,
        readings: boil_readings::of_boil(conn, row.id).await?,
        probes: probes::of_boil(conn, row.id).await?,
        fills: boils::fills(conn, row.id).await?,
        expected: expect(brought, row.target, rules.recovery_pct),
        day,
        habit: season.habit,
        under,
        juices,
        brought,
        pan,
        rules,
        row,
    })
}

/// The finish of the day: from the reading of boiling water, else the co-op's height; with the
/// factor K of the season's finished boils.
pub(in crate::web) fn finish_of_day(
    season: &Season,
    water: Option<Celsius>,
    visit: &Visit,
    target: f64,
) -> Result<FinishOfDay, PageError> {
    let (factor, from) = season.habit.factor;
    let broken = |what: String| {
        PageError::from(StoreError::Corrupt {
            what: "finish of the day",
            found: what,
        })
    };
    let water = match water {
        Some(read) => WaterBoil::Measured(read),
        None => WaterBoil::Altitude(
            Altitude::new(visit.coop()?.altitude_m).map_err(|r| broken(r.sentence().to_owned()))?,
        ),
    };
    let at = |bx: f64| {
        let bx = BrixAt20C::new(bx).map_err(|r| broken(r.sentence().to_owned()))?;
        finish(bx, water, factor, from).map_err(|unmet| broken(unmet.sentence))
    };
    Ok(FinishOfDay {
        target: at(target)?,
        least: at(LEAST_SOLIDS)?,
        water,
        factor,
        from,
    })
}
