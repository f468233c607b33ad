//! Days that are possible: a steward's list of them, and on which of a season's days a member can come.

mod form;
mod view;

use crate::actions::Act;
use crate::actions::turns::possible_days as actions;
use crate::facts::turns::possible_days as facts;
use crate::store::Conn;
use crate::store::people::members::Member;
use crate::store::season::seasons::{self, Season};
use crate::store::turns::possible_days as store;
use crate::store::turns::press_days;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::people::members::seen_by;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::{Me, Visit};
use crate::web::turns::asked::today;
use crate::web::turns::press_days::form::like;
use crate::web::{App, Page, page, page_with, paths};
use axum::extract::{Path, RawQuery};
use view::{CanComePage, PossiblePage};

#[cfg(test)]
pub(in crate::web) use view::samples;

async fn can_come_page(
    (app, visit, me): (&App, &Visit, &Me),
    db: &mut Conn,
    member: &Member,
    sheet: Sheet,
) -> Result<CanComePage, PageError> {
    let season = seasons::latest().ask(db).await?;
    let days = match &season {
        Some(season) => facts::days_with_answers(db, season.id, member.id, today(visit)?).await?,
        None => Vec::new(),
    };
    let tasks = store::tasks_of(db, member.id).await?;
    Ok(CanComePage::new(
        (app, visit, me),
        member,
        (&days, &tasks),
        sheet,
    ))
}

/// `GET /members/{id}/days`
pub(crate) async fn can_come(Path(id): Path<String>, mut request: PageRequest) -> Page {
    let sheet = request.blank();
    let member = seen_by(&mut request.db, &request.me, &id).await?;
    let who = (&request.app, &request.visit, &request.me);
    page(&can_come_page(who, &mut request.db, &member, sheet).await?)
}

/// `POST /members/{id}/days`
pub(crate) async fn answer(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = seen_by(form.db.now().await?, &form.me, &id).await?;
    let season = seasons::latest()
        .ask(form.db.now().await?)
        .await?
        .ok_or(PageError::NotFound)?;
    let new = form::answers(&mut form.sheet, member.id);
    form.end(
        new,
        async |act: &Act, new| actions::answer(act, member.id, season.id, new).await,
        |()| paths::can_come(member.id),
        async |mut form| {
            let (who, db) = ((&form.app, &form.visit, &form.me), form.db.now().await?);
            let status = form.sheet.status();
            page_with(status, &can_come_page(who, db, &member, form.sheet).await?)
        },
    )
    .await
}

async fn of_path(db: &mut Conn, year: &str) -> Result<Season, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    seasons::of_year(year)
        .ask(db)
        .await?
        .ok_or(PageError::NotFound)
}

async fn possible_page(
    (app, visit): (&App, &Visit),
    db: &mut Conn,
    (season, carried): (&Season, String),
    sheet: Sheet,
) -> Result<PossiblePage, PageError> {
    let days = store::of_season(season.id).ask(db).await?;
    let answers = store::answers(season.id).ask(db).await?;
    Ok(PossiblePage::new(
        app,
        visit,
        (season, carried),
        (&days, &answers),
        sheet,
    ))
}

/// `GET /seasons/{year}/possible-days`
pub(crate) async fn list(
    Path(year): Path<String>,
    RawQuery(query): RawQuery,
    mut request: PageRequest,
) -> Page {
    let carried = form::carried(&format!("?{}", query.unwrap_or_default()));
    let season = of_path(&mut request.db, &year).await?;
    let planned = press_days::of_season(season.id)
        .ask(&mut request.db)
        .await?;
    let blank = request.blank();
    let sheet = match planned.last() {
        Some(last) => like(blank, last, request.visit.units()),
        None => blank,
    };
    let site = (&request.app, &request.visit);
    page(&possible_page(site, &mut request.db, (&season, carried), sheet).await?)
}

/// The list of days again, with what is carried along.
fn back(form: &FormRequest, season: &Season) -> String {
    let list = paths::season_part(season.year, "possible-days");
    list + &form::carried(form.sent.get("carried"))
}

async fn again(mut form: FormRequest, season: Season) -> Page {
    let carried = form::carried(form.sent.get("carried"));
    let (site, db) = ((&form.app, &form.visit), form.db.now().await?);
    let status = form.sheet.status();
    page_with(
        status,
        &possible_page(site, db, (&season, carried), form.sheet).await?,
    )
}

/// `POST /seasons/{year}/possible-days`
pub(crate) async fn add(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let season = of_path(form.db.now().await?, &year).await?;
    let new = form::possible(&mut form.sheet, form.visit.units());
    let back = back(&form, &season);
    form.end(
        new,
        async |act: &Act, new| actions::add(act, season.id, new).await,
        |_| back,
        async |form| again(form, season.clone()).await,
    )
    .await
}

/// `POST /seasons/{year}/possible-days/remove`
pub(crate) async fn remove(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let season = of_path(form.db.now().await?, &year).await?;
    let dates = form::ticked_dates(&form.sent, &form.sheet);
    let back = back(&form, &season);
    form.end(
        Some(dates),
        async |act: &Act, dates| actions::remove(act, season.id, dates).await,
        |_| back,
        async |form| again(form, season.clone()).await,
    )
    .await
}
