//! The morning of a press day: its opening checks, and the finish that the water boil sets.

mod form;
mod view;

use crate::actions::cane::morning as actions;
use crate::calc::boil::boil_habit::Habit;
use crate::calc::physics::elevation::WaterBoil;
use crate::store::Snapshot;
use crate::facts::boil::season_boils;
use crate::store::cane::mill::Scale;
use crate::store::cane::morning::OpeningCheck;
use crate::store::cane::{mill, morning};
use crate::store::season::seasons;
use crate::store::season::seasons::Rules;
use crate::store::turns::press_days;
use crate::store::turns::press_days::PressDay;
use crate::units::{Altitude, BrixAt20C, Celsius, PressDate};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{Finishing, MorningPage};

/// What the page is made from.
struct Morning {
    day: PressDay,
    rules: Rules,
    scales: Vec<Scale>,
    checks: Vec<OpeningCheck>,
    habit: Habit,
    height: Altitude,
}

async fn load(app: &App, visit: &Visit, date: &str) -> Result<Morning, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    let mut snapshot: Snapshot = app.read().await?;
    let day = press_days::of_date(&mut snapshot, date)
        .await?
        .ok_or(PageError::NotFound)?;
    let mut scales = mill::scales(&mut snapshot).await?;
    scales.retain(|scale| scale.retired_at.is_none());
    Ok(Morning {
        rules: seasons::rules_in_force(&mut snapshot, day.season_id).await?,
        checks: morning::of_day(&mut snapshot, day.id).await?,
        habit: season_boils::read(&mut snapshot, day.season_id).await?.habit,
        height: Altitude::new(visit.coop()?.altitude_m)
            .map_err(|refused| PageError::Fault(refused.to_string()))?,
        scales,
        day,
    })
}

impl Morning {
    /// The finish of the day's target; nothing when it cannot be worked (a target out of range).
    fn finishing(&self, water: Option<Celsius>) -> Option<Finishing> {
        let target = BrixAt20C::new(self.rules.target_bx).ok()?;
        let boils = water.map_or(WaterBoil::Altitude(self.height), WaterBoil::Measured);
        let (factor, from) = self.habit.factor;
        let finish = crate::calc::physics::elevation::finish(target, boils, factor, from).ok()?;
        Some(Finishing {
            target,
            finish,
            factor,
            from,
            measured: water.is_some(),
        })
    }
}

async fn water_boil(app: &App, morning: &Morning) -> Result<Option<Celsius>, PageError> {
    let mut snapshot = app.read().await?;
    Ok(morning::water_boil_of_day(&mut snapshot, morning.day.id).await?)
}

/// `GET /days/{date}/morning`
pub async fn show(State(app): State<App>, visit: Visit, Path(date): Path<String>) -> Page {
    let morning = load(&app, &visit, &date).await?;
    let water = water_boil(&app, &morning).await?;
    let sheet = form::blank(Sheet::blank(&visit, &app.ids), &morning.scales);
    page(&MorningPage::new(&app, &visit, sheet, &morning, water)?)
}

/// `POST /days/{date}/morning`
pub async fn note(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(date): Path<String>,
    sent: Sent,
) -> Page {
    let morning = load(&app, &visit, &date).await?;
    let units = visit.units();
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(checks) = form::checks(&mut sheet, &morning.scales, morning.height, units) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::note(&act, morning.day.date, checks, units).await {
            Ok(()) => return see(&paths::morning(morning.day.date)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let water = water_boil(&app, &morning).await?;
    page_with(
        sheet.status(),
        &MorningPage::new(&app, &visit, sheet, &morning, water)?,
    )
}
