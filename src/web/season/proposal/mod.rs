//! The season proposed: whose cane on which day. A steward looks, holds fast what is to stay, proposes again, and
//! asks the members; and says when frost is expected.

mod form;
mod picture;
mod view;

use crate::actions::Act;
use crate::actions::season::frosts;
use crate::actions::turns::offers_together;
use crate::facts::season::proposal::{SeasonProposal, Wish};
use crate::store::Conn;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::{Page, page, page_with, paths};
use axum::extract::Path;
use view::ProposalPage;

#[cfg(test)]
pub(in crate::web) use view::samples;

async fn of_year(
    db: &mut Conn,
    visit: &Visit,
    year: &str,
    wish: &Wish,
) -> Result<SeasonProposal, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let moment = (visit.at, visit.zone()?);
    SeasonProposal::of_year(db, year, moment, wish)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /seasons/{year}/proposal`
pub(crate) async fn show(Path(year): Path<String>, mut request: PageRequest) -> Page {
    let sheet = request.blank();
    let of = of_year(&mut request.db, &request.visit, &year, &Wish::default()).await?;
    page(&ProposalPage::new(
        &request.app,
        &request.visit,
        &of,
        sheet,
    )?)
}

/// `POST /seasons/{year}/proposal`: proposes again with what is held fast, or asks the members.
pub(crate) async fn send(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let wish = form::wish(&form.sheet, &form.sent);
    let asks = form.sent.get("do") == "ask";
    let turns = form::turns(form.sent.get("turns"));
    let of = of_year(form.db.now().await?, &form.visit, &year, &wish).await?;
    let season = of.season.season.id;
    form.end(
        turns.filter(|_| asks),
        async |act: &Act, turns| offers_together::offer(act, season, turns).await,
        |_| paths::season_part(of.season.season.year, "proposal"),
        async |form| again(form, &of),
    )
    .await
}

fn again(form: FormRequest, of: &SeasonProposal) -> Page {
    let status = form.sheet.status();
    // Only looked at again is no refusal.
    let status = if form.sheet.problem.is_none() && form.sheet.problems().is_empty() {
        axum::http::StatusCode::OK
    } else {
        status
    };
    page_with(
        status,
        &ProposalPage::new(&form.app, &form.visit, of, form.sheet)?,
    )
}

/// `POST /seasons/{year}/frost`
pub(crate) async fn frost(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let of = of_year(form.db.now().await?, &form.visit, &year, &Wish::default()).await?;
    let season = of.season.season.id;
    let new = form::frost(&mut form.sheet);
    form.end(
        new,
        async |act: &Act, new| frosts::say(act, season, new).await,
        |_| paths::season_part(of.season.season.year, "proposal"),
        async |form| {
            let status = form.sheet.status();
            page_with(
                status,
                &ProposalPage::new(&form.app, &form.visit, &of, form.sheet)?,
            )
        },
    )
    .await
}
