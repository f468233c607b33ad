//! Facts about people: a member's card, a calendar feed, and notices as they stand.

pub mod all_about;
pub mod calendar;
pub mod forgetting;
pub mod forgotten_before;
pub mod members;
pub mod notices;
