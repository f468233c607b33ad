//! Turns in calendar programs: making and revoking a secret address, the feed behind it, and one
//! turn as a file. The address is shown once and written to no log.

mod events;
mod view;

use crate::actions::hash_token;
use crate::actions::people::feeds as actions;
use crate::actions::people::feeds::Whose;
use crate::calc::paper::ics;
use crate::store::people::feeds;
use crate::units::TurnId;
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, paths, see};
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use axum::response::IntoResponse;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{AddressPage, CalendarPage};

/// How long a cancelled turn stays in a feed as cancelled, so that every program that had it learns
/// of it: 30 days.
const CANCELLED_S: i64 = 30 * 86_400;
/// How far back a feed reaches, days.
const BACK_DAYS: i64 = 60;

/// `GET /calendar`
pub async fn show(State(app): State<App>, visit: Visit, me: Me) -> Page {
    let mut snapshot = app.read().await?;
    let own = feeds::of(&mut snapshot, Some(me.id)).await?;
    let crew = feeds::of(&mut snapshot, None).await?;
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&CalendarPage::new(&app, &visit, &me, own, crew, sheet)?)
}

fn whose(sent: &Sent) -> Result<Whose, PageError> {
    match sent.get("whose") {
        "own" => Ok(Whose::Own),
        "crew" => Ok(Whose::Crew),
        _ => Err(PageError::Garbled),
    }
}

/// `POST /calendar`: shows the address, this once.
pub async fn make(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let whose = whose(&sent)?;
    let token = actions::make(&app.act(&me, visit.at, sent.key()), whose).await?;
    page(&AddressPage::new(&app, &visit, whose, &token))
}

/// `POST /calendar/revoke`
pub async fn revoke(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let whose = whose(&sent)?;
    actions::revoke(&app.act(&me, visit.at, sent.key()), whose).await?;
    see(paths::CALENDAR)
}

/// `GET /calendar/{token}`: the feed, for whoever has its address.
pub async fn feed(
    State(app): State<App>,
    visit: Visit,
    Path(file): Path<String>,
    headers: HeaderMap,
) -> Page {
    let token = file
        .strip_suffix(".ics")
        .filter(|token| token.len() == 32)
        .ok_or(PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    let feed = feeds::find(&mut snapshot, &hash_token(token))
        .await?
        .ok_or(PageError::NotFound)?;
    let coop = visit.coop()?;
    let from = coop.zone.local(visit.at).0.plus_days(-BACK_DAYS);
    let since = visit.at.plus(-CANCELLED_S);
    let turns = feeds::turns(&mut snapshot, feed.member_id, from, since).await?;
    let crew = feed.member_id.is_none();
    let name = if crew {
        format!("All turns, {}", coop.name)
    } else {
        format!("My turns, {}", coop.name)
    };
    let text = ics::calendar(&name, &events::of(&turns, coop, &app, crew));
    answer(text, &headers, None)
}

/// `GET /turns/{id}/ics`: one turn as a file.
pub async fn turn(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    headers: HeaderMap,
) -> Page {
    let id = TurnId::parse(&id).ok_or(PageError::NotFound)?;
    let turn = feeds::turn(&mut *app.read().await?, id)
        .await?
        .filter(|turn| turn.member_id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)?;
    let coop = visit.coop()?;
    let others = turn.member_id != me.id;
    let date = turn.date;
    let text = ics::calendar(
        &coop.name,
        &events::of(std::slice::from_ref(&turn), coop, &app, others),
    );
    let file = format!("attachment; filename=\"turn-{date}.ics\"");
    answer(text, &headers, Some(file))
}

/// The text, or 304 to a program that has it already (RFC 9110, section 13.1.2). The tag is weak:
/// the answer may be compressed.
fn answer(text: String, headers: &HeaderMap, file: Option<String>) -> Page {
    let hash: String = hash_token(&text).chars().take(32).collect();
    let tag = format!("W/\"{hash}\"");
    let has = headers
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|line| line.split(','))
        .map(|one| one.trim().trim_start_matches("W/").trim_matches('"'))
        .any(|one| one == hash || one == "*");
    if has {
        return Ok((StatusCode::NOT_MODIFIED, [(header::ETAG, tag)]).into_response());
    }
    let mut fields: Vec<(HeaderName, String)> = vec![
        (
            header::CONTENT_TYPE,
            "text/calendar; charset=utf-8; method=PUBLISH".to_owned(),
        ),
        (header::ETAG, tag),
    ];
    fields.extend(file.map(|file| (header::CONTENT_DISPOSITION, file)));
    let mut response = text.into_response();
    for (name, value) in fields {
        let value = value
            .parse()
            .map_err(|_| PageError::Fault(format!("no such {name}")))?;
        response.headers_mut().insert(name, value);
    }
    Ok(response)
}
