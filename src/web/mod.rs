//! Pages: forms in, HTML out. A GET reads a snapshot and shows it; a POST hands what was meant to an
//! action and answers 303 to the result. `routes.rs` is the table of every address.

mod app;
mod as_shown;
mod boil;
mod called_by;
mod cane;
mod cane_way;
mod changes;
pub mod clock;
mod cookies;
mod error;
mod form;
mod guard;
mod help;
mod home;
mod kept;
mod leaf;
mod listing;
mod lot_says;
mod moment;
mod my_cane;
mod named_boxes;
mod noting;
mod page;
pub mod paths;
mod people;
mod reader;
mod reopened;
mod request;
mod request_counts;
mod routes;
mod rows;
mod said;
#[cfg(test)]
mod samples;
mod season;
mod session;
mod shares;
mod shell;
mod statics;
mod throttle;
mod turns;
mod twelve_hours;
mod way_there;
mod yard;
mod yard_pages;

pub use app::{App, Parts};
pub use guard::Who;
pub use moment::Moments;
use page::{Page, only_if, page, page_of, page_with, see};
pub use request_counts::RequestCounts;
pub use routes::{Route, site, table};
pub use throttle::Throttle;
pub use yard::in_yard;
