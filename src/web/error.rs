//! Pages for what cannot be shown. One type turns into a response; none shows a source error.

use super::paths;
use crate::actions::Stop;
use crate::store::{StoreError, Trouble};
use askama::Template;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};

/// The reasons why a page is not shown, each with its status.
#[derive(Debug)]
pub(super) enum PageError {
    /// 404: no such page or record, or not this person's.
    NotFound,
    /// 403: signed in, but this page is for others.
    Forbidden,
    /// 403: the form did not come from a page of ours, or is too old.
    Untrusted,
    /// 303 to the sign-in page, and back afterwards.
    SignIn {
        /// Address to go to after signing in.
        next: String,
    },
    /// 401: a form was sent after the session had ended.
    SignedOut,
    /// 303 to the page of who stands at the station, and back afterwards.
    Pick {
        /// Address to go to after somebody is picked.
        next: String,
    },
    /// 401: a form was sent from the station while nobody was picked.
    NobodyPicked,
    /// 403: the station opens the yard's pages only.
    NotAtStation,
    /// 409: may not be done at present; the sentence says what would make it possible.
    NotYet {
        /// What is missing, in a sentence.
        sentence: String,
        /// Address to go on from there.
        back: String,
    },
    /// 421: asked for by another name than the site's own.
    ForeignHost {
        /// The site's own address.
        site: String,
    },
    /// 405: a form was sent to an address that takes none.
    NotSentHere,
    /// 400: the request was not understood.
    Garbled,
    /// 413: more was sent than any form of ours holds.
    TooLarge,
    /// 429: too many tries; `seconds` until the next.
    TooMany {
        /// Seconds to wait.
        seconds: i64,
    },
    /// 503: the database cannot be written or read at present.
    Trouble(Trouble),
    /// 500: ours. Details only in the log, under a reference number.
    Fault(String),
}

#[derive(Template)]
#[template(path = "errors/page.html")]
struct ErrorPage<'a> {
    title: &'a str,
    sentence: &'a str,
    links: Vec<(String, &'a str)>,
    css: String,
}

/// On an answer: what broke, for the log alone. The page is made where the request's reference is known.
#[derive(Debug, Clone)]
pub(super) struct Broke(pub String);

/// The page of what broke, with the reference that its line in the log has.
pub(super) fn broken(reference: &str) -> Response {
    let title = "Something broke here";
    let page = ErrorPage {
        title,
        sentence: &format!(
            "Nothing was lost that had been stored. Tell a steward: reference {reference} in the log."
        ),
        links: vec![home_and_sign_in().0],
        css: super::statics::app_css(),
    };
    let body = page.render().unwrap_or_else(|_| title.to_owned());
    (StatusCode::INTERNAL_SERVER_ERROR, Html(body)).into_response()
}

impl PageError {
    fn parts(&self) -> (StatusCode, &str, String, Vec<(String, &str)>) {
        let (home, sign_in) = home_and_sign_in();
        match self {
            Self::NotFound => (
                StatusCode::NOT_FOUND,
                "Nothing here",
                "There is no such page, or it is not yours to see.".to_owned(),
                vec![home],
            ),
            Self::Forbidden => (
                StatusCode::FORBIDDEN,
                "Not for your role",
                "This page is for the crew or the stewards. Ask a steward if you should have it.".to_owned(),
                vec![home],
            ),
            Self::Untrusted => (
                StatusCode::FORBIDDEN,
                "That form was not taken",
                "It did not come from a fresh page of this site. Nothing was stored. Open the page again and send it from there.".to_owned(),
                vec![home, sign_in],
            ),
            Self::SignIn { .. } | Self::SignedOut => (
                StatusCode::UNAUTHORIZED,
                "You are signed out",
                "Nothing was stored. Sign in in another tab, come back here with the Back button (your entries are still in the form) and send it again.".to_owned(),
                vec![sign_in],
            ),
            Self::Pick { .. } | Self::NobodyPicked => (
                StatusCode::UNAUTHORIZED,
                "Nobody is picked at the station",
                "Nothing was stored. Say who stands here in another tab, come back here with the Back button (your entries are still in the form) and send it again.".to_owned(),
                vec![(paths::STATION.to_owned(), "Who stands here")],
            ),
            Self::NotAtStation => not_at_station(),
            Self::NotYet { sentence, back } => {
                (StatusCode::CONFLICT, "Not possible yet", sentence.clone(), vec![(back.clone(), "Go back"), home])
            }
            Self::ForeignHost { site } => by_another_name(site),
            Self::NotSentHere => (
                StatusCode::METHOD_NOT_ALLOWED,
                "Nothing to send here",
                "This page takes no form. Nothing was stored. Open the page again and send it from there.".to_owned(),
                vec![home],
            ),
            Self::Garbled => (
                StatusCode::BAD_REQUEST,
                "Not understood",
                "The request was incomplete. Nothing was stored. Open the page again and send it from there.".to_owned(),
                vec![home],
            ),
            Self::TooLarge => (
                StatusCode::PAYLOAD_TOO_LARGE,
                "Too much at once",
                "That is more than any form here holds. Nothing was stored.".to_owned(),
                vec![home],
            ),
            Self::TooMany { seconds } => (
                StatusCode::TOO_MANY_REQUESTS,
                "Too many tries",
                format!("Please wait {} and try again. It will work then.", wait(*seconds)),
                vec![sign_in],
            ),
            Self::Trouble(trouble) => in_trouble(*trouble, home),
            Self::Fault(_) => (StatusCode::INTERNAL_SERVER_ERROR, "Something broke here", String::new(), vec![home]),
        }
    }
}

/// The answer to the mill's station for a page that it does not open.
fn not_at_station() -> (StatusCode, &'static str, String, Vec<Link>) {
    (
        StatusCode::FORBIDDEN,
        "Not at the station",
        "The mill’s station opens the yard’s pages only. Open this one on a device where you are signed in yourself.".to_owned(),
        vec![(paths::STATION.to_owned(), "Back to the station")],
    )
}

/// The answer to a request by another name than the site's own.
fn by_another_name(site: &str) -> (StatusCode, &'static str, String, Vec<Link>) {
    (
        StatusCode::MISDIRECTED_REQUEST,
        "Not by this name",
        "This site answers to its own address only. Nothing was stored. Whoever looks after the server finds more in its log.".to_owned(),
        vec![(site.to_owned(), "Open the site")],
    )
}

/// The answer while the database cannot be written or read.
fn in_trouble(trouble: Trouble, home: Link) -> (StatusCode, &'static str, String, Vec<Link>) {
    let next = match trouble {
        Trouble::Busy => "Please try again in a minute.",
        _ => "Please tell a steward. What was stored before is not lost by this.",
    };
    (
        StatusCode::SERVICE_UNAVAILABLE,
        "Nothing can be stored at present",
        format!("What you sent was not stored: {}. {next}", trouble.what()),
        vec![home],
    )
}

/// The ways on that most of these pages offer.
fn home_and_sign_in() -> (Link, Link) {
    (
        (paths::HOME.to_owned(), "Go to the home page"),
        (paths::SIGN_IN.to_owned(), "Sign in"),
    )
}

/// A way on: its address and its words.
type Link = (String, &'static str);

fn wait(seconds: i64) -> String {
    if seconds < 120 {
        format!("{seconds} seconds")
    } else {
        format!("{} minutes", (seconds + 59) / 60)
    }
}

impl IntoResponse for PageError {
    fn into_response(self) -> Response {
        if let Self::SignIn { next } = &self {
            return Redirect::to(&paths::sign_in_then(next)).into_response();
        }
        if let Self::Pick { next } = &self {
            return Redirect::to(&paths::station_then(next)).into_response();
        }
        let (status, title, sentence, links) = self.parts();
        if let Self::Fault(details) = &self {
            let mut response = status.into_response();
            response.extensions_mut().insert(Broke(details.clone()));
            return response;
        }
        let page = ErrorPage {
            title,
            sentence: &sentence,
            links,
            css: super::statics::app_css(),
        };
        let body = page.render().unwrap_or_else(|_| title.to_owned());
        let mut response = (status, Html(body)).into_response();
        if let Self::Trouble(trouble) = &self {
            response.extensions_mut().insert(*trouble);
        }
        if let Self::TooMany { seconds } = self
            && let Ok(value) = HeaderValue::from_str(&seconds.to_string())
        {
            response.headers_mut().insert(header::RETRY_AFTER, value);
        }
        response
    }
}

impl From<StoreError> for PageError {
    fn from(error: StoreError) -> Self {
        error
            .trouble()
            .map_or_else(|| Self::Fault(error.to_string()), Self::Trouble)
    }
}

impl From<askama::Error> for PageError {
    fn from(error: askama::Error) -> Self {
        Self::Fault(error.to_string())
    }
}

impl From<Stop> for PageError {
    fn from(stop: Stop) -> Self {
        match stop {
            Stop::Missing => Self::NotFound,
            Stop::SentOtherwise { .. } => Self::NotYet {
                sentence: stop.to_string(),
                back: paths::HOME.to_owned(),
            },
            Stop::RuleRefusal(refusal) => Self::NotYet {
                sentence: refusal.sentence,
                back: paths::HOME.to_owned(),
            },
            Stop::Fault(error) => error.into(),
        }
    }
}
