//! Figures of a press day as a whole: its sugar from cane to jars, and its juice from its cane
//! ticket by ticket.

mod balance;
mod mill;

pub(crate) use balance::balance;
pub(crate) use mill::mill;

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut all = balance::samples();
    all.extend(mill::samples());
    all
}
