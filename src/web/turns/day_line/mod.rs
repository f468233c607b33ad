//! A press day on the wall and on the clipboard: the board for a screen at the mill, which looks
//! again by itself, and the sheet to print for when the power is out.

mod board;
mod pads;
mod sheet;

use super::asked::day_of_path;
use crate::facts::turns::press_day::line_of_day;
use crate::store::cane::{mill, morning};
use crate::store::turns::day_board;
use crate::web::request::PageRequest;
use crate::web::{Page, page};
use axum::extract::{Path, Query};
use board::BoardPage;
use serde::Deserialize;
use sheet::{InBook, SheetPage};

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = board::samples();
    views.extend(sheet::samples());
    views
}

/// How the board is to behave.
#[derive(Debug, Deserialize)]
pub struct BoardQuery {
    still: Option<String>,
}

/// `GET /days/{date}/board`: renews itself, unless asked to hold still (WCAG 2.2, 2.2.1 and 2.2.2).
pub async fn board(
    request: PageRequest,
    Path(date): Path<String>,
    Query(query): Query<BoardQuery>,
) -> Page {
    let PageRequest { visit, mut db, .. } = request;
    let day = day_of_path(&mut db, &date).await?;
    let line = line_of_day(&mut db, &day, visit.zone()?).await?;
    page(&BoardPage::new(&visit, &day, &line, query.still.is_none())?)
}

/// `GET /days/{date}/sheet`
pub async fn sheet(request: PageRequest, Path(date): Path<String>) -> Page {
    let PageRequest { visit, mut db, .. } = request;
    let day = day_of_path(&mut db, &date).await?;
    let line = line_of_day(&mut db, &day, visit.zone()?).await?;
    let scales = mill::scales(&mut db).await?;
    let vessels = mill::vessels(&mut db).await?;
    let checked = morning::done_or_waived(&mut db, day.id).await?;
    let boils = day_board::boils(&mut db, day.id).await?;
    let book = InBook {
        day: &day,
        line: &line,
        checked: &checked,
        boils: &boils,
        scales: &scales,
        vessels: &vessels,
    };
    page(&SheetPage::new(&visit, &book)?)
}
