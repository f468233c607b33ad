//! Canewright: a community sorghum mill's records, from cane on the scale to labelled jars.
//!
//! Six floors, from the ground up: `units`, `calc`, `store`, `facts`, `actions`, `web`. A floor may use any floor below it, never one above.
//! What each holds and never says stands in `DEVELOPERS.md`; `tests/tidy` proves it.

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

/// argon2 asks for 19 MiB at a time; the system's allocator would keep many of them.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;
