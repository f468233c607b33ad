//! The boils of a season.

use super::parts::jars_words;
use crate::calc::boil::fire::call::Call;
use crate::calc::boil::sums::Stage;
use crate::facts::boil::boils::{ListedBoil, listed};
use crate::facts::boil::on_fire;
use crate::store::boil::boils::BoilRow;
use crate::store::season::in_use;
use crate::units::{LotCode, Units};
use crate::web::form::{Choice, Sheet};
use crate::web::listing::{ListQuery, Part, of_year};
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, only_if, page, paths};
use askama::Template;
use axum::extract::Query;

/// Boils on one page: four screens of a telephone.
const MOST: usize = 30;

/// One row of the list.
struct BoilLine {
    lot: String,
    href: String,
    day: String,
    day_href: String,
    kind: String,
    stage: &'static str,
    tag: &'static str,
    /// The call of the moment, for crew; empty: it is not on the fire.
    call: &'static str,
    syrup: String,
    brix: String,
    jars: String,
}

/// All boils of a season that this person may see.
#[derive(Template)]
#[template(path = "boil/boils/list.html")]
struct ListPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    year: String,
    orders: Vec<Choice>,
    crew: bool,
    days: &'static str,
    /// Whether there is any boil at all.
    any: bool,
    rows: Vec<BoilLine>,
    part: Part,
    tickets: String,
    others: Vec<Choice>,
}

/// `GET /boils?q=divided&order=lot`: a member sees boils with own juice, crew all.
pub(crate) async fn list(Query(wanted): Query<ListQuery>, mut request: PageRequest) -> Page {
    let all = in_use::by_use().ask(&mut request.db).await?;
    let season = of_year(&all, wanted.year.as_deref())?;
    let only = (!request.me.is_crew()).then(|| request.me.cards());
    let found = match season {
        None => Vec::new(),
        Some(season) => listed(&mut request.db, season.id, only.as_deref()).await?,
    };
    let mut sheet = request.blank();
    sheet
        .put("q", wanted.q.clone())
        .put("order", order(&wanted.order));
    let burning = found.iter().filter(|b| b.row.stage() == Stage::Lit);
    let burning: Vec<LotCode> = burning.map(|b| b.row.lot.clone()).collect();
    // Members are told when it will be done, on the page of their cane.
    let called = if request.me.is_crew() {
        &burning[..]
    } else {
        &[]
    };
    let at = request.visit.at;
    let calls = on_fire::calls(&mut request.db, called, at).await?;
    let PageRequest { app, visit, me, .. } = request;
    let title = season.map_or_else(|| "Boils".to_owned(), |s| format!("Boils of {}", s.year));
    let year = season.map_or(0, |s| s.year);
    let any = !found.is_empty();
    let mut found: Vec<&ListedBoil> = found.iter().filter(|b| has(b, &wanted)).collect();
    in_order(&mut found, &wanted.order);
    let list = (&paths::boils_of(year)[..], order(&wanted.order));
    let part = Part::of(list, &wanted, MOST, &mut found);
    let others = all.iter().filter(|s| s.year != year);
    page(&ListPage {
        shell: Shell::new(&app, &visit, title),
        sheet,
        action: paths::BOILS,
        year: year.to_string(),
        orders: orders(),
        crew: me.is_crew(),
        days: paths::DAYS,
        any,
        rows: found
            .iter()
            .map(|boil| BoilLine::new(boil, &calls, visit.units()))
            .collect(),
        part,
        tickets: only_if(me.is_crew() && year > 0, paths::tickets_of(year)),
        others: others
            .map(|s| Choice::new(paths::boils_of(s.year), format!("Boils of {}", s.year)))
            .collect(),
    })
}

fn orders() -> Vec<Choice> {
    vec![
        Choice::new("latest", "Latest first"),
        Choice::new("lot", "By lot"),
        Choice::new("stage", "By stage: on the fire first, divided last"),
    ]
}

/// The order that was asked for; the latest first when none was.
fn order(asked: &str) -> &'static str {
    match asked {
        "lot" => "lot",
        "stage" => "stage",
        _ => "latest",
    }
}

fn in_order(all: &mut [&ListedBoil], asked: &str) {
    // They come in the order in which they were lit.
    all.reverse();
    match order(asked) {
        "lot" => all.sort_by_key(|b| b.row.lot.clone()),
        "stage" => all.sort_by_key(|b| match b.row.stage() {
            Stage::Lit => 0,
            Stage::Finished => 1,
            Stage::Divided => 2,
            Stage::Lost => 3,
        }),
        _ => (),
    }
}

/// Whether every word that is looked for stands in what the list shows.
fn has(of: &ListedBoil, wanted: &ListQuery) -> bool {
    let boil = &of.row;
    wanted.stands_in(&format!(
        "{} {} {} {} {} {}",
        boil.lot,
        boil.lot.as_str(),
        boil.press_date.show(),
        kind(boil),
        boil.stage().words(),
        jars_words(&of.fills),
    ))
}

/// "pooled", or the name of the only member whose juice it is.
fn kind(boil: &BoilRow) -> String {
    boil.solo_member
        .as_ref()
        .map_or_else(|| "pooled".to_owned(), |(_, name)| format!("{name} alone"))
}

impl BoilLine {
    fn new(of: &ListedBoil, calls: &[(LotCode, Call)], units: Units) -> Self {
        let call = calls.iter().find(|(lot, _)| *lot == of.row.lot);
        let (boil, fills) = (&of.row, &of.fills);
        let stage = boil.stage();
        let dash = || "–".to_owned();
        let finish = boil.finish.as_ref();
        Self {
            lot: boil.lot.to_string(),
            href: paths::boil(&boil.lot),
            day: boil.press_date.show(),
            day_href: paths::day(boil.press_date),
            kind: kind(boil),
            stage: stage.words(),
            tag: match stage {
                Stage::Lit => "tag warn",
                Stage::Finished => "tag",
                Stage::Divided => "tag ok",
                Stage::Lost => "tag bad",
            },
            call: call.map_or("", |(_, call)| call.words()),
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
        call: "Draw the fire, then check with the refractometer",
        syrup: "1,212.4 lb".to_owned(),
        brix: "78.30 °Bx".to_owned(),
        jars: "412 quart, 1 part-filled pint".to_owned(),
    };
    let page = |crew, rows: Vec<BoilLine>| ListPage {
        shell: Shell::sample("Boils of 2026"),
        sheet: Sheet::sample(),
        action: paths::BOILS,
        year: "2026".to_owned(),
        orders: orders(),
        crew,
        days: paths::DAYS,
        any: !rows.is_empty(),
        rows,
        part: crate::web::listing::sample("/boils?year=2026"),
        tickets: "/tickets?year=2026".to_owned(),
        others: vec![Choice::new("/boils?year=2025", "Boils of 2025")],
    };
    vec![
        Box::new(page(true, Vec::new())),
        Box::new(page(false, Vec::new())),
        Box::new(page(true, (0..60).map(|_| row()).collect())),
    ]
}
