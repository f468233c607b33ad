//! The mill: the co-op's card, scales and vessels. Stewards' pages.

mod form;
mod view;

use crate::actions::cane::mill as actions;
use crate::store::cane::mill;
use crate::units::{ScaleId, VesselId};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{CoopPage, MillPage, NewScalePage, NewVesselPage};

/// `GET /mill`
pub async fn show(State(app): State<App>, visit: Visit) -> Page {
    let mut snapshot = app.read().await?;
    let scales = mill::scales(&mut snapshot).await?;
    let vessels = mill::vessels(&mut snapshot).await?;
    page(&MillPage::new(&app, &visit, &scales, &vessels)?)
}

/// `GET /mill/co-op`
pub async fn coop(State(app): State<App>, visit: Visit) -> Page {
    let sheet = form::of(Sheet::blank(&visit, &app.ids), visit.coop()?, visit.units());
    page(&CoopPage::new(&app, &visit, sheet))
}

/// `POST /mill/co-op`
pub async fn change_coop(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(card) = form::coop(&mut sheet, visit.units()) {
        match actions::change_coop(&app.act(&me, visit.at, sent.key()), card).await {
            Ok(()) => return see(paths::MILL),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(sheet.status(), &CoopPage::new(&app, &visit, sheet))
}

/// `GET /mill/scales/new`
pub async fn new_scale(State(app): State<App>, visit: Visit) -> Page {
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&NewScalePage::new(&app, &visit, sheet))
}

/// `POST /mill/scales/new`
pub async fn add_scale(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::scale(&mut sheet, visit.units()) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::add_scale(&act, new.name, new.graduation_g, new.capacity).await {
            Ok(_) => return see(paths::MILL),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(sheet.status(), &NewScalePage::new(&app, &visit, sheet))
}

/// `POST /mill/scales/{id}/retire`
pub async fn retire_scale(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = ScaleId::parse(&id).ok_or(PageError::NotFound)?;
    actions::retire_scale(&app.act(&me, visit.at, sent.key()), id).await?;
    see(paths::MILL)
}

/// `GET /mill/vessels/new`
pub async fn new_vessel(State(app): State<App>, visit: Visit) -> Page {
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&NewVesselPage::new(&app, &visit, sheet))
}

/// `POST /mill/vessels/new`
pub async fn add_vessel(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some((name, capacity)) = form::vessel(&mut sheet, visit.units()) {
        match actions::add_vessel(&app.act(&me, visit.at, sent.key()), name, capacity).await {
            Ok(_) => return see(paths::MILL),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(sheet.status(), &NewVesselPage::new(&app, &visit, sheet))
}

/// `POST /mill/vessels/{id}/retire`
pub async fn retire_vessel(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = VesselId::parse(&id).ok_or(PageError::NotFound)?;
    actions::retire_vessel(&app.act(&me, visit.at, sent.key()), id).await?;
    see(paths::MILL)
}
