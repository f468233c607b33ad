//! Addresses for phones that keep entries of the yard until there is network.

use crate::units::{LotCode, PressDate};

/// The server's time, and who is signed in.
pub const CLOCK: &str = "/clock";
/// The worker of the yard's pages; at the top, so that it may serve them all.
pub const YARD_WORKER: &str = "/yard-worker.js";
/// The file by which a phone sets the site up beside its other programs.
pub const MANIFEST: &str = "/manifest.json";
/// The pages of a press day that a phone keeps beforehand.
pub const YARD_PAGES: &str = "/days/{date}/pages";
/// The juice of a ticket that the mill does not know yet.
pub const ANY_JUICE: &str = "/days/{date}/juice/new";
/// Another load of a ticket that the mill does not know yet.
pub const ANY_LOAD: &str = "/days/{date}/loads/new";
/// The jars of a boil whose finish the mill does not know yet.
pub const ANY_JARS: &str = "/boils/{lot}/jars";

/// Ticket numbers for a phone to give out without network.
pub const NUMBERS: &str = "/days/{date}/numbers";

/// The juice of a ticket that the mill does not know yet.
pub fn any_juice(date: PressDate) -> String {
    format!("/days/{date}/juice/new")
}

/// Another load of a ticket that the mill does not know yet.
pub fn any_load(date: PressDate) -> String {
    format!("/days/{date}/loads/new")
}

/// The jars of a boil whose finish the mill does not know yet.
pub fn any_jars(lot: &LotCode) -> String {
    format!("/boils/{}/jars", lot.as_str())
}
