//! A season's shares, ledger and loads as files for a spreadsheet, under fixed names.

use crate::facts::csv::Csv;
use crate::facts::shares::whole_books;
use crate::store::Snapshot;
use crate::store::season::seasons::{self, Season};
use crate::store::shares::exports;
use crate::web::Page;
use crate::web::error::PageError;
use crate::web::request::PageRequest;
use axum::extract::{Path, Query};
use axum::http::header;
use axum::response::IntoResponse;
use serde::Deserialize;

/// How the address asks for the whole book.
#[derive(Debug, Deserialize)]
pub(crate) struct HowBook {
    /// If given at all, each table begins with the mark of UTF-8.
    mark: Option<String>,
}

/// `GET /books.zip`, `?mark=yes`
pub(crate) async fn books(mut request: PageRequest, Query(how): Query<HowBook>) -> Page {
    counted(&request)?;
    let files = whole_books::files(&mut request.db).await?;
    let packed = whole_books::zipped(&files, how.mark.is_some())
        .map_err(|_| PageError::Fault("the book is too large to be packed".to_owned()))?;
    let headers = [
        (header::CONTENT_TYPE, "application/zip"),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"books.zip\"",
        ),
    ];
    Ok((headers, packed).into_response())
}

/// Counts a file that is taken out; refuses where there were too many.
fn counted(request: &PageRequest) -> Result<(), PageError> {
    let (member, at) = (request.me.id, request.visit.at);
    match request.app.throttle.takes_out_too_often(member, at) {
        Some(seconds) => Err(PageError::TooMany { seconds }),
        None => Ok(()),
    }
}

async fn season(db: &mut Snapshot, year: &str) -> Result<Season, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    seasons::of_year(year)
        .ask(db)
        .await?
        .ok_or(PageError::NotFound)
}

#[expect(
    clippy::unnecessary_wraps,
    reason = "handlers end on it as they do on `page`"
)]
fn file(name: &str, year: i64, text: String) -> Page {
    let headers = [
        (
            header::CONTENT_TYPE,
            "text/csv; charset=utf-8; header=present".to_owned(),
        ),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}-{year}.csv\""),
        ),
    ];
    Ok((headers, text).into_response())
}

/// `GET /seasons/{year}/shares.csv`
pub(crate) async fn shares(mut request: PageRequest, Path(year): Path<String>) -> Page {
    counted(&request)?;
    let db = &mut request.db;
    let season = season(db, &year).await?;
    let mut csv = Csv::new(&[
        "lot",
        "press_day",
        "version",
        "basis",
        "member_number",
        "member",
        "brought",
        "solids_g",
        "carried_g",
        "entitled_g",
        "jarred_g",
        "carry_g",
    ]);
    for row in exports::shares(season.id).ask(db).await? {
        csv.text(&row.lot)
            .text(row.date)
            .number(row.version)
            .text(&row.basis);
        match (&row.name, row.number) {
            (Some(name), Some(number)) => csv.number(number).text(name),
            _ => csv.text("").text("mill"),
        };
        csv.number(row.weight);
        for grams in [row.solids, row.carried, row.entitled, row.jarred, row.carry] {
            csv.number(grams.get());
        }
        csv.end();
    }
    file("shares", season.year, csv.finish())
}

/// `GET /seasons/{year}/ledger.csv`
pub(crate) async fn ledger(mut request: PageRequest, Path(year): Path<String>) -> Page {
    counted(&request)?;
    let db = &mut request.db;
    let season = season(db, &year).await?;
    let text = whole_books::ledger_of(db, season.year).await?;
    file("ledger", season.year, text)
}

/// `GET /seasons/{year}/loads.csv`
pub(crate) async fn loads(mut request: PageRequest, Path(year): Path<String>) -> Page {
    counted(&request)?;
    let db = &mut request.db;
    let season = season(db, &year).await?;
    let zone = request.visit.zone()?;
    let mut csv = Csv::new(&[
        "ticket",
        "press_day",
        "member_number",
        "member",
        "load",
        "version",
        "scale",
        "gross_g",
        "tare_g",
        "net_g",
        "crossed_out",
        "why",
        "by",
        "date",
        "time",
        "typed_in_by",
        "typed_in_at",
    ]);
    for row in exports::loads(season.id).ask(db).await? {
        let (date, time) = zone.local(row.weighed_at);
        csv.number(row.ticket)
            .text(row.date)
            .number(row.member)
            .text(&row.name);
        csv.number(row.number).number(row.version).text(&row.scale);
        for grams in [row.gross, row.tare, row.net] {
            csv.number(grams.get());
        }
        csv.number(i64::from(row.void))
            .text(&row.why)
            .text(&row.by_name);
        csv.text(date).text(time.show());
        match &row.typed_by {
            Some(name) => csv.text(name).text(zone.show(row.at)),
            None => csv.text("").text(""),
        };
        csv.end();
    }
    file("loads", season.year, csv.finish())
}
