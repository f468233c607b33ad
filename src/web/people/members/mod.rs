//! Members: the list, a card, adding, changing, inviting, letting go.

mod form;
mod view;

use crate::actions::Stop;
use crate::actions::people::accounts as account_actions;
use crate::actions::people::members as actions;
use crate::store::Snapshot;
use crate::store::people::members::Member;
use crate::store::people::{accounts, members};
use crate::store::season::seasons;
use crate::units::MemberId;
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{CardPage, FormPage, InvitePage, ListPage};

/// `GET /members`
pub async fn list(State(app): State<App>, visit: Visit, me: Me) -> Page {
    let mut snapshot = app.read().await?;
    let lines = members::list(&mut snapshot).await?;
    page(&ListPage::new(&app, &visit, &me, &lines))
}

/// `GET /members/new`
pub async fn new(State(app): State<App>, visit: Visit, me: Me) -> Page {
    let mut sheet = Sheet::blank(&visit, &app.ids);
    let units = visit.coop()?.units;
    sheet
        .put("units", units.word())
        .put("role", "member")
        .put("pools", "yes");
    page(&FormPage::adding(&app, &visit, &me, sheet))
}

/// `POST /members/new`
pub async fn create(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::member(&mut sheet, visit.units()) {
        match actions::add(&app.act(&me, visit.at, sent.key()), new).await {
            Ok(id) => return see(&paths::member(id)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(sheet.status(), &FormPage::adding(&app, &visit, &me, sheet))
}

/// The member whose id stands in an address.
pub(in crate::web) async fn of_path(
    snapshot: &mut Snapshot,
    id: &str,
) -> Result<Member, PageError> {
    let id = MemberId::parse(id).ok_or(PageError::NotFound)?;
    members::find(snapshot, id)
        .await?
        .ok_or(PageError::NotFound)
}

/// A member that this person may see: oneself, or anybody for crew.
pub(in crate::web) async fn seen_by(
    snapshot: &mut Snapshot,
    me: &Me,
    id: &str,
) -> Result<Member, PageError> {
    let member = of_path(snapshot, id).await?;
    if member.id == me.id || me.is_crew() {
        Ok(member)
    } else {
        Err(PageError::NotFound)
    }
}

/// A card that this person may see.
async fn card(app: &App, me: &Me, id: &str) -> Result<Member, PageError> {
    let mut snapshot = app.read().await?;
    seen_by(&mut snapshot, me, id).await
}

/// `GET /members/{id}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let member = card(&app, &me, &id).await?;
    let mut snapshot = app.read().await?;
    let wishes = members::wishes(&mut snapshot, member.id).await?;
    let sign_in = accounts::sign_in_of(&mut snapshot, member.id).await?;
    let seasons = seasons::list(&mut snapshot).await?;
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&CardPage::new(
        &app,
        &visit,
        &me,
        &member,
        &wishes,
        (sign_in.as_ref(), seasons.first()),
        sheet,
    ))
}

/// A card that this person may change: one's own, or anybody's for stewards.
async fn own_card(app: &App, me: &Me, id: &str) -> Result<Member, PageError> {
    let member = card(app, me, id).await?;
    if member.id == me.id || me.is_steward() {
        Ok(member)
    } else {
        Err(PageError::Forbidden)
    }
}

/// `GET /members/{id}/edit`
pub async fn edit(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let member = own_card(&app, &me, &id).await?;
    let mut snapshot = app.read().await?;
    let wishes = members::wishes(&mut snapshot, member.id).await?;
    let sheet = form::of(
        Sheet::blank(&visit, &app.ids),
        &member,
        &wishes,
        visit.units(),
    );
    page(&FormPage::changing(&app, &visit, &me, member.id, sheet))
}

/// `POST /members/{id}/edit`
pub async fn update(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let member = own_card(&app, &me, &id).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    if !me.is_steward() {
        sheet.put("role", member.role.word());
    }
    let version = sheet.typed("version").parse().unwrap_or(0);
    if let Some(new) = form::member(&mut sheet, visit.units()) {
        match actions::change(&app.act(&me, visit.at, sent.key()), member.id, version, new).await {
            Ok(id) => return see(&paths::member(id)),
            Err(stop) => {
                // Sent again, it is meant: the next try names the version that is there by then.
                sheet.put("version", member.version.to_string());
                sheet.stop(stop)?;
            }
        }
    }
    page_with(
        sheet.status(),
        &FormPage::changing(&app, &visit, &me, member.id, sheet),
    )
}

/// `POST /members/{id}/invite`: shows the card once; the link is not kept.
pub async fn invite(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let member = card(&app, &me, &id).await?;
    let act = app.act(&me, visit.at, sent.key());
    match account_actions::invite(&act, member.id).await {
        Ok(token) => page(&InvitePage::new(&app, &visit, &member, &token)?),
        Err(stop) => refused(stop, member.id),
    }
}

/// `POST /members/{id}/let-go`
pub async fn let_go(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let member = card(&app, &me, &id).await?;
    match actions::let_go(&app.act(&me, visit.at, sent.key()), member.id).await {
        Ok(id) => see(&paths::member(id)),
        Err(stop) => refused(stop, member.id),
    }
}

/// `POST /members/{id}/take-back`
pub async fn take_back(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let member = card(&app, &me, &id).await?;
    match actions::take_back(&app.act(&me, visit.at, sent.key()), member.id).await {
        Ok(id) => see(&paths::member(id)),
        Err(stop) => refused(stop, member.id),
    }
}

/// A button's refusal has no form to go back into: a page of its own, with the way back.
fn refused(stop: Stop, id: MemberId) -> Page {
    match stop {
        Stop::Unmet(unmet) => Err(PageError::NotYet {
            sentence: unmet.sentence,
            back: paths::member(id),
        }),
        other => Err(other.into()),
    }
}
