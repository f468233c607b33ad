//! A boil's division and what it goes by, statements, and the books reckoned again.

pub mod cane_way;
pub mod division_inputs;
pub mod frozen_division;
pub mod hand_over;
pub mod jar_count;
pub mod jars_gone;
pub mod ledger_season;
pub mod looked_up;
pub mod lot_jars;
pub mod moved_back;
pub mod my_cane;
mod my_lots;
pub mod poured_juice;
pub mod recall;
pub mod recall_start;
pub mod season_picture;
pub mod statement;
mod statement_own;
pub mod syrup_lost;
pub mod trace;
pub mod verify;
mod verify_words;
pub mod whole_books;
