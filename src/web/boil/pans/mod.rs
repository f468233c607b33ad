//! The mill's pans: the list, a new one, taking one out of use.

mod form;
mod view;

use crate::actions::Act;
use crate::actions::boil::pans as actions;
use crate::facts::boil::probes::KnownProbe;
use crate::facts::written_history;
use crate::store::boil::pans;
use crate::units::PanId;
use crate::web::changes::rows;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, paths};
use axum::extract::Path;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{FormPage, ListPage};

/// `GET /mill/pans`
pub(crate) async fn list(mut request: PageRequest) -> Page {
    let pans = pans::list().ask(&mut request.db).await?;
    let probes = KnownProbe::list().ask(&mut request.db).await?;
    let zone = request.visit.zone()?;
    let changes = if request.me.is_steward() {
        written_history::of_tables(&mut request.db, zone, &["pans"]).await?
    } else {
        Vec::new()
    };
    let history = rows(changes, zone);
    let PageRequest { app, visit, me, .. } = &request;
    page(&ListPage::new((app, visit, me), &pans, &probes, history)?)
}

/// `GET /mill/pans/new`
pub(crate) async fn new(request: PageRequest) -> Page {
    let sheet = form::blank(request.blank(), request.visit.units());
    page(&FormPage::new(&request.app, &request.visit, sheet))
}

/// `POST /mill/pans/new`
pub(crate) async fn create(mut form: FormRequest) -> Page {
    let units = form.visit.units();
    let new = form::pan(&mut form.sheet, units);
    form.end_showing(
        new,
        async |act: &Act, (name, settings)| actions::add(act, name, settings, units).await,
        |_| paths::PANS.to_owned(),
        |app, visit, sheet| Ok(FormPage::new(app, visit, sheet)),
    )
    .await
}

/// `POST /mill/pans/{id}/retire`
pub(crate) async fn retire(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = PanId::parse(&id).ok_or(PageError::NotFound)?;
    let out = form.out_of_use();
    form.press(
        async |act: &Act| actions::retire(act, id, out).await,
        paths::PANS,
    )
    .await
}
