//! A press day on the wall and on the clipboard: the board for a screen at the mill, which looks
//! again by itself, and the sheet to print for when the power is out.

mod board;
mod pads;
mod queue;
mod sheet;

use super::asked::day_of_path;
use crate::facts::cane::mill::scales_in_use;
use crate::facts::turns::queue::Queue;
use crate::facts::turns::running_line::line_of_day;
use crate::store::cane::{mill, morning};
use crate::store::turns::day_board;
use crate::web::request::PageRequest;
use crate::web::{Page, page};
use axum::extract::{Path, Query};
use board::BoardPage;
use queue::QueuePage;
use serde::Deserialize;
use sheet::{InBook, SheetPage};

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = board::samples();
    views.extend(queue::samples());
    views.extend(sheet::samples());
    views
}

/// What the address says of how the board is to behave.
#[derive(Debug, Deserialize)]
pub(crate) struct BoardQuery {
    still: Option<String>,
}

/// `GET /days/{date}/board`: renews itself, unless asked to hold still (WCAG 2.2, 2.2.1 and 2.2.2).
pub(crate) async fn board(
    request: PageRequest,
    Path(date): Path<String>,
    Query(query): Query<BoardQuery>,
) -> Page {
    let PageRequest { visit, mut db, .. } = request;
    let day = day_of_path(&mut db, &date).await?;
    let queue = Queue::of(&day, (visit.zone()?, visit.at))
        .ask(&mut db)
        .await?;
    let renews = query.still.is_none();
    page(&BoardPage::new(&visit, day.date, &queue, renews)?)
}

/// `GET /days/{date}/queue`: the same for everybody who is signed in, each under the name that was agreed to.
pub(crate) async fn queue(request: PageRequest, Path(date): Path<String>) -> Page {
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let day = day_of_path(&mut db, &date).await?;
    let queue = Queue::of(&day, (visit.zone()?, visit.at))
        .ask(&mut db)
        .await?;
    page(&QueuePage::new((&app, &visit, &me), day.date, &queue)?)
}

/// `GET /days/{date}/sheet`
pub(crate) async fn sheet(request: PageRequest, Path(date): Path<String>) -> Page {
    let PageRequest { visit, mut db, .. } = request;
    let day = day_of_path(&mut db, &date).await?;
    let line = line_of_day(&day, visit.zone()?).ask(&mut db).await?;
    let scales = scales_in_use().ask(&mut db).await?;
    let vessels = mill::vessels().ask(&mut db).await?;
    let checked = morning::done_or_waived(day.id).ask(&mut db).await?;
    let boils = day_board::boils(day.id).ask(&mut db).await?;
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
