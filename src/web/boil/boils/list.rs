//! The boils of a season.

use super::parts::jars_words;
use crate::calc::boil::sums::Stage;
use crate::store::boil::boils::{self, BoilRow, FillRow};
use crate::store::season::seasons;
use crate::units::Units;
use crate::web::error::PageError;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, Page, page, paths};
use askama::Template;
use axum::extract::{Query, State};
use serde::Deserialize;

/// Which season's list.
#[derive(Deserialize)]
pub struct Which {
    year: Option<String>,
}

/// One row of the list.
struct Row {
    lot: String,
    href: String,
    day: String,
    day_href: String,
    kind: String,
    stage: &'static str,
    tag: &'static str,
    syrup: String,
    brix: String,
    jars: String,
}

/// Another season.
struct Other {
    year: i64,
    href: String,
}

/// All boils of a season that this person may see.
#[derive(Template)]
#[template(path = "boil/boils/list.html")]
struct ListPage {
    shell: Shell,
    crew: bool,
    days: &'static str,
    rows: Vec<Row>,
    others: Vec<Other>,
}

/// `GET /boils`: a member sees boils with own juice, crew all.
pub async fn list(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Query(which): Query<Which>,
) -> Page {
    let mut snapshot = app.read().await?;
    let all = seasons::list(&mut snapshot).await?;
    let season = match which.year {
        None => all.first(),
        Some(year) => Some(
            all.iter()
                .find(|s| s.year.to_string() == year)
                .ok_or(PageError::NotFound)?,
        ),
    };
    let mut rows = Vec::new();
    if let Some(season) = season {
        let found = if me.is_crew() {
            boils::of_season(&mut snapshot, season.id).await?
        } else {
            boils::of_member(&mut snapshot, season.id, me.id).await?
        };
        for boil in found.iter().rev() {
            let fills = boils::fills(&mut snapshot, boil.id).await?;
            rows.push(Row::new(boil, &fills, visit.units()));
        }
    }
    let title = season.map_or_else(|| "Boils".to_owned(), |s| format!("Boils of {}", s.year));
    let others = all
        .iter()
        .filter(|s| Some(s.id) != season.map(|s| s.id))
        .map(|s| Other {
            year: s.year,
            href: paths::boils_of(s.year),
        })
        .collect();
    page(&ListPage {
        shell: Shell::new(&app, &visit, title),
        crew: me.is_crew(),
        days: paths::DAYS,
        rows,
        others,
    })
}

impl Row {
    fn new(boil: &BoilRow, fills: &[FillRow], units: Units) -> Self {
        let stage = boil.stage();
        let dash = || "–".to_owned();
        let finish = boil.finish.as_ref();
        Self {
            lot: boil.lot.to_string(),
            href: paths::boil(&boil.lot),
            day: boil.press_date.show(),
            day_href: paths::day(boil.press_date),
            kind: boil
                .solo_member
                .as_ref()
                .map_or_else(|| "pooled".to_owned(), |(_, name)| format!("{name} alone")),
            stage: stage.words(),
            tag: match stage {
                Stage::Lit => "tag warn",
                Stage::Finished => "tag",
                Stage::Divided => "tag ok",
                Stage::Lost => "tag bad",
            },
            syrup: finish.map_or_else(dash, |f| f.syrup.show(units)),
            brix: finish.map_or_else(dash, |f| f.brix_20.show()),
            jars: if fills.is_empty() {
                dash()
            } else {
                jars_words(fills)
            },
        }
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = || Row {
        lot: "26A9Z-P".to_owned(),
        href: "/boils/26A9ZP".to_owned(),
        day: "Sat 19 Sep 2026".to_owned(),
        day_href: "/days/2026-09-19".to_owned(),
        kind: "Maximiliana <b>Featherstonehaugh</b> alone".to_owned(),
        stage: "finished",
        tag: "tag",
        syrup: "1,212.4 lb".to_owned(),
        brix: "78.30 °Bx".to_owned(),
        jars: "412 quart, 1 part-filled pint".to_owned(),
    };
    let page = |crew, rows| ListPage {
        shell: Shell::sample("Boils of 2026"),
        crew,
        days: paths::DAYS,
        rows,
        others: vec![Other {
            year: 2025,
            href: "/boils?year=2025".to_owned(),
        }],
    };
    vec![
        Box::new(page(true, Vec::new())),
        Box::new(page(false, Vec::new())),
        Box::new(page(true, (0..60).map(|_| row()).collect())),
    ]
}
