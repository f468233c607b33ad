//! Trust: the built program is killed, its files are swapped, damaged and taken away, its disk is full; nothing
//! acknowledged is lost, nothing wrong is served, and what happened is said.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod addresses;
mod after_a_fault;
mod asvs;
mod connections;
mod crates;
mod crowd;
mod files;
mod missing_after;
mod power;
mod program;
mod queries;
mod restored;
mod storm;
mod trouble;
mod unattended;
mod upgrade;
mod watching;

/// A short storm; the long one is a bench of its own (`cargo bench --bench storm`).
#[test]
fn of_thirty_kills_none_loses_or_doubles_what_was_acknowledged() {
    let storm = storm::storm(30);
    assert_eq!(storm.kills, 30);
    assert!(storm.acknowledged >= 100, "{storm:?}");
    assert_eq!((storm.lost, storm.doubled), (0, 0), "{storm:?}");
}
