//! The ledger: what stands for whom, line by line; payments; lines taken back.

mod form;
mod receipt;
mod view;

use crate::actions::Act;
use crate::actions::shares::ledger as actions;
use crate::actions::shares::ledger::PaymentNumber;
use crate::facts::shares::ledger_season::LedgerSeason;
use crate::store::home;
use crate::store::season::in_use;
use crate::store::shares::ledger;
use crate::store::{Snapshot, Together};
use crate::units::MemberId;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::listing::ListQuery;
use crate::web::people::members::of_path;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::{App, Page, page, page_with, paths};
use axum::extract::{Path, Query};
pub(crate) use receipt::show as payment_receipt;
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{LedgerPage, PaymentPage, to_read};

/// The season whose lines the address asks for; the latest when none is named.
#[derive(Debug, Deserialize)]
pub(crate) struct WhichSeason {
    season: Option<String>,
    /// Words that every line shown has: a name, a day, a kind.
    #[serde(default)]
    q: String,
    #[serde(default)]
    order: String,
    #[serde(default)]
    skip: usize,
}

impl WhichSeason {
    fn year(&self) -> Option<i64> {
        self.season.as_deref().and_then(|text| text.parse().ok())
    }
}

/// `GET /ledger?season=2026`
pub(crate) async fn show(mut request: PageRequest, Query(which): Query<WhichSeason>) -> Page {
    let year = which.year();
    let wanted = ListQuery {
        q: which.q,
        order: which.order,
        skip: which.skip,
        year: None,
    };
    let book = LedgerSeason::read(&mut request.db, year, to_read(&wanted)).await?;
    let mut sheet = request.blank();
    sheet
        .put("q", wanted.q.clone())
        .put("order", wanted.order.clone());
    let site = (&request.app, &request.visit);
    page(&LedgerPage::new(site, &book, &wanted, sheet)?)
}

/// `POST /ledger`: takes a line back.
pub(crate) async fn answer(Query(which): Query<WhichSeason>, mut form: FormRequest) -> Page {
    let answer = form::answer(&mut form.sheet);
    form.end(
        answer,
        async |act: &Act, (number, why)| actions::answer(act, number, why).await,
        |()| paths::LEDGER.to_owned(),
        async |mut form| {
            let wanted = ListQuery::default();
            let now = form.db.now().await?;
            let book = LedgerSeason::read(now, which.year(), to_read(&wanted)).await?;
            let status = form.sheet.status();
            let site = (&form.app, &form.visit);
            let view = LedgerPage::new(site, &book, &wanted, form.sheet)?;
            page_with(status, &view)
        },
    )
    .await
}

/// `GET /members/{id}/payment`
pub(crate) async fn payment(request: PageRequest, Path(id): Path<String>) -> Page {
    let mut sheet = request.blank();
    sheet.put("way", "in");
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    page(&payment_page(&mut db, (&app, &visit), &id, sheet).await?)
}

/// `POST /members/{id}/payment`
pub(crate) async fn note_payment(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = MemberId::parse(&id).ok_or(PageError::NotFound)?;
    let today = form.visit.zone()?.local(form.visit.at).0;
    let new = form::payment(&mut form.sheet, today);
    form.end(
        new,
        async |act: &Act, new| actions::note_payment(act, member, new).await,
        |PaymentNumber(number)| paths::receipt_of_money(number),
        async |mut form| {
            let status = form.sheet.status();
            let of = (&form.app, &form.visit);
            let view = payment_page(form.db.now().await?, of, &id, form.sheet).await?;
            page_with(status, &view)
        },
    )
    .await
}

async fn payment_page(
    db: &mut Snapshot,
    (app, visit): (&App, &Visit),
    id: &str,
    sheet: Sheet,
) -> Result<PaymentPage, PageError> {
    let member = of_path(db, id).await?;
    let found = (
        ledger::balance_of(member.id),
        in_use::to_pay_for(member.id),
        home::reopened_lots(member.id),
    );
    let ((_, cents), all, reopened) = found.together().ask(db).await?;
    Ok(PaymentPage::new(
        app,
        visit,
        &member,
        (cents, &reopened),
        &all,
        sheet,
    ))
}
