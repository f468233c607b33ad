//! Figures of a press day as a whole: its sugar from cane to jars, and its juice from its cane
//! ticket by ticket.

mod balance;
mod mill;

pub use balance::balance;
pub use mill::mill;

use crate::store::Conn;
use crate::store::turns::press_days::{self, PressDay};
use crate::units::PressDate;
use crate::web::error::PageError;

/// The press day of the date in an address.
async fn found(conn: &mut Conn, date: &str) -> Result<PressDay, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    press_days::of_date(conn, date)
        .await?
        .ok_or(PageError::NotFound)
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut all = balance::samples();
    all.extend(mill::samples());
    all
}
