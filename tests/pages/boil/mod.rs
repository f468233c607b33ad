//! Page tests of the theme `boil`.

pub mod additions;
pub mod boils;
pub mod empty_jars;
pub mod finish_tapped;
pub mod fire_drawn;
pub mod fire_said;
pub mod fuel;
pub mod jar_checks;
pub mod live;
pub mod one_state;
pub mod pans;
pub mod pauses;
pub mod pooling;
pub mod probes;
pub mod typed_beside;
