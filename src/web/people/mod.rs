//! Pages about people.

pub(in crate::web) mod accounts;
pub(in crate::web) mod calendar;
pub(in crate::web) mod forgetting;
pub(in crate::web) mod household;
pub(in crate::web) mod members;
pub(in crate::web) mod notices;
pub(in crate::web) mod second_factor;
pub(in crate::web) mod sessions;
pub(in crate::web) mod stations;
