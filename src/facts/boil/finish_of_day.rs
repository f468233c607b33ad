//! The finish temperature of a day: from the reading of boiling water, else the mill's height; with
//! the factor K of the season's finished boils.

use crate::calc::boil::boil_habit::BoilHabit;
use crate::calc::paper::label::LEAST_SOLIDS;
use crate::calc::physics::elevation::{Factor, FactorFrom, Finish, WaterBoil, finish};
use crate::store::people::coop;
use crate::store::{Question, StoreError, Stored};
use crate::units::{Altitude, BrixAt20C, Celsius};

/// The finish temperature of a day.
#[derive(Debug, Clone, Copy)]
pub struct FinishOfDay {
    /// Boiling point of water, and how it is known.
    pub water: WaterBoil,
    /// The factor K that the finish is reckoned with.
    pub factor: Factor,
    /// Where K comes from.
    pub from: FactorFrom,
    /// The finish at the target Brix.
    pub target: Finish,
    /// The finish at the least Brix that the name of the food allows.
    pub least: Finish,
}

fn corrupt(found: String) -> StoreError {
    StoreError::Corrupt {
        what: "finish of the day",
        found,
    }
}

impl FinishOfDay {
    /// The finish at `target_bx`, °Bx at 20 °C; `water` as it was read that day, if it was.
    ///
    /// # Errors
    /// [`StoreError::Corrupt`]: a stored target or reading that has no finish.
    pub fn of(
        habit: &BoilHabit,
        water: Option<Celsius>,
        height: Altitude,
        target_bx: f64,
    ) -> Stored<Self> {
        let (factor, from) = habit.factor;
        let water = water.map_or(WaterBoil::Altitude(height), WaterBoil::Measured);
        let at = |bx: f64| {
            let bx = BrixAt20C::new(bx).map_err(|r| corrupt(r.sentence().to_owned()))?;
            finish(bx, water, factor, from).map_err(|refusal| corrupt(refusal.sentence))
        };
        Ok(Self {
            target: at(target_bx)?,
            least: at(LEAST_SOLIDS)?,
            water,
            factor,
            from,
        })
    }
}

/// The mill's height above the sea, from the co-op's card.
/// [`StoreError::Corrupt`]: there is no card, or its height is none.
pub fn height() -> Question<Altitude> {
    coop::find().try_map(|card| {
        let corrupt = |found: String| StoreError::Corrupt {
            what: "coop.altitude_m",
            found,
        };
        let card = card.ok_or_else(|| corrupt("no card of the co-op".to_owned()))?;
        Altitude::new(card.altitude_m).map_err(|refused| corrupt(refused.to_string()))
    })
}
