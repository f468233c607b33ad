//! What every request passes: the visit, the same-origin check, the role of its route, the headers
//! of its answer. A write once begun is finished even if the phone hangs up.

use super::app::App;
use super::error::PageError;
use super::form;
use super::moment::Lent;
use super::noting::path_without_secret;
use super::paths;
use super::request_counts::Route;
use super::said;
use super::session::Visit;
use super::twelve_hours;
use super::yard::{asked_by_itself, in_yard};
use crate::store::Trouble;
use crate::units::Role;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use std::time::Duration;
use tracing::Instrument;

/// Who may open a route.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    /// Everybody, signed in or not.
    Anyone,
    /// Whoever is signed in; the page looks whose record it is.
    Members,
    /// Only crew and stewards.
    Crew,
    /// Only stewards.
    Stewards,
    /// Probes, by a token of their own: neither cookie nor form key counts. Looked at, it leads on.
    Probes,
}

/// Reads the visit, keeps strangers' forms out, and hands the request on.
pub(super) async fn visit(State(app): State<App>, request: Request, next: Next) -> Response {
    if request.uri().path().starts_with("/static/") {
        return next.run(request).await;
    }
    // A probe shows no page: it has no visit, and its token stands in a header that no page elsewhere
    // can make a browser send here.
    if request.uri().path() == paths::PROBE_READINGS && !safe(request.method()) && !app.read_only {
        return next.run(request).await;
    }
    if let Some(error) = foreign_host(&app, &request) {
        return error.into_response();
    }
    if !safe(request.method()) && !same_origin(request.headers(), &app) {
        tracing::warn!(
            path = path_without_secret(request.uri().path()),
            "a form from elsewhere was refused"
        );
        return PageError::Untrusted.into_response();
    }
    if app.read_only && !safe(request.method()) && !opens_the_door(request.uri().path()) {
        return PageError::NotYet {
            sentence: "This is a copy of the books, to look at. Nothing can be stored in it."
                .to_owned(),
            back: paths::HOME.to_owned(),
        }
        .into_response();
    }
    let mut request = match whole(request).await {
        Ok(request) => request,
        Err(error) => return error.into_response(),
    };
    let mut now = match app.moments.open_moment().await {
        Ok(now) => now,
        Err(error) => return error.into_response(),
    };
    let visit = match Visit::read(&app, request.headers(), &mut now).await {
        Ok(visit) => visit,
        Err(error) => return error.into_response(),
    };
    let path = request.uri().path();
    let open = path == paths::SET_UP || path == paths::HEALTH;
    if visit.coop.is_none() && !open {
        return Redirect::to(paths::SET_UP).into_response();
    }
    if !asked_by_itself(path) {
        visit.note_station_use(&app);
    }
    // A script's request in flight must not change the cookie under a sign-in form that is opened meanwhile.
    let by_script = asked_by_itself(path) || request.headers().contains_key("kept-page");
    let cookie = visit.new_cookie(app.secure).filter(|_| !by_script);
    let twelve = visit.who.as_ref().is_some_and(|who| who.clock == 12);
    let (told, method) = (visit.said, request.method().clone());
    request.extensions_mut().insert(visit);
    request.extensions_mut().insert(Lent::new(now));
    let mut response = next.run(request).await;
    if twelve {
        response = twelve_hours::answered(response).await;
    }
    let forget = said::said_once(told, &method, &response, app.secure);
    for cookie in cookie.into_iter().chain(forget) {
        response.headers_mut().append(header::SET_COOKIE, cookie);
    }
    response
}

/// Why a request is refused that names another host than the one set: a page elsewhere could have its own name lead
/// here (DNS rebinding), and a proxy that hides the name would have links made up by whoever asks. Whoever asks about
/// health comes by any name.
fn foreign_host(app: &App, request: &Request) -> Option<PageError> {
    let only = app.only_host.as_deref()?;
    if request.uri().path() == paths::HEALTH {
        return None;
    }
    let named = request.headers().get(header::HOST)?;
    if named.as_bytes().eq_ignore_ascii_case(only.as_bytes()) {
        return None;
    }
    tracing::warn!(
        host = %named.to_str().unwrap_or("not text"),
        "refused: --public-url names another host; a proxy in front must hand the Host header on as it came"
    );
    Some(PageError::ForeignHost {
        site: app.public_url.clone().unwrap_or_default(),
    })
}

/// Whether a form only lets somebody in or out.
fn opens_the_door(path: &str) -> bool {
    path == paths::SIGN_IN || path == paths::SIGN_OUT
}

/// Time for a form to come in whole: a few kilobytes, over the weakest signal.
const BODY: Duration = Duration::from_secs(20);

/// A form is taken in whole before it is looked at: a slow phone keeps no database connection waiting.
async fn whole(request: Request) -> Result<Request, PageError> {
    if safe(request.method()) {
        return Ok(request);
    }
    let (parts, body) = request.into_parts();
    let whole = axum::body::to_bytes(body, form::MOST_BYTES);
    let bytes = tokio::time::timeout(BODY, whole)
        .await
        .map_err(|_| PageError::Garbled)?
        .map_err(|error| {
            let long = std::error::Error::source(&error)
                .is_some_and(<dyn std::error::Error>::is::<http_body_util::LengthLimitError>);
            if long {
                PageError::TooLarge
            } else {
                PageError::Garbled
            }
        })?;
    Ok(Request::from_parts(parts, Body::from(bytes)))
}

/// Lets only those in whom the route is for.
pub(super) async fn role(
    State((app, who, path)): State<(App, Who, &'static str)>,
    request: Request,
    next: Next,
) -> Response {
    let (visit, yard) = (request.extensions().get::<Visit>(), in_yard(path));
    if let Some(error) = visit.and_then(|visit| kept_out_of_station(visit, who, yard, &request)) {
        return on(path, error.into_response());
    }
    let me = visit.and_then(Visit::me);
    let refused = match (who, &me) {
        (Who::Anyone | Who::Probes, _) | (Who::Members, Some(_)) => None,
        (_, None) if safe(request.method()) => Some(PageError::SignIn {
            next: request.uri().path().to_owned(),
        }),
        (_, None) => Some(PageError::SignedOut),
        (Who::Crew, Some(me)) => (me.role < Role::Crew).then_some(PageError::Forbidden),
        (Who::Stewards, Some(me)) => (me.role < Role::Steward).then_some(PageError::Forbidden),
    };
    match refused {
        None => {
            let method = request.method().clone();
            let mut response = next.run(request).await;
            if let Some(cookie) = said::to_say(path, &method, &response, app.secure) {
                response.headers_mut().append(header::SET_COOKIE, cookie);
            }
            on(path, response)
        }
        Some(error) => {
            let member = me.map(|m| m.id.to_string());
            tracing::warn!(
                path = path_without_secret(request.uri().path()),
                member,
                "not let in"
            );
            on(path, error.into_response())
        }
    }
}

/// An answer with the line of the table that gave it.
fn on(path: &'static str, mut response: Response) -> Response {
    response.extensions_mut().insert(Route(path));
    response
}

/// Why the mill's station may not open an address: it is no part of the yard, or nobody is picked.
fn kept_out_of_station(
    visit: &Visit,
    who: Who,
    yard: bool,
    request: &Request,
) -> Option<PageError> {
    visit.station.as_ref()?;
    let path = request.uri().path();
    match (who, yard, visit.who.is_some()) {
        (Who::Anyone | Who::Probes, _, _) | (_, true, true) => None,
        (_, true, false) if safe(request.method()) => Some(PageError::Pick {
            next: path.to_owned(),
        }),
        (_, true, false) => Some(PageError::NobodyPicked),
        _ if path == paths::HOME && safe(request.method()) => Some(PageError::Pick {
            next: path.to_owned(),
        }),
        _ => Some(PageError::NotAtStation),
    }
}

/// Runs whatever may write in a task of its own: when the phone hangs up, the handler goes on to
/// its end instead of stopping half-way.
pub(super) async fn finish_writes(request: Request, next: Next) -> Response {
    if safe(request.method()) {
        return next.run(request).await;
    }
    match tokio::spawn(next.run(request).in_current_span()).await {
        Ok(response) => response,
        Err(error) => PageError::Fault(error.to_string()).into_response(),
    }
}

/// Headers of every answer.
pub(super) async fn headers(
    State(app): State<App>,
    request: Request<Body>,
    next: Next,
) -> Response {
    let fixed = request.uri().path().starts_with("/static/");
    let mut response = next.run(request).await;
    if let Some(trouble) = response.extensions().get::<Trouble>() {
        // The answer says it already; this keeps it in mind for the stewards and for whoever asks about health.
        app.writer.lookout().notice(*trouble);
    }
    let headers = response.headers_mut();
    let mut set = |name: HeaderName, value: &'static str| {
        headers.insert(name, HeaderValue::from_static(value));
    };
    set(
        header::CONTENT_SECURITY_POLICY,
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; \
         worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'",
    );
    set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(header::REFERRER_POLICY, "same-origin");
    set(
        HeaderName::from_static("cross-origin-opener-policy"),
        "same-origin",
    );
    set(
        HeaderName::from_static("cross-origin-resource-policy"),
        "same-origin",
    );
    set(HeaderName::from_static("x-robots-tag"), "noindex");
    if app.secure {
        set(
            header::STRICT_TRANSPORT_SECURITY,
            // Without includeSubDomains: others may serve what lies beside this name.
            "max-age=31536000",
        );
    }
    if !fixed {
        set(header::CACHE_CONTROL, "no-store");
    }
    response
}

fn safe(method: &Method) -> bool {
    matches!(*method, Method::GET | Method::HEAD | Method::OPTIONS)
}

/// Sec-Fetch-Site must say same-origin; browsers leave it out on plain http, where Origin must
/// match instead (OWASP CSRF Prevention Cheat Sheet).
fn same_origin(headers: &HeaderMap, app: &App) -> bool {
    let text = |name: HeaderName| headers.get(name).and_then(|v| v.to_str().ok());
    if let Some(site) = text(HeaderName::from_static("sec-fetch-site")) {
        return site == "same-origin";
    }
    let Some(origin) = text(header::ORIGIN) else {
        return false;
    };
    if app.public_url.as_deref() == Some(origin) {
        return true;
    }
    let scheme = if app.secure { "https" } else { "http" };
    text(header::HOST).is_some_and(|host| origin == format!("{scheme}://{host}"))
}
