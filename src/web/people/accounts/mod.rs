//! Setting up, signing in and out, joining by invitation, changing a passphrase.

mod form;
mod view;

#[cfg(test)]
pub(in crate::web) use view::samples;
pub(in crate::web) use view::{unit_choices, zone_choices};

use crate::actions::people::accounts as actions;
use crate::actions::people::accounts::{ANOTHER_PASSPHRASE, Arrival, USED_UP};
use crate::actions::{Act, Done, Stop, hash_token};
use crate::store::people::accounts;
use crate::units::{MemberId, Passphrase, SignInName};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest, Visitor};
use crate::web::session::{Visit, cookie, cookie_name, device_name, set_cookie};
use crate::web::throttle::Guess;
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{ConnectInfo, FromRequestParts, Path, Query};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::convert::Infallible;
use std::net::SocketAddr;
use view::{JoinPage, PassphrasePage, SetUpPage, SignInPage};

/// The address a request came from, for the throttle: the proxy's word only behind a proxy of ours. It writes its word
/// last, as a header of its own or behind those that came.
pub(crate) struct Address(String);

impl FromRequestParts<App> for Address {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Infallible> {
        let said = parts
            .headers
            .get_all("x-forwarded-for")
            .iter()
            .next_back()
            .filter(|_| app.behind_proxy)
            .and_then(|v| v.to_str().ok())
            .and_then(|v| v.rsplit(',').next())
            .map(|v| v.trim().to_owned());
        let peer = parts
            .extensions
            .get::<ConnectInfo<SocketAddr>>()
            .map(|c| c.0.ip().to_string());
        Ok(Self(said.or(peer).unwrap_or_default()))
    }
}

impl Address {
    /// As text; empty when nobody knows it.
    pub(in crate::web) fn as_str(&self) -> &str {
        &self.0
    }
}

/// The mark of a device that somebody signed in with before, as its browser kept it.
pub(crate) struct Device(Option<String>);

impl FromRequestParts<App> for Device {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Infallible> {
        let mark = cookie(&parts.headers, device_name(app.secure));
        Ok(Self(mark.map(str::to_owned)))
    }
}

/// How long a browser keeps the mark, seconds: a year, from one season to the next.
const DEVICE_S: i64 = 366 * 86_400;

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
pub(crate) async fn set_up(address: Address, mut form: FormRequest<Visitor>) -> Page {
    if let Some(new) = form::new_coop(&mut form.sheet) {
        let guess = Guess::from_address(&typed_name(&form), &address.0);
        count(&form, &guess, &address)?;
        let code = form.sheet.typed("code").to_owned();
        let done = actions::set_up(&arrival(&mut form), &code, new).await;
        if let Some(page) = arrived(&mut form, &address, done).await? {
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
    from: &Address,
    done: Done<MemberId>,
) -> Result<Option<Response>, PageError> {
    let guessed = matches!(&done, Err(Stop::Unmet(unmet)) if unmet.code == ANOTHER_PASSPHRASE);
    let guess = Guess::from_address(&typed_name(form), &from.0);
    if guessed {
        form.app.throttle.failed(&guess, form.visit.at);
    } else {
        form.app.throttle.undo(&guess);
    }
    let member = done.as_ref().ok().copied();
    form.settled(done, |_| paths::SIGN_IN.to_owned())?;
    match member {
        Some(member) => signed_in(&form.app, &form.visit, member, paths::HOME)
            .await
            .map(Some),
        None => Ok(None),
    }
}

/// The name typed to sign in with, cut to what a name may have.
fn typed_name(form: &FormRequest<Visitor>) -> String {
    let typed = form.sent.get("sign_in").trim().to_lowercase();
    typed.chars().take(60).collect()
}

/// Counts a guess at a passphrase; refuses where there were too many.
fn count(form: &FormRequest<Visitor>, guess: &Guess, from: &Address) -> Result<(), PageError> {
    form.app
        .throttle
        .count(guess, form.visit.at)
        .map_err(|seconds| {
            tracing::warn!(address = from.0, "sign-in throttled");
            PageError::TooMany { seconds }
        })
}

/// Where to go after signing in.
#[derive(Deserialize)]
pub(crate) struct Next {
    #[serde(default)]
    next: String,
}

/// Only a path of this site, so that nobody can be sent elsewhere.
pub(in crate::web) fn own_path(next: &str) -> &str {
    let plain = next.starts_with('/')
        && !next.starts_with("//")
        && !next.contains(['\\', '\r', '\n', '\t']);
    if plain { next } else { paths::HOME }
}

/// `GET /sign-in`
pub(crate) async fn sign_in_form(Query(next): Query<Next>, request: PageRequest<Visitor>) -> Page {
    let sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    if visit.station.is_some() {
        return see(paths::STATION);
    }
    if visit.who.is_some() {
        return see(own_path(&next.next));
    }
    page(&SignInPage::new(&app, &visit, sheet, own_path(&next.next)))
}

/// `POST /sign-in`
pub(crate) async fn sign_in(
    address: Address,
    Device(known): Device,
    mut form: FormRequest<Visitor>,
) -> Page {
    let typed = typed_name(&form);
    let next = own_path(form.sent.get("next")).to_owned();
    let passphrase = Passphrase::typed(form.sent.get("passphrase"));
    let account = match SignInName::parse(&typed) {
        Ok(name) => accounts::find(form.db.now().await?, &name).await?,
        Err(_) => None,
    };
    form.db.give_back();
    let mark = account.as_ref().map(|a| actions::device_mark(&typed, a));
    let own_device = mark
        .as_ref()
        .is_some_and(|mark| known.as_deref() == Some(mark.as_str()));
    let guess = if own_device {
        Guess::from_own_device(&typed)
    } else {
        Guess::from_address(&typed, &address.0)
    };
    count(&form, &guess, &address)?;
    let FormRequest {
        app,
        visit,
        mut sheet,
        ..
    } = form;
    let still = || app.throttle.still(&guess, visit.at);
    let looked = actions::check_passphrase_if(&app.hashing, account, passphrase, still).await?;
    let Some(found) = looked else {
        return Err(PageError::TooMany { seconds: 15 * 60 });
    };
    if let Some(member) = found {
        app.throttle.succeeded(&guess);
        tracing::info!(%member, address = address.0, "signed in");
        let mut page = signed_in(&app, &visit, member, &next).await?;
        if let Some(mark) = mark {
            let kept = set_cookie(device_name(app.secure), mark.as_str(), DEVICE_S, app.secure);
            page.headers_mut().append(header::SET_COOKIE, kept);
        }
        return Ok(page);
    }
    app.throttle.failed(&guess, visit.at);
    // Not what was typed: a passphrase may stand in the wrong box.
    tracing::warn!(address = address.0, "sign-in failed");
    sheet.forget(&["passphrase"]);
    sheet.refuse(
        "passphrase",
        "Name and passphrase do not belong together. Please try again.",
    );
    page_with(
        StatusCode::UNPROCESSABLE_ENTITY,
        &SignInPage::new(&app, &visit, sheet, &next),
    )
}

async fn signed_in(app: &App, visit: &Visit, member: MemberId, next: &str) -> Page {
    let token = actions::open_session(&app.writer, visit.at, member, visit.cookie()).await?;
    let cookie = set_cookie(
        cookie_name(app.secure),
        token.as_str(),
        actions::ABSOLUTE_S,
        app.secure,
    );
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(next)).into_response())
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
    let name = invite.name.as_str();
    page(&JoinPage::new(&app, &visit, sheet, name, &token))
}

/// `POST /join/{token}`
pub(crate) async fn join(
    address: Address,
    Path(token): Path<String>,
    mut form: FormRequest<Visitor>,
) -> Page {
    let (name, passphrase) = (
        form.sheet.read("sign_in", SignInName::parse),
        form.sheet.read("passphrase", Passphrase::parse),
    );
    if let (Some(name), Some(passphrase)) = (name, passphrase) {
        let guess = Guess::from_address(&typed_name(&form), &address.0);
        count(&form, &guess, &address)?;
        let done = actions::join(&arrival(&mut form), &token, name, passphrase).await;
        if let Some(page) = arrived(&mut form, &address, done).await? {
            return Ok(page);
        }
    }
    form.sheet.forget(&["passphrase"]);
    let (hash, at) = (hash_token(&token), form.visit.at);
    let invite = accounts::find_invite(form.db.now().await?, &hash, at).await?;
    let FormRequest {
        app, visit, sheet, ..
    } = form;
    // Without an invitation there is no form to show again.
    let invite = invite.ok_or_else(|| used_up(sheet.problem.clone()))?;
    page_with(
        sheet.status(),
        &JoinPage::new(&app, &visit, sheet, invite.name.as_str(), &token),
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
    // The old one is guessed at like any other: by whoever finds a telephone that is signed in.
    let guess = Guess::from_address(&format!("old {}", form.me.id), &address.0);
    let throttle = form.app.throttle.clone();
    if new.is_some() {
        throttle
            .count(&guess, form.visit.at)
            .map_err(|seconds| PageError::TooMany { seconds })?;
    }
    form.end(
        new,
        async |act: &Act, new| {
            let done = actions::change_passphrase(act, &hashing, old, new, &cookie).await;
            match &done {
                Ok(()) => throttle.succeeded(&guess),
                Err(Stop::Unmet(unmet)) if unmet.code == "passphrase-wrong" => {}
                Err(_) => throttle.undo(&guess),
            }
            done
        },
        |()| paths::HOME.to_owned(),
        async |mut form| {
            form.sheet.forget(&["old", "passphrase"]);
            let status = form.sheet.status();
            page_with(
                status,
                &PassphrasePage::new(&form.app, &form.visit, form.sheet),
            )
        },
    )
    .await
}
