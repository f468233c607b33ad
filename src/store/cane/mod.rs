//! Queries about the mill, its mornings, tickets and juice.

pub mod deliveries;
pub mod juices;
pub mod mill;
pub mod morning;
