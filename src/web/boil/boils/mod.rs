//! Boils: the season's list, lighting, the page of a boil by stage, and its forms.

mod chart;
mod draw_off;
mod fill_view;
mod form;
mod learned;
mod light;
mod list;
mod live;
pub(in crate::web) mod other_rules;
mod parts;
mod read_back;
mod step;
mod sum;
mod typed;
mod typed_end;
mod view;
mod warnings;

pub(crate) use typed::{paper, paper_form};
pub(crate) use typed_end::{finishes, finishes_form, jars, jars_form};

use super::boil_of_path::boil_of_path;
use crate::actions::boil::{boils as actions, boils_finish as finish_actions};
use crate::actions::{Act, Done};
use crate::calc::boil::boil_rules::pan_temperature;
use crate::calc::boil::fire::on_fire::{QUIETED, with_confirmed};
use crate::calc::shares::cane_way::Stop;
use crate::facts::boil::boils::Boil;
use crate::facts::shares::cane_way::CaneWay;
use crate::store::Snapshot;
use crate::store::boil::boils::{self, BoilRow, FillRow};
use crate::store::season::seasons;
use crate::units::{BoilId, LotCode};
use crate::web::cane_way::stops;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, page_with, paths, see};
use axum::extract::Path;
use axum::http::HeaderMap;
use fill_view::FillPage;
use form::FormContext;
pub(crate) use light::{create, new};
pub(crate) use list::list;
pub(crate) use live::live;
use read_back::{Asked, ReadBack};
pub(in crate::web) use step::Beside;
use view::{BoilPage, Sheets};

/// `GET /boils/{lot}`, for the crew: a member is shown the own part of it by `my_lot`.
/// `beside`: what was typed beside a tap and is not noted yet.
pub(crate) async fn show(mut request: PageRequest, row: BoilRow, beside: &Beside) -> Page {
    let way = CaneWay::of_boil(&row).ask(&mut request.db).await?;
    let here = Stop::Boil(row.lot.clone());
    let boil = Boil::read(&mut request.db, row).await?;
    let PageRequest { app, visit, me, .. } = request;
    let mut sheets = Sheets::blank(&app, &visit, &boil);
    sheets.stops = stops(&way, &me, &here);
    beside.fill(&mut sheets.reading);
    page(&BoilPage::new(&app, &visit, &me, &boil, sheets)?)
}

/// Picks one of the page's four forms.
type OneOf = fn(&mut Sheets) -> &mut Sheet;

/// The page of a boil again, with the form that was not taken as it was sent.
async fn again(mut form: FormRequest, row: BoilRow, one: OneOf) -> Page {
    let boil = Boil::read(form.db.now().await?, row).await?;
    let status = form.sheet.status();
    let mut sheets = Sheets::blank(&form.app, &form.visit, &boil);
    sheets.refused(&form.sheet);
    *one(&mut sheets) = form.sheet;
    page_with(
        status,
        &BoilPage::new(&form.app, &form.visit, &form.me, &boil, sheets)?,
    )
}

/// Ends a form of the page of a boil: back to that page either way.
async fn end<M>(
    form: FormRequest,
    boil: BoilRow,
    one: OneOf,
    meant: Option<M>,
    action: impl AsyncFnOnce(&Act, &LotCode, M) -> Done<BoilId>,
) -> Page {
    let lot = boil.lot.clone();
    form.end(
        meant,
        async |act: &Act, meant| action(act, &lot, meant).await,
        |_| paths::boil(&lot),
        async |form| again(form, boil, one).await,
    )
    .await
}

/// `POST /boils/{lot}/draws`
pub(crate) async fn draw(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let boil = boil_of_path(form.db.now().await?, &lot).await?;
    let new = form::draw(&mut form.sheet, form.visit.units());
    end(form, boil, |s| &mut s.draw, new, actions::pour).await
}

/// `POST /boils/{lot}/readings`
pub(crate) async fn reading(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let boil = boil_of_path(form.db.now().await?, &lot).await?;
    if let Some(by) = step::step_pressed(&form.sent) {
        return counted(form, boil, by).await;
    }
    if let Some(remark) = step::tapped(&mut form.sheet, &form.sent) {
        return remarked(form, boil, remark).await;
    }
    let here = FormContext::of(&form.visit, form.said_at())?;
    let mut new = form::reading(&mut form.sheet, here, boil.lit_at);
    if let Some(typed) = &mut new {
        let facts = Boil::read(form.db.now().await?, boil.clone()).await?;
        let units = form.visit.units();
        match read_back::read_back(&form.sheet, &facts, typed, units) {
            Asked::Nothing => {}
            Asked::Confirmed => typed.note = with_confirmed(&typed.note),
            Asked::Back(ask) => {
                form.sheet.refuse(ask.name, ask.question.clone());
                return asked(form, &facts, ask);
            }
        }
    }
    end(form, boil, |s| &mut s.reading, new, actions::read).await
}

/// What arrives so long after its tap was kept on a phone, and nobody looks at its answer, seconds.
const NOBODY_LOOKS_S: i64 = 30;

/// A tap on a remark counts at once. A figure typed beside it counts with it, unless somebody must look at it first: then it
/// stays in its box, on the page that follows.
async fn remarked(mut form: FormRequest, row: BoilRow, remark: &str) -> Page {
    let boil = Boil::read(form.db.now().await?, row.clone()).await?;
    let here = FormContext::of(&form.visit, form.said_at())?;
    let whole = form::reading(&mut form.sheet, here, row.lit_at);
    // Of what a phone kept nothing is set aside, where nobody would see it.
    let goes = form.visit.at.get() - here.at.get() > NOBODY_LOOKS_S
        || whole.as_ref().is_some_and(|new| {
            let hot = |t| pan_temperature("temp", t, here.units).is_err();
            // An alarm that the figure itself would raise is not quieted with it.
            remark != QUIETED
                && !new.temp.is_some_and(hot)
                && !matches!(
                    read_back::read_back(&form.sheet, &boil, new, here.units),
                    Asked::Back(_)
                )
        });
    let (new, beside) = if goes {
        (whole, Beside::default())
    } else {
        let alone = form::without_figures(&mut form.sheet, here, row.lit_at);
        (alone, Beside::of(&form.sheet))
    };
    let lot = row.lot.clone();
    form.end(
        new,
        async |act: &Act, new| actions::read(act, &lot, new).await,
        |_| beside.on(&paths::boil(&lot)),
        async |form| again(form, row, |s| &mut s.reading).await,
    )
    .await
}

/// The page again with a surprising figure read back, and nothing stored.
fn asked(form: FormRequest, boil: &Boil, ask: ReadBack) -> Page {
    let status = form.sheet.status();
    let mut sheets = Sheets::blank(&form.app, &form.visit, boil);
    sheets.refused(&form.sheet);
    sheets.ask_reading = Some(ask);
    sheets.reading = form.sheet;
    page_with(
        status,
        &BoilPage::new(&form.app, &form.visit, &form.me, boil, sheets)?,
    )
}

/// A box of the reading counted on: the page again with everything typed, and nothing stored.
async fn counted(mut form: FormRequest, row: BoilRow, by: (&str, f64)) -> Page {
    let boil = Boil::read(form.db.now().await?, row).await?;
    step::count(&mut form.sheet, by, &boil, form.visit.units());
    let mut sheets = Sheets::blank(&form.app, &form.visit, &boil);
    sheets.reading = form.sheet;
    page(&BoilPage::new(
        &form.app,
        &form.visit,
        &form.me,
        &boil,
        sheets,
    )?)
}

/// `POST /boils/{lot}/finish`
pub(crate) async fn finish(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let boil = boil_of_path(form.db.now().await?, &lot).await?;
    let here = FormContext::of(&form.visit, form.said_at())?;
    let new = form::finish(&mut form.sheet, here, &boil);
    end(form, boil, |s| &mut s.finish, new, finish_actions::finish).await
}

/// `POST /boils/{lot}/fills`
pub(crate) async fn fill(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let boil = boil_of_path(db, &lot).await?;
    let sizes = seasons::jar_sizes(boil.rules_id).ask(db).await?;
    let new = form::fills(&mut form.sheet, &sizes, form.visit.units());
    end(form, boil, |s| &mut s.fill, new, finish_actions::fill).await
}

/// `GET /boils/{lot}/jars`: the form of the jars alone, for a phone on which the finish is kept and not sent yet.
/// Phones keep it beforehand; everybody else is led to the boil.
pub(crate) async fn any_jars(
    mut request: PageRequest,
    headers: HeaderMap,
    Path(lot): Path<String>,
) -> Page {
    let row = boil_of_path(&mut request.db, &lot).await?;
    if !headers.contains_key("kept-page") {
        return see(&paths::boil(&row.lot));
    }
    let boil = Boil::read(&mut request.db, row).await?;
    let PageRequest { app, visit, me, .. } = request;
    let sheets = Sheets::blank(&app, &visit, &boil);
    page(&BoilPage::new(&app, &visit, &me, &boil, sheets)?.with_jars_only())
}

/// The fill of a number, in all its versions: latest first, at least one.
async fn fill_of_path(
    db: &mut Snapshot,
    lot: &str,
    number: &str,
) -> Result<(BoilRow, Vec<FillRow>), PageError> {
    let boil = boil_of_path(db, lot).await?;
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let versions = boils::fill_versions(boil.id, number).ask(db).await?;
    if versions.is_empty() {
        return Err(PageError::NotFound);
    }
    Ok((boil, versions))
}

/// `GET /boils/{lot}/fills/{number}/correct`
pub(crate) async fn fix_fill_form(
    mut request: PageRequest,
    Path((lot, number)): Path<(String, String)>,
) -> Page {
    let (boil, versions) = fill_of_path(&mut request.db, &lot, &number).await?;
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    sheet.put("count", versions[0].count.to_string());
    if versions[0].part {
        sheet.put("part", versions[0].net.typed_small(visit.units()));
    }
    page(&FillPage::new(&app, &visit, &boil, &versions, sheet))
}

/// `POST /boils/{lot}/fills/{number}/correct`
pub(crate) async fn fix_fill(
    Path((lot, number)): Path<(String, String)>,
    mut form: FormRequest,
) -> Page {
    let (boil, versions) = fill_of_path(form.db.now().await?, &lot, &number).await?;
    let (lot, latest) = (&boil.lot, &versions[0]);
    let new = form::fixed_fill(&mut form.sheet, latest.part, form.visit.units());
    form.end_showing(
        new,
        async |act: &Act, new| finish_actions::fix_fill(act, lot, latest.number, new).await,
        |_| paths::boil(lot),
        |app, visit, sheet| Ok(FillPage::new(app, visit, &boil, &versions, sheet)),
    )
    .await
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut all = view::samples();
    all.extend(light::samples());
    all.extend(live::samples());
    all.extend(list::samples());
    all.extend(other_rules::samples());
    all
}
