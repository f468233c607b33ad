//! Pages: forms in, HTML out. A GET reads a snapshot and shows it; a POST hands what was meant to an
//! action and answers 303 to the result. `routes.rs` is the table of every address.

pub mod boil;
pub mod cane;
pub mod clock;
pub mod csv;
mod error;
mod form;
mod guard;
mod home;
pub mod paths;
mod paths_books;
mod paths_notices;
mod paths_turns;
mod paths_waiting;
pub mod people;
mod request;
mod routes;
#[cfg(test)]
mod samples;
pub mod season;
mod session;
pub mod shares;
mod shell;
mod statics;
mod throttle;
pub mod turns;

pub use guard::Who;
pub use request::Moments;
pub use routes::{Line, site, table};
pub use throttle::Throttle;

use crate::actions::{Hashing, Ids};
use crate::store::Writer;
use askama::Template;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use clock::Clock;
use error::PageError;

/// What every handler is handed.
#[derive(Debug, Clone)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a setting of its own, and no state"
)]
pub struct App {
    /// The one writer.
    pub writer: Writer,
    /// Moments to read from: each request is lent one.
    pub moments: Moments,
    /// The clock.
    pub clock: Clock,
    /// New ids.
    pub ids: Ids,
    /// Passphrase hashing, one at a time.
    pub hashing: Hashing,
    /// Sign-in failures.
    pub throttle: Throttle,
    /// Served over https: cookies say so.
    pub secure: bool,
    /// The site's own address, such as `https://mill.example.org`, for links on paper.
    pub public_url: Option<String>,
    /// The demo: its clock is shown.
    pub demo: bool,
    /// Believe `X-Forwarded-For`: only behind a proxy of ours.
    pub behind_proxy: bool,
    /// Letters are sent: there is a mail server.
    pub letters_sent: bool,
}

/// What every handler answers.
type Page = Result<Response, PageError>;

impl App {
    /// Being replaced by [`request::PageRequest`].
    async fn read(&self) -> Result<crate::store::Snapshot, PageError> {
        self.moments.open().await
    }

    /// Being replaced by [`request::FormRequest`].
    fn act(
        &self,
        me: &session::Me,
        at: crate::units::UtcSecond,
        key: crate::units::FormKey,
    ) -> crate::actions::Act {
        crate::actions::Act {
            writer: self.writer.clone(),
            at,
            ids: self.ids.clone(),
            actor: me.actor(),
            form: key.into(),
        }
    }
}

/// A view as a page.
fn page(view: &impl Template) -> Page {
    page_with(StatusCode::OK, view)
}

/// A view as a page with another status: a form that was not taken.
fn page_with(status: StatusCode, view: &impl Template) -> Page {
    Ok((status, Html(view.render()?)).into_response())
}

/// On to the result of a form that was taken.
#[expect(
    clippy::unnecessary_wraps,
    reason = "handlers end on it as they do on `page`"
)]
fn see(path: &str) -> Page {
    Ok(Redirect::to(path).into_response())
}
