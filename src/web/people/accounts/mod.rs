//! Setting up, signing in and out, joining by invitation, changing a passphrase.

mod door;
mod form;
mod view;

pub(in crate::web) use door::own_path;
pub(crate) use door::{Address, Device, code};
#[cfg(test)]
pub(in crate::web) use view::samples;
pub(in crate::web) use view::{unit_choices, zone_choices};

use crate::actions::people::accounts as actions;
use crate::actions::people::accounts::{ANOTHER_PASSPHRASE, Arrival, USED_UP};
use crate::actions::people::passphrase as changed;
use crate::actions::{Act, Done, Stop, hash_token};
use crate::store::Question;
use crate::store::people::accounts;
use crate::store::restores::{self, RestoreRow};
use crate::units::{MemberId, Passphrase, SignInName, UtcSecond};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest, Visitor};
use crate::web::session::{cookie_name, set_cookie};
use crate::web::throttle::Guess;
use crate::web::{Page, page, page_with, paths, see};
use axum::extract::{Path, Query};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use door::{count, let_in, looked_at, typed_name, waits};
use serde::Deserialize;
use view::{JoinPage, PassphrasePage, SetUpPage, SignInPage};

/// `GET /set-up`
pub(crate) async fn set_up_form(request: PageRequest<Visitor>) -> Page {
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    if visit.coop.is_some() {
        return see(paths::HOME);
    }
    sheet.put("units", "us");
    page(&SetUpPage::new(&app, &visit, sheet))
}

/// `POST /set-up`
pub(crate) async fn set_up(
    address: Address,
    device: Device,
    mut form: FormRequest<Visitor>,
) -> Page {
    if let Some(new) = form::new_coop(&mut form.sheet) {
        let guess = Guess::from_address(&typed_name(&form), &address.0);
        count(&form, &guess, &address)?;
        let code = form.sheet.typed("code").to_owned();
        let done = actions::set_up(&arrival(&mut form), &code, new).await;
        let from = (&address, &device);
        if let Some(page) = arrived(&mut form, from, Some(&guess), done).await? {
            return Ok(page);
        }
    }
    let FormRequest {
        app,
        visit,
        mut sheet,
        ..
    } = form;
    if visit.coop.is_some() {
        return see(paths::HOME);
    }
    sheet.forget(&["passphrase"]);
    page_with(sheet.status(), &SetUpPage::new(&app, &visit, sheet))
}

/// What an action is handed that lets somebody in; the moment read from is given back, as with every action.
fn arrival(form: &mut FormRequest<Visitor>) -> Arrival {
    form.db.give_back();
    Arrival {
        writer: form.app.writer.clone(),
        at: form.visit.at,
        ids: form.app.ids.clone(),
        hashing: form.app.hashing.clone(),
        form: form.as_form(),
    }
}

/// Lets in whoever set up or joined; or nothing, and the form holds the problem and is to be shown again.
async fn arrived(
    form: &mut FormRequest<Visitor>,
    (from, device): (&Address, &Device),
    counted: Option<&Guess>,
    done: Done<MemberId>,
) -> Result<Option<Response>, PageError> {
    let guessed =
        matches!(&done, Err(Stop::RuleRefusal(refusal)) if refusal.code == ANOTHER_PASSPHRASE);
    match counted {
        Some(guess) if guessed => form.app.throttle.failed(guess, form.visit.at),
        Some(guess) => form.app.throttle.undo(guess),
        None => {}
    }
    let member = done.as_ref().ok().copied();
    form.ended(done, |_| paths::SIGN_IN.to_owned())?;
    match member {
        Some(member) => let_in(form, (from, device), member, paths::HOME)
            .await
            .map(Some),
        None => Ok(None),
    }
}

/// The address to go to after signing in.
#[derive(Deserialize)]
pub(crate) struct Next {
    #[serde(default)]
    next: String,
}

/// `GET /sign-in`
pub(crate) async fn sign_in_form(Query(next): Query<Next>, request: PageRequest<Visitor>) -> Page {
    let sheet = request.blank();
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    if visit.station.is_some() {
        return see(paths::STATION);
    }
    if visit.who.is_some() {
        return see(own_path(&next.next));
    }
    let older = restored_lately(visit.at).ask(&mut db).await?;
    let next = own_path(&next.next);
    page(&SignInPage::new(
        (&app, &visit),
        sheet,
        next,
        older.as_ref(),
    ))
}

/// How long the page to sign in says that a backup brought older passphrases back, seconds: two months.
const OLDER_TOLD_S: i64 = 61 * 86_400;

/// A backup that was put in place lately and may have brought older passphrases back.
fn restored_lately(at: UtcSecond) -> Question<Option<RestoreRow>> {
    restores::older_passphrases(UtcSecond::new(at.get() - OLDER_TOLD_S))
}

/// `POST /sign-in`
pub(crate) async fn sign_in(
    address: Address,
    device: Device,
    mut form: FormRequest<Visitor>,
) -> Page {
    let typed = typed_name(&form);
    let next = own_path(form.sent.get("next")).to_owned();
    let passphrase = Passphrase::typed(form.sent.get("passphrase"));
    let account = match SignInName::parse(&typed) {
        Ok(name) => accounts::find(form.db.now().await?, &name).await?,
        Err(_) => None,
    };
    let older = restored_lately(form.visit.at)
        .ask(form.db.now().await?)
        .await?;
    form.db.give_back();
    let mark = account.as_ref().map(|a| actions::device_mark(&typed, a));
    let guess = if device.is(mark.as_ref()) {
        Guess::from_own_device(&typed)
    } else {
        Guess::from_address(&typed, &address.0)
    };
    waits(&form, &guess, &address)?;
    let looked = looked_at(&form, guess, account, passphrase).await?;
    let Some(found) = looked else {
        return Err(PageError::TooMany { seconds: 15 * 60 });
    };
    if let Some(found) = found {
        return let_in(&mut form, (&address, &device), found, &next).await;
    }
    let FormRequest {
        app,
        visit,
        mut sheet,
        ..
    } = form;
    // What was typed is not logged: a passphrase may stand in the wrong box.
    tracing::warn!(address = address.0, "sign-in failed");
    sheet.forget(&["passphrase"]);
    sheet.refuse(
        "passphrase",
        "Name and passphrase do not belong together. Please try again.",
    );
    page_with(
        StatusCode::UNPROCESSABLE_ENTITY,
        &SignInPage::new((&app, &visit), sheet, &next, older.as_ref()),
    )
}

/// `POST /sign-out`
pub(crate) async fn sign_out(mut form: FormRequest) -> Page {
    form.db.give_back();
    actions::sign_out(&form.app.writer, form.visit.cookie()).await?;
    let secure = form.app.secure;
    let cookie = set_cookie(cookie_name(secure), "", 0, secure);
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(paths::SIGN_IN)).into_response())
}

/// `GET /join/{token}`
pub(crate) async fn join_form(Path(token): Path<String>, request: PageRequest<Visitor>) -> Page {
    let sheet = request.blank();
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    let invite = accounts::find_invite(&mut db, &hash_token(&token), visit.at)
        .await?
        .ok_or_else(|| used_up(None))?;
    let known = accounts::sign_in_of(&mut db, invite.member_id).await?;
    let of = (&invite, known.as_ref());
    page(&JoinPage::new(&app, &visit, sheet, of, &token))
}

/// `POST /join/{token}`
pub(crate) async fn join(
    address: Address,
    device: Device,
    Path(token): Path<String>,
    mut form: FormRequest<Visitor>,
) -> Page {
    let (name, passphrase) = (
        form.sheet.read("sign_in", SignInName::parse),
        form.sheet.read("passphrase", Passphrase::parse),
    );
    if let (Some(name), Some(passphrase)) = (name, passphrase) {
        let (hash, at) = (hash_token(&token), form.visit.at);
        let invite = accounts::find_invite(form.db.now().await?, &hash, at).await?;
        form.db.give_back();
        // An invitation that still opens is no guess: it gets in whoever was shut out for wrong ones.
        let guess = invite
            .is_none()
            .then(|| Guess::from_address(&typed_name(&form), &address.0));
        if let Some(guess) = &guess {
            count(&form, guess, &address)?;
        }
        let answers = form::answers(&form.sheet);
        let done = actions::join(&arrival(&mut form), &token, name, passphrase, answers).await;
        let from = (&address, &device);
        if let Some(page) = arrived(&mut form, from, guess.as_ref(), done).await? {
            return Ok(page);
        }
    }
    form.sheet.forget(&["passphrase"]);
    let (hash, at) = (hash_token(&token), form.visit.at);
    let invite = accounts::find_invite(form.db.now().await?, &hash, at).await?;
    let known = match &invite {
        Some(invite) => accounts::sign_in_of(form.db.now().await?, invite.member_id).await?,
        None => None,
    };
    let FormRequest {
        app, visit, sheet, ..
    } = form;
    // Without an invitation there is no form to show again.
    let invite = invite.ok_or_else(|| used_up(sheet.problem.clone()))?;
    let of = (&invite, known.as_ref());
    page_with(
        sheet.status(),
        &JoinPage::new(&app, &visit, sheet, of, &token),
    )
}

/// An invitation opens nothing any more; `problem` is what the form was refused for.
fn used_up(problem: Option<String>) -> PageError {
    PageError::NotYet {
        sentence: problem.unwrap_or_else(|| USED_UP.to_owned()),
        back: paths::SIGN_IN.to_owned(),
    }
}

/// `GET /passphrase`
pub(crate) async fn passphrase_form(request: PageRequest) -> Page {
    let sheet = request.blank();
    page(&PassphrasePage::new(&request.app, &request.visit, sheet))
}

/// `POST /passphrase`
pub(crate) async fn passphrase(address: Address, mut form: FormRequest) -> Page {
    let new = form.sheet.read("passphrase", Passphrase::parse);
    let old = Passphrase::typed(form.sent.get("old"));
    let (hashing, cookie) = (form.app.hashing.clone(), form.visit.cookie().to_owned());
    // Whoever finds a telephone that is signed in could guess the old passphrase here, so tries are counted.
    let guess = Guess::from_address(&format!("old {}", form.me.id), &address.0);
    let throttle = form.app.throttle.clone();
    if new.is_some() {
        throttle
            .count(&guess, form.visit.at)
            .map_err(|seconds| PageError::TooMany { seconds })?;
    }
    form.end_showing(
        new,
        async |act: &Act, new| {
            let done = changed::change(act, &hashing, old, new, &cookie).await;
            match &done {
                Ok(()) => throttle.succeeded(&guess),
                Err(Stop::RuleRefusal(refusal)) if refusal.code == "passphrase-wrong" => {}
                Err(_) => throttle.undo(&guess),
            }
            done
        },
        |()| paths::HOME.to_owned(),
        |app, visit, mut sheet| {
            sheet.forget(&["old", "passphrase"]);
            Ok(PassphrasePage::new(app, visit, sheet))
        },
    )
    .await
}
