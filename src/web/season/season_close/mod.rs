//! The season's close: one list to settle from, hours, settlements, lost boils, and the margin going
//! back.

mod form;
mod lock;
mod loss_page;
mod view;

use crate::actions::Act;
use crate::actions::season::hours as hours_actions;
use crate::actions::season::season_close as actions;
use crate::actions::season::season_losses;
use crate::facts::season::losses_borne::{has_moved, would_move};
use crate::facts::season::season_close::{BoilLoss, SeasonClose};
use crate::facts::season::seasons::SeasonRules;
use crate::store::Snapshot;
use crate::store::season::{in_use, season_close as close, seasons};
use crate::store::shares::ledger;
use crate::units::{Cents, LotCode, MemberId, PressDate, plain_text};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::people::members::of_path;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::{App, Page, page, page_with, paths};
use axum::extract::{Path, Query};
pub(crate) use lock::{lock, lock_form};
use loss_page::LossPage;
use serde::Deserialize;
pub(in crate::web) use view::locks;
use view::{ClosePage, HoursPage, SettlePage};

/// A margin to be looked at before it goes back.
#[derive(Debug, Deserialize)]
pub(crate) struct Margin {
    margin: Option<String>,
}

fn today(visit: &Visit) -> Result<PressDate, PageError> {
    Ok(visit.zone()?.local(visit.at).0)
}

async fn of_year(
    db: &mut Snapshot,
    (year, visit): (&str, &Visit),
    margin: Option<Cents>,
) -> Result<SeasonClose, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    SeasonClose::of_year(db, (year, today(visit)?), margin)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /seasons/{year}/close`, `?margin=120` for a look at what goes back
pub(crate) async fn show(
    Path(year): Path<String>,
    Query(Margin { margin }): Query<Margin>,
    mut request: PageRequest,
) -> Page {
    let mut sheet = request.blank();
    let margin = margin.and_then(|text| {
        sheet.put("margin", text);
        form::margin(&mut sheet)
    });
    let close = of_year(&mut request.db, (&year, &request.visit), margin).await?;
    if let Some(Err(refusal)) = &close.refunds {
        sheet.refuse(refusal.at.unwrap_or("margin"), refusal.sentence.clone());
    }
    page(&ClosePage::new(
        &request.app,
        &request.visit,
        &close,
        sheet,
    )?)
}

/// `POST /seasons/{year}/close`: the margin goes back.
pub(crate) async fn give_back(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let number = year.parse().map_err(|_| PageError::NotFound)?;
    let season = seasons::of_year(number)
        .ask(form.db.now().await?)
        .await?
        .ok_or(PageError::NotFound)?;
    let margin = form::margin(&mut form.sheet);
    form.end(
        margin,
        async |act: &Act, margin| actions::give_back(act, season.id, margin).await,
        |()| paths::season_part(season.year, "close"),
        async |mut form| {
            let of = (year.as_str(), &form.visit);
            let close = of_year(form.db.now().await?, of, margin).await?;
            let status = form.sheet.status();
            page_with(
                status,
                &ClosePage::new(&form.app, &form.visit, &close, form.sheet)?,
            )
        },
    )
    .await
}

async fn hours_page(
    (app, visit): (&App, &Visit),
    db: &mut Snapshot,
    id: &str,
    sheet: Sheet,
) -> Result<HoursPage, PageError> {
    let member = of_path(db, id).await?;
    let all = in_use::by_use().ask(db).await?;
    let locked = close::locked_years(db).await?;
    Ok(HoursPage::new(app, visit, &member, (&all, &locked), sheet))
}

/// `GET /members/{id}/hours`
pub(crate) async fn hours(Path(id): Path<String>, mut request: PageRequest) -> Page {
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    page(&hours_page(site, &mut request.db, &id, sheet).await?)
}

/// `POST /members/{id}/hours`
pub(crate) async fn note_hours(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let new = form::hours(&mut form.sheet, today(&form.visit)?);
    form.end(
        new,
        async |act: &Act, new| hours_actions::note_hours(act, member, new).await,
        |()| paths::LEDGER.to_owned(),
        async |mut form| {
            let (site, db) = ((&form.app, &form.visit), form.db.now().await?);
            let status = form.sheet.status();
            page_with(status, &hours_page(site, db, &id, form.sheet).await?)
        },
    )
    .await
}

async fn settle_page(
    (app, visit): (&App, &Visit),
    db: &mut Snapshot,
    id: &str,
    sheet: Sheet,
) -> Result<SettlePage, PageError> {
    let member = of_path(db, id).await?;
    let balance = ledger::balance_of(member.id).ask(db).await?;
    let seasons = SeasonRules::all(db, today(visit)?).await?;
    let locked = close::locked_years(db).await?;
    let all = (seasons.as_slice(), locked.as_slice());
    SettlePage::new((app, visit), &member, balance, all, sheet)
}

/// `GET /members/{id}/settle`
pub(crate) async fn settle(Path(id): Path<String>, mut request: PageRequest) -> Page {
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    page(&settle_page(site, &mut request.db, &id, sheet).await?)
}

/// `POST /members/{id}/settle`
pub(crate) async fn settle_carry(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let new = form::settlement(&mut form.sheet, form.visit.units());
    form.end(
        new,
        async |act: &Act, new| actions::settle_carry(act, member, new).await,
        |()| paths::LEDGER.to_owned(),
        async |mut form| {
            let (site, db) = ((&form.app, &form.visit), form.db.now().await?);
            let status = form.sheet.status();
            page_with(status, &settle_page(site, db, &id, form.sheet).await?)
        },
    )
    .await
}

async fn loss_page(
    (app, visit): (&App, &Visit),
    db: &mut Snapshot,
    lot: &LotCode,
    (sheet, bearing): (Sheet, bool),
) -> Result<LossPage, PageError> {
    let of = BoilLoss::of_lot(db, lot)
        .await?
        .ok_or(PageError::NotFound)?;
    let mut moves = would_move(db, &of).await?;
    moves.extend(has_moved(db, &of).await?);
    LossPage::new(app, visit, (&of, &moves), (sheet, bearing))
}

fn lot_of(path: &str) -> Result<LotCode, PageError> {
    LotCode::parse(path).map_err(|_| PageError::NotFound)
}

/// `GET /boils/{lot}/loss`
pub(crate) async fn loss(Path(lot): Path<String>, mut request: PageRequest) -> Page {
    let lot = lot_of(&lot)?;
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    page(&loss_page(site, &mut request.db, &lot, (sheet, false)).await?)
}

/// The page of a loss again, with what was wrong; `bearing`: the season was to bear it.
async fn loss_again(mut form: FormRequest, lot: &LotCode, bearing: bool) -> Page {
    let (site, db) = ((&form.app, &form.visit), form.db.now().await?);
    let status = form.sheet.status();
    let sheet = (form.sheet, bearing);
    page_with(status, &loss_page(site, db, lot, sheet).await?)
}

/// `POST /boils/{lot}/loss`
pub(crate) async fn note_loss(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let lot = lot_of(&lot)?;
    let new = form::loss(&mut form.sheet, form.visit.units());
    form.end(
        new,
        async |act: &Act, new| season_losses::note_loss(act, &lot, new).await,
        |_| paths::boil_part(&lot, "loss"),
        async |form| loss_again(form, &lot, false).await,
    )
    .await
}

/// `POST /boils/{lot}/loss/bear`
pub(crate) async fn bear_loss(Path(lot): Path<String>, form: FormRequest) -> Page {
    let lot = lot_of(&lot)?;
    form.end(
        Some(()),
        async |act: &Act, ()| season_losses::share_loss(act, &lot).await,
        |()| paths::boil_part(&lot, "loss"),
        async |form| loss_again(form, &lot, true).await,
    )
    .await
}

/// `POST /boils/{lot}/loss/back`
pub(crate) async fn not_lost(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let lot = lot_of(&lot)?;
    let why = form.sheet.read("why_back", |text| plain_text(text, 1, 300));
    form.end(
        why,
        async |act: &Act, why| season_losses::take_loss_back(act, &lot, &why).await,
        |()| paths::boil_part(&lot, "loss"),
        async |form| loss_again(form, &lot, false).await,
    )
    .await
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut all = view::samples();
    all.extend(lock::samples());
    all.extend(loss_page::samples());
    all
}
