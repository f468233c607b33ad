//! Tags to print: one a load and one a vessel with juice in it, each with a big number, whose it is, since
//! when, and a code that leads to the ticket.

mod on_yard;
mod view;

use crate::units::PressDate;
use crate::web::error::PageError;
use crate::web::request::PageRequest;
use crate::web::{Page, page};
use axum::extract::Path;
use on_yard::OnYard;
use view::TagsPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /days/{date}/tags`
pub async fn show(mut request: PageRequest, Path(date): Path<String>) -> Page {
    let date = PressDate::parse(&date).map_err(|_| PageError::NotFound)?;
    let yard = OnYard::read(&mut request.db, date).await?;
    let site = request.app.public_url.as_deref();
    page(&TagsPage::new(site, &request.visit, &yard)?)
}
