//! The season's close: one list to settle from, hours, settlements, lost boils, and the margin going
//! back.

mod form;
mod view;

use crate::actions::season::season_close as actions;
use crate::actions::season::season_close::Refunds;
use crate::calc::Unmet;
use crate::store::boil::boils;
use crate::store::people::members;
use crate::store::season::season_close as close;
use crate::store::season::season_close::{HoursRow, LossRow};
use crate::store::season::seasons::{self, Rules, Season};
use crate::store::shares::ledger::{self, Balance};
use crate::units::{Cents, LotCode, MemberId};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::people::members::of_path;
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, Query, State};
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{ClosePage, HoursPage, LossPage, SettlePage};

/// A margin to be looked at before it goes back.
#[derive(Debug, Deserialize)]
pub struct Asked {
    margin: Option<String>,
}

/// All that the close is made of.
struct Record {
    season: Season,
    rules: Rules,
    /// The rules before the first boil promise that the margin goes back.
    promised: bool,
    gone_back: bool,
    open: Vec<LotCode>,
    balances: Vec<Balance>,
    charged: (Cents, Cents),
    hours: Vec<HoursRow>,
    losses: Vec<LossRow>,
    /// Members by name with what each would get; or why not.
    refunds: Option<Result<Refunds, Unmet>>,
    names: Vec<(MemberId, String)>,
}

async fn record(app: &App, year: &str, margin: Option<Cents>) -> Result<Record, PageError> {
    let mut snapshot = app.read().await?;
    let conn = &mut *snapshot;
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let season = seasons::of_year(conn, year)
        .await?
        .ok_or(PageError::NotFound)?;
    let refunds = match margin {
        Some(margin) => Some(actions::refunds(conn, season.id, year, margin).await?),
        None => None,
    };
    let cards = members::list(conn).await?;
    Ok(Record {
        rules: seasons::rules_in_force(conn, season.id).await?,
        promised: actions::rules_beforehand(conn, season.id).await?.patronage,
        gone_back: close::gone_back(conn, season.id).await?,
        open: close::open_lots(conn, season.id).await?,
        balances: ledger::balances(conn, season.id).await?,
        charged: close::charged(conn, season.id).await?,
        hours: close::hours(conn, season.id).await?,
        losses: close::losses(conn, season.id).await?,
        names: cards
            .into_iter()
            .map(|c| (c.id, c.name.to_string()))
            .collect(),
        season,
        refunds,
    })
}

/// `GET /seasons/{year}/close`, `?margin=120` for a look at what goes back
pub async fn show(
    State(app): State<App>,
    visit: Visit,
    Path(year): Path<String>,
    Query(asked): Query<Asked>,
) -> Page {
    let mut sheet = Sheet::blank(&visit, &app.ids);
    let margin = match asked.margin {
        Some(text) => {
            sheet.put("margin", text);
            form::margin(&mut sheet)
        }
        None => None,
    };
    let record = record(&app, &year, margin).await?;
    if let Some(Err(unmet)) = &record.refunds {
        sheet.refuse(unmet.at.unwrap_or("margin"), unmet.sentence.clone());
    }
    page(&ClosePage::new(&app, &visit, &record, sheet))
}

/// `POST /seasons/{year}/close`: the margin goes back.
pub async fn give_back(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(year): Path<String>,
    sent: Sent,
) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    let before = record(&app, &year, None).await?;
    let margin = form::margin(&mut sheet);
    if let Some(margin) = margin {
        let act = app.act(&me, visit.at, sent.key());
        match actions::give_back(&act, before.season.id, margin).await {
            Ok(()) => return see(&paths::season_part(before.season.year, "close")),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let record = record(&app, &year, margin).await?;
    let status = sheet.status();
    page_with(status, &ClosePage::new(&app, &visit, &record, sheet))
}

async fn hours_page(
    app: &App,
    visit: &Visit,
    id: &str,
    sheet: Sheet,
) -> Result<HoursPage, PageError> {
    let mut snapshot = app.read().await?;
    let member = of_path(&mut snapshot, id).await?;
    let all = seasons::list(&mut snapshot).await?;
    Ok(HoursPage::new(app, visit, &member, &all, sheet))
}

/// `GET /members/{id}/hours`
pub async fn hours(State(app): State<App>, visit: Visit, Path(id): Path<String>) -> Page {
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&hours_page(&app, &visit, &id, sheet).await?)
}

/// `POST /members/{id}/hours`
pub async fn note_hours(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::hours(&mut sheet) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::note_hours(&act, member, new).await {
            Ok(()) => return see(paths::LEDGER),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status = sheet.status();
    page_with(status, &hours_page(&app, &visit, &id, sheet).await?)
}

async fn settle_page(
    app: &App,
    visit: &Visit,
    id: &str,
    sheet: Sheet,
) -> Result<SettlePage, PageError> {
    let mut snapshot = app.read().await?;
    let member = of_path(&mut snapshot, id).await?;
    let stands = ledger::balance_of(&mut snapshot, member.id).await?;
    let all = seasons::list(&mut snapshot).await?;
    let mut prices = Vec::new();
    for season in &all {
        let rules = seasons::rules_in_force(&mut snapshot, season.id).await?;
        prices.push(rules.syrup_per_kg);
    }
    let seasons = all.into_iter().zip(prices).collect::<Vec<_>>();
    Ok(SettlePage::new(
        app, visit, &member, stands, &seasons, sheet,
    ))
}

/// `GET /members/{id}/settle`
pub async fn settle(State(app): State<App>, visit: Visit, Path(id): Path<String>) -> Page {
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("way", "money");
    page(&settle_page(&app, &visit, &id, sheet).await?)
}

/// `POST /members/{id}/settle`
pub async fn settle_carry(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::settlement(&mut sheet, visit.units()) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::settle_carry(&act, member, new).await {
            Ok(()) => return see(paths::LEDGER),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status = sheet.status();
    page_with(status, &settle_page(&app, &visit, &id, sheet).await?)
}

async fn loss_page(
    app: &App,
    visit: &Visit,
    lot: &LotCode,
    sheet: Sheet,
) -> Result<LossPage, PageError> {
    let mut snapshot = app.read().await?;
    let boil = boils::find(&mut snapshot, lot)
        .await?
        .ok_or(PageError::NotFound)?;
    let rules = seasons::rules(&mut snapshot, boil.rules_id)
        .await?
        .ok_or(PageError::NotFound)?;
    let loss = close::loss(&mut snapshot, boil.id).await?;
    LossPage::new(app, visit, (&boil, &rules), loss.as_ref(), sheet)
}

/// `GET /boils/{lot}/loss`
pub async fn loss(State(app): State<App>, visit: Visit, Path(lot): Path<String>) -> Page {
    let lot = LotCode::parse(&lot).map_err(|_| PageError::NotFound)?;
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&loss_page(&app, &visit, &lot, sheet).await?)
}

/// `POST /boils/{lot}/loss`
pub async fn note_loss(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    let lot = LotCode::parse(&lot).map_err(|_| PageError::NotFound)?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::loss(&mut sheet, visit.units()) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::note_loss(&act, &lot, new).await {
            Ok(_) => return see(&paths::boil_part(&lot, "loss")),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status = sheet.status();
    page_with(status, &loss_page(&app, &visit, &lot, sheet).await?)
}

/// `POST /boils/{lot}/loss/bear`
pub async fn bear_loss(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    let lot = LotCode::parse(&lot).map_err(|_| PageError::NotFound)?;
    let mut sheet = Sheet::of(&visit, &sent);
    let act = app.act(&me, visit.at, sent.key());
    match actions::share_loss(&act, &lot).await {
        Ok(()) => return see(&paths::boil_part(&lot, "loss")),
        Err(stop) => sheet.stop(stop)?,
    }
    let status = sheet.status();
    page_with(status, &loss_page(&app, &visit, &lot, sheet).await?)
}
