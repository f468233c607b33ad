//! On how many days a planting is hauled.

use super::tests::{day, near, patch};
use super::*;

#[test]
fn a_planting_is_hauled_on_two_days_only_where_that_saves_more_than_the_haul() {
    // Both days are open for others; each pan lacks 200 kg, of which a twentieth counts.
    let pan = |mut of: Day| {
        of.pan_kg = 500.0;
        of.short = 0.05;
        of
    };
    let late = patch(2, 500.0, &[Some(0.01), Some(0.0)]);
    let mut season = Season {
        patches: vec![
            patch(0, 300.0, &[Some(0.0), None]),
            patch(1, 300.0, &[None, Some(0.0)]),
            late,
        ],
        days: vec![pan(day(480.0, 9000.0)), pan(day(480.0, 9000.0))],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    // For nothing it is split: 200 kg fill the first pan, which counts ten kilograms, and lose two.
    assert_eq!(propose(&season, 100, 1).pieces.len(), 4);
    season.haul_kg = 15.0;
    let told = propose(&season, 100, 1);
    assert_eq!(told.pieces.len(), 3, "{:?}", told.pieces);
    near(told.pieces.last().map_or(0.0, |p| p.kg), 500.0);
    // Two days opened, and ten for the first pan.
    near(told.cost_kg, 210.0);
    assert!(told.exact);
    // Where one day does not hold it, it comes on two.
    season.patches[2].cane_kg = 2600.0;
    let split = propose(&season, 200, 1);
    assert!(split.pieces.len() > 3, "{:?}", split.pieces);
    near(split.cost_kg, season.cost_kg(&split.pieces));
}
