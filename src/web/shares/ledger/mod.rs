//! The ledger: what stands for whom, line by line; payments; lines taken back.

mod form;
mod view;

use crate::actions::shares::ledger as actions;
use crate::store::season::seasons::{self, Season};
use crate::store::shares::ledger;
use crate::units::MemberId;
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::people::members::of_path;
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, Query, State};
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{LedgerPage, PaymentPage};

/// Which season's lines are asked for; the latest when none is named.
#[derive(Debug, Deserialize)]
pub struct Asked {
    season: Option<String>,
}

/// `GET /ledger?season=2026`
pub async fn show(State(app): State<App>, visit: Visit, Query(asked): Query<Asked>) -> Page {
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&ledger_page(&app, &visit, &asked, sheet).await?)
}

/// `POST /ledger`: takes a line back.
pub async fn answer(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Query(asked): Query<Asked>,
    sent: Sent,
) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some((number, why)) = form::answer(&mut sheet) {
        match actions::answer(&app.act(&me, visit.at, sent.key()), number, why).await {
            Ok(()) => return see(paths::LEDGER),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status = sheet.status();
    page_with(status, &ledger_page(&app, &visit, &asked, sheet).await?)
}

async fn ledger_page(
    app: &App,
    visit: &Visit,
    asked: &Asked,
    sheet: Sheet,
) -> Result<LedgerPage, PageError> {
    let mut snapshot = app.read().await?;
    let all = seasons::list(&mut snapshot).await?;
    let wanted: Option<i64> = asked.season.as_deref().and_then(|text| text.parse().ok());
    let season: Option<&Season> = all
        .iter()
        .find(|s| Some(s.year) == wanted)
        .or_else(|| all.first());
    let (balances, lines) = match season {
        Some(season) => (
            ledger::balances(&mut snapshot, season.id).await?,
            ledger::of_season(&mut snapshot, season.id).await?,
        ),
        None => (Vec::new(), Vec::new()),
    };
    LedgerPage::new(app, visit, season, &all, &balances, &lines, sheet)
}

/// `GET /members/{id}/payment`
pub async fn payment(State(app): State<App>, visit: Visit, Path(id): Path<String>) -> Page {
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("way", "in");
    page(&payment_page(&app, &visit, &id, sheet).await?)
}

/// `POST /members/{id}/payment`
pub async fn note_payment(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::payment(&mut sheet) {
        match actions::note_payment(&app.act(&me, visit.at, sent.key()), member, new).await {
            Ok(()) => return see(paths::LEDGER),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status = sheet.status();
    page_with(status, &payment_page(&app, &visit, &id, sheet).await?)
}

async fn payment_page(
    app: &App,
    visit: &Visit,
    id: &str,
    sheet: Sheet,
) -> Result<PaymentPage, PageError> {
    let mut snapshot = app.read().await?;
    let member = of_path(&mut snapshot, id).await?;
    let (_, cents) = ledger::standing(&mut snapshot, member.id).await?;
    let all = seasons::list(&mut snapshot).await?;
    Ok(PaymentPage::new(app, visit, &member, cents, &all, sheet))
}
