//! A season's boils under another basis or toll beside the present one, member by member. Stores
//! nothing.

use crate::calc::Basis;
use crate::calc::season::what_if::{Beside, compare_rules};
use crate::calc::shares::split::Sharer;
use crate::facts::rules_versions;
use crate::facts::season::what_if::boiled;
use crate::store::Together;
use crate::store::people::members::{self, MemberLine};
use crate::store::season::seasons::{self, Rules};
use crate::units::{BasisPoints, Grams, Units};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page_with, paths};
use askama::Template;
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use serde::Deserialize;

/// Other rules; where nothing is named, those in force.
#[derive(Debug, Deserialize)]
pub(crate) struct OtherRules {
    basis: Option<String>,
    toll: Option<String>,
}

/// One sharer's row: as divided, and as it would have been.
struct SharerRow {
    who: String,
    present: String,
    other: String,
    more: String,
}

/// The page that shows a season under other rules.
#[derive(Template)]
#[template(path = "season/season_close/what_if.html")]
struct WhatIfPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    bases: Vec<Choice>,
    boils: usize,
    says: String,
    rows: Vec<SharerRow>,
    together: (String, String),
}

/// `GET /seasons/{year}/what-if?basis=juice_mass&toll=10`
pub(crate) async fn show(
    Path(year): Path<String>,
    Query(other): Query<OtherRules>,
    request: PageRequest,
) -> Page {
    let mut sheet = request.blank();
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let today = visit.zone()?.local(visit.at).0;
    let season = seasons::of_year(year).ask(&mut db).await?;
    let season = season.ok_or(PageError::NotFound)?;
    let found = (rules_versions::on(season.id, today), members::list()).together();
    let (rules, cards) = found.ask(&mut db).await?;
    let toll = other.toll.unwrap_or_else(|| rules.toll.typed());
    sheet
        .put(
            "basis",
            other.basis.as_deref().unwrap_or(rules.basis.word()),
        )
        .put("toll", toll);
    let basis = sheet.read("basis", Basis::parse);
    let toll = sheet.read("toll", BasisPoints::parse);
    let boils = boiled(&mut db, season.id).await?;
    let rows = match basis.zip(toll) {
        Some((basis, toll)) => match compare_rules(&boils, basis, toll) {
            Ok(rows) => rows,
            Err(refusal) => {
                sheet.problem = Some(refusal.sentence);
                Vec::new()
            }
        },
        None => Vec::new(),
    };
    let named = named(&cards, rows);
    let wrong = sheet.problem.is_some() || !sheet.problems().is_empty();
    let status = if wrong {
        StatusCode::UNPROCESSABLE_ENTITY
    } else {
        StatusCode::OK
    };
    let view = WhatIfPage {
        shell: Shell::new(&app, &visit, format!("What if: the season {year}")),
        sheet,
        action: paths::season_part(year, "what-if"),
        back: paths::season_part(year, "close"),
        bases: Basis::ALL.map(|b| Choice::new(b.word(), b.label())).into(),
        boils: boils.len(),
        says: says(&rules),
        together: together(&named, visit.units()),
        rows: named
            .into_iter()
            .map(|(who, row)| line(who, row, visit.units()))
            .collect(),
    };
    page_with(status, &view)
}

fn says(rules: &Rules) -> String {
    format!(
        "{}, toll {}, as version {} of the rules says",
        rules.basis.label(),
        rules.toll.show(),
        rules.number
    )
}

fn named(cards: &[MemberLine], rows: Vec<Beside>) -> Vec<(String, Beside)> {
    let name = |sharer| match sharer {
        Sharer::Mill => "The mill (toll)".to_owned(),
        Sharer::Member(id) => cards
            .iter()
            .find(|c| c.id == id)
            .map_or_else(|| id.to_string(), |c| c.name.to_string()),
    };
    let rows = rows.into_iter();
    rows.map(|row| (name(row.sharer), row)).collect()
}

fn line(who: String, row: Beside, units: Units) -> SharerRow {
    let more = row.other - row.present;
    let sign = if more > Grams::ZERO { "+" } else { "" };
    SharerRow {
        who,
        present: row.present.grams_text(units),
        other: row.other.grams_text(units),
        more: format!("{sign}{}", more.grams_text(units)),
    }
}

fn together(rows: &[(String, Beside)], units: Units) -> (String, String) {
    let sum = |f: fn(&Beside) -> Grams| -> Grams { rows.iter().map(|(_, r)| f(r)).sum() };
    (
        sum(|r| r.present).grams_text(units),
        sum(|r| r.other).grams_text(units),
    )
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let view = |many: usize, sheet| WhatIfPage {
        shell: Shell::sample("What if: the season 2026"),
        sheet,
        action: "/seasons/2026/what-if".to_owned(),
        back: "/seasons/2026/close".to_owned(),
        bases: vec![Choice::new("solids", "dissolved solids")],
        boils: many,
        says: "dissolved solids, toll 10 %, as version 2 of the rules says".to_owned(),
        rows: (0..many)
            .map(|n| SharerRow {
                who: format!("Maximiliana <b>Featherstonehaugh</b> {n}"),
                present: "12,345 g".to_owned(),
                other: "12,001 g".to_owned(),
                more: "−344 g".to_owned(),
            })
            .collect(),
        together: ("12,345 g".to_owned(), "12,345 g".to_owned()),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("toll", "120")
        .refuse("toll", "Please write a percentage from 0 to 100.");
    vec![
        Box::new(view(0, Sheet::sample())),
        Box::new(view(60, Sheet::sample())),
        Box::new(view(0, wrong)),
    ]
}
