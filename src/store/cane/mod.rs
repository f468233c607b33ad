//! Queries about the mill, its mornings, tickets and juice.

mod drawn;
pub mod juice;
mod loads;
pub mod mill;
pub mod morning;
pub mod second_readings;
pub mod ticket_list;
pub mod tickets;
pub mod trash;
pub mod weigh_in;
pub mod yard;
