//! The judge: a simulated crew boils with a watcher beside it, and what the watcher says is measured against goals.
//!
//! [`cells`] says which boils; [`crew`] reads and notes, [`slips`] mistypes; [`watching`] runs one
//! boil into a [`course`]; [`goals`] holds the figures of a cell against the goals; [`table`]
//! prints; [`truth`] tells what the boils are like; [`cli`] is the command; [`baseline`] is a
//! watcher of a few lines that shows the judge at work and what a watcher must beat; [`bound`] is what no watcher can beat.

pub mod baseline;
pub mod bound;
pub mod cells;
pub mod cli;
pub mod course;
pub mod crew;
pub mod goals;
#[cfg(test)]
mod script;
pub mod slips;
pub mod table;
pub mod truth;
pub mod watching;
