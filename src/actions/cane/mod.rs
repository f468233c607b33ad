//! The mill's outfit, the morning, weighing in, and measuring juice.

pub mod deliveries;
pub mod juices;
pub mod mill;
pub mod morning;
