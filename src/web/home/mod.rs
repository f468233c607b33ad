//! Home, by role, and the small pages every site needs.

mod book;
mod decide;
mod first_steps;
mod for_you;
mod household;
mod lines;
mod results;
mod safety;
mod view;
mod waiting;

use super::cookies::set_open_cookie;
use super::error::PageError;
use super::request::{FormRequest, PageRequest, Visitor};
use super::session::{self, LOOK};
use super::{Page, page, paths, see};
use crate::actions::upkeep as actions;
use crate::facts::boil::on_fire;
use crate::facts::home::MemberHome;
use crate::facts::home_crew::CrewHome;
use crate::store::people::second_factor;
use crate::store::{
    Question, Together, Trouble, first_steps as first_steps_of, home, restores, upkeep,
};
use crate::units::LotCode;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use safety::Safety;
use std::any::Any;
use view::HomePage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /`
pub(super) async fn show(mut request: PageRequest) -> Page {
    let (visit, me) = (request.visit.clone(), request.me.clone());
    let moment = (visit.zone()?, visit.at);
    let this_year = i64::from(moment.0.local(moment.1).0.date().year());
    let letters_sent = request.app.letters_sent;
    let crew = me.is_crew().then(|| CrewHome::of(letters_sent, moment));
    let steward = me.is_steward().then(|| {
        let second = second_factor::is_set(me.id);
        let besides = (restores::waiting(), restores::latest(), second).together();
        (
            home::desk(),
            first_steps_of::read(this_year),
            upkeep::last(),
            besides,
        )
            .together()
    });
    let besides = (Question::when(crew), Question::when(steward)).together();
    let db = &mut request.db;
    let whose = (me.id, me.is_crew());
    let (own, (crew, steward), running) = MemberHome::read(db, whose, moment, besides).await?;
    let crew = match crew {
        None => None,
        Some(crew) => {
            let lit = crew.boils.iter().filter(|boil| !boil.finished);
            let lots: Vec<LotCode> = lit.map(|boil| boil.lot.clone()).collect();
            let called = on_fire::calls(db, &lots, visit.at).await?;
            Some(CrewHome {
                called,
                running,
                ..crew
            })
        }
    };
    let (desk, steps, safety, restored) = match steward {
        Some((desk, steps, done, (restored, latest, second))) => {
            let safety = Safety::new(&request.app, (&done, latest.as_ref()), moment);
            let safety = safety.with_own(second, request.app.demo);
            (Some(desk), Some(steps), Some(safety), restored)
        }
        None => (None, None, None, Vec::new()),
    };
    let steps = first_steps::steps(steps.as_ref());
    let shown = HomePage::new(&request, &own, crew.as_ref(), (desk, steps))?;
    let shown = shown.with_restored(&restored, moment.0);
    page(&shown.with_safety(safety))
}

/// `POST /look`: keeps a light or a dark look on this browser, and goes back to the page it was chosen on.
pub(super) async fn look(headers: HeaderMap, form: FormRequest<Visitor>) -> Page {
    let chosen = session::look(form.sent.get("look"));
    // The choice "as the system" is kept as well: pages kept on a phone may have another look.
    let kept = if chosen.is_empty() { "system" } else { chosen };
    let cookie = set_open_cookie(LOOK, kept, LOOK_S, form.app.secure);
    let mut answer = see(&came_from(&headers))?;
    answer.headers_mut().append(header::SET_COOKIE, cookie);
    Ok(answer)
}

/// How long a browser keeps its look, seconds: 400 days, the most that browsers keep a cookie.
const LOOK_S: i64 = 400 * 86_400;

/// The page of this site that a form was sent from; home when that is not known. Only its path is taken, so that
/// nobody is led elsewhere.
fn came_from(headers: &HeaderMap) -> String {
    let sent = headers.get(header::REFERER).and_then(|v| v.to_str().ok());
    let path = sent
        .and_then(|url| url.split_once("://"))
        .and_then(|(_, rest)| rest.find('/').map(|at| &rest[at..]))
        .filter(|path| !path.starts_with("//"));
    path.unwrap_or(paths::HOME).to_owned()
}

/// `GET /health`: whether the server and its database answer, and whether something can be stored; if not, why.
/// The visit has been read from the database before the page is reached.
pub(super) async fn health(request: PageRequest<Visitor>) -> Page {
    let PageRequest { app, visit, db, .. } = request;
    drop(db);
    match actions::can_store(&app.writer, visit.at).await {
        Ok(()) => Ok("ok\n".into_response()),
        Err(error) => {
            let why = error.trouble().map_or("the database failed", Trouble::what);
            let words = format!("nothing can be stored: {why}\n");
            Ok((StatusCode::SERVICE_UNAVAILABLE, words).into_response())
        }
    }
}

/// `GET /clock`: what the clock reads here, seconds since 1970, and whose session asks: by it a phone that
/// kept entries knows how far its own clock is off, and whether it may send them.
pub(super) async fn clock(request: PageRequest<Visitor>) -> Page {
    let me = request.visit.me();
    let told = serde_json::json!({
        "at": request.visit.at.get(),
        "member": me.as_ref().map(|me| me.id.to_string()),
        "name": me.map(|me| me.name),
    });
    let kind = [(header::CONTENT_TYPE, "application/json")];
    Ok((kind, told.to_string()).into_response())
}

/// `GET /robots.txt`
pub(super) async fn robots() -> Response {
    (
        [(header::CONTENT_TYPE, "text/plain; charset=utf-8")],
        "User-agent: *\nDisallow: /\n",
    )
        .into_response()
}

/// Any other address.
pub(super) async fn nothing() -> PageError {
    PageError::NotFound
}

/// A form was sent to an address that takes none.
pub(super) async fn not_sent_here() -> PageError {
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
