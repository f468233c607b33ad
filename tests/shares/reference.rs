//! Cases for the comparison with the package `apportionment`, which shares no code with this project.

use super::Draw;
use canewright::calc::shares::apportion::{Tie, largest_remainder};
use canewright::calc::shares::claims::{Claim, deal};
use std::fmt::Write;

fn listed<T: ToString>(numbers: &[T]) -> String {
    let texts: Vec<String> = numbers.iter().map(T::to_string).collect();
    texts.join(";")
}

/// Writes `target/tmp/shares/largest_remainder.csv`, which `tests/reference/apportion_again.py`
/// works again: seats by weights, and jars of one size by grams owed.
#[test]
fn cases_are_written_for_the_reference_package() {
    let mut draw = Draw(0x9e37_79b9_7f4a_7c15);
    let mut lines = String::from("rule,seats,weights,given\n");
    for _ in 0..1000 {
        let members = 1 + draw.below(24);
        let weights: Vec<u64> = (0..members).map(|_| 1 + draw.below(500_000)).collect();
        let ties: Vec<Tie> = (0..members)
            .map(|n| Tie::of("26001A", &n.to_string()))
            .collect();
        let count = 1 + draw.below(90);
        let by_weight: Vec<(u128, Tie)> = weights
            .iter()
            .zip(&ties)
            .map(|(w, t)| (u128::from(*w), *t))
            .collect();
        let whole = |total| -> Vec<u64> {
            let parts = largest_remainder(total, &by_weight).unwrap();
            parts.iter().map(|p| p.whole).collect()
        };
        let seats = whole(count);
        assert_eq!(seats.iter().sum::<u64>(), count);
        let (names, given) = (listed(&weights), listed(&seats));
        writeln!(lines, "seats,{count},{names},{given}").unwrap();

        let net = 227 + draw.below(2100);
        let grams = whole(net * count);
        let claims: Vec<Claim> = grams
            .iter()
            .zip(&ties)
            .map(|(g, tie)| Claim {
                owed_g: i64::try_from(*g).unwrap(),
                favoured_at: None,
                tie: *tie,
            })
            .collect();
        let one_size = [(i64::try_from(net).unwrap(), u32::try_from(count).unwrap())];
        let dealt = deal(&claims, &one_size);
        let jars: Vec<u32> = dealt.iter().map(|held| held[0]).collect();
        let (owed, given) = (listed(&grams), listed(&jars));
        writeln!(lines, "jars,{count},{owed},{given}").unwrap();
    }
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("shares");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("largest_remainder.csv"), lines).unwrap();
}
