//! Moments of the database: each request is lent one, by the guard, and only the door (`request.rs`) takes it.

use super::error::PageError;
use crate::store::{Reader, Snapshot};
use axum::http::request::Parts;
use std::sync::{Arc, Mutex, PoisonError};

/// Where moments to read from come from. Only `guard.rs` and `request.rs` open one, and the way in
/// for probes, which has no visit.
#[derive(Debug, Clone)]
pub struct Moments(Reader);

impl Moments {
    /// Lends moments of the database that this reader reads.
    pub fn new(reader: Reader) -> Self {
        Self(reader)
    }

    /// The reader by which an action reads what grows with the season.
    pub(super) fn reader(&self) -> Reader {
        self.0.clone()
    }

    /// A moment: every query in it sees the same state.
    pub(super) async fn open_moment(&self) -> Result<Snapshot, PageError> {
        Ok(self.0.snapshot().await?)
    }
}

/// The moment that a request was lent, until its handler takes it.
#[derive(Debug, Clone)]
pub(super) struct Lent(Arc<Mutex<Option<Snapshot>>>);

impl Lent {
    pub(super) fn new(now: Snapshot) -> Self {
        Self(Arc::new(Mutex::new(Some(now))))
    }

    pub(super) fn take(parts: &Parts) -> Result<Snapshot, PageError> {
        parts
            .extensions
            .get::<Self>()
            .and_then(|lent| lent.0.lock().unwrap_or_else(PoisonError::into_inner).take())
            .ok_or_else(|| PageError::Fault("a request took its moment twice".to_owned()))
    }
}
