//! Home, by role, and the small pages every site needs.

mod for_you;
mod view;
mod waiting;

use super::error::PageError;
use super::form::Sheet;
use super::session::{Me, Visit};
use super::shell::Shell;
use super::{App, Page, page};
use crate::actions::people::notices;
use crate::store::home::DayLine;
use crate::store::season::seasons;
use crate::store::turns::press_days;
use crate::store::{Snapshot, home};
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use for_you::ForYou;
use std::any::Any;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{HomePage, Running};

/// `GET /`
pub async fn show(State(app): State<App>, visit: Visit, me: Me) -> Page {
    let zone = visit.zone()?;
    let today = zone.local(visit.at).0;
    let mut snapshot = app.read().await?;
    let days = home::open_days(&mut snapshot).await?;
    let facts = view::OwnFacts {
        turns: &home::turns_from(&mut snapshot, me.id, today).await?,
        days: &days,
        shares: &home::last_shares(&mut snapshot, me.id).await?,
        tickets: &home::last_tickets(&mut snapshot, me.id).await?,
        standing: home::standing(&mut snapshot, me.id).await?,
        today,
        year: seasons::list(&mut snapshot).await?.first().map(|s| s.year),
    };
    let own = view::own(&me, &facts);
    let told = notices::for_member(&mut snapshot, me.id, zone, visit.at).await?;
    let mut page_of = HomePage {
        shell: Shell::new(&app, &visit, format!("Good day, {}", me.name)),
        offers: waiting::on_offer(&app, &visit, me.id, &mut snapshot).await?,
        for_you: ForYou::new(facts.turns, &told, (zone, visit.at), &|| {
            Sheet::blank(&visit, &app.ids)
        }),
        own,
        places: waiting::places(me.id, today, &mut snapshot).await?,
        running: None,
        boils: Vec::new(),
        crew: me.is_crew(),
        decisions: None,
        calls: None,
        next_day: days
            .iter()
            .find(|d| d.date > today)
            .map_or_else(String::new, |d| d.date.show()),
    };
    if me.is_crew() {
        let open = home::open_boils(&mut snapshot).await?;
        page_of.boils = view::boils(&open, visit.at);
        if let Some(day) = days.iter().find(|d| d.date == today) {
            page_of.running = Some(running(&mut snapshot, &visit, day).await?);
        }
        let calls = notices::to_call(&mut snapshot, zone, app.mails, visit.at).await?;
        page_of.calls = view::calls(calls.len());
        if me.is_steward() {
            let desk = home::desk(&mut snapshot).await?;
            let calls = page_of.calls.take();
            page_of.decisions = Some(view::decisions(calls, desk, &days, &open, today));
        }
    }
    page(&page_of)
}

/// The running day, read from one moment.
async fn running(
    snapshot: &mut Snapshot,
    visit: &Visit,
    day: &DayLine,
) -> Result<Running, PageError> {
    let season = press_days::find(snapshot, day.id)
        .await?
        .ok_or(PageError::NotFound)?
        .season_id;
    Ok(view::running(&view::RunningFacts {
        day,
        expected: &home::expected(snapshot, day.id).await?,
        unpressed: &home::unpressed(snapshot, day.id).await?,
        waiting: &home::waiting(snapshot, day.id).await?,
        rules: &seasons::rules_in_force(snapshot, season).await?,
        at: visit.at,
        zone: visit.zone()?,
        units: visit.units(),
    }))
}

/// `GET /health`: whether the server and its database answer; says nothing else.
pub async fn health(State(app): State<App>) -> Page {
    let mut snapshot = app.read().await?;
    crate::store::people::coop::find(&mut snapshot).await?;
    Ok("ok\n".into_response())
}

/// `GET /robots.txt`
pub async fn robots() -> Response {
    (
        [(header::CONTENT_TYPE, "text/plain; charset=utf-8")],
        "User-agent: *\nDisallow: /\n",
    )
        .into_response()
}

/// Any other address.
pub async fn nothing() -> PageError {
    PageError::NotFound
}

/// A form was sent to an address that takes none.
pub async fn not_sent_here() -> PageError {
    PageError::NotSentHere
}

/// A panic in a handler: a fault like any other.
#[expect(
    clippy::needless_pass_by_value,
    reason = "the layer hands over the box"
)]
pub(super) fn panicked(what: Box<dyn Any + Send + 'static>) -> Response {
    let text = what
        .downcast_ref::<String>()
        .map(String::as_str)
        .or_else(|| what.downcast_ref::<&str>().copied())
        .unwrap_or("a panic without words");
    PageError::Fault(text.to_owned()).into_response()
}
