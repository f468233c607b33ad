//! Facts of cane at the mill: tickets with their loads and juice, what a morning still needs, where a
//! day's sugar went.

pub mod day_sugar;
pub mod juice;
pub mod mill;
pub mod morning;
pub mod tickets;
pub mod yields;
