//! What every handler answers: a page, or the way on.

use super::error::PageError;
use super::named_boxes::named;
use askama::Template;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

/// The answer of every handler.
pub(super) type Page = Result<Response, PageError>;

/// Renders a view as a page.
pub(super) fn page(view: &impl Template) -> Page {
    page_with(StatusCode::OK, view)
}

/// Text that is a page already.
pub(super) fn page_of(html: String) -> Response {
    Html(named(html)).into_response()
}

/// A view as a page with another status: a form that was not taken.
pub(super) fn page_with(status: StatusCode, view: &impl Template) -> Page {
    Ok((status, Html(named(view.render()?))).into_response())
}

/// Leads on to this address once a form was taken (303).
#[expect(
    clippy::unnecessary_wraps,
    reason = "handlers end on it as they do on `page`"
)]
pub(super) fn see(path: &str) -> Page {
    Ok(Redirect::to(path).into_response())
}

/// Words or an address that a page shows only in some cases; nothing otherwise.
pub(super) fn only_if(shown: bool, words: String) -> String {
    if shown { words } else { String::new() }
}
