//! A finished boil divided: who is entitled to how many grams, which jars, which cents.

pub mod apportion;
pub mod cane_way;
pub mod claims;
pub mod correction;
pub mod division;
pub(in crate::calc) mod division_parts;
pub mod exchange;
pub mod fees;
pub mod frozen;
pub mod gain;
pub mod jar_places;
pub mod jars;
pub mod ledger;
pub mod losses;
pub(in crate::calc) mod lot_repays;
pub mod my_cane;
pub mod payments;
pub mod recall;
pub mod season_picture;
pub mod split;
pub mod taken_back;
pub mod trace;
