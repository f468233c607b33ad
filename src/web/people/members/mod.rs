//! Members: the list, a card, adding, changing, inviting, letting go.

mod everybody;
mod forgotten;
mod form;
mod invitation;
mod list;
mod pasted;
mod view;

use crate::actions::people::accounts as account_actions;
use crate::actions::people::members::{self as actions, Proof};
use crate::actions::{Act, hash_token};
use crate::facts::people::all_about;
use crate::facts::people::members::MemberCard;
use crate::facts::written_history;
use crate::store::Snapshot;
use crate::store::home;
use crate::store::people::members::Member;
use crate::store::people::{accounts, household, members};
use crate::store::season::seasons;
use crate::units::{Grams, MemberId, Passphrase};
use crate::web::changes::rows;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::page::only_if;
use crate::web::people::household::lines::lines;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Me;
use crate::web::{Page, page, page_with, paths};
use axum::extract::Path;
use axum::http::header;
use axum::response::IntoResponse;
pub(crate) use everybody::{invite_all, invite_all_form};
use invitation::InvitePage;
pub(crate) use list::list;
pub(crate) use pasted::{paste, take_pasted};
use view::{CardPage, FormPage};

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut all = view::samples();
    all.extend(invitation::samples());
    all.extend(list::samples());
    all.extend(everybody::samples());
    all.extend(pasted::samples());
    all
}

/// `GET /members/new`
pub(crate) async fn new(request: PageRequest) -> Page {
    let mut sheet = request.blank();
    let PageRequest { app, visit, me, .. } = request;
    sheet
        .put("units", visit.coop()?.units.word())
        .put("clock", "24")
        .put("role", "member");
    page(&FormPage::adding(&app, &visit, &me, sheet))
}

/// `POST /members/new`
pub(crate) async fn create(mut form: FormRequest) -> Page {
    let new = form::member(&mut form.sheet, form.visit.units());
    form.end(new, actions::add, paths::member, async |form| {
        let status = form.sheet.status();
        page_with(
            status,
            &FormPage::adding(&form.app, &form.visit, &form.me, form.sheet),
        )
    })
    .await
}

/// The member whose id stands in an address.
pub(in crate::web) async fn of_path(db: &mut Snapshot, id: &str) -> Result<Member, PageError> {
    let id = MemberId::parse(id).ok_or(PageError::NotFound)?;
    members::find(id).ask(db).await?.ok_or(PageError::NotFound)
}

/// A member that this person may see: oneself, or anybody for crew.
pub(in crate::web) async fn seen_by(
    db: &mut Snapshot,
    me: &Me,
    id: &str,
) -> Result<Member, PageError> {
    let member = of_path(db, id).await?;
    if me.may_see(member.id) {
        Ok(member)
    } else {
        Err(PageError::NotFound)
    }
}

/// `GET /members/{id}`
pub(crate) async fn show(request: PageRequest, Path(id): Path<String>) -> Page {
    let sheet = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let member = seen_by(&mut db, &me, &id).await?;
    let card = MemberCard::of(&mut db, member).await?;
    let season = seasons::latest().ask(&mut db).await?;
    let mut view = CardPage::new(&app, &visit, &me, &card, season.as_ref(), sheet);
    if me.id == card.member.id && !card.household.is_empty() {
        let people = household::people_of(me.id).ask(&mut db).await?;
        let blank = || Sheet::blank(&visit, &app.ids);
        view = view.with_letters(lines(me.id, &people, visit.zone()?, &blank));
    }
    if !me.is_steward() {
        return page(&view);
    }
    let stands = home::balance(card.member.id).ask(&mut db).await?;
    let settle = only_if(stands.grams > Grams::ZERO, paths::settle(card.member.id));
    let stands = only_if(
        stands.is_open(),
        actions::stands_says(&stands, visit.units()),
    );
    let zone = visit.zone()?;
    let changes = written_history::of_card(&mut db, zone, card.member.id).await?;
    page(&view.for_steward((stands, settle), rows(changes, zone)))
}

/// `GET /members/{id}/all.zip`: for the member, and for stewards.
pub(crate) async fn all_about(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let member = own_card(&mut request.db, &request.me, &id).await?;
    let (me, at) = (request.me.id, request.visit.at);
    if let Some(seconds) = request.app.throttle.takes_out_too_often(me, at) {
        return Err(PageError::TooMany { seconds });
    }
    let zone = request.visit.zone()?;
    let packed = all_about::packed(&mut request.db, member.id, zone)
        .await?
        .map_err(|_| {
            PageError::Fault("one member's records are too large to be packed".to_owned())
        })?;
    let name = format!("attachment; filename=\"member-{}.zip\"", member.number);
    let headers = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_DISPOSITION, name),
    ];
    Ok((headers, packed).into_response())
}

/// A card that this person may change: one's own, or anybody's for stewards.
pub(in crate::web) async fn own_card(
    db: &mut Snapshot,
    me: &Me,
    id: &str,
) -> Result<Member, PageError> {
    let member = seen_by(db, me, id).await?;
    if member.id == me.id || me.is_steward() {
        Ok(member)
    } else {
        Err(PageError::Forbidden)
    }
}

/// `GET /members/{id}/edit`
pub(crate) async fn edit(request: PageRequest, Path(id): Path<String>) -> Page {
    let blank = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let member = own_card(&mut db, &me, &id).await?;
    let card = MemberCard::of(&mut db, member).await?;
    let sheet = form::of(blank, &card, visit.units());
    page(&FormPage::changing(
        &app,
        &visit,
        &me,
        card.member.id,
        sheet,
    ))
}

/// `POST /members/{id}/edit`
pub(crate) async fn update(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = own_card(form.db.now().await?, &form.me, &id).await?;
    if !form.me.is_steward() {
        form.sheet
            .put("role", member.role.word())
            .put("name", member.name.as_str());
    }
    let version = form.sheet.typed("version").parse().unwrap_or(0);
    let new = form::member(&mut form.sheet, form.visit.units());
    let typed = Passphrase::typed(form.sheet.typed("passphrase"));
    form.sheet.forget(&["passphrase"]);
    let hashing = form.app.hashing.clone();
    form.next_try_names(new.as_ref(), "version", member.version);
    form.end(
        new,
        async |act: &Act, new| {
            let proof = Proof {
                hashing: &hashing,
                passphrase: typed,
            };
            actions::change(act, member.id, version, new, proof).await
        },
        paths::member,
        async |form| {
            page_with(
                form.sheet.status(),
                &FormPage::changing(&form.app, &form.visit, &form.me, member.id, form.sheet),
            )
        },
    )
    .await
}

/// `POST /members/{id}/invite`: shows the card; the link is not kept, and the same form sent again shows the
/// same one.
pub(crate) async fn invite(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = seen_by(form.db.now().await?, &form.me, &id).await?;
    let back = paths::member(member.id);
    let token = form.visit.secret_of_form("invitation", &form.as_form());
    let act = form.act();
    let done = account_actions::invite(&act, member.id, &token).await;
    let sentence = if form.ended(done, |_| back.clone())?.is_none() {
        form.sheet.first_problem()
    } else {
        let (hash, at) = (hash_token(token.as_str()), form.visit.at);
        let now = form.db.now().await?;
        if accounts::find_invite(now, &hash, at).await?.is_some() {
            return page(&InvitePage::new(&form.app, &form.visit, &member, &token)?);
        }
        // The form was done long ago.
        "This invitation has been used, has run out, or a newer one was made. Please make a new one."
            .to_owned()
    };
    Err(PageError::NotYet { sentence, back })
}

/// `POST /members/{id}/let-go`
pub(crate) async fn let_go(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let id = seen_by(form.db.now().await?, &form.me, &id).await?.id;
    let knows = form.sheet.ticked("knows");
    let let_go = async |act: &Act| actions::let_go(act, id, knows).await;
    form.press(let_go, paths::member(id)).await
}

/// `POST /members/{id}/take-back`
pub(crate) async fn take_back(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let id = seen_by(form.db.now().await?, &form.me, &id).await?.id;
    let take_back = async |act: &Act| actions::take_back(act, id).await;
    form.press(take_back, paths::member(id)).await
}
