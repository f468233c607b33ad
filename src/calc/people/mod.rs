//! What members are told, as rules: which notices matter, how a letter is worded and when it is
//! tried again.

pub mod letters;
pub mod notices;
