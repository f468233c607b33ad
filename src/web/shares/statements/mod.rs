//! Statements: a member's season, first what stands on one page, then every sum written out; on screen and on paper.

mod first;
mod lost;
mod lots;
mod reckoned;
mod ticket_lines;
mod view;

use crate::facts::shares::statements::{SeasonStatements, Statement};
use crate::store::people::members;
use crate::store::season::seasons::{self, Season};
use crate::store::{Question, Together};
use crate::units::{MemberId, PressDate};
use crate::web::error::PageError;
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
    let today = today(&request.visit)?;
    let (visit, db) = (&request.visit, &mut request.db);
    let season = of_year(&year)?.ask(db).await?;
    let season = season.ok_or(PageError::NotFound)?;
    let year = season.year;
    let mut shared = SeasonStatements::read(db, season, today).await?;
    let statements = shared.of_everybody(db).await?;
    let clocks: Vec<i64> = statements.iter().map(|s| s.member.clock).collect();
    on_paper(&RunPage::new(visit, year, &statements)?, &clocks)
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
    let today = today(&request.visit)?;
    let id = MemberId::parse(id).filter(|id| request.me.may_see(*id));
    let id = id.ok_or(PageError::NotFound)?;
    let (found, db) = ((members::find(id), of_year(year)?), &mut request.db);
    let (member, season) = found.together().ask(db).await?;
    let (member, season) = member.zip(season).ok_or(PageError::NotFound)?;
    Ok(SeasonStatements::of_member(db, season, member, today).await?)
}

/// The season of a year in an address.
fn of_year(year: &str) -> Result<Question<Option<Season>>, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    Ok(seasons::of_year(year))
}

/// The date at the co-op.
fn today(visit: &Visit) -> Result<PressDate, PageError> {
    Ok(visit.zone()?.local(visit.at).0)
}
