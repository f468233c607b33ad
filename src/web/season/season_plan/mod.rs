//! The season's plan: what is planted, week by week, against what the press days have; and what the
//! mill has learned from its turns. Shows sums only, nobody's field.

mod picture;
mod view;

use crate::actions::season::plantings::planned;
use crate::calc::season::season_plan::{self, Day, Figures, Pan};
use crate::calc::turns::turn_habit::{self, Habit};
use crate::facts::turns::learned;
use crate::store::boil::boil_habit;
use crate::store::season::seasons::Rules;
use crate::store::season::{plantings, seasons};
use crate::store::turns::press_days;
use crate::store::turns::press_days::PressDay;
use crate::units::{Millilitres, Minutes};
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::{App, Page, page};
use axum::extract::{Path, State};
use view::{PlanPage, Planned};

#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /seasons/{year}/plan`
pub async fn show(State(app): State<App>, visit: Visit, Path(year): Path<String>) -> Page {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    let season = seasons::of_year(&mut snapshot, year)
        .await?
        .ok_or(PageError::NotFound)?;
    let rules = seasons::rules_in_force(&mut snapshot, season.id).await?;
    let sizes = seasons::jar_sizes(&mut snapshot, rules.id).await?;
    let habit = learned::of_season(&mut snapshot, season.id).await?;
    let boils = boil_habit::read(&mut snapshot, season.id).await?;
    let days = press_days::of_season(&mut snapshot, season.id).await?;
    let fields = plantings::of_season(&mut snapshot, season.id).await?;
    drop(snapshot);
    // The largest pan in use: the one the season turns on.
    let pan = boils.pans.iter().max_by_key(|p| p.settings.most).map(|p| {
        let set = Some(p.settings.rate_l_m2_h);
        let (plan, from) = boils.habit.pan(p.settings.area.get(), set);
        let water_kg_h = plan.kg_min() * 60.0;
        (pan_of(water_kg_h, p.settings.most, plan.area_m2), from)
    });
    let figures = Figures {
        recovery: boils.habit.recovery_or(rules.recovery_pct / 100.0),
        pan: pan.map(|(pan, _)| pan),
        ..figures(&rules, &habit)
    };
    let days: Vec<Day> = days.iter().map(day_of).collect();
    let planted: Vec<_> = fields.iter().map(planned).collect();
    let weeks = season_plan::weeks(&planted, &days, &figures);
    let of = Planned {
        year: season.year,
        rules: &rules,
        sizes: &sizes,
        habit: &habit,
        figures: &figures,
        pan_boils: pan.map_or(0, |(_, from)| from),
        days: &days,
        plantings: fields.len(),
    };
    page(&PlanPage::new(&app, &visit, &of, &weeks))
}

fn pan_of(water_kg_h: f64, most: Millilitres, area_m2: f64) -> Pan {
    Pan {
        water_kg_h,
        most,
        area_m2,
    }
}

/// The figures of the rules, or learned from turns enough. Brix has no rule of its own: until it is
/// learned the juice is taken to be of 15 °Bx (trade texts), or somewhat above the season's floor.
fn figures(rules: &Rules, habit: &Habit) -> Figures {
    Figures {
        row_kg_per_m: turn_habit::figure(habit.row_kg_per_m, rules.row_kg_per_m),
        juice_pct: turn_habit::figure(habit.juice_pct, rules.juice_pct),
        brix: turn_habit::figure(habit.brix, BRIX_START.max(rules.floor_bx)),
        target_bx: rules.target_bx,
        recovery: rules.recovery_pct / 100.0,
        hold: Minutes::new(rules.hold_red.get()),
        pan: None,
    }
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
