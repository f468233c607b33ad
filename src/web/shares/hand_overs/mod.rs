//! Hand-overs: whose jars wait, handing them over, receipts.

mod form;
mod paper;
mod settled;
mod typed;
mod view;

use crate::actions::Act;
use crate::actions::shares::hand_overs as actions;
use crate::actions::shares::hand_overs::ReceiptNumber;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::hand_overs::{Receipt, SetAside};
use crate::store::Snapshot;
use crate::store::people::members;
use crate::store::shares::hand_overs;
use crate::units::MemberId;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, paths};
use axum::extract::Path;
pub(crate) use paper::paper as paper_sheet;
pub(crate) use settled::{settle, settle_form};
pub(crate) use typed::{paper, paper_form};
use view::{FormPage, ListPage, ReceiptPage};

/// How many receipts the list shows.
const RECENT: i64 = 50;

/// `GET /hand-overs`
pub(crate) async fn list(mut request: PageRequest) -> Page {
    let waiting = hand_overs::waiting().ask(&mut request.db).await?;
    let recent = hand_overs::recent(RECENT).ask(&mut request.db).await?;
    page(&ListPage::new(
        &request.app,
        &request.visit,
        &waiting,
        &recent,
    )?)
}

/// The jars of whoever stands in the address: a member, or the mill.
async fn set_aside(db: &mut Snapshot, id: &str) -> Result<SetAside, PageError> {
    let sharer = if paths::MILL_HAND_OVER == format!("/members/{id}/hand-over") {
        Sharer::Mill
    } else {
        Sharer::Member(MemberId::parse(id).ok_or(PageError::NotFound)?)
    };
    let aside = SetAside::read(db, sharer).await?;
    aside.ok_or(PageError::NotFound)
}

/// `GET /members/{id}/hand-over`
pub(crate) async fn new(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let aside = set_aside(&mut request.db, &id).await?;
    let sheet = form::of(request.blank(), &aside);
    page(&FormPage::new(&request.app, &request.visit, &aside, sheet))
}

/// `POST /members/{id}/hand-over`
pub(crate) async fn create(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let aside = set_aside(form.db.now().await?, &id).await?;
    let new = form::hand_over(&mut form.sheet, &aside.jars);
    form.end_showing(
        new,
        async |act: &Act, new| actions::hand_over(act, aside.sharer, new).await,
        |ReceiptNumber(number)| paths::hand_over(number),
        |app, visit, sheet| Ok(FormPage::new(app, visit, &aside, sheet)),
    )
    .await
}

/// `GET /hand-overs/{number}`
pub(crate) async fn show(mut request: PageRequest, Path(number): Path<String>) -> Page {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let mut receipt = Receipt::read(&mut request.db, number)
        .await?
        .ok_or(PageError::NotFound)?;
    // A receipt keeps the name of its day.
    if let Some(id) = receipt.row.member_id {
        let then = members::name_at(id, receipt.row.at);
        receipt.row.member_name = then.ask(&mut request.db).await?.or(receipt.row.member_name);
    }
    let PageRequest { app, visit, me, .. } = request;
    let settled = receipt.settled.as_ref().map(|s| s.member_id);
    let whose = [receipt.row.member_id, settled];
    if !me.is_crew() && !whose.into_iter().flatten().any(|id| me.is_theirs(id)) {
        return Err(PageError::NotFound);
    }
    page(&ReceiptPage::new(&app, &visit, &me, &receipt)?)
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = view::samples();
    views.extend(paper::samples());
    views
}
