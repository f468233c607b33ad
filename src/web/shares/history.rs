//! The page of everything that was changed: searchable, newest first.

use crate::facts::written_history::History;
use crate::web::changes::{ChangeRow, rows};
use crate::web::form::Sheet;
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::Query;
use serde::Deserialize;

/// How many changes one page shows.
const MOST: usize = 100;

/// The words looked for, and how many changes to skip.
#[derive(Debug, Deserialize)]
pub(crate) struct HistoryQuery {
    #[serde(default)]
    q: String,
    #[serde(default)]
    skip: usize,
}

/// The page of the history of changes.
#[derive(Template)]
#[template(path = "shares/history/show.html")]
struct HistoryPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    rows: Vec<ChangeRow>,
    /// Address of older changes; empty: there are no more.
    older: String,
}

/// `GET /history?q=role`
pub(crate) async fn show(Query(wanted): Query<HistoryQuery>, mut request: PageRequest) -> Page {
    let mut sheet = request.blank();
    let found = History::read(&mut request.db, &wanted.q, (wanted.skip, MOST)).await?;
    sheet.put("q", wanted.q.clone());
    let (app, visit) = (&request.app, &request.visit);
    let zone = visit.zone()?;
    let older = if found.more {
        paths::history(&wanted.q, wanted.skip + MOST)
    } else {
        String::new()
    };
    page(&HistoryPage {
        shell: Shell::new(app, visit, "Everything that was changed"),
        sheet,
        action: paths::HISTORY,
        rows: rows(found.shown, zone),
        older,
    })
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    use crate::web::changes::sample;
    let page = |n: usize| HistoryPage {
        shell: Shell::sample("Everything that was changed"),
        sheet: Sheet::sample(),
        action: paths::HISTORY,
        rows: sample(n),
        older: if n > 20 {
            paths::history("<b>", 100)
        } else {
            String::new()
        },
    };
    vec![Box::new(page(0)), Box::new(page(60))]
}
