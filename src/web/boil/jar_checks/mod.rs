//! Full jars on the scale: what it should show, and whether a lot holds what its label says.

mod form;
mod view;

use super::boil_of_path::boil_of_path;
use crate::actions::Act;
use crate::actions::boil::jar_checks as actions;
use crate::facts::boil::jar_checks::LotWeights;
use crate::store::Snapshot;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, page_with, paths};
use axum::extract::Path;
use view::WeightsPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

async fn weights_of(db: &mut Snapshot, lot: &str) -> Result<LotWeights, PageError> {
    let boil = boil_of_path(db, lot).await?;
    Ok(LotWeights::of(db, boil).await?)
}

/// `GET /boils/{lot}/weights`
pub(crate) async fn show(mut request: PageRequest, Path(lot): Path<String>) -> Page {
    let lot = weights_of(&mut request.db, &lot).await?;
    let sheet = form::blank(request.blank(), &lot);
    let PageRequest { app, visit, .. } = request;
    page(&WeightsPage::new(&app, &visit, &lot, sheet)?)
}

/// `POST /boils/{lot}/weights`
pub(crate) async fn weigh(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let lot = weights_of(form.db.now().await?, &lot).await?;
    let new = form::weights(&mut form.sheet, &lot);
    let code = lot.boil.lot.clone();
    form.end(
        new,
        async |act: &Act, new| actions::weigh_jars(act, &code, new).await,
        |()| paths::jar_weights(&code),
        async |form| {
            let status = form.sheet.status();
            page_with(
                status,
                &WeightsPage::new(&form.app, &form.visit, &lot, form.sheet)?,
            )
        },
    )
    .await
}
