//! The mill's outfit, the morning, weighing in, and measuring juice.

pub mod juice;
pub mod loads;
pub mod mill;
pub mod morning;
pub mod numbers;
mod other_juices;
mod past;
pub mod second_readings;
pub mod tickets;
mod vessels;
mod went_home;
mod whose;
pub mod yard;
