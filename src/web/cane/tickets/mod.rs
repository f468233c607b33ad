//! Weighing in: a new ticket, a ticket, its loads and their corrections.

mod form;
mod typed;
mod view;

use super::of_path::own_ticket;
use crate::actions::Act;
use crate::actions::cane::tickets as actions;
use crate::facts::cane::mill::scales_in_use;
use crate::facts::cane::tickets::{FullTicket, WeighIn};
use crate::store::Snapshot;
use crate::store::cane::mill::{self, Scale};
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::units::{PressDate, TurnId, UtcSecond};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::{Me, Visit};
use crate::web::{Page, page, page_with, paths, see};
use axum::extract::{Path, Query};
use serde::Deserialize;
pub use typed::{paper, paper_form};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{LoadPage, NewPage, TicketPage};

/// What may follow the address of a new ticket.
#[derive(Deserialize)]
pub struct ForTurn {
    turn: Option<String>,
}

/// What a time of weighing is read against.
fn times(visit: &Visit, at: UtcSecond, day: PressDate) -> Result<form::Times<'_>, PageError> {
    Ok(form::Times {
        zone: visit.zone()?,
        day,
        at,
    })
}

/// Without a scale there is nothing to weigh on.
fn some_scale(scales: &[Scale], back: String) -> Result<(), PageError> {
    if scales.is_empty() {
        return Err(PageError::NotYet {
            sentence: "There is no scale at the mill yet. A steward adds it on the page “Mill”."
                .to_owned(),
            back,
        });
    }
    Ok(())
}

/// A press day, with scales to weigh on.
async fn weigh_in(db: &mut Snapshot, date: &str) -> Result<WeighIn, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    let of = WeighIn::read(db, date).await?.ok_or(PageError::NotFound)?;
    some_scale(&of.scales, paths::day(date))?;
    Ok(of)
}

/// `GET /days/{date}/tickets/new`
pub async fn new(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(whose): Query<ForTurn>,
) -> Page {
    let of = weigh_in(&mut request.db, &date).await?;
    if of.day.closed_at.is_some() {
        return Err(PageError::NotYet {
            sentence: format!(
                "{} is closed and takes no more cane. A steward can open it again.",
                of.day.date.show()
            ),
            back: paths::day(of.day.date),
        });
    }
    let mut sheet = request.blank();
    sheet.put("tare", "0");
    if let [scale] = of.scales.as_slice() {
        sheet.put("scale", scale.id.to_string());
    }
    if let Some(turn) = whose.turn.as_deref().and_then(TurnId::parse) {
        if let Some(ticket) = tickets::of_turn(&mut request.db, turn).await? {
            return see(&paths::ticket(ticket.id));
        }
        sheet.put("whose", format!("turn:{turn}"));
    }
    page(&NewPage::new(&request.app, &request.visit, sheet, &of))
}

/// `POST /days/{date}/tickets/new`
pub async fn create(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let of = weigh_in(form.db.now().await?, &date).await?;
    let times = times(&form.visit, form.said_at(), of.day.date)?;
    let new = form::ticket(&mut form.sheet, form.visit.units(), &times);
    form.end(
        new,
        async |act: &Act, new| actions::open_ticket(act, of.day.id, new).await,
        paths::ticket,
        async |form| {
            page_with(
                form.sheet.status(),
                &NewPage::new(&form.app, &form.visit, form.sheet, &of),
            )
        },
    )
    .await
}

/// `GET /tickets/{id}`
pub async fn show(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let ticket = own_ticket(&mut request.db, &request.me, &id).await?;
    let full = FullTicket::read(&mut request.db, ticket).await?;
    let PageRequest { app, visit, me, .. } = request;
    page(&TicketPage::new(&app, &visit, &me, &full)?)
}

/// A ticket, with scales to weigh another load on.
async fn to_load(db: &mut Snapshot, me: &Me, id: &str) -> Result<(Ticket, Vec<Scale>), PageError> {
    let ticket = own_ticket(db, me, id).await?;
    let scales = scales_in_use(db).await?;
    some_scale(&scales, paths::ticket(ticket.id))?;
    Ok((ticket, scales))
}

/// `GET /tickets/{id}/loads/new`
pub async fn new_load(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let (ticket, scales) = to_load(&mut request.db, &request.me, &id).await?;
    let loads = tickets::loads(&mut request.db, ticket.id).await?;
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    sheet.put("tare", "0");
    if let Some(last) = loads.last() {
        // Mostly the same basket or trailer comes back.
        sheet
            .put("scale", last.scale_id.to_string())
            .put("tare", last.tare.typed(visit.units()));
    }
    page(&LoadPage::adding(&app, &visit, sheet, &ticket, &scales))
}

/// `POST /tickets/{id}/loads/new`
pub async fn add_load(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let (ticket, scales) = to_load(form.db.now().await?, &form.me, &id).await?;
    let times = times(&form.visit, form.said_at(), ticket.date)?;
    let load = form::load(&mut form.sheet, form.visit.units(), &times);
    form.end(
        load,
        async |act: &Act, load| actions::add_load(act, ticket.id, load).await,
        paths::ticket,
        async |form| {
            page_with(
                form.sheet.status(),
                &LoadPage::adding(&form.app, &form.visit, form.sheet, &ticket, &scales),
            )
        },
    )
    .await
}

/// The latest version of one load of a ticket, and the scales to choose from.
async fn one_load(
    db: &mut Snapshot,
    me: &Me,
    (id, number): (&str, &str),
) -> Result<(Ticket, LoadRow, Vec<Scale>), PageError> {
    let ticket = own_ticket(db, me, id).await?;
    let number: i64 = number.parse().map_err(|_| PageError::NotFound)?;
    let load = tickets::loads(db, ticket.id)
        .await?
        .into_iter()
        .find(|l| l.number == number)
        .ok_or(PageError::NotFound)?;
    let scales = mill::scales(db).await?;
    Ok((ticket, load, scales))
}

/// `GET /tickets/{id}/loads/{number}/correct`
pub async fn fix_load(
    mut request: PageRequest,
    Path((id, number)): Path<(String, String)>,
) -> Page {
    let (ticket, load, scales) = one_load(&mut request.db, &request.me, (&id, &number)).await?;
    let sheet = form::of(request.blank(), &load, request.visit.units());
    let PageRequest { app, visit, .. } = request;
    page(&LoadPage::fixing(
        &app, &visit, sheet, &ticket, &load, &scales,
    ))
}

/// `POST /tickets/{id}/loads/{number}/correct`
pub async fn correct_load(
    Path((id, number)): Path<(String, String)>,
    mut form: FormRequest,
) -> Page {
    let (ticket, load, scales) = one_load(form.db.now().await?, &form.me, (&id, &number)).await?;
    let times = times(&form.visit, form.said_at(), ticket.date)?;
    let fix = form::fix(&mut form.sheet, form.visit.units(), &times);
    if fix.is_some() {
        // Shown again it was refused; sent again it is meant: the next try names the version of now.
        form.sheet.put("seen", load.version.to_string());
    }
    form.end(
        fix,
        async |act: &Act, fix| actions::correct_load(act, ticket.id, load.number, fix).await,
        paths::ticket,
        async |form| {
            page_with(
                form.sheet.status(),
                &LoadPage::fixing(&form.app, &form.visit, form.sheet, &ticket, &load, &scales),
            )
        },
    )
    .await
}
