//! The way in for probes: a token in the header `Authorization`, readings in the body, an answer in a
//! line of plain text. No cookie is read and no form key is asked for: a page elsewhere that a browser
//! shows has no token, so it can send nothing here.

use super::sent::{self, Garbled, MOST, ReadBody};
use crate::actions::boil::probes::{self as actions, ReadingsTaken};
use crate::actions::{Stop, hash_token};
use crate::store::boil::probes::{self, Probe};
use crate::units::UtcSecond;
use crate::web::app::App;
use crate::web::error::PageError;
use crate::web::people::accounts::Address;
use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{FromRequestParts, State};
use axum::http::request::Parts;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// A probe that sends, known by its token.
pub(crate) struct Sender {
    probe: Probe,
    at: UtcSecond,
}

/// The reasons why no reading was taken, each with its status.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Refusal {
    /// 401: no token, or one that is not taken.
    Unknown,
    /// 429: more often than a probe need; seconds until the next is taken.
    TooOften(i64),
    /// 400: the body is no reading.
    NotUnderstood,
    /// 413: more than is taken at once.
    TooMuch,
    /// 422: no reading of it can be one; what is wrong with the first.
    Unsound(String),
    /// 500: ours; details only in the log.
    Fault,
}

impl Refusal {
    fn parts(&self) -> (StatusCode, String) {
        match self {
            Self::Unknown => (
                StatusCode::UNAUTHORIZED,
                "not taken: this token is not known here or was revoked. A steward makes one on the page \
                 of the pans; send it as \"Authorization: Bearer TOKEN\"."
                    .to_owned(),
            ),
            Self::TooOften(seconds) => (
                StatusCode::TOO_MANY_REQUESTS,
                format!(
                    "not taken: too often. Wait {seconds} seconds, then send what was read meanwhile \
                     together, each with its age_s."
                ),
            ),
            Self::NotUnderstood => (
                StatusCode::BAD_REQUEST,
                "not understood. Send {\"celsius\": 108.4}, or \
                 {\"readings\": [{\"celsius\": 108.4, \"age_s\": 30}]}, or the form celsius=108.4"
                    .to_owned(),
            ),
            Self::TooMuch => (
                StatusCode::PAYLOAD_TOO_LARGE,
                format!("not taken: too much at once. Send at most {MOST} readings, then the others."),
            ),
            Self::Unsound(why) => (
                StatusCode::UNPROCESSABLE_ENTITY,
                format!("not taken: {why}"),
            ),
            Self::Fault => (
                StatusCode::INTERNAL_SERVER_ERROR,
                "not taken: something broke here. Send it again in a minute.".to_owned(),
            ),
        }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let (status, words) = self.parts();
        let mut response = (status, format!("{words}\n")).into_response();
        let headers = response.headers_mut();
        if self == Self::Unknown {
            headers.insert(header::WWW_AUTHENTICATE, HeaderValue::from_static("Bearer"));
        }
        if let Self::TooOften(seconds) = self {
            headers.insert(header::RETRY_AFTER, HeaderValue::from(seconds));
        }
        response
    }
}

fn fault(details: &str) -> Refusal {
    tracing::error!(details, "what a probe sent was not taken");
    Refusal::Fault
}

/// The token of the header, if it has one (RFC 6750, section 2.1; the word in any case, RFC 9110, 11.1).
fn token(parts: &Parts) -> Option<&str> {
    let line = parts.headers.get(header::AUTHORIZATION)?.to_str().ok()?;
    let (word, token) = line.split_once(' ')?;
    let token = token.trim();
    (word.eq_ignore_ascii_case("bearer") && !token.is_empty()).then_some(token)
}

impl FromRequestParts<App> for Sender {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Refusal> {
        let at = app.clock.read();
        let Ok(address) = Address::from_request_parts(parts, app).await;
        let hash = token(parts).map(hash_token);
        let mut probe = None;
        if let Some(hash) = hash {
            // The one reader that no page is lent: what has no token is answered without the writer.
            let mut db = app
                .moments
                .open_moment()
                .await
                .map_err(|error| match error {
                    PageError::Fault(details) => fault(&details),
                    _ => Refusal::Fault,
                })?;
            probe = probes::of_token(&hash)
                .ask(&mut db)
                .await
                .map_err(|error| fault(&error.to_string()))?;
        }
        let sender = match &probe {
            Some(probe) => probe.id.to_string(),
            // Whoever guesses tokens is slowed down by address, and no probe with them.
            None => format!("stranger {}", address.as_str()),
        };
        if let Some(seconds) = app.throttle.too_often(&sender, at) {
            return Err(Refusal::TooOften(seconds));
        }
        let probe = probe.ok_or(Refusal::Unknown)?;
        Ok(Self { probe, at })
    }
}

/// The answer to a probe in plain words.
fn words(taken: &ReadingsTaken, unsound: usize, why: &str) -> String {
    let mut parts = Vec::new();
    if taken.taken > 0 {
        parts.push(format!("taken {}", taken.taken));
        if taken.not_lit > 0 {
            parts.push(format!(
                "not kept {}: no boil was lit in {} then",
                taken.not_lit, taken.pan
            ));
        }
    } else {
        parts.push(format!("not kept: no boil is lit in {}", taken.pan));
    }
    if unsound > 0 {
        parts.push(format!("left out {unsound}: {why}"));
    }
    format!("{}\n", parts.join("; "))
}

/// `POST /probe/readings`
pub(crate) async fn take(
    State(app): State<App>,
    sender: Sender,
    body: Result<Bytes, BytesRejection>,
) -> Result<String, Refusal> {
    let body = body.map_err(|rejection| match rejection.status() {
        StatusCode::PAYLOAD_TOO_LARGE => Refusal::TooMuch,
        _ => Refusal::NotUnderstood,
    })?;
    let ReadBody {
        sound,
        unsound,
        why,
    } = sent::read(&body, sender.at).map_err(|garbled| match garbled {
        Garbled::NotUnderstood => Refusal::NotUnderstood,
        Garbled::TooMany => Refusal::TooMuch,
    })?;
    if sound.is_empty() {
        return Err(Refusal::Unsound(why));
    }
    match actions::take(&app.writer, sender.at, sender.probe.id, &sound).await {
        Ok(taken) => Ok(words(&taken, unsound, &why)),
        Err(Stop::Missing) => Err(Refusal::Unknown),
        Err(stop) => Err(fault(&stop.to_string())),
    }
}
