//! What is done for and by people: accounts, cards, notices, calendar addresses.

pub mod accounts;
pub mod calendar;
pub mod forget_more;
pub mod forgetting;
pub mod household;
pub mod invite_by_server;
pub mod many;
pub mod members;
pub mod notices;
mod own_passphrase;
pub mod passphrase;
pub mod second_factor;
pub(in crate::actions) mod secrets;
pub mod sessions;
pub mod stations;
