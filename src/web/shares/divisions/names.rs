//! Sharers by name, as far as the person who looks may read them.

use crate::calc::shares::split::Sharer;
use std::collections::BTreeMap;

/// Sharers by the name this person may read.
pub(super) type Names = BTreeMap<Sharer, String>;

/// The name of a sharer; for one that is not listed, the words that it is another member.
pub(super) fn named(names: &Names, sharer: Sharer) -> String {
    match sharer {
        Sharer::Mill => "The mill (toll)".to_owned(),
        Sharer::Member(_) => names
            .get(&sharer)
            .cloned()
            .unwrap_or_else(|| "another member".to_owned()),
    }
}
