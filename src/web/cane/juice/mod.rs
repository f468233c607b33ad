//! Juice: measuring it, what it came to, correcting it.

mod form;
pub(in crate::web) mod sums;
mod typed;
mod view;

use super::of_path::{own_juice, own_ticket};
use crate::actions::Act;
use crate::actions::cane::juice as actions;
use crate::calc::cane::juice::Amount;
use crate::facts::cane::juices::{FullJuice, JuiceToMeasure};
use crate::store::Snapshot;
use crate::store::cane::juice;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Me;
use crate::web::{Page, page, page_with, paths};
use axum::extract::Path;
use form::Times;
pub use typed::{paper, paper_form};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{FormPage, JuicePage};

/// A ticket whose juice can be measured: there is a vessel for it.
async fn to_measure(db: &mut Snapshot, me: &Me, id: &str) -> Result<JuiceToMeasure, PageError> {
    let ticket = own_ticket(db, me, id).await?;
    let of = JuiceToMeasure::read(db, ticket).await?;
    if of.vessels.is_empty() {
        return Err(PageError::NotYet {
            sentence: "There is no vessel at the mill yet. A steward adds it on the page “Mill”."
                .to_owned(),
            back: paths::ticket(of.ticket.id),
        });
    }
    Ok(of)
}

/// `GET /tickets/{id}/juice/new`
pub async fn new(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let of = to_measure(&mut request.db, &request.me, &id).await?;
    let mut sheet = request.blank();
    if let Some(last) = &of.last_of_day {
        // The day goes on as it began: same way of measuring, same instrument.
        let kind = match last.amount {
            Amount::Weight(_) => "mass",
            Amount::Volume(..) => "volume",
        };
        sheet
            .put("kind", kind)
            .put("instrument", last.instrument.word());
    }
    page(&FormPage::adding(&request.app, &request.visit, sheet, &of))
}

/// `POST /tickets/{id}/juice/new`
pub async fn create(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let of = to_measure(form.db.now().await?, &form.me, &id).await?;
    let times = Times {
        zone: form.visit.zone()?,
        day: of.ticket.date,
        at: form.said_at(),
    };
    let new = form::juice(&mut form.sheet, form.visit.units(), &times);
    form.end(
        new,
        async |act: &Act, new| actions::record_juice(act, of.ticket.id, new).await,
        paths::juice,
        async |form| {
            page_with(
                form.sheet.status(),
                &FormPage::adding(&form.app, &form.visit, form.sheet, &of),
            )
        },
    )
    .await
}

/// `GET /juices/{id}`
pub async fn show(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let juice = own_juice(&mut request.db, &request.me, &id).await?;
    let full = FullJuice::read(&mut request.db, juice).await?;
    let PageRequest { app, visit, me, .. } = request;
    page(&JuicePage::new(&app, &visit, &me, &full)?)
}

/// `GET /juices/{id}/correct`
pub async fn fix(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let juice = own_juice(&mut request.db, &request.me, &id).await?;
    let versions = juice::versions(&mut request.db, juice.id).await?;
    let sheet = form::of(request.blank(), &juice, request.visit.units());
    let PageRequest { app, visit, .. } = request;
    page(&FormPage::fixing(&app, &visit, sheet, &juice, &versions)?)
}

/// `POST /juices/{id}/correct`
pub async fn correct(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let juice = own_juice(db, &form.me, &id).await?;
    let versions = juice::versions(db, juice.id).await?;
    let fix = form::fix(&mut form.sheet, form.visit.units());
    if fix.is_some() {
        // Shown again it was refused; sent again it is meant: the next try names the version of now.
        form.sheet.put("seen", juice.version.to_string());
    }
    form.end(
        fix,
        async |act: &Act, fix| actions::correct_juice(act, juice.id, fix).await,
        paths::juice,
        async |form| {
            page_with(
                form.sheet.status(),
                &FormPage::fixing(&form.app, &form.visit, form.sheet, &juice, &versions)?,
            )
        },
    )
    .await
}
