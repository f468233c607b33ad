//! What is noted of every request: a reference that the log and an error's page share, the time it took, and one line
//! in the log at debug. No secret that stands in an address, and no query, is ever noted.

use super::app::App;
use super::error::{Broke, broken};
use super::request_counts::{NO_ROUTE, Route};
use crate::actions::Token;
use axum::extract::{Request, State};
use axum::middleware::Next;
use axum::response::Response;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Instant;
use tracing::Instrument;

/// The reference of a request: unlike that of any other, also after a restart.
fn reference() -> String {
    static START: OnceLock<String> = OnceLock::new();
    static COUNT: AtomicU32 = AtomicU32::new(1);
    let start = START.get_or_init(|| Token::new().as_str().chars().take(5).collect());
    format!("{start}-{}", COUNT.fetch_add(1, Ordering::Relaxed))
}

/// A path as it may stand in a log: a secret at its end is left out.
pub(super) fn path_without_secret(path: &str) -> &str {
    ["/join/", "/calendar/"]
        .into_iter()
        .find(|before| path.starts_with(before))
        .unwrap_or(path)
}

/// Notes a request and its answer; where something broke, the page says the reference that the log has.
pub(super) async fn noted(State(app): State<App>, request: Request, next: Next) -> Response {
    let begun = Instant::now();
    let reference = reference();
    let method = request.method().clone();
    let path = path_without_secret(request.uri().path()).to_owned();
    let span = tracing::info_span!("request", reference);
    let mut response = next.run(request).instrument(span).await;
    if let Some(Broke(details)) = response.extensions_mut().remove::<Broke>() {
        tracing::error!(reference, %method, path, details, "a page failed");
        response = broken(&reference);
    }
    let (took, status) = (begun.elapsed(), response.status());
    let route = response.extensions().get::<Route>().copied();
    app.figures
        .note(route.unwrap_or(NO_ROUTE), &method, status, took);
    let ms = took.as_millis();
    tracing::debug!(reference, %method, path, status = status.as_u16(), ms, "answered");
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_secret_in_an_address_is_not_told() {
        assert_eq!(path_without_secret("/join/0123456789abcdef"), "/join/");
        assert_eq!(
            path_without_secret("/calendar/0123456789abcdef.ics"),
            "/calendar/"
        );
        assert_eq!(path_without_secret("/members/7"), "/members/7");
    }

    #[test]
    fn references_differ() {
        assert_ne!(reference(), reference());
    }
}
