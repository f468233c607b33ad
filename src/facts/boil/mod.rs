//! Facts of boils: a boil with all that belongs to it, what juices wait, what was learned.

pub mod probes;
