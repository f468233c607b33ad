//! Hand-overs: whose jars wait, handing them over, receipts.

mod form;
mod view;

use crate::actions::shares::divisions::member_of;
use crate::actions::shares::hand_overs as actions;
use crate::calc::shares::split::Sharer;
use crate::store::people::members;
use crate::store::shares::hand_overs::{self, AsideRow};
use crate::store::shares::ledger;
use crate::units::MemberId;
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{After, FormPage, ListPage, ReceiptPage};

/// How many receipts the list shows.
const RECENT: i64 = 50;

/// `GET /hand-overs`
pub async fn list(State(app): State<App>, visit: Visit) -> Page {
    let mut snapshot = app.read().await?;
    let waiting = hand_overs::waiting(&mut snapshot).await?;
    let recent = hand_overs::recent(&mut snapshot, RECENT).await?;
    page(&ListPage::new(&app, &visit, &waiting, &recent)?)
}

/// To whom, by what name, and what is set aside.
struct To {
    sharer: Sharer,
    name: String,
    aside: Vec<AsideRow>,
    action: String,
}

async fn to(app: &App, id: &str) -> Result<To, PageError> {
    let mut snapshot = app.read().await?;
    let (sharer, name, action) = if paths::MILL_HAND_OVER == format!("/members/{id}/hand-over") {
        (
            Sharer::Mill,
            "the mill’s own".to_owned(),
            paths::MILL_HAND_OVER.to_owned(),
        )
    } else {
        let id = MemberId::parse(id).ok_or(PageError::NotFound)?;
        let card = members::find(&mut snapshot, id)
            .await?
            .ok_or(PageError::NotFound)?;
        (
            Sharer::Member(id),
            card.name.to_string(),
            paths::new_hand_over(id),
        )
    };
    let aside = hand_overs::aside(&mut snapshot, member_of(sharer)).await?;
    Ok(To {
        sharer,
        name,
        aside,
        action,
    })
}

/// `GET /members/{id}/hand-over`
pub async fn new(State(app): State<App>, visit: Visit, Path(id): Path<String>) -> Page {
    let to = to(&app, &id).await?;
    let name = match to.sharer {
        Sharer::Member(_) => to.name.as_str(),
        Sharer::Mill => "",
    };
    let sheet = form::of(Sheet::blank(&visit, &app.ids), &to.aside, name);
    page(&FormPage::new(
        &app, &visit, &to.name, to.action, &to.aside, sheet,
    ))
}

/// `POST /members/{id}/hand-over`
pub async fn create(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let to = to(&app, &id).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::hand_over(&mut sheet, &to.aside) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::hand_over(&act, to.sharer, new).await {
            Ok(id) => {
                let mut snapshot = app.read().await?;
                let row = hand_overs::of_id(&mut snapshot, id)
                    .await?
                    .ok_or(PageError::NotFound)?;
                return see(&paths::hand_over(row.number));
            }
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status = sheet.status();
    let view = FormPage::new(&app, &visit, &to.name, to.action, &to.aside, sheet);
    page_with(status, &view)
}

/// `GET /hand-overs/{number}`
pub async fn show(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(number): Path<String>,
) -> Page {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    let row = hand_overs::find(&mut snapshot, number)
        .await?
        .ok_or(PageError::NotFound)?;
    if !me.is_crew() && row.member_id != Some(me.id) {
        return Err(PageError::NotFound);
    }
    let jars = hand_overs::jars(&mut snapshot, row.id).await?;
    let after = match row.member_id {
        None => None,
        Some(id) => {
            let (grams, cents) = ledger::standing(&mut snapshot, id).await?;
            let aside = hand_overs::aside(&mut snapshot, Some(id)).await?;
            let waiting = aside.iter().map(form::left).sum();
            Some(After {
                waiting,
                grams,
                cents,
            })
        }
    };
    page(&ReceiptPage::new(
        &app,
        &visit,
        &me,
        &row,
        &jars,
        after.as_ref(),
    )?)
}
