//! Figures for whoever watches the server by a program: served as the text format of `OpenMetrics` 1.0
//! (<https://github.com/prometheus/OpenMetrics>, specification 1.0.0) on an address of its own, only when asked for.

use crate::files;
use crate::store::people::letters;
use crate::store::{Lookout, Reader, Stored, upkeep};
use crate::units::UtcSecond;
use crate::web::RequestCounts;
use crate::web::clock::Clock;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use std::fmt::Write as _;

/// What the figures are taken from.
#[derive(Debug, Clone)]
pub(crate) struct Watched {
    /// Counts and times of the site's requests.
    pub(crate) figures: RequestCounts,
    /// How long the one writer was waited for and held.
    pub(crate) lookout: Lookout,
    /// Reader for the state of backups and letters.
    pub(crate) reader: Reader,
    /// The clock that ages are told by.
    pub(crate) clock: Clock,
}

/// The one page.
pub(crate) fn page(watched: Watched) -> Router {
    Router::new()
        .route("/metrics", get(show))
        .with_state(watched)
}

async fn show(State(watched): State<Watched>) -> Response {
    match watched.text().await {
        Ok(text) => {
            let kind = "application/openmetrics-text; version=1.0.0; charset=utf-8";
            ([(header::CONTENT_TYPE, kind)], text).into_response()
        }
        Err(error) => {
            tracing::warn!(%error, "the figures could not be read");
            StatusCode::SERVICE_UNAVAILABLE.into_response()
        }
    }
}

impl Watched {
    async fn text(&self) -> Stored<String> {
        let (backup, letters) = {
            let mut moment = self.reader.snapshot().await?;
            let done = upkeep::last().ask(&mut moment).await?;
            let backups = done.iter().filter(|d| d.kind == "backup" && d.good);
            let backup = backups.map(|backup| backup.at).max();
            (backup, letters::waiting(&mut moment).await?)
        };
        let mut text = self.figures.text();
        let (waits, waited) = self.lookout.waits();
        // Writing into a string does not fail.
        let _ = write!(
            text,
            "# TYPE canewright_writer_wait_seconds summary\n# UNIT canewright_writer_wait_seconds seconds\n\
             # HELP canewright_writer_wait_seconds Waited for the one writer.\n\
             canewright_writer_wait_seconds_count {waits}\ncanewright_writer_wait_seconds_sum {}\n",
            waited.as_secs_f64()
        );
        let age = |at: UtcSecond| self.clock.read().get() - at.get();
        let gauge = |text: &mut String, name: &str, help: &str, value: Option<String>| {
            let _ = writeln!(
                text,
                "# TYPE canewright_{name} gauge\n# HELP canewright_{name} {help}"
            );
            if let Some(value) = value {
                let _ = writeln!(text, "canewright_{name} {value}");
            }
        };
        let free = files::free(self.lookout.path()).ok();
        let storable = i32::from(self.lookout.trouble().is_none());
        gauge(
            &mut text,
            "backup_age_seconds",
            "Since the last backup; none: there was none.",
            backup.map(|at| age(at).to_string()),
        );
        gauge(
            &mut text,
            "disk_free_bytes",
            "Free on the disk of the database.",
            free.map(|free| free.to_string()),
        );
        gauge(
            &mut text,
            "letters_waiting",
            "Letters to members that the mail server has not taken yet.",
            Some(letters.to_string()),
        );
        gauge(
            &mut text,
            "storable",
            "1 while forms are stored, 0 while something stands in the way.",
            Some(storable.to_string()),
        );
        text.push_str("# EOF\n");
        Ok(text)
    }
}
