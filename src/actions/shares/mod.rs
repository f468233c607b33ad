//! Dividing a boil, handing jars over, the ledger, and checking the books.

pub mod divisions;
pub(in crate::actions) mod divisions_laid;
pub mod hand_overs;
pub mod ledger;
pub(in crate::actions) mod statements;
pub mod verify;
