//! Home, by role, and the small pages every site needs.

mod for_you;
mod lines;
mod safety;
mod view;
mod waiting;

use super::error::PageError;
use super::request::{FormRequest, PageRequest, Visitor};
use super::session::{self, LOOK, set_cookie};
use super::{Page, page, paths, see};
use crate::facts::home::{CrewHome, MemberHome};
use crate::store::{home, upkeep};
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Response};
use safety::Safety;
use std::any::Any;
use view::HomePage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /`
pub async fn show(mut request: PageRequest) -> Page {
    let (visit, me) = (request.visit.clone(), request.me.clone());
    let moment = (visit.zone()?, visit.at);
    let db = &mut request.db;
    let own = MemberHome::read(db, me.id, moment).await?;
    let crew = if me.is_crew() {
        let letters_sent = request.app.letters_sent;
        Some(CrewHome::read(db, own.running_day(moment), letters_sent, moment).await?)
    } else {
        None
    };
    let desk = if me.is_steward() {
        Some(home::desk(db).await?)
    } else {
        None
    };
    let safety = if me.is_steward() {
        let done = upkeep::last(&mut request.db).await?;
        Some(Safety::new(&request.app, &done, moment))
    } else {
        None
    };
    let shown = HomePage::new(&request, &own, crew.as_ref(), desk)?;
    page(&shown.with_safety(safety))
}

/// `POST /look`: keeps a light or a dark look on this browser, and goes back to the page it was chosen on.
pub async fn look(headers: HeaderMap, form: FormRequest<Visitor>) -> Page {
    let chosen = session::look(form.sent.get("look"));
    let seconds = if chosen.is_empty() { 0 } else { LOOK_S };
    let cookie = set_cookie(LOOK, chosen, seconds, form.app.secure);
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

/// `GET /health`: whether the server and its database answer; says nothing else. The visit has been read
/// from the database before the page is reached.
pub async fn health(_: PageRequest<Visitor>) -> Page {
    Ok("ok\n".into_response())
}

/// `GET /clock`: what the clock reads here, seconds since 1970, and whose session asks: by it a phone that
/// kept entries knows how far its own clock is off, and whether it may send them.
pub async fn clock(request: PageRequest<Visitor>) -> Page {
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
