//! A boil's division and what it goes by, statements, and the books reckoned again.

pub mod cane_way;
pub mod division_inputs;
pub mod frozen_division;
pub mod hand_overs;
pub mod jar_count;
pub mod jars_gone;
pub mod ledger_season;
pub mod looked_up;
pub mod lot_jars;
pub mod moved_back;
pub mod my_cane;
mod my_lot;
pub mod poured_juice;
pub mod recall_start;
pub mod recalls;
pub mod season_picture;
mod statement_own;
pub mod statements;
pub mod syrup_lost;
pub mod trace;
pub mod verify;
mod verify_words;
pub mod whole_books;
