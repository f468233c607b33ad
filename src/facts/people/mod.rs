//! Facts about people: a member with all that a page or decision needs.

pub mod notices;
