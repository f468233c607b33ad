//! The form that puts a fill right, as text ready to print.

use super::parts::size_words;
use crate::store::boil::boils::{BoilRow, FillRow};
use crate::web::boil::boil_words::in_words;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;

/// One version of a fill.
pub(super) struct Version {
    pub(super) number: i64,
    pub(super) count: i64,
    pub(super) net: String,
    pub(super) why: String,
    pub(super) by: String,
}

/// The form that puts a fill right.
#[derive(Template)]
#[template(path = "boil/boils/fill.html")]
pub(super) struct FillPage {
    pub(super) shell: Shell,
    pub(super) sheet: Sheet,
    pub(super) action: String,
    pub(super) back: String,
    pub(super) size: String,
    pub(super) part: bool,
    pub(super) small: &'static str,
    pub(super) keys: String,
    pub(super) versions: Vec<Version>,
}

impl FillPage {
    /// `versions` latest first, at least one.
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        boil: &BoilRow,
        versions: &[FillRow],
        sheet: Sheet,
    ) -> Self {
        let units = visit.units();
        let latest = versions.first();
        Self {
            shell: Shell::new(app, visit, format!("Correct jars of {}", boil.lot)),
            sheet,
            action: latest.map_or_else(String::new, |f| paths::fix_fill(&boil.lot, f.number)),
            back: paths::boil(&boil.lot),
            size: latest.map_or_else(String::new, size_words),
            part: latest.is_some_and(|f| f.part),
            small: in_words(units, "oz", "g"),
            keys: statics::keys_js(),
            versions: versions
                .iter()
                .map(|f| Version {
                    number: f.version,
                    count: f.count,
                    net: f.net.small(units),
                    why: f.why.clone(),
                    by: f.by_name.to_string(),
                })
                .collect(),
        }
    }
}
