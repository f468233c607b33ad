//! What is said of lots that were divided and are open to be put right, wherever figures rest on them.

use crate::units::LotCode;
use std::collections::BTreeSet;

/// What stands beside figures that rest on lots open to be put right; empty: on none.
pub(super) fn may_change(lots: &BTreeSet<&LotCode>) -> String {
    let mut codes: Vec<String> = lots.iter().map(ToString::to_string).collect();
    match (codes.pop(), codes.is_empty()) {
        (None, _) => String::new(),
        (Some(one), true) => {
            format!("Lot {one} is being put right and will be divided again: that may change this.")
        }
        (Some(last), false) => format!(
            "Lots {} and {last} are being put right and will be divided again: that may change this.",
            codes.join(", ")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_lot_that_may_change_the_figures_is_named() {
        let codes = [1, 2, 3].map(|n| LotCode::nth(2026, n).unwrap());
        let said = |n: usize| may_change(&codes[..n].iter().collect());
        assert_eq!(said(0), "");
        let [one, two, three] = codes.each_ref().map(ToString::to_string);
        assert_eq!(
            said(1),
            format!(
                "Lot {one} is being put right and will be divided again: that may change this."
            )
        );
        assert_eq!(
            said(3),
            format!(
                "Lots {one}, {two} and {three} are being put right and will be divided again: that may change this."
            )
        );
    }
}
