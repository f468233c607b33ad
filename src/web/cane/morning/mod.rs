//! The morning of a press day: its opening checks, and the finish that the water boil sets.

mod form;
mod view;

use crate::actions::Act;
use crate::actions::cane::morning as actions;
use crate::facts::cane::morning::Morning;
use crate::store::Snapshot;
use crate::units::PressDate;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, paths};
use axum::extract::Path;
use view::MorningPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

async fn morning(db: &mut Snapshot, date: &str) -> Result<Morning, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    Morning::read(db, date).await?.ok_or(PageError::NotFound)
}

/// `GET /days/{date}/morning`
pub(crate) async fn show(mut request: PageRequest, Path(date): Path<String>) -> Page {
    let morning = morning(&mut request.db, &date).await?;
    let sheet = form::blank(request.blank(), &morning.scales);
    let PageRequest { app, visit, .. } = request;
    page(&MorningPage::new(&app, &visit, sheet, &morning)?)
}

/// `POST /days/{date}/morning`
pub(crate) async fn note(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let morning = morning(form.db.now().await?, &date).await?;
    let (date, units) = (morning.day.date, form.visit.units());
    let checks = form::checks(&mut form.sheet, &morning.scales, morning.height, units);
    form.end_showing(
        checks,
        async |act: &Act, checks| actions::note(act, date, checks, units).await,
        |()| paths::morning(date),
        |app, visit, sheet| MorningPage::new(app, visit, sheet, &morning),
    )
    .await
}
