//! Pages of pans and boils.

pub(in crate::web) mod additions;
pub(in crate::web) mod boil_of_path;
mod boil_plans;
pub(in crate::web) mod boil_words;
pub(in crate::web) mod boils;
pub(in crate::web) mod empty_jars;
pub(in crate::web) mod jar_checks;
pub(in crate::web) mod pans;
pub(in crate::web) mod pooling;
pub(in crate::web) mod probes;
