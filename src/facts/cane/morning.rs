//! The morning of a press day: its opening checks, and the finish that the water boil sets.

use super::mill::scales_in_use;
use crate::facts::boil::finish_of_day::{FinishOfDay, height};
use crate::facts::boil::season_boils::SeasonBoils;
use crate::facts::rules_versions;
use crate::store::cane::mill::Scale;
use crate::store::cane::morning::{self, OpeningCheck};
use crate::store::marks;
use crate::store::season::seasons::Rules;
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Conn, Stored, Together};
use crate::units::{Altitude, PressDate};

/// The morning of a press day.
#[derive(Debug)]
pub struct Morning {
    /// The press day.
    pub day: PressDay,
    /// The rules in force.
    pub rules: Rules,
    /// The scales in use.
    pub scales: Vec<Scale>,
    /// The checks of the day, the latest version of each item first.
    pub checks: Vec<OpeningCheck>,
    /// The finish of the day's target; nothing when it cannot be worked (a target out of range).
    pub finish: Option<FinishOfDay>,
    /// The mill's height above the sea.
    pub height: Altitude,
}

impl Morning {
    /// Reads a morning; nothing when there is no press day on that date.
    pub async fn read(conn: &mut Conn, date: PressDate) -> Stored<Option<Self>> {
        let Some(day) = press_days::of_date(date).ask(conn).await? else {
            return Ok(None);
        };
        let found = (
            rules_versions::on(day.season_id, day.date),
            height(),
            marks::mark(),
            morning::of_day(day.id),
            scales_in_use(),
        );
        let (rules, height, mark, checks, scales) = found.together().ask(conn).await?;
        let season = SeasonBoils::of(mark.as_ref(), day.season_id);
        let season = season.ask(conn).await?;
        let water = season.water_of_day(day.id);
        Ok(Some(Self {
            scales,
            checks,
            finish: FinishOfDay::of(&season.habit, water, height, rules.target_bx).ok(),
            height,
            rules,
            day,
        }))
    }
}
