//! What the page of a boil is made from, read in one moment.

use super::super::error::PageError;
use super::super::session::Visit;
use crate::calc::boil::total;
use crate::calc::boil_rules::{Balance, Expected, balance, expect};
use crate::calc::elevation::{Factor, FactorFrom, Finish, WaterBoil, finish};
use crate::calc::juice::Portion;
use crate::calc::label::LEAST_SOLIDS;
use crate::calc::season_habit::Habit;
use crate::store::StoreError;
use crate::store::boil_readings::{self, ReadingRow};
use crate::store::boil_sums::{self, InPan, Stocked};
use crate::store::boils::{self, BoilRow, FillRow};
use crate::store::pans::Pan;
use crate::store::season_habit::{self, Season};
use crate::store::seasons::{self, JarSize, Rules};
use crate::units::{Altitude, BrixAt20C, Celsius, Grams, MemberId};
use crate::web::App;

/// A boil with all that its page shows.
pub(in crate::web) struct Boil {
    pub row: BoilRow,
    pub rules: Rules,
    pub sizes: Vec<JarSize>,
    pub pan: Vec<InPan>,
    pub brought: Portion,
    pub readings: Vec<ReadingRow>,
    pub fills: Vec<FillRow>,
    /// Juices with something left, this boil's own among them.
    pub juices: Vec<Stocked>,
    pub expected: Option<Expected>,
    pub day: FinishOfDay,
    /// What the season's finished boils teach.
    pub habit: Habit,
    /// The pan that takes this charge, if one is set up.
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
        Some(balance(self.brought, finish.syrup, finish.brix_20))
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
    let season = season_habit::read(conn, row.season_id).await?;
    let day = finish_of_day(&season, season.water_of(&row), visit, row.target)?;
    let under = season.pan_for(brought.volume).cloned();
    let mut juices = season.juices;
    juices.reverse();
    juices.retain(|j| {
        j.poured.left.mass > Grams::ZERO || j.draws.iter().any(|d| d.boil_id == row.id)
    });
    Ok(Boil {
        sizes: seasons::jar_sizes(conn, row.rules_id).await?,
        readings: boil_readings::of_boil(conn, row.id).await?,
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
