//! Which statements a connection of SQLite runs, with the values that they are handed. A crate of its own, since SQLite tells it
//! by a call that Rust cannot check, and the program itself has none of these.

use rusqlite::Connection;
use rusqlite::trace::{TraceEvent, TraceEventCodes};
use sqlx::sqlite::LockedSqliteHandle;
use std::sync::{Mutex, PoisonError};

pub use rusqlite;

/// A statement that was run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// As it was written, with its holes.
    pub sql: String,
    /// The same with the values in its holes.
    pub filled: String,
}

static SEEN: Mutex<Vec<Seen>> = Mutex::new(Vec::new());

/// Notes from now on what this connection runs.
pub fn listen(handle: &mut LockedSqliteHandle<'_>) {
    told(handle, Some(note));
}

/// Notes no more what this connection runs.
pub fn stop(handle: &mut LockedSqliteHandle<'_>) {
    told(handle, None);
}

/// What was noted of all connections since this was last asked, in order.
pub fn take() -> Vec<Seen> {
    std::mem::take(&mut *SEEN.lock().unwrap_or_else(PoisonError::into_inner))
}

fn told(handle: &mut LockedSqliteHandle<'_>, whom: Option<fn(TraceEvent<'_>)>) {
    // SAFETY: the pointer is that of an open connection, which nobody else uses while its handle is locked; what is made
    // of a handle does not close it when it goes.
    let connection = unsafe { Connection::from_handle(handle.as_raw_handle().as_ptr()) };
    if let Ok(connection) = connection {
        connection.trace_v2(TraceEventCodes::SQLITE_TRACE_STMT, whom);
    }
}

fn note(event: TraceEvent<'_>) {
    let TraceEvent::Stmt(statement, words) = event else {
        return;
    };
    // What a trigger runs is told as a remark.
    if words.starts_with("--") {
        return;
    }
    let seen = Seen {
        sql: statement.sql().into_owned(),
        filled: statement.expanded_sql().unwrap_or_default(),
    };
    SEEN.lock()
        .unwrap_or_else(PoisonError::into_inner)
        .push(seen);
}
