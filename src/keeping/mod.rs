//! Keeping the database file safe: opening the right one, backups, trials of them, and restoring one.
//! Stands beside the floors, as the server does; the tables are the store's.

pub mod backups;
pub mod caretaker;
mod compare;
pub mod doctor;
mod look_over;
mod opening;
mod restore;
mod seals;
pub mod tasks;

pub use look_over::look_over;
pub use opening::{Opened, OpenedDatabase, claim, open, open_beside, seal};
pub use restore::{Restored, restore};
pub use seals::{Newest, newest_seal, written_seal};
