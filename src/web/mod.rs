//! Pages: forms in, HTML out. A GET reads a snapshot and shows it; a POST hands what was meant to an
//! action and answers 303 to the result. `routes.rs` is the table of every address.

mod app;
mod boil;
mod cane;
mod cane_way;
pub mod clock;
mod cookies;
mod error;
mod figures;
mod form;
mod guard;
mod home;
mod kept;
mod leaf;
mod moment;
mod my_cane;
mod noting;
mod page;
pub mod paths;
mod paths_books;
mod paths_notices;
mod paths_probes;
mod paths_put_right;
mod paths_recalls;
mod paths_roster;
mod paths_signing_in;
mod paths_stations;
mod paths_turns;
mod paths_waiting;
mod paths_yard;
mod people;
mod request;
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

pub use app::App;
pub use figures::Figures;
pub use guard::Who;
pub use moment::Moments;
use page::{Page, only_if, page, page_with, see};
pub use routes::{Line, site, table};
pub use throttle::Throttle;
pub use yard::in_yard;
