//! Tests of `mill_watch`: a published example of the chart, and what it says of cane and mill.

use super::*;
use proptest::prelude::*;

fn day<'a>(of: &[(u64, f64)]) -> Vec<Ticket<'a>> {
    of.iter()
        .zip(1..)
        .map(|((member, percent), number)| Ticket {
            number,
            member: *member,
            name: "Ann Bell",
            percent: *percent,
            of_the_day: number > 8,
        })
        .collect()
}

/// Eight tickets of eight members about 45, on earlier days.
const USUAL: [(u64, f64); 8] = [
    (1, 45.2),
    (2, 46.3),
    (3, 44.1),
    (4, 45.9),
    (5, 44.6),
    (6, 46.0),
    (7, 45.0),
    (8, 44.4),
];

fn with(today: &[(u64, f64)]) -> Vec<Ticket<'static>> {
    let mut all = USUAL.to_vec();
    all.extend_from_slice(today);
    day(&all)
}

fn found(tickets: &[Ticket<'_>]) -> Vec<Finding> {
    findings(tickets, lines(tickets).unwrap())
}

#[test]
fn the_limits_of_the_handbook_s_example_come_out() {
    // NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, chart of individuals (from memory):
    // ten viscosities, mean 50.81, mean moving range 1.8778, limits 55.8041 and 45.8159.
    let viscosity = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
    let three = 3.0 * spread(&viscosity).unwrap();
    let mean = viscosity.iter().sum::<f64>() / 10.0;
    assert!((mean + three - 55.8041).abs() < 0.0005, "{three}");
    assert!((mean - three - 45.8159).abs() < 0.0005, "{three}");
}

#[test]
fn the_constants_are_those_of_the_normal_law() {
    // d2 = 2/√π; the middle of |N(0, √2)| is √2 times the upper quartile 0.674490 of N(0, 1);
    // D4 = 1 + 3·d3/d2 with d3 = √(2 − 4/π) = 0.8525 (ASTM E2587 prints 1.128, 0.853, 3.267).
    let pi = std::f64::consts::PI;
    let d2 = 2.0 / pi.sqrt();
    assert!((D2 - d2).abs() < 0.0005);
    assert!((D2_MIDDLE - 2.0_f64.sqrt() * 0.674_490).abs() < 0.0005);
    assert!((D4 - (1.0 + 3.0 * (2.0 - 4.0 / pi).sqrt() / d2)).abs() < 0.001);
}

#[test]
fn one_wild_ticket_does_not_widen_the_spread() {
    let steady: Vec<f64> = USUAL.iter().map(|(_, p)| *p).collect();
    let mut wild = steady.clone();
    wild.insert(4, 33.0);
    let (before, after) = (spread(&steady).unwrap(), spread(&wild).unwrap());
    assert!((after / before - 1.0).abs() < 0.2, "{before} {after}");
}

#[test]
fn one_member_low_is_that_cane() {
    let tickets = with(&[(9, 45.5), (10, 36.0), (11, 44.9)]);
    assert_eq!(found(&tickets), [Finding::Cane(9)]);
    let said = sentence(&Finding::Cane(9), &tickets, lines(&tickets).unwrap());
    assert!(said.starts_with("Ticket 10 (Ann Bell) gave 36.0"), "{said}");
    assert!(said.contains("this cane and not the mill"), "{said}");
}

#[test]
fn several_members_in_a_row_low_is_the_mill() {
    let tickets = with(&[(9, 43.2), (10, 42.6), (11, 42.9), (12, 42.4), (13, 42.7)]);
    let odd = found(&tickets);
    assert!(
        matches!(odd.as_slice(), [Finding::Mill(7 | 8, 12)]),
        "{odd:?}"
    );
    let said = sentence(&odd[0], &tickets, lines(&tickets).unwrap());
    assert!(said.contains("the mill and not their cane"), "{said}");
    assert!(said.contains("roller gap"), "{said}");
}

#[test]
fn two_members_far_down_one_after_the_other_are_the_mill_already() {
    let tickets = with(&[(9, 45.1), (10, 38.0), (11, 37.5)]);
    assert_eq!(found(&tickets), [Finding::Mill(9, 10)]);
}

#[test]
fn one_member_s_tickets_in_a_row_are_that_cane() {
    let tickets = with(&[(9, 45.1), (10, 38.0), (10, 37.5), (10, 38.2), (11, 45.4)]);
    assert_eq!(
        found(&tickets),
        [Finding::Cane(9), Finding::Cane(10), Finding::Cane(11)]
    );
}

#[test]
fn a_day_as_usual_says_nothing_and_an_earlier_day_is_not_told_again() {
    assert!(found(&with(&[(9, 44.8), (10, 45.6), (11, 45.1)])).is_empty());
    let mut earlier = USUAL.to_vec();
    earlier[4].1 = 30.0;
    let tickets = day(&earlier);
    assert!(found(&tickets).is_empty());
}

#[test]
fn too_few_tickets_have_no_middle() {
    assert_eq!(lines(&day(&USUAL[..5])), None);
    assert!(lines(&day(&USUAL[..6])).is_some());
}

#[test]
fn tickets_all_alike_still_have_a_spread() {
    let alike = day(&[(1, 45.0); 9]);
    let lines = lines(&alike).unwrap();
    assert!((lines.spread - LEAST_SPREAD).abs() < 1e-12);
    assert!(findings(&alike, lines).is_empty());
}

#[test]
fn the_picture_shows_the_last_tickets_and_marks_the_odd_ones() {
    let tickets = with(&[(9, 45.5), (10, 36.0)]);
    let of = lines(&tickets).unwrap();
    let odd = findings(&tickets, of);
    let shown = picture(&tickets, of, &odd, 5);
    assert_eq!(shown.dots.len(), 5);
    assert_eq!(shown.dots[4].2, Look::Cane);
    assert_eq!(shown.dots[0].2, Look::Before);
    let (middle, low, high) = shown.levels;
    assert!(high < middle && middle < low, "{:?}", shown.levels);
    assert!(shown.dots[4].1 > low);
}

proptest! {
    #[test]
    fn prop_a_steady_mill_is_left_in_peace_and_every_place_is_in_the_picture(
        noise in proptest::collection::vec(-1.0..1.0_f64, 6..60),
    ) {
        let of: Vec<(u64, f64)> = noise.iter().zip(1..).map(|(n, m)| (m, 45.0 + n * 0.2)).collect();
        let tickets = day(&of);
        let lines = lines(&tickets).unwrap();
        // No load lies 0.5 (the least spread) or more from the middle, so only eight in a row can be met.
        let odd = findings(&tickets, lines);
        for finding in &odd {
            let Finding::Mill(from, to) = finding else { panic!("{finding:?}") };
            prop_assert!(to - from >= 7, "{finding:?}");
        }
        let shown = picture(&tickets, lines, &odd, 40);
        for (x, y, _) in shown.dots {
            prop_assert!((0.0..=WIDTH).contains(&x) && (0.0..=HEIGHT).contains(&y));
        }
    }
}
