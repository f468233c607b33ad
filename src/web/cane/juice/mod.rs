//! Juice: measuring it, what it came to, correcting it.

mod again;
mod boxes;
mod form;
mod lost;
pub(in crate::web) mod sums;
mod typed;
mod vessels;
mod view;

use super::of_path::{day_of, first_weighed, own_juice, own_ticket, press_day, times};
use crate::actions::Act;
use crate::actions::cane::juice as actions;
use crate::actions::cane::second_readings;
use crate::actions::cane::yard;
use crate::calc::cane::juice::Amount;
use crate::calc::shares::cane_way::Stop;
use crate::facts::came_by::CameBy;
use crate::facts::cane::juice::{FullJuice, JuiceToMeasure};
use crate::facts::shares::cane_way::CaneWay;
use crate::facts::shares::my_cane::OneTicket;
use crate::store::Snapshot;
use crate::store::Together;
use crate::store::cane::{juice, tickets};
use crate::store::people::members;
use crate::web::cane_way;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::my_cane::Trail;
use crate::web::reader::Reader;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Me;
use crate::web::{Page, page, page_with, paths, see};
use again::AgainPage;
use axum::extract::Path;
use axum::http::HeaderMap;
use lost::LostPage;
pub(crate) use typed::{paper, paper_form};
use view::{FormPage, JuicePage};

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = view::samples();
    views.extend(lost::samples());
    views.extend(again::samples());
    views
}

/// A ticket whose juice can be measured: there is a vessel for it.
async fn to_measure(db: &mut Snapshot, me: &Me, id: &str) -> Result<JuiceToMeasure, PageError> {
    let ticket = own_ticket(db, me, id).await?;
    let of = JuiceToMeasure::read(db, ticket).await?;
    if of.vessels.is_empty() {
        return Err(PageError::NotYet {
            sentence: "There is no vessel at the mill yet. A steward adds it on the page “Mill”."
                .to_owned(),
            back: paths::ticket(of.ticket.id),
        });
    }
    Ok(of)
}

/// The day goes on as it began: same way of measuring, same instrument.
fn as_it_began(mut sheet: Sheet, of: &JuiceToMeasure) -> Sheet {
    if let Some(last) = &of.last_of_day {
        let kind = match last.amount {
            Amount::Weight(_) => "mass",
            Amount::Volume(..) => "volume",
        };
        sheet
            .put("kind", kind)
            .put("instrument", last.instrument.word());
    }
    sheet
}

/// `GET /tickets/{id}/juice/new`
pub(crate) async fn new(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let of = to_measure(&mut request.db, &request.me, &id).await?;
    let sheet = as_it_began(request.blank(), &of);
    page(&FormPage::adding(&request.app, &request.visit, sheet, &of)?)
}

/// `GET /days/{date}/juice/new`: the form for a ticket that stands on a phone only. Phones keep it beforehand
/// and fill in the ticket; everybody else is led to the day.
pub(crate) async fn any(
    mut request: PageRequest,
    headers: HeaderMap,
    Path(date): Path<String>,
) -> Page {
    let day = press_day(&mut request.db, &date).await?;
    if !headers.contains_key("kept-page") {
        return see(&paths::day(day.date));
    }
    let of = JuiceToMeasure::of_phone(&mut request.db, &day, request.me.id).await?;
    let sheet = as_it_began(request.blank(), &of);
    page(&FormPage::of_phone(
        &request.app,
        &request.visit,
        sheet,
        &of,
    )?)
}

/// `POST /tickets/{id}/juice/new`
pub(crate) async fn create(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let ticket = own_ticket(db, &form.me, &id).await?;
    let day = day_of(db, ticket.press_day_id).await?;
    let from = first_weighed(db, ticket.id).await?;
    let times = times((&form.visit, form.said_at()), &day, from)?;
    let new = form::juice(&mut form.sheet, form.visit.units(), &times);
    form.end(
        new,
        async |act: &Act, new| actions::record_juice(act, ticket.id, new).await,
        paths::juice,
        // What stands in all vessels is read only for a page that shows it.
        async |mut form: FormRequest| {
            let of = to_measure(form.db.now().await?, &form.me, &id).await?;
            form.show(|app, visit, sheet| FormPage::adding(app, visit, sheet, &of))
        },
    )
    .await
}

/// `GET /juices/{id}`
pub(crate) async fn show(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let mut juice = own_juice(&mut request.db, &request.me, &id).await?;
    // The name of the day it was pressed on.
    let then = members::name_at(juice.member_id, juice.pressed_at);
    if let Some(name) = then.ask(&mut request.db).await? {
        juice.member_name = name;
    }
    let ticket = tickets::find(juice.ticket_id).ask(&mut request.db).await?;
    let ticket = ticket.ok_or(PageError::NotFound)?;
    let when = (request.visit.zone()?, request.visit.at);
    let found = (
        OneTicket::of(&ticket, when),
        CaneWay::in_season(juice.season_id, Vec::new()),
        FullJuice::of(juice),
    );
    let db = &mut request.db;
    let (mine, way, full) = found.together().ask(db).await?;
    let mine = mine.member_view(db, when).await?;
    let through = mine.strands.iter();
    let through = through.filter(|on| on.strand.juice == Some(full.juice.id));
    let way = way.through(through.cloned().collect());
    let sheet = request.blank();
    let PageRequest { app, visit, me, .. } = request;
    let stops = cane_way::stops(&way, &me, &Stop::Juice(full.juice.id));
    let reader = Reader::of_card(&visit, &me, mine.ticket.member_id)?;
    let trail = Trail::new(&mine, reader, stops);
    page(&JuicePage::new(&app, &visit, &me, &full, sheet)?.with_trail(trail))
}

/// `GET /juices/{id}/correct`
pub(crate) async fn fix(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let juice = own_juice(&mut request.db, &request.me, &id).await?;
    let versions = juice::versions(juice.id).ask(&mut request.db).await?;
    let came = CameBy::of(&juice.id.to_string())
        .ask(&mut request.db)
        .await?;
    let day = day_of(&mut request.db, juice.press_day_id).await?;
    let sheet = form::of(request.blank(), &juice, request.visit.units());
    let PageRequest { app, visit, .. } = request;
    let stands = (versions.as_slice(), &came, day.date);
    page(&FormPage::fixing(&app, &visit, sheet, &juice, stands)?)
}

/// `POST /juices/{id}/correct`
pub(crate) async fn correct(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let juice = own_juice(db, &form.me, &id).await?;
    let versions = juice::versions(juice.id).ask(db).await?;
    let came = CameBy::of(&juice.id.to_string()).ask(db).await?;
    let day = day_of(db, juice.press_day_id).await?;
    let from = first_weighed(db, juice.ticket_id).await?;
    let times = times((&form.visit, form.said_at()), &day, from)?;
    let fix = form::fix(&mut form.sheet, form.visit.units(), &times);
    form.next_try_names(fix.as_ref(), "seen", juice.version);
    form.end_showing(
        fix,
        async |act: &Act, fix| actions::correct_juice(act, juice.id, fix).await,
        paths::juice,
        |app, visit, sheet| {
            let stands = (versions.as_slice(), &came, day.date);
            FormPage::fixing(app, visit, sheet, &juice, stands)
        },
    )
    .await
}

/// `POST /juices/{id}/undo`
pub(crate) async fn undo(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let juice = own_juice(form.db.now().await?, &form.me, &id).await?;
    let undo = async |act: &Act| yard::undo_juice(act, juice.id, juice.version).await;
    form.press(undo, paths::juice(juice.id)).await
}

/// `GET /juices/{id}/lost`
pub(crate) async fn lose_form(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let juice = own_juice(&mut request.db, &request.me, &id).await?;
    let full = FullJuice::of(juice).ask(&mut request.db).await?;
    let sheet = request.blank();
    page(&LostPage::new(&request.app, &request.visit, sheet, &full)?)
}

/// `POST /juices/{id}/lost`
pub(crate) async fn lose(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let juice = own_juice(db, &form.me, &id).await?;
    let full = FullJuice::of(juice).ask(db).await?;
    let lost = lost::lost(&mut form.sheet, &full, form.visit.units());
    form.end_showing(
        lost,
        async |act: &Act, lost| yard::lose(act, full.juice.id, lost).await,
        paths::juice,
        |app, visit, sheet| LostPage::new(app, visit, sheet, &full),
    )
    .await
}

/// `GET /juices/{id}/again`
pub(crate) async fn again_form(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let juice = own_juice(&mut request.db, &request.me, &id).await?;
    let full = FullJuice::of(juice).ask(&mut request.db).await?;
    let sheet = request.blank();
    page(&AgainPage::new(&request.app, &request.visit, sheet, &full))
}

/// `POST /juices/{id}/again`
pub(crate) async fn read_again(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let juice = own_juice(db, &form.me, &id).await?;
    let full = FullJuice::of(juice).ask(db).await?;
    let read = again::reading(&mut form.sheet, form.visit.units());
    form.end(
        read,
        async |act: &Act, read| second_readings::read_again(act, full.juice.id, read).await,
        paths::juice,
        async |form| {
            page_with(
                form.sheet.status(),
                &AgainPage::new(&form.app, &form.visit, form.sheet, &full),
            )
        },
    )
    .await
}

/// `POST /juices/{id}/lost/{number}/back`
pub(crate) async fn take_loss_back(
    Path((id, number)): Path<(String, String)>,
    mut form: FormRequest,
) -> Page {
    let juice = own_juice(form.db.now().await?, &form.me, &id).await?;
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let take = async |act: &Act| yard::take_loss_back(act, juice.id, number).await;
    form.press(take, paths::juice(juice.id)).await
}
