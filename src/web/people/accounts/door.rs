//! The door: where a request comes from, how often a passphrase may be guessed, and what lets somebody in who knew
//! it: the session itself, or first the code of a second factor.

use super::view::CodePage;
use crate::actions::people::{accounts as actions, second_factor};
use crate::actions::{Done, Token};
use crate::store::people::accounts::{self, Account};
use crate::store::people::second_factor as stored;
use crate::units::{MemberId, Passphrase, SignInName, UtcSecond};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, Visitor};
use crate::web::session::{cookie, cookie_name, device_name, set_cookie};
use crate::web::throttle::Guess;
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect};
use std::convert::Infallible;
use std::net::SocketAddr;

/// The address a request came from, for the throttle: the proxy's word only behind a proxy of ours. It writes its word
/// last, as a header of its own or behind those that came.
pub(crate) struct Address(pub(super) String);

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
    /// The address as text; empty when it is not known.
    pub(in crate::web) fn as_str(&self) -> &str {
        &self.0
    }
}

/// The device that a request comes from.
pub(crate) struct Device {
    /// The mark of somebody having signed in with it before, as its browser kept it.
    mark: Option<String>,
    /// The name that its browser gives itself, shortened.
    name: String,
}

impl FromRequestParts<App> for Device {
    type Rejection = Infallible;
    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Infallible> {
        let mark = cookie(&parts.headers, device_name(app.secure));
        let agent = parts.headers.get(header::USER_AGENT);
        let agent = agent.and_then(|v| v.to_str().ok()).unwrap_or_default();
        Ok(Self {
            mark: mark.map(str::to_owned),
            name: named(agent),
        })
    }
}

impl Device {
    /// Whether the device bears this mark.
    pub(super) fn is(&self, mark: Option<&Token>) -> bool {
        mark.is_some_and(|mark| self.mark.as_deref() == Some(mark.as_str()))
    }
}

/// What a browser says it is, in words: "Firefox on Android". Empty where it says nothing known. Only for its owner to
/// tell one from another: a browser may say what it likes.
fn named(agent: &str) -> String {
    // The order matters: most browsers also claim to be others.
    let first = |all: &[(&str, &'static str)]| {
        let found = all.iter().find(|(mark, _)| agent.contains(mark));
        found.map(|(_, name)| *name)
    };
    let browser = first(&[
        ("Firefox", "Firefox"),
        ("FxiOS", "Firefox"),
        ("Edg", "Edge"),
        ("SamsungBrowser", "Samsung Internet"),
        ("OPR", "Opera"),
        ("Chrome", "Chrome"),
        ("CriOS", "Chrome"),
        ("Safari", "Safari"),
    ]);
    let system = first(&[
        ("Android", "Android"),
        ("iPhone", "iPhone"),
        ("iPad", "iPad"),
        ("Windows", "Windows"),
        ("Macintosh", "a Mac"),
        ("CrOS", "a Chromebook"),
        ("Linux", "Linux"),
    ]);
    match (browser, system) {
        (Some(browser), Some(system)) => format!("{browser} on {system}"),
        (Some(one), None) | (None, Some(one)) => one.to_owned(),
        (None, None) => String::new(),
    }
}

/// How long a browser keeps the mark, seconds: a year, from one season to the next.
const DEVICE_S: i64 = 366 * 86_400;

/// The name typed to sign in with, cut to what a name may have.
pub(super) fn typed_name(form: &FormRequest<Visitor>) -> String {
    let typed = form.sent.get("sign_in").trim().to_lowercase();
    typed.chars().take(60).collect()
}

/// Counts a guess at a passphrase; refuses where there were too many.
pub(super) fn count(
    form: &FormRequest<Visitor>,
    guess: &Guess,
    from: &Address,
) -> Result<(), PageError> {
    in_time(from, form.app.throttle.count(guess, form.visit.at))
}

/// Refuses a guess where there were too many before it.
pub(super) fn waits(
    form: &FormRequest<Visitor>,
    guess: &Guess,
    from: &Address,
) -> Result<(), PageError> {
    in_time(from, form.app.throttle.waits(guess, form.visit.at))
}

/// Looks at a passphrase once its turn has come; nothing when there were too many wrong ones by then. It is counted
/// with its turn and told before the next one's, so that many right ones at once are all let in, and of many wrong ones
/// no more are looked at than of as many sent one after the other.
pub(super) async fn looked_at(
    form: &FormRequest<Visitor>,
    guess: Guess,
    account: Option<Account>,
    passphrase: Passphrase,
) -> Done<Option<Option<MemberId>>> {
    let (throttle, at) = (form.app.throttle.clone(), form.visit.at);
    let still = || throttle.count(&guess, at).is_ok();
    let (of, told_guess) = (throttle.clone(), guess.clone());
    let told = move |right: bool| {
        if right {
            of.succeeded(&told_guess);
        } else {
            of.failed(&told_guess, at);
        }
    };
    actions::check_passphrase_if(&form.app.hashing, account, passphrase, (still, told)).await
}

/// Refuses what the throttle holds up, and says so in the log.
fn in_time(from: &Address, counted: Result<(), i64>) -> Result<(), PageError> {
    counted.map_err(|seconds| {
        tracing::warn!(address = from.0, "sign-in throttled");
        PageError::TooMany { seconds }
    })
}

/// The address if it is a path of this site, else home: nobody can be sent elsewhere.
pub(in crate::web) fn own_path(next: &str) -> &str {
    let plain = next.starts_with('/')
        && !next.starts_with("//")
        && !next.contains(['\\', '\r', '\n', '\t']);
    if plain { next } else { paths::HOME }
}

/// Seconds that the code of a second factor may be typed after the passphrase was right.
const CODE_S: i64 = 5 * 60;

/// Lets somebody in who knew the passphrase, or used an invitation: to `next`; or to the page that asks for the code of
/// a second factor.
pub(super) async fn let_in(
    form: &mut FormRequest<Visitor>,
    (from, device): (&Address, &Device),
    member: MemberId,
    next: &str,
) -> Page {
    let now = form.db.now().await?;
    let name = accounts::sign_in_of(now, member).await?;
    let account = accounts::of_member(now, member).await?;
    let second = stored::is_set(member).ask(now).await?;
    form.db.give_back();
    let (Some(name), Some(account)) = (name, account) else {
        return see(paths::SIGN_IN);
    };
    if !second {
        return signed_in(form, (from, device), (&name, &account), next).await;
    }
    let (at, cookie) = (form.visit.at, form.visit.cookie());
    let mark = actions::second_mark(name.as_str(), &account, at, cookie);
    form.sheet.forget(&["passphrase"]);
    form.sheet
        .put("sign_in", name.as_str())
        .put("said", at.get().to_string())
        .put("mark", mark.as_str())
        .put("next", next);
    page(&CodePage::new(&form.app, &form.visit, form.sheet.clone()))
}

/// `POST /sign-in/code`: the code of a second factor, after the passphrase was right.
pub(crate) async fn code(address: Address, device: Device, mut form: FormRequest<Visitor>) -> Page {
    let next = own_path(form.sent.get("next")).to_owned();
    let said = form.sent.get("said").parse().map(UtcSecond::new);
    let name = SignInName::parse(&typed_name(&form));
    let (Ok(said), Ok(name)) = (said, name) else {
        return see(paths::SIGN_IN);
    };
    let account = accounts::find(form.db.now().await?, &name).await?;
    form.db.give_back();
    let known = account.filter(|account| {
        let mark = actions::second_mark(name.as_str(), account, said, form.visit.cookie());
        let fresh = (0..CODE_S).contains(&(form.visit.at.get() - said.get()));
        fresh && !account.left && form.sent.get("mark") == mark.as_str()
    });
    let Some(account) = known else {
        // Typing the code took too long, or the passphrase was changed meanwhile.
        return see(&paths::sign_in_then(&next));
    };
    let guess = Guess::at_code(&account.member_id.to_string(), &address.0);
    count(&form, &guess, &address)?;
    let (writer, at) = (form.app.writer.clone(), form.visit.at);
    let typed = form.sent.get("code").to_owned();
    if second_factor::opens(&writer, at, account.member_id, &typed).await? {
        form.app.throttle.succeeded(&guess);
        return signed_in(&form, (&address, &device), (&name, &account), &next).await;
    }
    form.app.throttle.failed(&guess, at);
    tracing::warn!(member = %account.member_id, address = address.0, "wrong code at sign-in");
    form.sheet.forget(&["code"]);
    form.sheet.refuse(
        "code",
        "That is not the code of this moment. Please type the one that is shown now, or a recovery code.",
    );
    let again = CodePage::new(&form.app, &form.visit, form.sheet);
    page_with(StatusCode::UNPROCESSABLE_ENTITY, &again)
}

/// Opens the session, and marks the device as one that its owner signed in with.
async fn signed_in(
    form: &FormRequest<Visitor>,
    (from, device): (&Address, &Device),
    (name, account): (&SignInName, &Account),
    next: &str,
) -> Page {
    let (app, visit) = (&form.app, &form.visit);
    let (member, old) = (account.member_id, visit.cookie());
    let token = actions::open_session_on(&app.writer, visit.at, member, old, &device.name).await?;
    tracing::info!(%member, address = from.0, "signed in");
    let session = set_cookie(
        cookie_name(app.secure),
        token.as_str(),
        actions::ABSOLUTE_S,
        app.secure,
    );
    let mark = actions::device_mark(name.as_str(), account);
    let kept = set_cookie(device_name(app.secure), mark.as_str(), DEVICE_S, app.secure);
    let mut page = ([(header::SET_COOKIE, session)], Redirect::to(next)).into_response();
    page.headers_mut().append(header::SET_COOKIE, kept);
    Ok(page)
}

#[cfg(test)]
mod tests {
    use super::named;

    #[test]
    fn browsers_are_named_by_what_they_say_last_of_themselves() {
        // As these browsers write themselves, from memory.
        for (agent, name) in [
            (
                "Mozilla/5.0 (Android 15; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0",
                "Firefox on Android",
            ),
            (
                "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 Mobile/15E148 Safari/604.1",
                "Safari on iPhone",
            ),
            (
                "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/138.0.0.0 Safari/537.36 Edg/138.0.0.0",
                "Edge on Windows",
            ),
            ("curl/8.14.1", ""),
            ("", ""),
        ] {
            assert_eq!(named(agent), name);
        }
    }
}
