//! Trace: which cane is in a lot and where its jars are, which lots a ticket's cane went into, and finding any of
//! them by what stands on a jar or a ticket.

mod find;
mod followed;
mod jars;
mod picture;
mod record;
mod view;

use crate::calc::shares::cane_way::Stop;
use crate::facts::shares::cane_way::CaneWay;
use crate::facts::shares::looked_up::LookedUp;
use crate::facts::shares::trace::{LotTrace, TicketTrace, VesselTrace};
use crate::store::cane::{mill, tickets};
use crate::units::{LotCode, TicketId, VesselId};
use crate::web::cane_way::stops;
use crate::web::error::PageError;
use crate::web::page::see;
use crate::web::request::PageRequest;
use crate::web::{Page, page};
use axum::extract::{Path, Query};
use find::FindPage;
use followed::{TicketPage, VesselPage};
pub(in crate::web::shares) use jars::{became_words, move_line};
use record::RecordPage;
use serde::Deserialize;
use view::LotPage;

/// What the address says that somebody looks for.
#[derive(Debug, Deserialize)]
pub(crate) struct LookUp {
    #[serde(default)]
    what: String,
}

/// Longest text that is looked for, characters.
const LONGEST: usize = 80;

/// `GET /find?what=26A9Z-P`
pub(crate) async fn look_up(mut request: PageRequest, Query(wanted): Query<LookUp>) -> Page {
    let typed: String = wanted.what.chars().take(LONGEST).collect();
    let looked_up = LookedUp::read(&mut request.db, &typed).await?;
    if let ([one], []) = (&looked_up.found[..], &looked_up.near[..]) {
        return see(&find::place_of(one));
    }
    let PageRequest { app, visit, .. } = request;
    page(&FindPage::new(&app, &visit, &typed, &looked_up))
}

/// `GET /boils/{lot}/trace`
pub(crate) async fn of_lot(mut request: PageRequest, Path(text): Path<String>) -> Page {
    let code = LotCode::parse(&text).map_err(|_| PageError::NotFound)?;
    let trace = LotTrace::read(&mut request.db, &code).await?;
    let trace = trace.ok_or(PageError::NotFound)?;
    let way = CaneWay::of_boil(&trace.boil).ask(&mut request.db).await?;
    let PageRequest { app, visit, me, .. } = request;
    let stops = stops(&way, &me, &Stop::Jars(code));
    page(&LotPage::new(&app, &visit, &trace, stops)?)
}

/// `GET /boils/{lot}/record`
pub(crate) async fn record(mut request: PageRequest, Path(text): Path<String>) -> Page {
    let code = LotCode::parse(&text).map_err(|_| PageError::NotFound)?;
    let trace = LotTrace::read(&mut request.db, &code).await?;
    let trace = trace.ok_or(PageError::NotFound)?;
    let PageRequest { app, visit, .. } = request;
    page(&RecordPage::new(&app, &visit, &trace)?)
}

/// `GET /tickets/{id}/trace`
pub(crate) async fn of_ticket(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let id = TicketId::parse(&id).ok_or(PageError::NotFound)?;
    let ticket = tickets::find(id).ask(&mut request.db).await?;
    let trace = TicketTrace::of(&mut request.db, ticket.ok_or(PageError::NotFound)?).await?;
    let PageRequest { app, visit, .. } = request;
    page(&TicketPage::new(&app, &visit, &trace))
}

/// `GET /vessels/{id}/trace`
pub(crate) async fn of_vessel(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let id = VesselId::parse(&id).ok_or(PageError::NotFound)?;
    let vessel = mill::vessel(id).ask(&mut request.db).await?;
    let trace = VesselTrace::of(&mut request.db, vessel.ok_or(PageError::NotFound)?).await?;
    let PageRequest { app, visit, .. } = request;
    page(&VesselPage::new(&app, &visit, &trace)?)
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = view::samples();
    views.extend(find::samples());
    views.extend(followed::samples());
    views.push(Box::new(record::sample(0)));
    views.push(Box::new(record::sample(30)));
    views
}
