//! Holding a lot back, releasing it, and complaints about it.

mod view;

use crate::actions::Act;
use crate::actions::shares::holds as actions;
use crate::store::shares::holds;
use crate::units::plain_text;
use crate::web::boil::boil_of_path::boil_of_path;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, page_with, paths};
use axum::extract::Path;
pub(in crate::web::shares) use view::said;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{ComplaintPage, HoldPage};

/// `GET /boils/{lot}/hold`
pub(crate) async fn hold_form(mut request: PageRequest, Path(lot): Path<String>) -> Page {
    let boil = boil_of_path(&mut request.db, &lot).await?;
    let lines = holds::of_boil(boil.id).ask(&mut request.db).await?;
    let sheet = request.blank();
    let PageRequest { app, visit, me, .. } = request;
    let view = HoldPage::new((&app, &visit, &me), &boil.lot, &lines, sheet)?;
    page(&view)
}

/// `POST /boils/{lot}/hold`
pub(crate) async fn hold(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let boil = boil_of_path(db, &lot).await?;
    let lines = holds::of_boil(boil.id).ask(db).await?;
    let held = form.sheet.has("held", "yes");
    let why = form.sheet.read("why", |text| plain_text(text, 1, 300));
    form.end(
        why,
        async |act: &Act, why| actions::hold(act, &boil.lot, held, why).await,
        |()| paths::lot_trace(&boil.lot),
        async |form| {
            let who = (&form.app, &form.visit, &form.me);
            let status = form.sheet.status();
            page_with(status, &HoldPage::new(who, &boil.lot, &lines, form.sheet)?)
        },
    )
    .await
}

/// `GET /boils/{lot}/complaint`
pub(crate) async fn complaint_form(mut request: PageRequest, Path(lot): Path<String>) -> Page {
    let boil = boil_of_path(&mut request.db, &lot).await?;
    let sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    page(&ComplaintPage::new(&app, &visit, &boil.lot, sheet))
}

/// `POST /boils/{lot}/complaint`
pub(crate) async fn complain(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let boil = boil_of_path(form.db.now().await?, &lot).await?;
    let says = form.sheet.read("says", |text| plain_text(text, 1, 1000));
    let from = form
        .sheet
        .read("from_whom", |text| plain_text(text, 1, 200));
    form.end(
        says.zip(from),
        async |act: &Act, (says, from)| actions::complain(act, &boil.lot, says, from).await,
        |()| paths::lot_trace(&boil.lot),
        async |form| {
            let status = form.sheet.status();
            let view = ComplaintPage::new(&form.app, &form.visit, &boil.lot, form.sheet);
            page_with(status, &view)
        },
    )
    .await
}
