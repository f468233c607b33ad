//! Statements: a member's season, first what stands on one page, then every sum written out; on screen and on paper.

mod first;
mod lost;
mod lots;
mod reckoned;
mod ticket_lines;
mod view;

use crate::facts::shares::statement::{SeasonStatements, Statement};
use crate::store::Snapshot;
use crate::web::error::PageError;
use crate::web::people::members::seen_by;
use crate::web::request::PageRequest;
use crate::web::session::Visit;
use crate::web::twelve_hours::{TimesStand, rewritten};
use crate::web::{Page, page, page_of};
use askama::Template;
use axum::extract::Path;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{PrintPage, RunPage, StatementPage};

/// `GET /members/{id}/statement/{year}`
pub(crate) async fn show(
    mut request: PageRequest,
    Path((id, year)): Path<(String, String)>,
) -> Page {
    let statement = statement(&mut request, &id, &year).await?;
    let PageRequest { app, visit, me, .. } = request;
    page(&StatementPage::new(&app, &visit, &me, &statement)?)
}

/// `GET /members/{id}/statement/{year}/print`
pub(crate) async fn print(
    mut request: PageRequest,
    Path((id, year)): Path<(String, String)>,
) -> Page {
    let statement = statement(&mut request, &id, &year).await?;
    on_paper(
        &PrintPage::new(&request.visit, &statement)?,
        &[statement.member.clock],
    )
}

/// `GET /seasons/{year}/statements/print`: everybody's, one after another.
pub(crate) async fn print_all(mut request: PageRequest, Path(year): Path<String>) -> Page {
    let db = &mut request.db;
    let (year, mut shared) = of_year(db, &year, &request.visit).await?;
    let statements = shared.of_everybody(db).await?;
    let clocks: Vec<i64> = statements.iter().map(|s| s.member.clock).collect();
    on_paper(&RunPage::new(&request.visit, year, &statements)?, &clocks)
}

/// Statements on paper, each with its times by its member's clock.
fn on_paper(view: &impl Template, clocks: &[i64]) -> Page {
    let html = view.render()?;
    let articles = html.split_inclusive("</article>").enumerate();
    let text = articles.map(|(n, article)| match clocks.get(n) {
        Some(12) => rewritten(article),
        _ => article.to_owned(),
    });
    let mut response = page_of(text.collect());
    let _ = response.extensions_mut().insert(TimesStand);
    Ok(response)
}

/// A member's statement: one's own, or anybody's for crew.
async fn statement(
    request: &mut PageRequest,
    id: &str,
    year: &str,
) -> Result<Statement, PageError> {
    let db = &mut request.db;
    let member = seen_by(db, &request.me, id).await?;
    let (_, mut shared) = of_year(db, year, &request.visit).await?;
    Ok(shared.of_member(db, member).await?)
}

async fn of_year(
    db: &mut Snapshot,
    year: &str,
    visit: &Visit,
) -> Result<(i64, SeasonStatements), PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let today = visit.zone()?.local(visit.at).0;
    let shared = SeasonStatements::read(db, year, today).await?;
    Ok((year, shared.ok_or(PageError::NotFound)?))
}
