//! Which juices to boil next: proposals for a press day, each with its why. The crew decides.

mod view;

use crate::facts::boil::pooling::Pooling;
use crate::units::{PanId, PressDate};
use crate::web::error::PageError;
use crate::web::request::PageRequest;
use crate::web::{Page, page};
use axum::extract::{Path, Query};
use serde::Deserialize;
use view::PoolingPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// The pan that the address may ask for.
#[derive(Deserialize)]
pub(crate) struct Which {
    pan: Option<String>,
}

/// `GET /days/{date}/plan`
pub(crate) async fn show(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(which): Query<Which>,
) -> Page {
    let date = PressDate::parse(&date).map_err(|_| PageError::NotFound)?;
    let pan = which.pan.as_deref().and_then(PanId::parse);
    let of = Pooling::read(&mut request.db, date, pan, request.visit.at)
        .await?
        .ok_or(PageError::NotFound)?;
    let proposals = of.propose(request.visit.units());
    page(&PoolingPage::new(
        &request.app,
        &request.visit,
        &of,
        proposals,
    )?)
}
