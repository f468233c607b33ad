//! The page of everything that was changed: searchable, newest first.

use crate::facts::written_history::{Change, History};
use crate::units::Zone;
use crate::web::form::Sheet;
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::Query;
use serde::Deserialize;

/// Changes on one page.
const MOST: usize = 100;

/// What is looked for, and from which on.
#[derive(Debug, Deserialize)]
pub(crate) struct Wanted {
    #[serde(default)]
    q: String,
    #[serde(default)]
    skip: usize,
}

/// One change.
struct Row {
    when: String,
    who: String,
    what: String,
    op: &'static str,
    changes: Vec<String>,
}

/// The page.
#[derive(Template)]
#[template(path = "shares/history/show.html")]
struct HistoryPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    rows: Vec<Row>,
    /// Empty: there are no more.
    older: String,
}

/// `GET /history?q=role`
pub(crate) async fn show(Query(wanted): Query<Wanted>, mut request: PageRequest) -> Page {
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
        rows: found.shown.into_iter().map(|c| row(c, zone)).collect(),
        older,
    })
}

fn row(change: Change, zone: &Zone) -> Row {
    Row {
        when: change.at.map_or_else(String::new, |at| zone.show(at)),
        who: change.by,
        what: change.what,
        op: change.op,
        changes: change.changes,
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |n: usize| Row {
        when: "Sat 19 Sep 2026 08:00".to_owned(),
        who: "member 1 (Ruth <b>Bell</b>)".to_owned(),
        what: format!("member {n} (Maximiliana Featherstonehaugh)"),
        op: if n.is_multiple_of(2) {
            "changed"
        } else {
            "made"
        },
        changes: (0..n % 3)
            .map(|_| "role: “member” → “crew”".to_owned())
            .collect(),
    };
    let page = |n: usize| HistoryPage {
        shell: Shell::sample("Everything that was changed"),
        sheet: Sheet::sample(),
        action: paths::HISTORY,
        rows: (0..n).map(row).collect(),
        older: if n > 20 {
            paths::history("<b>", 100)
        } else {
            String::new()
        },
    };
    vec![Box::new(page(0)), Box::new(page(60))]
}
