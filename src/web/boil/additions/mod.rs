//! What was added to a boil beside juice: the list, and noting one more.

mod form;
mod view;

use crate::actions::boil::additions as actions;
use crate::store::boil::additions::{self, Addition};
use crate::store::boil::boils::{self, BoilRow};
use crate::units::LotCode;
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
use view::AdditionsPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

async fn boil(app: &App, lot: &str) -> Result<(BoilRow, Vec<Addition>), PageError> {
    let lot = LotCode::parse(lot).map_err(|_| PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    let boil = boils::find(&mut snapshot, &lot)
        .await?
        .ok_or(PageError::NotFound)?;
    let added = additions::of_boil(&mut snapshot, boil.id).await?;
    Ok((boil, added))
}

/// `GET /boils/{lot}/additions`
pub async fn show(State(app): State<App>, visit: Visit, Path(lot): Path<String>) -> Page {
    let (boil, added) = boil(&app, &lot).await?;
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&AdditionsPage::new(&app, &visit, sheet, &boil, &added)?)
}

/// `POST /boils/{lot}/additions`
pub async fn add(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    let (boil, added) = boil(&app, &lot).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::addition(&mut sheet, &added, visit.units()) {
        match actions::add(&app.act(&me, visit.at, sent.key()), &boil.lot, new).await {
            Ok(()) => return see(&paths::additions(&boil.lot)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(
        sheet.status(),
        &AdditionsPage::new(&app, &visit, sheet, &boil, &added)?,
    )
}
