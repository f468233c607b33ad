//! Queries about divided boils: shares, jars, hand-overs, the ledger, exports.

pub mod books;
pub mod divisions;
pub mod exports;
pub mod hand_overs;
pub mod holds;
pub mod jar_moves;
pub mod ledger;
pub mod lot_looks;
pub mod lot_losses;
pub mod lots;
pub mod my_cane;
pub mod payments;
pub mod recalls;
pub mod settled_jars;
