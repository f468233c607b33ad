//! The net cane of a load is read one way wherever it is summed: as it was kept where the scale read pounds, else gross less tare.
//! Two ways would differ by grams, and so would what a member's row still holds.

use crate::{files, root};

/// What every query says instead of the difference alone.
const KEPT: &str = "coalesce(l.net_g, ";

#[test]
fn net_cane_is_read_in_one_way() {
    let (mut wrong, mut right) = (Vec::new(), 0);
    for path in files("src/store", ".rs") {
        let text = std::fs::read_to_string(&path).unwrap();
        for (at, _) in text.match_indices("l.gross_g - l.tare_g") {
            if text[..at].ends_with(KEPT) {
                right += 1;
            } else {
                let line = text[..at].lines().count();
                wrong.push(format!(
                    "{}:{line}",
                    path.strip_prefix(root()).unwrap().display()
                ));
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "net cane without {KEPT}…: {}",
        wrong.join(", ")
    );
    assert!(
        right >= 10,
        "only {right} queries of net cane are left to look at"
    );
}
