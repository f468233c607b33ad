//! The boils of a season.

use super::parts::jars_words;
use crate::calc::boil::sums::Stage;
use crate::facts::boil::boils::{ListedBoil, listed};
use crate::store::season::seasons;
use crate::units::Units;
use crate::web::error::PageError;
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page, paths};
use askama::Template;
use axum::extract::Query;
use serde::Deserialize;

/// Which season's list.
#[derive(Deserialize)]
pub(crate) struct Which {
    year: Option<String>,
}

/// One row of the list.
struct BoilLine {
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
    rows: Vec<BoilLine>,
    others: Vec<Other>,
}

/// `GET /boils`: a member sees boils with own juice, crew all.
pub(crate) async fn list(mut request: PageRequest, Query(which): Query<Which>) -> Page {
    let all = seasons::list(&mut request.db).await?;
    let season = match which.year {
        None => all.first(),
        Some(year) => Some(
            all.iter()
                .find(|s| s.year.to_string() == year)
                .ok_or(PageError::NotFound)?,
        ),
    };
    let only = (!request.me.is_crew()).then_some(request.me.id);
    let found = match season {
        None => Vec::new(),
        Some(season) => listed(&mut request.db, season.id, only).await?,
    };
    let PageRequest { app, visit, me, .. } = request;
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
        // The latest first.
        rows: found
            .iter()
            .rev()
            .map(|boil| BoilLine::new(boil, visit.units()))
            .collect(),
        others,
    })
}

impl BoilLine {
    fn new(of: &ListedBoil, units: Units) -> Self {
        let (boil, fills) = (&of.row, &of.fills);
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
    let row = || BoilLine {
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
