//! Where the rules of a day stand, and whether a day has none: no ticket is opened and no boil lit by rules that nobody confirmed.

use crate::calc::season::years;
use crate::store::season::seasons::Rules;
use crate::units::PressDate;
use crate::web::paths;

/// The rules of a day: of its year's season; a day of the winter may be of either, so all seasons.
pub(in crate::web) fn rules_of(date: PressDate) -> String {
    let year = i64::from(date.date().year());
    if years::of_season(year - 1, date) {
        paths::SEASONS.to_owned()
    } else {
        paths::season(year)
    }
}

/// The page on which rules that go by a day are confirmed; empty: they are.
pub(in crate::web) fn lacking(rules: &Rules, date: PressDate) -> String {
    if rules.holds_on(date) {
        return String::new();
    }
    rules_of(date)
}
