//! Weighing in: a new ticket, a ticket, its loads and their corrections.

mod form;
mod view;

use crate::actions::cane::tickets as actions;
use crate::calc::cane::morning::may_open_ticket;
use crate::store::Snapshot;
use crate::store::cane::mill::Scale;
use crate::store::cane::tickets::{self, LoadRow, Ticket, Turn};
use crate::store::cane::{juice, mill, morning};
use crate::store::people::members;
use crate::store::people::members::MemberLine;
use crate::store::season::seasons;
use crate::store::turns::press_days;
use crate::store::turns::press_days::PressDay;
use crate::units::{PressDate, TicketId, TurnId};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, Query, State};
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{LoadPage, NewPage, TicketPage, TicketParts};
use crate::facts::cane::yields::Yields;

/// What may follow the address of a new ticket.
#[derive(Deserialize)]
pub struct Asked {
    turn: Option<String>,
}

/// What the form of a new ticket offers.
struct Offers {
    day: PressDay,
    scales: Vec<Scale>,
    waiting: Vec<Turn>,
    members: Vec<MemberLine>,
    /// The opening checks are done or waived.
    opened: bool,
}

/// What a time of weighing is read against.
fn times(visit: &Visit, day: PressDate) -> Result<form::Times<'_>, PageError> {
    Ok(form::Times {
        zone: visit.zone()?,
        day,
        at: visit.at,
    })
}

/// A press day that takes tickets, with scales to weigh on.
async fn offers(snapshot: &mut Snapshot, date: &str) -> Result<Offers, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    let day = press_days::of_date(snapshot, date)
        .await?
        .ok_or(PageError::NotFound)?;
    let scales = scales(snapshot, paths::day(date)).await?;
    Ok(Offers {
        waiting: tickets::turns_waiting(snapshot, day.id).await?,
        members: members::list(snapshot).await?,
        opened: may_open_ticket(&morning::settled(snapshot, day.id).await?).is_ok(),
        day,
        scales,
    })
}

/// The scales in use; without any there is nothing to weigh on.
async fn scales(snapshot: &mut Snapshot, back: String) -> Result<Vec<Scale>, PageError> {
    let mut scales = mill::scales(snapshot).await?;
    scales.retain(|s| s.retired_at.is_none());
    if scales.is_empty() {
        return Err(PageError::NotYet {
            sentence: "There is no scale at the mill yet. A steward adds it on the page “Mill”."
                .to_owned(),
            back,
        });
    }
    Ok(scales)
}

/// `GET /days/{date}/tickets/new`
pub async fn new(
    State(app): State<App>,
    visit: Visit,
    Path(date): Path<String>,
    Query(asked): Query<Asked>,
) -> Page {
    let mut snapshot = app.read().await?;
    let offers = offers(&mut snapshot, &date).await?;
    if offers.day.closed_at.is_some() {
        return Err(PageError::NotYet {
            sentence: format!(
                "{} is closed and takes no more cane. A steward can open it again.",
                offers.day.date.show()
            ),
            back: paths::day(offers.day.date),
        });
    }
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("tare", "0");
    if let [scale] = offers.scales.as_slice() {
        sheet.put("scale", scale.id.to_string());
    }
    if let Some(turn) = asked.turn.as_deref().and_then(TurnId::parse) {
        if let Some(ticket) = tickets::of_turn(&mut snapshot, turn).await? {
            return see(&paths::ticket(ticket.id));
        }
        sheet.put("whose", format!("turn:{turn}"));
    }
    page(&NewPage::new(&app, &visit, sheet, &offers))
}

/// `POST /days/{date}/tickets/new`
pub async fn create(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(date): Path<String>,
    sent: Sent,
) -> Page {
    let mut snapshot = app.read().await?;
    let offers = offers(&mut snapshot, &date).await?;
    drop(snapshot);
    let mut sheet = Sheet::of(&visit, &sent);
    let times = times(&visit, offers.day.date)?;
    if let Some(new) = form::ticket(&mut sheet, visit.units(), &times) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::open_ticket(&act, offers.day.id, new).await {
            Ok(id) => return see(&paths::ticket(id)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(sheet.status(), &NewPage::new(&app, &visit, sheet, &offers))
}

/// A ticket that this person may see: one's own, or anybody's for crew.
pub(in crate::web) async fn own_ticket(
    snapshot: &mut Snapshot,
    me: &Me,
    id: &str,
) -> Result<Ticket, PageError> {
    let id = TicketId::parse(id).ok_or(PageError::NotFound)?;
    tickets::find(snapshot, id)
        .await?
        .filter(|d| d.member_id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)
}

/// `GET /tickets/{id}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let ticket = own_ticket(&mut snapshot, &me, &id).await?;
    let rules = seasons::rules_in_force(&mut snapshot, ticket.season_id).await?;
    let mut found = juice::of_ticket(&mut snapshot, ticket.id).await?;
    found.extend(juice::voids_of_ticket(&mut snapshot, ticket.id).await?);
    let mut juices_drawn = Vec::new();
    for juice in found {
        let drawn = juice::drawn(&mut snapshot, juice.id).await?;
        juices_drawn.push((juice, drawn));
    }
    let parts = TicketParts {
        loads: tickets::loads(&mut snapshot, ticket.id).await?,
        juices: juices_drawn,
        yields: Yields::read(&mut snapshot, &ticket, &rules).await?,
        divided: tickets::divided_lot(&mut snapshot, ticket.id).await?,
        ticket,
        rules,
    };
    page(&TicketPage::new(&app, &visit, &me, &parts)?)
}

/// `GET /tickets/{id}/loads/new`
pub async fn new_load(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
) -> Page {
    let mut snapshot = app.read().await?;
    let ticket = own_ticket(&mut snapshot, &me, &id).await?;
    let scales = scales(&mut snapshot, paths::ticket(ticket.id)).await?;
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("tare", "0");
    if let Some(last) = tickets::loads(&mut snapshot, ticket.id).await?.last() {
        // Mostly the same basket or trailer comes back.
        sheet
            .put("scale", last.scale_id.to_string())
            .put("tare", last.tare.typed(visit.units()));
    }
    page(&LoadPage::adding(&app, &visit, sheet, &ticket, &scales))
}

/// `POST /tickets/{id}/loads/new`
pub async fn add_load(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let mut snapshot = app.read().await?;
    let ticket = own_ticket(&mut snapshot, &me, &id).await?;
    let scales = scales(&mut snapshot, paths::ticket(ticket.id)).await?;
    drop(snapshot);
    let mut sheet = Sheet::of(&visit, &sent);
    let times = times(&visit, ticket.date)?;
    if let Some(load) = form::load(&mut sheet, visit.units(), &times) {
        match actions::add_load(&app.act(&me, visit.at, sent.key()), ticket.id, load).await {
            Ok(id) => return see(&paths::ticket(id)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(
        sheet.status(),
        &LoadPage::adding(&app, &visit, sheet, &ticket, &scales),
    )
}

/// The latest version of one load of a ticket, and the scales to choose from.
async fn one_load(
    snapshot: &mut Snapshot,
    me: &Me,
    id: &str,
    number: &str,
) -> Result<(Ticket, LoadRow, Vec<Scale>), PageError> {
    let ticket = own_ticket(snapshot, me, id).await?;
    let number: i64 = number.parse().map_err(|_| PageError::NotFound)?;
    let load = tickets::loads(snapshot, ticket.id)
        .await?
        .into_iter()
        .find(|l| l.number == number)
        .ok_or(PageError::NotFound)?;
    let scales = mill::scales(snapshot).await?;
    Ok((ticket, load, scales))
}

/// `GET /tickets/{id}/loads/{number}/correct`
pub async fn fix_load(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path((id, number)): Path<(String, String)>,
) -> Page {
    let mut snapshot = app.read().await?;
    let (ticket, load, scales) = one_load(&mut snapshot, &me, &id, &number).await?;
    let sheet = form::of(Sheet::blank(&visit, &app.ids), &load, visit.units());
    page(&LoadPage::fixing(
        &app, &visit, sheet, &ticket, &load, &scales,
    ))
}

/// `POST /tickets/{id}/loads/{number}/correct`
pub async fn correct_load(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path((id, number)): Path<(String, String)>,
    sent: Sent,
) -> Page {
    let mut snapshot = app.read().await?;
    let (ticket, load, scales) = one_load(&mut snapshot, &me, &id, &number).await?;
    drop(snapshot);
    let mut sheet = Sheet::of(&visit, &sent);
    let times = times(&visit, ticket.date)?;
    if let Some(fix) = form::fix(&mut sheet, visit.units(), &times) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::correct_load(&act, ticket.id, load.number, fix).await {
            Ok(id) => return see(&paths::ticket(id)),
            Err(stop) => {
                // Sent again, it is meant: the next try names the version that is there by then.
                sheet.put("seen", load.version.to_string());
                sheet.stop(stop)?;
            }
        }
    }
    page_with(
        sheet.status(),
        &LoadPage::fixing(&app, &visit, sheet, &ticket, &load, &scales),
    )
}
