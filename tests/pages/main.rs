//! Page tests, through the router: for each form one sending that is taken, one that is not, and one
//! by somebody who may not.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod accounts;
mod labels;
mod members;
mod roles;
mod site;
