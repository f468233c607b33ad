//! Queries about people: members' cards, accounts, notices, letters, calendar addresses, and the
//! co-op's own card.

pub mod accounts;
pub mod all_about;
pub mod calendar;
pub mod coop;
pub mod forgetting;
pub mod forgotten;
pub mod household;
pub mod letters;
pub mod members;
pub mod notices;
pub mod second_factor;
pub mod sessions;
pub mod stations;
pub mod visits;
