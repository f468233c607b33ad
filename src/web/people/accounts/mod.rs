//! Setting up, signing in and out, joining by invitation, changing a passphrase.

mod form;
mod view;

#[cfg(test)]
pub(in crate::web) use view::samples;
pub(in crate::web) use view::unit_choices;

use crate::actions::hash_token;
use crate::actions::people::accounts as actions;
use crate::store::people::accounts;
use crate::units::{MemberId, Passphrase, SignInName};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::request::{FormRequest, Visitor};
use crate::web::session::{Me, Visit, cookie_name, set_cookie};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{ConnectInfo, FromRequestParts, Path, Query, State};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect};
use serde::Deserialize;
use std::convert::Infallible;
use std::net::SocketAddr;
use view::{JoinPage, PassphrasePage, SetUpPage, SignInPage};

/// The address a request came from, for the throttle: the proxy's word only behind a proxy of ours.
pub struct Address(String);

impl FromRequestParts<App> for Address {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Infallible> {
        let said = parts
            .headers
            .get("x-forwarded-for")
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

/// `GET /set-up`
pub async fn set_up_form(State(app): State<App>, visit: Visit) -> Page {
    if visit.coop.is_some() {
        return see(paths::HOME);
    }
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("units", "us");
    page(&SetUpPage::new(&app, &visit, sheet))
}

/// `POST /set-up`
pub async fn set_up(State(app): State<App>, visit: Visit, sent: Sent) -> Page {
    if visit.coop.is_some() {
        return see(paths::HOME);
    }
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::new_coop(&mut sheet) {
        let code = sheet.typed("code").to_owned();
        match actions::set_up(&app.writer, &app.ids, visit.at, &app.hashing, &code, new).await {
            Ok(member) => return signed_in(&app, &visit, member, paths::HOME).await,
            Err(stop) => sheet.stop(stop)?,
        }
    }
    sheet.forget(&["passphrase"]);
    page_with(sheet.status(), &SetUpPage::new(&app, &visit, sheet))
}

/// Where to go after signing in.
#[derive(Deserialize)]
pub struct Next {
    #[serde(default)]
    next: String,
}

/// Only a path of this site, so that nobody can be sent elsewhere.
fn own_path(next: &str) -> &str {
    let plain = next.starts_with('/')
        && !next.starts_with("//")
        && !next.contains(['\\', '\r', '\n', '\t']);
    if plain { next } else { paths::HOME }
}

/// `GET /sign-in`
pub async fn sign_in_form(State(app): State<App>, visit: Visit, Query(next): Query<Next>) -> Page {
    if visit.who.is_some() {
        return see(own_path(&next.next));
    }
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&SignInPage::new(&app, &visit, sheet, own_path(&next.next)))
}

/// `POST /sign-in`
pub async fn sign_in(address: Address, mut form: FormRequest<Visitor>) -> Page {
    let sent = &form.sent;
    let next = own_path(sent.get("next")).to_owned();
    let typed = sent.get("sign_in").trim().to_lowercase();
    let typed: String = typed.chars().take(60).collect();
    if let Some(seconds) = form.app.throttle.wait(&typed, &address.0, form.visit.at) {
        tracing::warn!(sign_in = ?typed, address = address.0, "sign-in throttled");
        return Err(PageError::TooMany { seconds });
    }
    let name = SignInName::parse(&typed).ok();
    let passphrase = Passphrase::typed(sent.get("passphrase"));
    let account = match &name {
        Some(name) => accounts::find(form.db.now().await?, name).await?,
        None => None,
    };
    form.db.give_back();
    let FormRequest {
        app,
        visit,
        mut sheet,
        ..
    } = form;
    let found = actions::check_passphrase(&app.hashing, account, passphrase).await?;
    if let Some(member) = found {
        app.throttle.succeeded(&typed);
        tracing::info!(sign_in = ?typed, address = address.0, "signed in");
        return signed_in(&app, &visit, member, &next).await;
    }
    app.throttle.failed(&typed, &address.0, visit.at);
    tracing::warn!(sign_in = ?typed, address = address.0, "sign-in failed");
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
pub async fn sign_out(State(app): State<App>, visit: Visit, _sent: Sent) -> Page {
    actions::sign_out(&app.writer, visit.cookie()).await?;
    let cookie = set_cookie(cookie_name(app.secure), "", 0, app.secure);
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to(paths::SIGN_IN)).into_response())
}

/// `GET /join/{token}`
pub async fn join_form(State(app): State<App>, visit: Visit, Path(token): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let invite = accounts::find_invite(&mut snapshot, &hash_token(&token), visit.at).await?;
    let invite = invite.ok_or_else(used_up)?;
    page(&JoinPage::new(
        &app,
        &visit,
        Sheet::blank(&visit, &app.ids),
        invite.name.as_str(),
        &token,
    ))
}

/// `POST /join/{token}`
pub async fn join(
    State(app): State<App>,
    visit: Visit,
    Path(token): Path<String>,
    sent: Sent,
) -> Page {
    let mut snapshot = app.read().await?;
    let invite = accounts::find_invite(&mut snapshot, &hash_token(&token), visit.at).await?;
    let invite = invite.ok_or_else(used_up)?;
    drop(snapshot);
    let mut sheet = Sheet::of(&visit, &sent);
    let (name, passphrase) = (
        sheet.read("sign_in", SignInName::parse),
        sheet.read("passphrase", Passphrase::parse),
    );
    if let (Some(name), Some(passphrase)) = (name, passphrase) {
        match actions::join(
            &app.writer,
            visit.at,
            &app.hashing,
            &token,
            name,
            passphrase,
        )
        .await
        {
            Ok(member) => return signed_in(&app, &visit, member, paths::HOME).await,
            Err(stop) => sheet.stop(stop)?,
        }
    }
    sheet.forget(&["passphrase"]);
    page_with(
        sheet.status(),
        &JoinPage::new(&app, &visit, sheet, invite.name.as_str(), &token),
    )
}

fn used_up() -> PageError {
    PageError::NotYet {
        sentence: "This invitation has been used or has run out. A steward can give you a new one."
            .to_owned(),
        back: paths::SIGN_IN.to_owned(),
    }
}

/// `GET /passphrase`
pub async fn passphrase_form(State(app): State<App>, visit: Visit) -> Page {
    page(&PassphrasePage::new(
        &app,
        &visit,
        Sheet::blank(&visit, &app.ids),
    ))
}

/// `POST /passphrase`
pub async fn passphrase(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = sheet.read("passphrase", Passphrase::parse) {
        let act = app.act(&me, visit.at, sent.key());
        let old = Passphrase::typed(sent.get("old"));
        match actions::change_passphrase(&act, &app.hashing, old, new, visit.cookie()).await {
            Ok(()) => return see(paths::HOME),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    sheet.forget(&["old", "passphrase"]);
    page_with(sheet.status(), &PassphrasePage::new(&app, &visit, sheet))
}
