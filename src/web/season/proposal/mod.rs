//! The season proposed: whose cane on which day. A steward looks, holds fast what is to stay, proposes again, and
//! asks the members; and says when frost is expected.

mod booked_and_asked;
pub(crate) mod form;
mod picture;
mod rows;
#[cfg(test)]
mod samples;
mod view;

use crate::actions::Act;
use crate::actions::season::{forbidden_days, frosts};
use crate::actions::turns::offers_together;
use crate::calc::RuleRefusal;
use crate::facts::season::proposal::{SeasonProposal, ToPropose};
use crate::facts::season::proposal_wish::Wish;
use crate::store::Conn;
use crate::store::season::seasons::{self, Season};
use crate::units::PressDate;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::{Page, page, page_with, paths};
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use form::WishQuery;
use tokio::task::spawn_blocking;
use view::ProposalPage;

#[cfg(test)]
pub(in crate::web) use samples::samples;

/// A season proposed. That is done beside the threads that answer everybody else.
async fn proposed(
    db: &mut Conn,
    visit: &Visit,
    year: i64,
    wish: Wish,
) -> Result<SeasonProposal, PageError> {
    let moment = (visit.at, visit.zone()?);
    let read = ToPropose::of_year(db, year, moment, wish).await?;
    let read = read.ok_or(PageError::NotFound)?;
    spawn_blocking(move || read.propose())
        .await
        .map_err(|e| PageError::Fault(format!("a season proposed: {e}")))
}

/// The season of an address.
async fn season(db: &mut Conn, year: &str) -> Result<Season, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    seasons::of_year(year)
        .ask(db)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /seasons/{year}/proposal`
pub(crate) async fn show(
    Path(year): Path<String>,
    Query(wish): Query<WishQuery>,
    mut request: PageRequest,
) -> Page {
    let sheet = request.blank();
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let of = proposed(&mut request.db, &request.visit, year, wish.read()).await?;
    page(&ProposalPage::new(
        &request.app,
        &request.visit,
        &of,
        sheet,
    )?)
}

/// `POST /seasons/{year}/proposal`: proposes again with what is held fast, forbids a day or allows it again, or asks the members.
pub(crate) async fn send(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let season = season(form.db.now().await?, &year).await?;
    let wish = form::wish(&form.sheet, &form.sent);
    if let Some(said) = form::day_said(&form.sent) {
        return say_of_day(form, (season, wish), said).await;
    }
    let asks = form.sent.get("do") == "ask";
    let turns = form::turns(form.sent.get("turns"));
    let anew = form::ticked_anew(&wish, &form.sent);
    form.end(
        turns.filter(|_| asks),
        async |act: &Act, turns| {
            if anew {
                let said = "Nobody was asked, since other boxes are ticked than those that the turns were proposed with. Below \
                            stands what is proposed with them: please look, and ask again.";
                return Err(RuleRefusal::changed(said).into());
            }
            offers_together::offer(act, season.id, turns).await
        },
        |_| paths::season_part(season.year, "proposal"),
        async |form| again(form, season.year, wish).await,
    )
    .await
}

/// Forbids a day or allows it again, and proposes with that.
async fn say_of_day(
    form: FormRequest,
    (season, wish): (Season, Wish),
    said: (PressDate, bool),
) -> Page {
    let back = form::back_in_address(&wish);
    form.end(
        Some(said),
        async |act: &Act, said| forbidden_days::say(act, season.id, said).await,
        |_| paths::season_part(season.year, "proposal") + &back,
        async |form| again(form, season.year, wish).await,
    )
    .await
}

/// `POST /seasons/{year}/frost`
pub(crate) async fn frost(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let season = season(form.db.now().await?, &year).await?;
    let new = form::frost(&mut form.sheet, season.year);
    let wish = form::carried(&form.sent);
    let back = form::back_in_address(&wish);
    form.end(
        new,
        async |act: &Act, new| frosts::say(act, season.id, new).await,
        |_| paths::season_part(season.year, "proposal") + &back,
        async |form| again(form, season.year, wish).await,
    )
    .await
}

/// `POST /seasons/{year}/frost-forecast`
pub(crate) async fn forecast(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let season = season(form.db.now().await?, &year).await?;
    let night = form::forecast(&mut form.sheet, season.year);
    let wish = form::carried(&form.sent);
    let back = form::back_in_address(&wish);
    form.end(
        night,
        async |act: &Act, night| frosts::forecast(act, season.id, night).await,
        |_| paths::season_part(season.year, "proposal") + &back,
        async |form| again(form, season.year, wish).await,
    )
    .await
}

/// The page with what is proposed at this moment.
async fn again(mut form: FormRequest, year: i64, wish: Wish) -> Page {
    // Looking at the proposal again is no refusal.
    let refused = form.sheet.problem.is_some() || !form.sheet.problems().is_empty();
    let status = if refused {
        form.sheet.status()
    } else {
        StatusCode::OK
    };
    let of = proposed(form.db.now().await?, &form.visit, year, wish).await?;
    page_with(
        status,
        &ProposalPage::new(&form.app, &form.visit, &of, form.sheet)?,
    )
}
