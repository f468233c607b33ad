//! Trust: the built program is killed, its files are swapped, damaged and taken away, its disk is full; nothing
//! acknowledged is lost, nothing wrong is served, and what happened is said.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod addresses;
mod after_a_fault;
mod connections;
mod files;
mod program;
mod trouble;
