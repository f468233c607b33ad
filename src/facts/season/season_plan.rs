//! A season's plan: what is planted, week by week, against what the press days have, and the figures that it
//! is reckoned with.

use super::plantings::planned;
use super::seasons::SeasonRules;
use crate::calc::season::season_plan::{self, Day, Figures, Pan, Week};
use crate::calc::turns::turn_habit::{self, TurnHabit};
use crate::facts::boil::season_boils::SeasonBoils;
use crate::facts::turns::turn_habit::Taught;
use crate::store::marks;
use crate::store::season::plantings;
use crate::store::season::seasons::{Rules, Season};
use crate::store::turns::press_days;
use crate::store::turns::press_days::PressDay;
use crate::store::{Conn, Stored, Together};
use crate::units::{Millilitres, Minutes, PressDate};

/// A season's plan.
#[derive(Debug, Clone)]
pub struct SeasonPlan {
    /// The season with its rules.
    pub season: SeasonRules,
    /// What the season's turns have taught.
    pub habit: TurnHabit,
    /// The figures that the plan is worked out with.
    pub figures: Figures,
    /// Boils that the pan's rate is learned from; nought: as it was set up.
    pub pan_boils: u32,
    /// The press days, by date.
    pub days: Vec<Day>,
    /// How many plantings are not taken back.
    pub plantings: usize,
    /// The plan, week by week.
    pub weeks: Vec<Week>,
}

impl SeasonPlan {
    /// Reads and reckons the plan of a year by the rules of a day; `None`: the season was not opened.
    ///
    /// # Errors
    /// The store failed.
    pub async fn of_year(conn: &mut Conn, year: i64, on: PressDate) -> Stored<Option<Self>> {
        let besides = |season: &Season| {
            let id = season.id;
            let days = press_days::of_season(id);
            (marks::mark(), days, plantings::of_season(id)).together()
        };
        let found = SeasonRules::of_year_with(conn, year, on, besides).await?;
        let Some((season, (mark, days, fields))) = found else {
            return Ok(None);
        };
        let (id, mark) = (season.season.id, mark.as_ref());
        let found = (Taught::by(mark, id), SeasonBoils::of(mark, id)).together();
        let (taught, boils) = found.ask(conn).await?;
        let habit = taught.whole(mark).ask(conn).await?;
        let (figures, pan_boils) = figures(&season.rules, &habit, &boils);
        let days: Vec<Day> = days.iter().map(day_of).collect();
        let planted: Vec<_> = fields.iter().map(planned).collect();
        Ok(Some(Self {
            weeks: season_plan::weeks(&planted, &days, &figures),
            season,
            habit,
            figures,
            pan_boils,
            days,
            plantings: fields.len(),
        }))
    }
}

fn pan_of(water_kg_h: f64, most: Millilitres, area_m2: f64) -> Pan {
    Pan {
        water_kg_h,
        most,
        area_m2,
    }
}

/// The figures that a season is planned with, of its rules or learned from turns and boils enough, and how many boils the
/// pan's rate is learned from. Brix has no rule of its own: until it is learned the juice is taken to be of 15 °Bx (trade texts),
/// or somewhat above the season's floor.
pub fn figures(rules: &Rules, habit: &TurnHabit, boils: &SeasonBoils) -> (Figures, u32) {
    // The largest pan in use: the one the season turns on.
    let pan = boils.pans.iter().max_by_key(|p| p.settings.most).map(|p| {
        let set = Some(p.settings.rate_l_m2_h);
        let (plan, from) = boils.habit.pan(p.settings.area.get(), set);
        let water_kg_h = plan.kg_min() * 60.0;
        (pan_of(water_kg_h, p.settings.most, plan.area_m2), from)
    });
    let figures = Figures {
        row_kg_per_m: turn_habit::figure(habit.row_kg_per_m, rules.row_kg_per_m),
        juice_pct: turn_habit::figure(habit.juice_pct, rules.juice_pct),
        brix: turn_habit::figure(habit.brix, BRIX_START.max(rules.floor_bx)),
        target_bx: rules.target_bx,
        recovery: boils.habit.recovery_or(rules.recovery_pct / 100.0),
        hold: Minutes::new(rules.hold_red.get()),
        pan: pan.map(|(pan, _)| pan),
    };
    (figures, pan.map_or(0, |(_, from)| from))
}

/// Brix of juice until the mill's own is learned: the trade's tables are worked at 15.
const BRIX_START: f64 = 15.0;

fn day_of(day: &PressDay) -> Day {
    Day {
        date: day.date,
        open: Minutes::new(day.closes.get() - day.opens.get()),
        mill_per_h: day.mill_per_h,
        changeover: day.changeover,
    }
}
