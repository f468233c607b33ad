//! Boils: the season's list, lighting, the page of a boil by stage, and its forms.

mod chart;
mod form;
mod learned;
mod light;
mod list;
mod live;
pub(in crate::web) mod load;
mod parts;
mod step;
mod sum;
mod view;

use crate::actions::Done;
use crate::actions::boil::{boils as actions, boils_finish as finish_actions};
use crate::store::boil::boils::{self, BoilRow, FillRow};
use crate::store::season::seasons;
use crate::units::{BoilId, LotCode};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
use axum::http::StatusCode;
use form::Here;
pub use light::{create, new};
pub use list::list;
pub(in crate::web) use live::done_about;
pub use live::live;
use load::{Boil, load};
pub(in crate::web) use parts::count_words;
use view::{BoilPage, FillPage, Sheets};

fn here(visit: &Visit) -> Result<Here<'_>, PageError> {
    Ok(Here {
        units: visit.units(),
        zone: visit.zone()?,
        at: visit.at,
    })
}

/// The boil of the lot code in an address.
async fn found(app: &App, lot: &str) -> Result<BoilRow, PageError> {
    let lot = LotCode::parse(lot).map_err(|_| PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    boils::find(&mut snapshot, &lot)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /boils/{lot}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(lot): Path<String>) -> Page {
    let boil = found(&app, &lot).await?;
    let loaded = load(&app, &visit, boil).await?;
    if !me.is_crew() && !loaded.holds(me.id) {
        return Err(PageError::NotFound);
    }
    let sheets = Sheets::blank(&app, &visit, &loaded)?;
    page(&BoilPage::new(&app, &visit, &me, &loaded, sheets)?)
}

/// A form of the boil page that was not taken: the page again, with that form as it was sent.
async fn again(
    app: &App,
    visit: &Visit,
    me: &Me,
    boil: BoilRow,
    (sheet, into): (Sheet, fn(&mut Sheets) -> &mut Sheet),
) -> Page {
    let loaded: Boil = load(app, visit, boil).await?;
    let status = sheet.status();
    let mut sheets = Sheets::blank(app, visit, &loaded)?;
    sheets.refused(&sheet);
    *into(&mut sheets) = sheet;
    page_with(status, &BoilPage::new(app, visit, me, &loaded, sheets)?)
}

/// What an action answered to a form of the boil page: on to the boil, or the form again.
async fn answer(
    app: &App,
    visit: &Visit,
    me: &Me,
    boil: BoilRow,
    done: Option<Done<BoilId>>,
    (mut sheet, into): (Sheet, fn(&mut Sheets) -> &mut Sheet),
) -> Page {
    match done {
        Some(Ok(_)) => return see(&paths::boil(&boil.lot)),
        Some(Err(stop)) => sheet.stop(stop)?,
        None => {}
    }
    again(app, visit, me, boil, (sheet, into)).await
}

/// `POST /boils/{lot}/draws`
pub async fn draw(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    let boil = found(&app, &lot).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let done = match form::draw(&mut sheet, visit.units()) {
        Some(new) => {
            let act = app.act(&me, visit.at, sent.key());
            Some(actions::pour(&act, &boil.lot, new).await)
        }
        None => None,
    };
    answer(&app, &visit, &me, boil, done, (sheet, |s| &mut s.draw)).await
}

/// `POST /boils/{lot}/readings`
pub async fn reading(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    let boil = found(&app, &lot).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(by) = step::asked(&sent) {
        return counted(&app, &visit, &me, boil, sheet, by).await;
    }
    step::tapped(&mut sheet, &sent);
    let done = match form::reading(&mut sheet, here(&visit)?, boil.lit_at) {
        Some(new) => {
            let act = app.act(&me, visit.at, sent.key());
            Some(actions::read(&act, &boil.lot, new).await)
        }
        None => None,
    };
    answer(&app, &visit, &me, boil, done, (sheet, |s| &mut s.reading)).await
}

/// A box of the reading counted on: the page again with everything typed, and nothing stored.
async fn counted(
    app: &App,
    visit: &Visit,
    me: &Me,
    boil: BoilRow,
    mut sheet: Sheet,
    by: (&str, f64),
) -> Page {
    let loaded = load(app, visit, boil).await?;
    step::count(&mut sheet, by, &loaded, visit.units());
    let mut sheets = Sheets::blank(app, visit, &loaded)?;
    sheets.reading = sheet;
    page(&BoilPage::new(app, visit, me, &loaded, sheets)?)
}

/// `POST /boils/{lot}/finish`
pub async fn finish(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    let boil = found(&app, &lot).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let done = match form::finish(&mut sheet, here(&visit)?, &boil) {
        Some(new) => {
            let act = app.act(&me, visit.at, sent.key());
            Some(finish_actions::finish(&act, &boil.lot, new).await)
        }
        None => None,
    };
    answer(&app, &visit, &me, boil, done, (sheet, |s| &mut s.finish)).await
}

/// `POST /boils/{lot}/fills`
pub async fn fill(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    let boil = found(&app, &lot).await?;
    let mut snapshot = app.read().await?;
    let sizes = seasons::jar_sizes(&mut snapshot, boil.rules_id).await?;
    drop(snapshot);
    let mut sheet = Sheet::of(&visit, &sent);
    let done = match form::fills(&mut sheet, &sizes, visit.units()) {
        Some(new) => {
            let act = app.act(&me, visit.at, sent.key());
            Some(finish_actions::fill(&act, &boil.lot, new).await)
        }
        None => None,
    };
    answer(&app, &visit, &me, boil, done, (sheet, |s| &mut s.fill)).await
}

/// The fill of a number, in all its versions.
async fn fill_found(app: &App, boil: &BoilRow, number: &str) -> Result<Vec<FillRow>, PageError> {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    let versions = boils::fill_versions(&mut snapshot, boil.id, number).await?;
    if versions.is_empty() {
        return Err(PageError::NotFound);
    }
    Ok(versions)
}

/// `GET /boils/{lot}/fills/{number}/correct`
pub async fn fix_fill_form(
    State(app): State<App>,
    visit: Visit,
    Path((lot, number)): Path<(String, String)>,
) -> Page {
    let boil = found(&app, &lot).await?;
    let versions = fill_found(&app, &boil, &number).await?;
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("count", versions[0].count.to_string());
    if versions[0].part {
        sheet.put("part", versions[0].net.small(visit.units()));
    }
    page(&FillPage::new(&app, &visit, &boil, &versions, sheet))
}

/// `POST /boils/{lot}/fills/{number}/correct`
pub async fn fix_fill(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path((lot, number)): Path<(String, String)>,
    sent: Sent,
) -> Page {
    let boil = found(&app, &lot).await?;
    let versions = fill_found(&app, &boil, &number).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::fixed_fill(&mut sheet, versions[0].part, visit.units()) {
        let act = app.act(&me, visit.at, sent.key());
        match finish_actions::fix_fill(&act, &boil.lot, versions[0].number, new).await {
            Ok(_) => return see(&paths::boil(&boil.lot)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status: StatusCode = sheet.status();
    page_with(
        status,
        &FillPage::new(&app, &visit, &boil, &versions, sheet),
    )
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut all = view::samples();
    all.extend(light::samples());
    all.extend(live::samples());
    all.extend(list::samples());
    all
}
