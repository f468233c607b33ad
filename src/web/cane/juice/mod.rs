//! Juice: measuring it, what it came to, correcting it.

mod form;
mod view;

use super::tickets::own_ticket;
use crate::facts::cane::yields::Yields;
use crate::actions::cane::juice as actions;
use crate::store::Snapshot;
use crate::store::cane::juice::JuiceRow;
use crate::store::cane::mill::Vessel;
use crate::store::cane::tickets::Ticket;
use crate::store::cane::{juice, mill, tickets};
use crate::store::season::seasons;
use crate::units::{Grams, JuiceId};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
use form::Times;
pub(in crate::web) use view::clock_words;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{FormPage, JuicePage, JuiceParts};

/// What the form of a new juice offers.
struct Offers {
    ticket: Ticket,
    cane: Grams,
    vessels: Vec<Vessel>,
}

async fn offers(snapshot: &mut Snapshot, me: &Me, id: &str) -> Result<Offers, PageError> {
    let ticket = own_ticket(snapshot, me, id).await?;
    let mut vessels = mill::vessels(snapshot).await?;
    vessels.retain(|v| v.retired_at.is_none());
    if vessels.is_empty() {
        return Err(PageError::NotYet {
            sentence: "There is no vessel at the mill yet. A steward adds it on the page “Mill”."
                .to_owned(),
            back: paths::ticket(ticket.id),
        });
    }
    Ok(Offers {
        cane: tickets::net(snapshot, ticket.id).await?,
        ticket,
        vessels,
    })
}

/// `GET /tickets/{id}/juice/new`
pub async fn new(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let offers = offers(&mut snapshot, &me, &id).await?;
    let day = juice::of_day(&mut snapshot, offers.ticket.press_day_id).await?;
    let mut sheet = Sheet::blank(&visit, &app.ids);
    if let Some(last) = day.last() {
        // The day goes on as it began: same way of measuring, same instrument.
        let kind = match last.amount {
            crate::calc::cane::juice::Amount::Weight(_) => "mass",
            crate::calc::cane::juice::Amount::Volume(..) => "volume",
        };
        sheet
            .put("kind", kind)
            .put("instrument", last.instrument.word());
    }
    page(&FormPage::adding(&app, &visit, sheet, &offers))
}

/// `POST /tickets/{id}/juice/new`
pub async fn create(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let mut snapshot = app.read().await?;
    let offers = offers(&mut snapshot, &me, &id).await?;
    drop(snapshot);
    let mut sheet = Sheet::of(&visit, &sent);
    let times = Times {
        zone: visit.zone()?,
        day: offers.ticket.date,
        at: visit.at,
    };
    if let Some(new) = form::juice(&mut sheet, visit.units(), &times) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::record_juice(&act, offers.ticket.id, new).await {
            Ok(id) => return see(&paths::juice(id)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(
        sheet.status(),
        &FormPage::adding(&app, &visit, sheet, &offers),
    )
}

/// A juice that this person may see: one's own, or anybody's for crew.
async fn own_juice(snapshot: &mut Snapshot, me: &Me, id: &str) -> Result<JuiceRow, PageError> {
    let id = JuiceId::parse(id).ok_or(PageError::NotFound)?;
    juice::find(snapshot, id)
        .await?
        .filter(|j| j.member_id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)
}

/// `GET /juices/{id}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let juice = own_juice(&mut snapshot, &me, &id).await?;
    let ticket = tickets::find(&mut snapshot, juice.ticket_id)
        .await?
        .ok_or(PageError::NotFound)?;
    let rules = seasons::rules_in_force(&mut snapshot, juice.season_id).await?;
    let parts = JuiceParts {
        versions: juice::versions(&mut snapshot, juice.id).await?,
        drawn: juice::drawn(&mut snapshot, juice.id).await?,
        divided: tickets::divided_lot(&mut snapshot, juice.ticket_id).await?,
        yields: Yields::read(&mut snapshot, &ticket, &rules).await?,
        juice,
        rules,
    };
    page(&JuicePage::new(&app, &visit, &me, &parts)?)
}

/// `GET /juices/{id}/correct`
pub async fn fix(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let juice = own_juice(&mut snapshot, &me, &id).await?;
    let versions = juice::versions(&mut snapshot, juice.id).await?;
    let sheet = form::of(Sheet::blank(&visit, &app.ids), &juice, visit.units());
    page(&FormPage::fixing(&app, &visit, sheet, &juice, &versions)?)
}

/// `POST /juices/{id}/correct`
pub async fn correct(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let mut snapshot = app.read().await?;
    let juice = own_juice(&mut snapshot, &me, &id).await?;
    let versions = juice::versions(&mut snapshot, juice.id).await?;
    drop(snapshot);
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(fix) = form::fix(&mut sheet, visit.units()) {
        match actions::correct_juice(&app.act(&me, visit.at, sent.key()), juice.id, fix).await {
            Ok(id) => return see(&paths::juice(id)),
            Err(stop) => {
                // Sent again, it is meant: the next try names the version that is there by then.
                sheet.put("seen", juice.version.to_string());
                sheet.stop(stop)?;
            }
        }
    }
    page_with(
        sheet.status(),
        &FormPage::fixing(&app, &visit, sheet, &juice, &versions)?,
    )
}
