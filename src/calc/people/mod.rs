//! What members are told, as rules: which notices matter, how a letter is worded and when it is
//! tried again; the codes of a second factor.

pub mod forgetting;
pub mod letters;
pub mod notices;
pub mod second_factor;
pub mod taken_out;
