//! Plantings: what a member has in the field, adding, changing and taking off the record; and the
//! row that a turn starts from.

mod again;
mod form;
mod view;

use crate::actions::Act;
use crate::actions::season::plantings as actions;
use crate::calc::season::plantings::MATURITY_DAYS;
use crate::facts::season::plantings as facts;
use crate::store::Snapshot;
use crate::store::season::plantings::{self, Planting};
use crate::store::season::seasons;
use crate::units::PlantingId;
use crate::web::error::PageError;
use crate::web::people::members::seen_by;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Me;
use crate::web::{Page, page, paths};
pub(crate) use again::{again, again_form};
use axum::extract::Path;
use form::Fits;
use view::{FormPage, ListPage};

/// `GET /members/{id}/plantings`
pub(crate) async fn list(Path(id): Path<String>, request: PageRequest) -> Page {
    let sheet = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let member = seen_by(&mut db, &me, &id).await?;
    let today = visit.zone()?.local(visit.at).0;
    let plantings = facts::of_member(&mut db, member.id, today).await?;
    let again = facts::again(&mut db, member.id).await?;
    let of = (plantings.as_slice(), again.as_ref());
    page(&ListPage::new(&app, &visit, &me, &member, of, sheet))
}

/// `GET /members/{id}/plantings/new`
pub(crate) async fn new(Path(id): Path<String>, mut request: PageRequest) -> Page {
    let member = seen_by(&mut request.db, &request.me, &id).await?;
    let mut sheet = request.blank();
    sheet.put("days", MATURITY_DAYS.to_string());
    page(&FormPage::adding(
        &request.app,
        &request.visit,
        &member,
        sheet,
    ))
}

/// `POST /members/{id}/plantings/new`
pub(crate) async fn create(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let member = seen_by(db, &form.me, &id).await?;
    let seasons = seasons::list().ask(db).await?;
    let today = form.visit.zone()?.local(form.visit.at).0;
    let fits = Fits::Seasons(&seasons);
    let new = form::planting(&mut form.sheet, form.visit.units(), (today, &fits));
    form.end_showing(
        new,
        async |act: &Act, new| actions::add(act, member.id, new).await,
        |_| paths::plantings(member.id),
        |app, visit, sheet| Ok(FormPage::adding(app, visit, &member, sheet)),
    )
    .await
}

/// A planting that this person may change: one's own, or anybody's for crew; taken off the record or not.
async fn own(db: &mut Snapshot, me: &Me, id: &str) -> Result<Planting, PageError> {
    let id = PlantingId::parse(id).ok_or(PageError::NotFound)?;
    plantings::find(id)
        .ask(db)
        .await?
        .filter(|p| me.may_see(p.member_id))
        .ok_or(PageError::NotFound)
}

/// As [`own`], if the planting was not taken off the record.
async fn own_standing(db: &mut Snapshot, me: &Me, id: &str) -> Result<Planting, PageError> {
    let planting = own(db, me, id).await?;
    if planting.void {
        return Err(PageError::NotFound);
    }
    Ok(planting)
}

/// `GET /plantings/{id}/edit`
pub(crate) async fn edit(Path(id): Path<String>, mut request: PageRequest) -> Page {
    let planting = own_standing(&mut request.db, &request.me, &id).await?;
    let (app, visit) = (&request.app, &request.visit);
    let sheet = form::of(request.blank(), &planting, visit.units());
    page(&FormPage::changing(app, visit, &planting, sheet))
}

/// `POST /plantings/{id}/edit`
pub(crate) async fn update(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let planting = own_standing(form.db.now().await?, &form.me, &id).await?;
    let version = form.sheet.typed("version").parse().unwrap_or(0);
    let today = form.visit.zone()?.local(form.visit.at).0;
    let fits = Fits::Stood(&planting);
    let new = form::planting(&mut form.sheet, form.visit.units(), (today, &fits));
    form.next_try_names(new.as_ref(), "version", planting.version);
    form.end_showing(
        new,
        async |act: &Act, new| actions::change(act, planting.id, version, new).await,
        |_| paths::plantings(planting.member_id),
        |app, visit, sheet| Ok(FormPage::changing(app, visit, &planting, sheet)),
    )
    .await
}

/// `POST /plantings/{id}/remove`
pub(crate) async fn remove(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let planting = own(form.db.now().await?, &form.me, &id).await?;
    let list = paths::plantings(planting.member_id);
    form.press(
        async |act: &Act| actions::remove(act, planting.id).await,
        list,
    )
    .await
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut all = view::samples();
    all.extend(again::samples());
    all
}
