//! What members are told: the calls to make, ticking them off, and putting a notice of one's own away.

mod view;

use crate::actions::people::notices as actions;
use crate::calc::people::notices::TOLD_LAST_S;
use crate::store::people::notices;
use crate::units::{DayChangeId, NoticeId};
use crate::web::error::PageError;
use crate::web::form::Sent;
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, paths, see};
use axum::extract::{Path, State};
use view::CallsPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /calls`
pub async fn calls(State(app): State<App>, visit: Visit) -> Page {
    let zone = visit.zone()?;
    let mut snapshot = app.read().await?;
    let to_call = actions::to_call(&mut snapshot, zone, app.mails, visit.at).await?;
    let told = notices::told(&mut snapshot, visit.at.plus(-TOLD_LAST_S)).await?;
    page(&CallsPage::new(&app, &visit, zone, &to_call, &told))
}

/// `POST /calls/{id}/told`
pub async fn told(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    tick(&app, &visit, &me, &id, &sent, true).await
}

/// `POST /calls/{id}/not-told`
pub async fn not_told(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    tick(&app, &visit, &me, &id, &sent, false).await
}

async fn tick(app: &App, visit: &Visit, me: &Me, id: &str, sent: &Sent, told: bool) -> Page {
    let id = NoticeId::parse(id).ok_or(PageError::NotFound)?;
    actions::set_told(&app.act(me, visit.at, sent.key()), id, told).await?;
    // From the page of turns moved together one goes back to it.
    match DayChangeId::parse(sent.get("change")) {
        Some(change) => see(&paths::change(change)),
        None => see(paths::CALLS),
    }
}

/// `POST /notices/{id}/put-away`
pub async fn put_away(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = NoticeId::parse(&id).ok_or(PageError::NotFound)?;
    actions::put_away(&app.act(&me, visit.at, sent.key()), id).await?;
    see(paths::HOME)
}
