//! Pages of divisions, labels, hand-overs, ledger, statements and exports.

pub(in crate::web) mod divisions;
pub(in crate::web) mod exports;
pub(in crate::web) mod hand_overs;
pub(in crate::web) mod history;
pub(in crate::web) mod holds;
pub(in crate::web) mod labels;
pub(in crate::web) mod ledger;
pub(in crate::web) mod looks;
pub(in crate::web) mod my_lot;
pub(in crate::web) mod recalls;
pub(in crate::web) mod restored;
pub(in crate::web) mod season_picture;
pub(in crate::web) mod shelf;
pub(in crate::web) mod statements;
pub(in crate::web) mod trace;
