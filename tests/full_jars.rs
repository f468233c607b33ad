//! The factors that check weights are judged with, written for `tests/reference/jar_weights.py`.

use canewright::calc::boil::full_jars::{sample_factor, sample_of};
use std::fmt::Write as _;
use std::path::Path;

/// Writes factor and sample by number for another program's table of Student's t.
#[test]
fn factors_of_check_weights_are_written_for_a_table_of_students_t() {
    let mut out = String::from("weighed,factor\n");
    for weighed in 2..=60 {
        let factor = sample_factor(weighed).unwrap();
        writeln!(out, "{weighed},{factor:.6}").unwrap();
    }
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("full_jars");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("factors.csv"), out).unwrap();
    // NIST Handbook 133, table 2-1, sample correction factors of the category A plans (from memory).
    for (lot, factor) in [(250, 0.635), (3200, 0.422), (9000, 0.2904)] {
        let weighed = usize::try_from(sample_of(lot)).unwrap();
        let ours = sample_factor(weighed).unwrap();
        assert!((ours - factor).abs() < 0.0006, "{lot}: {ours}");
    }
}
