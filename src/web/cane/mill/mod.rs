//! The mill: the co-op's card, scales and vessels. Stewards' pages.

mod form;
mod view;

use crate::actions::Act;
use crate::actions::cane::mill as actions;
use crate::facts::written_history;
use crate::store::cane::mill;
use crate::units::{ScaleId, VesselId};
use crate::web::changes::rows;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, paths};
use axum::extract::Path;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{CoopPage, MillPage, NewScalePage, NewVesselPage};

fn to_mill<T>(_: T) -> String {
    paths::MILL.to_owned()
}

/// The tables whose history stands on the page of the mill.
const OF_THE_MILL: [&str; 4] = ["coop", "scales", "vessels", "colours"];

/// `GET /mill`
pub(crate) async fn show(mut request: PageRequest) -> Page {
    let scales = mill::scales().ask(&mut request.db).await?;
    let vessels = mill::vessels().ask(&mut request.db).await?;
    let zone = request.visit.zone()?;
    let changes = written_history::of_tables(&mut request.db, zone, &OF_THE_MILL).await?;
    let history = rows(changes, zone);
    let site = (&request.app, &request.visit);
    page(&MillPage::new(site, &scales, &vessels, history)?)
}

/// `GET /mill/co-op`
pub(crate) async fn coop(request: PageRequest) -> Page {
    let blank = request.blank();
    let PageRequest { app, visit, .. } = request;
    let sheet = form::of(blank, visit.coop()?, visit.units());
    page(&CoopPage::new(&app, &visit, sheet))
}

/// `POST /mill/co-op`
pub(crate) async fn change_coop(mut form: FormRequest) -> Page {
    let card = form::coop(&mut form.sheet, form.visit.units(), form.visit.coop()?);
    form.end_showing(card, actions::change_coop, to_mill, |app, visit, sheet| {
        Ok(CoopPage::new(app, visit, sheet))
    })
    .await
}

/// `GET /mill/scales/new`
pub(crate) async fn new_scale(request: PageRequest) -> Page {
    let sheet = request.blank();
    page(&NewScalePage::new(&request.app, &request.visit, sheet))
}

/// `POST /mill/scales/new`
pub(crate) async fn add_scale(mut form: FormRequest) -> Page {
    let new = form::scale(&mut form.sheet, form.visit.units());
    form.end_showing(
        new,
        async |act: &Act, new: form::NewScale| {
            actions::add_scale(act, new.name, new.graduation_g, new.capacity).await
        },
        to_mill,
        |app, visit, sheet| Ok(NewScalePage::new(app, visit, sheet)),
    )
    .await
}

/// `POST /mill/scales/{id}/retire`
pub(crate) async fn retire_scale(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = ScaleId::parse(&id).ok_or(PageError::NotFound)?;
    let out = form.out_of_use();
    form.press(
        async |act: &Act| actions::retire_scale(act, id, out).await,
        paths::MILL,
    )
    .await
}

/// `GET /mill/vessels/new`
pub(crate) async fn new_vessel(request: PageRequest) -> Page {
    let sheet = request.blank();
    page(&NewVesselPage::new(&request.app, &request.visit, sheet))
}

/// `POST /mill/vessels/new`
pub(crate) async fn add_vessel(mut form: FormRequest) -> Page {
    let new = form::vessel(&mut form.sheet, form.visit.units());
    form.end_showing(
        new,
        async |act: &Act, (name, capacity)| actions::add_vessel(act, name, capacity).await,
        to_mill,
        |app, visit, sheet| Ok(NewVesselPage::new(app, visit, sheet)),
    )
    .await
}

/// `POST /mill/vessels/{id}/retire`
pub(crate) async fn retire_vessel(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = VesselId::parse(&id).ok_or(PageError::NotFound)?;
    let out = form.out_of_use();
    form.press(
        async |act: &Act| actions::retire_vessel(act, id, out).await,
        paths::MILL,
    )
    .await
}
