//! Every address, as the pattern the router takes and as a function that fills it in; other files take
//! them from here. The house's own stand here, the others by theme.

mod boil;
mod cane;
mod people;
mod season;
mod shares;
mod turns;

pub use self::boil::*;
pub use self::cane::*;
pub use self::people::*;
pub use self::season::*;
pub use self::shares::*;
pub use self::turns::*;
use std::fmt::Write as _;

/// Home, by role.
pub const HOME: &str = "/";
/// Answers whether the server is up.
pub const HEALTH: &str = "/health";
/// Style sheets and pictures, by hashed name.
pub const STATIC: &str = "/static/{name}";
/// Tells crawlers to stay out.
pub const ROBOTS: &str = "/robots.txt";
/// Choose a light or a dark look.
pub const LOOK: &str = "/look";
/// Help for each role.
pub const HELP: &str = "/help";
/// The server's time, and who is signed in.
pub const CLOCK: &str = "/clock";
/// The worker of the yard's pages; at the top, so that it may serve them all.
pub const YARD_WORKER: &str = "/yard-worker.js";
/// The file by which a phone sets the site up beside its other programs.
pub const MANIFEST: &str = "/manifest.json";

/// Percent-encodes all but letters, digits and `-._~/` (RFC 3986, section 2.3).
pub(crate) fn encode(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

/// A list, as it is searched, from a row on; `list` may name a season: "/boils?year=2026".
pub fn part_of(list: &str, wanted: &str, order: &str, skip: usize) -> String {
    let and = if list.contains('?') { '&' } else { '?' };
    format!("{list}{and}q={}&order={order}&skip={skip}", encode(wanted))
}
