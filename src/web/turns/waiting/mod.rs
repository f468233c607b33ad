//! Waiting lists: the list of a day for the crew; one place on it, with what is offered, for its member
//! and the crew; what a steward does against the order.

mod form;
mod view;

use super::asked::{day_of_path, status};
use crate::actions::Act;
use crate::actions::turns::{waiting as actions, waiting_overrides as overrides};
use crate::facts::turns::waiting::{EntryFacts, starts_out_of_order};
use crate::store::Conn;
use crate::store::turns::offers::Offer;
use crate::store::turns::{offers, waiting};
use crate::units::{OfferId, WaitingId};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::Path;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{EntryPage, ListPage};

/// `GET /days/{date}/waiting`
pub(crate) async fn list(request: PageRequest, Path(date): Path<String>) -> Page {
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let day = day_of_path(&mut db, &date).await?;
    if !me.is_crew() {
        // A member's form was sent here: it stands on the page where turns are booked.
        return see(&paths::book(day.date));
    }
    let list = waiting::of_day(day.id).ask(&mut db).await?;
    let offers = offers::of_day(day.id).ask(&mut db).await?;
    page(&ListPage::new(&app, &visit, &day, &list, &offers)?)
}

fn entry_id(id: &str) -> Result<WaitingId, PageError> {
    WaitingId::parse(id).ok_or(PageError::NotFound)
}

/// An offer that this person may see: one's own, or anybody's for crew.
async fn offer(db: &mut Conn, me: &Me, id: &str) -> Result<Offer, PageError> {
    let id = OfferId::parse(id).ok_or(PageError::NotFound)?;
    offers::find(id)
        .ask(db)
        .await?
        .filter(|offer| me.may_see(offer.member_id))
        .ok_or(PageError::NotFound)
}

/// `GET /waiting/{id}`
pub(crate) async fn show(request: PageRequest, Path(id): Path<String>) -> Page {
    let sheet = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    entry_page((&app, &visit, &me), &mut db, entry_id(&id)?, sheet).await
}

/// The page of a place that this person may see: one's own, or anybody's for crew.
async fn entry_page(
    (app, visit, me): (&App, &Visit, &Me),
    db: &mut Conn,
    id: WaitingId,
    sheet: Sheet,
) -> Page {
    let entry = waiting::find(id)
        .ask(db)
        .await?
        .filter(|entry| me.may_see(entry.member_id))
        .ok_or(PageError::NotFound)?;
    let facts = EntryFacts::read(db, entry)
        .await?
        .ok_or(PageError::NotFound)?;
    let starts = if me.is_steward() && facts.entry.state.on_list() {
        starts_out_of_order(db, &facts, (visit.zone()?, visit.units()), visit.at).await?
    } else {
        Vec::new()
    };
    let code = status(&sheet);
    page_with(
        code,
        &EntryPage::new(app, visit, me, (&facts, &starts), sheet)?,
    )
}

async fn entry_again(mut form: FormRequest, id: WaitingId) -> Page {
    let of = (&form.app, &form.visit, &form.me);
    entry_page(of, form.db.now().await?, id, form.sheet).await
}

/// `POST /waiting/{id}/leave`
pub(crate) async fn leave(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = entry_id(&id)?;
    let again = async |form| entry_again(form, id).await;
    form.end(Some(id), actions::leave, paths::waiting, again)
        .await
}

/// `POST /waiting/{id}/still`
pub(crate) async fn still(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = entry_id(&id)?;
    let again = async |form| entry_again(form, id).await;
    form.end(Some(id), actions::still_wait, paths::waiting, again)
        .await
}

/// `POST /offers/{id}/take`
pub(crate) async fn take(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let offer = offer(form.db.now().await?, &form.me, &id).await?;
    let again = async |form| entry_again(form, offer.waiting_id).await;
    form.end(Some(offer.id), actions::accept, paths::turn, again)
        .await
}

/// `POST /offers/{id}/decline`
pub(crate) async fn decline(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let offer = offer(form.db.now().await?, &form.me, &id).await?;
    let again = async |form| entry_again(form, offer.waiting_id).await;
    form.end(Some(offer.id), actions::decline, paths::waiting, again)
        .await
}

/// `POST /offers/{id}/another-day`
pub(crate) async fn another_day(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let offer = offer(form.db.now().await?, &form.me, &id).await?;
    let again = async |form| entry_again(form, offer.waiting_id).await;
    form.end(Some(offer.id), actions::another_day, paths::can_come, again)
        .await
}

/// `POST /offers/{id}/not-this-year`
pub(crate) async fn not_this_year(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let offer = offer(form.db.now().await?, &form.me, &id).await?;
    let again = async |form| entry_again(form, offer.waiting_id).await;
    form.end(
        Some(offer.id),
        actions::not_this_year,
        paths::plantings,
        again,
    )
    .await
}

/// `POST /offers/{id}/withdraw`
pub(crate) async fn withdraw(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let offer = offer(form.db.now().await?, &form.me, &id).await?;
    let why = form::why(&mut form.sheet, "why_offer");
    form.end(
        why,
        async |act: &Act, why: String| overrides::withdraw(act, offer.id, &why).await,
        paths::waiting,
        async |form| entry_again(form, offer.waiting_id).await,
    )
    .await
}

/// `POST /waiting/{id}/place`
pub(crate) async fn place(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let id = entry_id(&id)?;
    let place = form::place(&mut form.sheet);
    form.end(
        place,
        async |act: &Act, (start, why): (_, String)| overrides::place(act, id, start, &why).await,
        paths::turn,
        async |form| entry_again(form, id).await,
    )
    .await
}

/// `POST /waiting/{id}/off`
pub(crate) async fn take_off(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let id = entry_id(&id)?;
    let why = form::why(&mut form.sheet, "why_off");
    form.end(
        why,
        async |act: &Act, why: String| overrides::take_off(act, id, &why).await,
        paths::waiting,
        async |form| entry_again(form, id).await,
    )
    .await
}
