//! Style sheets, the icon and small scripts, compiled in, under names that carry a hash of their content, so that
//! a browser may keep them for good.

use crate::actions::hash_token;
use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use std::sync::LazyLock;

const APP: &str = include_str!("../../static/app.css");
const PRINT: &str = include_str!("../../static/print.css");
static LIVE: LazyLock<String> = LazyLock::new(|| lean(include_str!("../../static/live.js")));
static CALLS: LazyLock<String> = LazyLock::new(|| lean(include_str!("../../static/calls.js")));
static STEPS: LazyLock<String> = LazyLock::new(|| lean(include_str!("../../static/steps.js")));
const ICON: &str = include_str!("../../static/icon.svg");

/// A script without the lines that only comment it and without its indentation: phones on a weak network load
/// it. No text of a script goes over a line's end.
fn lean(script: &str) -> String {
    let lines = script.lines().map(str::trim_start);
    let said: Vec<&str> = lines
        .filter(|line| !line.is_empty() && !line.starts_with("//") && !line.starts_with("/*"))
        .collect();
    said.join("\n")
}

fn hashed(stem: &str, ending: &str, content: &str) -> String {
    let hash: String = hash_token(content).chars().take(10).collect();
    format!("{stem}-{hash}.{ending}")
}

/// Address of the style sheet of pages.
pub fn app_css() -> String {
    format!("/static/{}", hashed("app", "css", APP))
}

/// Address of the style sheet of prints.
pub fn print_css() -> String {
    format!("/static/{}", hashed("print", "css", PRINT))
}

/// Address of the script that keeps the figures of a boil fresh.
pub fn live_js() -> String {
    format!("/static/{}", hashed("live", "js", &LIVE))
}

/// Address of the script that copies the words of a call.
pub fn calls_js() -> String {
    format!("/static/{}", hashed("calls", "js", &CALLS))
}

/// Address of the script that asks one figure at a time on a phone.
pub fn steps_js() -> String {
    format!("/static/{}", hashed("steps", "js", &STEPS))
}

/// Address of the icon.
pub fn icon() -> String {
    format!("/static/{}", hashed("icon", "svg", ICON))
}

/// Serves one of them; nothing of that name: 404 without words, since no page links to it.
pub(super) async fn show(Path(name): Path<String>) -> Result<Response, StatusCode> {
    let found = [
        (hashed("app", "css", APP), APP, "text/css; charset=utf-8"),
        (
            hashed("print", "css", PRINT),
            PRINT,
            "text/css; charset=utf-8",
        ),
        (
            hashed("live", "js", &LIVE),
            LIVE.as_str(),
            "text/javascript; charset=utf-8",
        ),
        (
            hashed("calls", "js", &CALLS),
            CALLS.as_str(),
            "text/javascript; charset=utf-8",
        ),
        (
            hashed("steps", "js", &STEPS),
            STEPS.as_str(),
            "text/javascript; charset=utf-8",
        ),
        (hashed("icon", "svg", ICON), ICON, "image/svg+xml"),
    ]
    .into_iter()
    .find(|(n, _, _)| *n == name);
    let (_, content, kind) = found.ok_or(StatusCode::NOT_FOUND)?;
    let headers = [
        (header::CONTENT_TYPE, kind),
        (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
    ];
    Ok((headers, content).into_response())
}
