//! Home, by role, and the small pages every site needs.

use super::error::PageError;
use super::session::{Me, Visit};
use super::shell::Shell;
use super::{App, Page, page};
use askama::Template;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use std::any::Any;

/// Home.
#[derive(Template)]
#[template(path = "home/show.html")]
struct HomePage {
    shell: Shell,
}

/// `GET /`
pub async fn show(State(app): State<App>, visit: Visit, me: Me) -> Page {
    page(&HomePage {
        shell: Shell::new(&app, &visit, format!("Good day, {}", me.name)),
    })
}

/// `GET /health`: whether the server and its database answer; says nothing else.
pub async fn health(State(app): State<App>) -> Page {
    let mut snapshot = app.read().await?;
    crate::store::coop::find(&mut snapshot).await?;
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

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    vec![Box::new(HomePage {
        shell: Shell::sample("Good day, Ruth"),
    })]
}
