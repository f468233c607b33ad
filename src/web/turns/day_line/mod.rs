//! A press day on the wall and on the clipboard: the board for a screen at the mill, which looks
//! again by itself, and the sheet to print for when the power is out.

mod board;
mod sheet;

use crate::store::Snapshot;
use crate::store::cane::mill;
use crate::store::turns::day_line::InLine;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::{day_line, press_days};
use crate::units::{DayMinute, PressDate};
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::{App, Page, page};
use axum::extract::{Path, Query, State};
use board::BoardPage;
use serde::Deserialize;
use sheet::SheetPage;

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = board::samples();
    views.extend(sheet::samples());
    views
}

async fn of_date(snapshot: &mut Snapshot, date: &str) -> Result<PressDay, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    press_days::of_date(snapshot, date)
        .await?
        .ok_or(PageError::NotFound)
}

/// In the order in which the day runs; the store knows clock times only, and on one night of the year
/// an hour of them comes twice.
fn in_order(
    visit: &Visit,
    day: &PressDay,
    mut line: Vec<InLine>,
) -> Result<Vec<InLine>, PageError> {
    let clock = visit.zone()?.clock(day.date);
    line.sort_by_key(|one| {
        one.start
            .map_or((1, DayMinute::new(0)), |at| (0, clock.kept(at)))
    });
    Ok(line)
}

/// How the board is asked for.
#[derive(Debug, Deserialize)]
pub struct Asked {
    still: Option<String>,
}

/// `GET /days/{date}/board`: renews itself, unless asked to hold still (WCAG 2.2, 2.2.1 and 2.2.2).
pub async fn board(
    State(app): State<App>,
    visit: Visit,
    Path(date): Path<String>,
    Query(asked): Query<Asked>,
) -> Page {
    let mut snapshot = app.read().await?;
    let day = of_date(&mut snapshot, &date).await?;
    let line = in_order(&visit, &day, day_line::of_day(&mut snapshot, day.id).await?)?;
    page(&BoardPage::new(&visit, &day, &line, asked.still.is_none())?)
}

/// `GET /days/{date}/sheet`
pub async fn sheet(State(app): State<App>, visit: Visit, Path(date): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let day = of_date(&mut snapshot, &date).await?;
    let line = in_order(&visit, &day, day_line::of_day(&mut snapshot, day.id).await?)?;
    let scales = mill::scales(&mut snapshot).await?;
    let vessels = mill::vessels(&mut snapshot).await?;
    page(&SheetPage::new(&visit, &day, &line, &scales, &vessels)?)
}
