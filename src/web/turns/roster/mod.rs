//! A press day's roster: who does what; and the hours worked, taken over from it.

mod form;
mod view;

use crate::actions::Act;
use crate::actions::season::hours;
use crate::actions::turns::roster as actions;
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::roster::DayRoster;
use crate::store::Conn;
use crate::store::people::members;
use crate::store::turns::press_days::PressDay;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::turns::asked::day_of_path;
use crate::web::{App, Page, page, page_with, paths};
use axum::extract::{Path, Query};
use serde::Deserialize;
use view::{HoursPage, OwnPage, RosterPage};

#[cfg(test)]
pub(in crate::web) use view::samples;

/// Whether the roster is proposed anew.
#[derive(Debug, Deserialize)]
pub(crate) struct Anew {
    anew: Option<String>,
}

async fn roster_page(
    (app, visit): (&App, &Visit),
    db: &mut Conn,
    (day, anew): (&PressDay, bool),
    sheet: Sheet,
) -> Result<RosterPage, PageError> {
    let roster = DayRoster::read(db, day, visit.zone()?, anew).await?;
    // A form that was not taken is shown again with the shifts it was sent with, whatever stands saved.
    let roster = match form::shifts(&sheet).filter(|_| !sheet.typed("shifts").is_empty()) {
        Some(sent) => roster.sent(sent),
        None => roster,
    };
    let room = DayRoom::read(db, day, (visit.zone()?, visit.at), &[]).await?;
    let until = room.pans_until(&room.held);
    let burns = until.map(|until| room.day.clock.shows(until).get());
    let members = members::list().ask(db).await?;
    let steward = visit.me().is_some_and(|me| me.is_steward());
    Ok(RosterPage::new(
        (app, visit),
        (day, steward),
        (&roster, burns),
        &members,
        sheet,
    ))
}

/// `GET /days/{date}/roster`: the whole of it for the crew, one's own shifts for others.
pub(crate) async fn show(
    Path(date): Path<String>,
    Query(query): Query<Anew>,
    mut request: PageRequest,
) -> Page {
    let sheet = request.blank();
    let day = day_of_path(&mut request.db, &date).await?;
    let anew = query.anew.is_some() && request.me.is_steward();
    let site = (&request.app, &request.visit);
    if request.me.is_crew() {
        return page(&roster_page(site, &mut request.db, (&day, anew), sheet).await?);
    }
    let roster = DayRoster::read(&mut request.db, &day, request.visit.zone()?, false).await?;
    page(&OwnPage::new(site, &day, request.me.id, &roster))
}

/// `POST /days/{date}/roster/save`
pub(crate) async fn save(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let day = day_of_path(form.db.now().await?, &date).await?;
    let shifts = form::shifts(&form.sheet).ok_or(PageError::Garbled)?;
    form.end(
        Some(shifts),
        async |act: &Act, shifts| actions::save(act, day.id, shifts).await,
        |_| paths::roster(day.date),
        async |mut form| {
            let (site, db) = ((&form.app, &form.visit), form.db.now().await?);
            let status = form.sheet.status();
            page_with(
                status,
                &roster_page(site, db, (&day, false), form.sheet).await?,
            )
        },
    )
    .await
}

async fn hours_page(
    (app, visit): (&App, &Visit),
    db: &mut Conn,
    day: &PressDay,
    sheet: Sheet,
) -> Result<HoursPage, PageError> {
    let roster = DayRoster::read(db, day, visit.zone()?, false).await?;
    Ok(HoursPage::new(app, visit, day, &roster, sheet))
}

/// `GET /days/{date}/hours`
pub(crate) async fn hours(Path(date): Path<String>, mut request: PageRequest) -> Page {
    let sheet = request.blank();
    let day = day_of_path(&mut request.db, &date).await?;
    let site = (&request.app, &request.visit);
    page(&hours_page(site, &mut request.db, &day, sheet).await?)
}

/// `POST /days/{date}/hours`
pub(crate) async fn note_hours(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let day = day_of_path(form.db.now().await?, &date).await?;
    let all = form::hours(&mut form.sheet, &day);
    form.end(
        all,
        async |act: &Act, all| hours::note_hours_together(act, all).await,
        |()| paths::LEDGER.to_owned(),
        async |mut form| {
            let (site, db) = ((&form.app, &form.visit), form.db.now().await?);
            let status = form.sheet.status();
            page_with(status, &hours_page(site, db, &day, form.sheet).await?)
        },
    )
    .await
}
