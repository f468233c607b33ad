//! Physics of juice, syrup and steam, each formula with its source, range and accuracy.

pub mod density;
pub mod elevation;
pub mod energy;
pub mod refractometer;
pub mod steam;
