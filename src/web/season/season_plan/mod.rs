//! The season's plan: what is planted, week by week, against what the press days have; and what the
//! mill has learned from its turns. Shows sums only, nobody's field.

mod picture;
mod view;

use crate::facts::season::season_plan::SeasonPlan;
use crate::web::error::PageError;
use crate::web::request::PageRequest;
use crate::web::{Page, page};
use axum::extract::Path;
use view::PlanPage;

#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /seasons/{year}/plan`
pub(crate) async fn show(Path(year): Path<String>, mut request: PageRequest) -> Page {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let today = request.visit.zone()?.local(request.visit.at).0;
    let plan = SeasonPlan::of_year(&mut request.db, year, today)
        .await?
        .ok_or(PageError::NotFound)?;
    page(&PlanPage::new(
        &request.app,
        &request.visit,
        &request.me,
        &plan,
    ))
}
