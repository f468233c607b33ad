//! Entries that a phone kept in its own store before it sent them: what its script says of them in headers,
//! and what it is answered. A page elsewhere cannot set these headers without asking first, and nothing here
//! says yes to that; so they stand in for a form's token, which a page opened hours ago could not give.

use super::error::PageError;
use super::session::Visit;
use crate::actions::FromPhone;
use crate::units::{MemberId, UtcSecond};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// Who tapped: the member's id. Whoever sends a header of this name sends what a phone kept.
const BY: &str = "kept-by";
/// The tap by the phone's clock, whole seconds since 1970.
const TAPPED: &str = "kept-tapped";
/// How far that clock was ahead of the mill's, whole seconds; left out when it was never measured.
const AHEAD: &str = "kept-ahead";

/// What a phone says of an entry that it kept before sending.
#[derive(Debug, Clone, Copy)]
pub(super) struct KeptEntry {
    /// When it was tapped, by the phone's clock and by the mill's.
    pub(super) phone: FromPhone,
}

impl KeptEntry {
    /// Reads the headers of a form; nothing when the form comes from a page by itself.
    ///
    /// # Errors
    /// Somebody else is signed in by now than who tapped, or the headers say nothing that can be read.
    pub(super) fn read(headers: &HeaderMap, visit: &Visit) -> Result<Option<Self>, PageError> {
        let text = |name: &str| headers.get(name).and_then(|v| v.to_str().ok());
        let Some(by) = text(BY) else {
            return Ok(None);
        };
        let by = MemberId::parse(by).ok_or(PageError::Garbled)?;
        if visit.me().is_none_or(|me| me.id != by) {
            return Err(PageError::SignedOut);
        }
        let seconds = |text: &str| text.parse::<i64>().map_err(|_| PageError::Garbled);
        let tapped = text(TAPPED).ok_or(PageError::Garbled)?;
        let phone = FromPhone {
            tapped_at: UtcSecond::new(seconds(tapped)?),
            ahead_s: text(AHEAD).map(seconds).transpose()?,
        };
        Ok(Some(Self { phone }))
    }
}

/// Taken: the address of the result, for the phone to go on to when somebody is looking.
pub(super) fn taken(address: &str) -> Response {
    (
        StatusCode::CREATED,
        [(header::LOCATION, address.to_owned())],
    )
        .into_response()
}
