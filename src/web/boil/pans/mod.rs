//! The mill's pans: the list, a new one, taking one out of use.

mod form;
mod view;

use crate::actions::Stop;
use crate::actions::boil::pans as actions;
use crate::facts::boil::probes::KnownProbe;
use crate::store::boil::pans;
use crate::units::PanId;
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{FormPage, ListPage};

/// `GET /mill/pans`
pub async fn list(State(app): State<App>, visit: Visit, me: Me) -> Page {
    let mut snapshot = app.read().await?;
    let pans = pans::list(&mut snapshot).await?;
    let probes = KnownProbe::list(&mut snapshot).await?;
    page(&ListPage::new(&app, &visit, &me, &pans, &probes)?)
}

/// `GET /mill/pans/new`
pub async fn new(State(app): State<App>, visit: Visit) -> Page {
    let sheet = form::blank(Sheet::blank(&visit, &app.ids), visit.units());
    page(&FormPage::new(&app, &visit, sheet))
}

/// `POST /mill/pans/new`
pub async fn create(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let units = visit.units();
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some((name, settings)) = form::pan(&mut sheet, units) {
        match actions::add(&app.act(&me, visit.at, sent.key()), name, settings, units).await {
            Ok(_) => return see(paths::PANS),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(sheet.status(), &FormPage::new(&app, &visit, sheet))
}

/// `POST /mill/pans/{id}/retire`
pub async fn retire(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = PanId::parse(&id).ok_or(PageError::NotFound)?;
    match actions::retire(&app.act(&me, visit.at, sent.key()), id).await {
        Ok(_) => see(paths::PANS),
        Err(Stop::Unmet(unmet)) => Err(PageError::NotYet {
            sentence: unmet.sentence,
            back: paths::PANS.to_owned(),
        }),
        Err(other) => Err(other.into()),
    }
}
