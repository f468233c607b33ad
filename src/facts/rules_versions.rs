//! The version of a season's rules that something goes by.

use crate::calc::season::versions;
use crate::store::season::seasons::{Rules, rules_list};
use crate::store::{Question, StoreError, Stored};
use crate::units::{PressDate, SeasonId};

/// The version of a season that was made last, draft or not.
pub fn made_last(season: SeasonId) -> Question<Rules> {
    rules_list(season).try_map(|all| one_of(versions::made_last(&all)))
}

/// The version that a season ends with as it stands. What holds on a day is asked with [`on`] or, where money or syrup hangs on it,
/// [`confirmed_on`].
pub fn at_the_end(season: SeasonId) -> Question<Rules> {
    rules_list(season).try_map(|all| one_of(versions::at_the_end(&all)))
}

/// The version that holds in a season on a day; `None`: nobody confirmed one that does.
pub fn confirmed_on(season: SeasonId, date: PressDate) -> Question<Option<Rules>> {
    rules_list(season).map(move |all| versions::confirmed_on(&all, date).cloned())
}

/// The version that holds on a day; where no confirmed one does, the one that would come next.
pub fn on(season: SeasonId, date: PressDate) -> Question<Rules> {
    rules_list(season).try_map(move |all| holding(&all, date))
}

/// As [`on`], with the versions read already.
///
/// # Errors
/// A season has no version, which cannot be.
pub fn holding(all: &[Rules], date: PressDate) -> Stored<Rules> {
    one_of(versions::on(all, date))
}

fn one_of(version: Option<&Rules>) -> Stored<Rules> {
    version.cloned().ok_or(StoreError::Corrupt {
        what: "season_rules",
        found: "no version".to_owned(),
    })
}
