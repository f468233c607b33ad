//! What was added to a boil beside juice: the list, and noting one more.

mod form;
mod view;

use super::boil_of_path::boil_of_path;
use crate::actions::Act;
use crate::actions::boil::additions as actions;
use crate::store::boil::additions;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, paths};
use axum::extract::Path;
use view::AdditionsPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /boils/{lot}/additions`
pub(crate) async fn show(mut request: PageRequest, Path(lot): Path<String>) -> Page {
    let boil = boil_of_path(&mut request.db, &lot).await?;
    let added = additions::of_boil(boil.id).ask(&mut request.db).await?;
    let sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    page(&AdditionsPage::new(&app, &visit, sheet, &boil, &added)?)
}

/// `POST /boils/{lot}/additions`
pub(crate) async fn add(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let boil = boil_of_path(db, &lot).await?;
    let added = additions::of_boil(boil.id).ask(db).await?;
    let new = form::addition(&mut form.sheet, &added, form.visit.units());
    form.end_showing(
        new,
        async |act: &Act, new| actions::add(act, &boil.lot, new).await,
        |()| paths::additions(&boil.lot),
        |app, visit, sheet| AdditionsPage::new(app, visit, sheet, &boil, &added),
    )
    .await
}
