//! Keeping the database file safe: opening the right one, backups, trials of them, and restoring one.
//! Stands beside the floors, as the server does; the tables are the store's.

pub mod backups;
pub mod caretaker;
mod look_over;
mod opening;
mod restore;

pub use look_over::look_over;
pub use opening::{Beside, Opened, claim, open, open_beside};
pub use restore::{Restored, restore};
