//! Reads and joins what a decision or a page needs, and reckons with `calc`. Never writes, knows no forms
//! and no pages.
#![deny(clippy::disallowed_methods)]

pub mod boil;
pub mod came_by;
pub mod cane;
pub mod csv;
pub mod empty_jars;
pub mod home;
pub mod home_crew;
pub mod people;
mod recent_reads;
pub mod restored_lost;
pub mod restored_words;
pub mod restores;
pub mod rules_versions;
pub mod season;
pub mod shares;
pub mod turns;
pub mod written;
mod written_beside;
mod written_columns;
pub mod written_history;
mod written_labels;
mod written_versions;
mod written_words;
pub mod zip;
