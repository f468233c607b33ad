//! Dividing a boil, handing jars over, and the ledger.

pub mod divisions;
pub mod hand_overs;
pub mod holds;
pub mod jar_moves;
pub mod ledger;
pub(in crate::actions) mod lines;
pub mod lot_looks;
pub(in crate::actions) mod not_locked;
pub mod recalls;
pub mod settled_jars;
pub(in crate::actions) mod statements;
