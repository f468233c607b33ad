//! What members are told: the calls to make, ticking them off, and putting a notice of one's own away.

mod view;

use crate::actions::Act;
use crate::actions::people::notices as actions;
use crate::calc::people::notices::CALLED_LAST_S;
use crate::facts::people::notices as facts;
use crate::store::people::notices;
use crate::units::{DayChangeId, NoticeId};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, paths};
use axum::extract::Path;
use view::CallsPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /calls`
pub(crate) async fn calls(request: PageRequest) -> Page {
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    let zone = visit.zone()?;
    let to_call = facts::to_call(zone, app.letters_sent, visit.at)
        .ask(&mut db)
        .await?;
    let called = notices::called(visit.at.plus(-CALLED_LAST_S))
        .ask(&mut db)
        .await?;
    page(&CallsPage::new(&app, &visit, zone, &to_call, &called))
}

/// `POST /calls/{id}/told`
pub(crate) async fn told(Path(id): Path<String>, form: FormRequest) -> Page {
    tick(&id, form, true).await
}

/// `POST /calls/{id}/not-told`
pub(crate) async fn not_told(Path(id): Path<String>, form: FormRequest) -> Page {
    tick(&id, form, false).await
}

async fn tick(id: &str, form: FormRequest, called: bool) -> Page {
    let id = NoticeId::parse(id).ok_or(PageError::NotFound)?;
    // Sent from the page of turns moved together, it leads back there.
    let to = DayChangeId::parse(form.sent.get("change"))
        .map_or_else(|| paths::CALLS.to_owned(), paths::change);
    form.press(
        async |act: &Act| actions::set_called(act, id, called).await,
        to,
    )
    .await
}

/// `POST /notices/{id}/put-away`
pub(crate) async fn put_away(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = NoticeId::parse(&id).ok_or(PageError::NotFound)?;
    form.press(
        async |act: &Act| actions::put_away(act, id).await,
        paths::HOME,
    )
    .await
}
