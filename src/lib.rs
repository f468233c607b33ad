//! Canewright: a community sorghum mill's records, from cane on the scale to labelled jars.
//!
//! Six floors, one ladder. A floor may use any floor below it, never one above;
//! `tests/tidy` proves it.
//!
//! ```text
//! web      pages: forms in, HTML out                      never says sqlx, begin(
//! actions  load, decide, save; one write transaction      never says axum, askama, query!
//! facts    reads, joins, reckons for a decision or a page  never writes; never says axum, askama
//! store    the only SQL; decides nothing                  never says axum, askama
//! calc     arithmetic, rules, states; chance from a seed  never says sqlx, axum, tokio, async, now
//! units    quantities, ids, codes, names                  may derive sqlx::Type, nothing more
//! ```

#![warn(unreachable_pub)]

pub mod actions;
pub mod calc;
pub mod config;
mod connections;
pub mod demo;
pub mod facts;
pub mod files;
pub mod keeping;
pub mod letter_sender;
mod metrics;
pub mod serve;
pub mod store;
pub mod units;
pub mod web;
