//! Waiting lists: the list of a day for the crew; one place on it, with what is offered, for its member
//! and the crew; what a steward does against the order.

mod form;
mod view;

use crate::actions::Done;
use crate::actions::turns::rooms::DayRoom;
use crate::actions::turns::{waiting as actions, waiting_overrides as overrides};
use crate::calc::turns::day_room::Wanted;
use crate::calc::turns::starts::{Asker, Span, offered};
use crate::store::Snapshot;
use crate::store::season::seasons;
use crate::store::turns::offers::Offer;
use crate::store::turns::waiting::Entry;
use crate::store::turns::{offers, press_days, waiting};
use crate::units::{DayMinute, OfferId, PressDate, WaitingId};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
use axum::http::StatusCode;
pub(in crate::web) use view::place_of;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{EntryPage, EntryRecords, ListPage};

/// `GET /days/{date}/waiting`
pub async fn list(State(app): State<App>, visit: Visit, Path(date): Path<String>) -> Page {
    let date = PressDate::parse(&date).map_err(|_| PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    let day = press_days::of_date(&mut snapshot, date)
        .await?
        .ok_or(PageError::NotFound)?;
    let list = waiting::of_day(&mut snapshot, day.id).await?;
    let offers = offers::of_day(&mut snapshot, day.id).await?;
    page(&ListPage::new(&app, &visit, &day, &list, &offers)?)
}

/// A place that this person may see: one's own, or anybody's for crew.
async fn entry(snapshot: &mut Snapshot, me: &Me, id: WaitingId) -> Result<Entry, PageError> {
    waiting::find(snapshot, id)
        .await?
        .filter(|entry| entry.member_id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)
}

fn entry_id(id: &str) -> Result<WaitingId, PageError> {
    WaitingId::parse(id).ok_or(PageError::NotFound)
}

/// An offer that this person may see.
async fn offer(app: &App, me: &Me, id: &str) -> Result<Offer, PageError> {
    let id = OfferId::parse(id).ok_or(PageError::NotFound)?;
    offers::find(&mut *app.read().await?, id)
        .await?
        .filter(|offer| offer.member_id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)
}

/// `GET /waiting/{id}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let sheet = Sheet::blank(&visit, &app.ids);
    entry_page(&app, &visit, &me, entry_id(&id)?, sheet).await
}

async fn entry_page(app: &App, visit: &Visit, me: &Me, id: WaitingId, sheet: Sheet) -> Page {
    let mut snapshot = app.read().await?;
    let entry = entry(&mut snapshot, me, id).await?;
    let day = press_days::find(&mut snapshot, entry.press_day_id)
        .await?
        .ok_or(PageError::NotFound)?;
    let offers = offers::of_day(&mut snapshot, day.id).await?;
    let records = EntryRecords {
        list: waiting::of_day(&mut snapshot, day.id).await?,
        offers: offers
            .into_iter()
            .filter(|offer| offer.waiting_id == id)
            .collect(),
        starts: if me.is_steward() && entry.state.on_list() {
            starts(&mut snapshot, visit, &entry).await?
        } else {
            Vec::new()
        },
        day,
        entry,
    };
    let code = if sheet.problem.is_none() && sheet.problems().is_empty() {
        StatusCode::OK
    } else {
        sheet.status()
    };
    page_with(code, &EntryPage::new(app, visit, me, &records, sheet)?)
}

/// Where a steward could put somebody: free among the turns, whatever is on offer.
async fn starts(
    snapshot: &mut Snapshot,
    visit: &Visit,
    entry: &Entry,
) -> Result<Vec<DayMinute>, PageError> {
    let day = press_days::find(snapshot, entry.press_day_id)
        .await?
        .ok_or(PageError::NotFound)?;
    let rules = seasons::rules_in_force(snapshot, day.season_id).await?;
    let mut room = DayRoom::load(snapshot, &day, &rules, visit.zone()?, &[]).await?;
    let clock = room.day.clock;
    let on_offer: Vec<Span> = offers::standing_of_day(snapshot, day.id)
        .await?
        .iter()
        .map(|offer| Span::kept(&clock, offer.start, offer.minutes))
        .collect();
    room.held.retain(|held| !on_offer.contains(&held.span));
    let asker = Asker {
        at: visit.at,
        crew: true,
    };
    let cane = entry.cane;
    // Longer than the day: no start.
    Ok(room.day.minutes_for(cane, visit.units()).map_or_else(
        |_| Vec::new(),
        |minutes| offered(&room.rooms().free(Wanted { minutes, cane }, asker).starts),
    ))
}

/// What a form of a place on the list comes to: on to where it leads, or the place's page again.
async fn answer<T>(
    (app, visit, me): (&App, &Visit, &Me),
    id: WaitingId,
    mut sheet: Sheet,
    done: Option<Done<T>>,
    to: impl FnOnce(T) -> String,
) -> Page {
    match done {
        Some(Ok(done)) => return see(&to(done)),
        Some(Err(stop)) => sheet.stop(stop)?,
        None => {}
    }
    entry_page(app, visit, me, id, sheet).await
}

/// `POST /waiting/{id}/leave`
pub async fn leave(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = entry_id(&id)?;
    let done = actions::leave(&app.act(&me, visit.at, sent.key()), id).await;
    let sheet = Sheet::of(&visit, &sent);
    answer((&app, &visit, &me), id, sheet, Some(done), paths::waiting).await
}

/// `POST /waiting/{id}/still`
pub async fn still(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = entry_id(&id)?;
    let done = actions::still_wait(&app.act(&me, visit.at, sent.key()), id).await;
    let sheet = Sheet::of(&visit, &sent);
    answer((&app, &visit, &me), id, sheet, Some(done), paths::waiting).await
}

/// `POST /offers/{id}/take`
pub async fn take(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let offer = offer(&app, &me, &id).await?;
    let done = actions::accept(&app.act(&me, visit.at, sent.key()), offer.id).await;
    let (id, sheet) = (offer.waiting_id, Sheet::of(&visit, &sent));
    answer((&app, &visit, &me), id, sheet, Some(done), paths::turn).await
}

/// `POST /offers/{id}/decline`
pub async fn decline(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let offer = offer(&app, &me, &id).await?;
    let done = actions::decline(&app.act(&me, visit.at, sent.key()), offer.id).await;
    let (id, sheet) = (offer.waiting_id, Sheet::of(&visit, &sent));
    answer((&app, &visit, &me), id, sheet, Some(done), paths::waiting).await
}

/// `POST /offers/{id}/withdraw`
pub async fn withdraw(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let offer = offer(&app, &me, &id).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let done = match form::why(&mut sheet, "why_offer") {
        Some(why) => {
            let act = app.act(&me, visit.at, sent.key());
            Some(overrides::withdraw(&act, offer.id, &why).await)
        }
        None => None,
    };
    let id = offer.waiting_id;
    answer((&app, &visit, &me), id, sheet, done, paths::waiting).await
}

/// `POST /waiting/{id}/place`
pub async fn place(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = entry_id(&id)?;
    let mut sheet = Sheet::of(&visit, &sent);
    let done = match form::place(&mut sheet) {
        Some((start, why)) => {
            let act = app.act(&me, visit.at, sent.key());
            Some(overrides::place(&act, id, start, &why).await)
        }
        None => None,
    };
    answer((&app, &visit, &me), id, sheet, done, paths::turn).await
}

/// `POST /waiting/{id}/off`
pub async fn take_off(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = entry_id(&id)?;
    let mut sheet = Sheet::of(&visit, &sent);
    let done = match form::why(&mut sheet, "why_off") {
        Some(why) => {
            let act = app.act(&me, visit.at, sent.key());
            Some(overrides::take_off(&act, id, &why).await)
        }
        None => None,
    };
    answer((&app, &visit, &me), id, sheet, done, paths::waiting).await
}
