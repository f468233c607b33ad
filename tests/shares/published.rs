//! Sources: `tests/published/apportionment_examples.csv` and `check_character_vectors.csv` name a
//! source in each row (census figures, textbooks, python-stdnum 2.2, the package `apportionment`).
//! `split_vectors.json` holds seven worked lots made by a separate program, not this one. The
//! worked pool is written out at its test.

use super::{jars, member, owed};
use canewright::calc::shares::apportion::{Tie, largest_remainder};
use canewright::calc::shares::claims::{Claim, deal};
use canewright::calc::shares::jars::{Owed, share_out};
use canewright::calc::shares::split::{Pour, Sharer, entitle};
use canewright::units::{BasisPoints, Grams, LotCode, check_character};
use serde_json::Value;
use std::collections::BTreeMap;

fn rows(file: &str) -> Vec<BTreeMap<String, String>> {
    let path = format!("{}/tests/published/{file}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(path).unwrap();
    let rows: Vec<BTreeMap<String, String>> =
        reader.deserialize().map(|row| row.unwrap()).collect();
    assert!(!rows.is_empty());
    rows
}

#[test]
fn check_characters_agree_with_a_published_library() {
    let mut checked = 0;
    for row in rows("check_character_vectors.csv") {
        if row["system"] == "MOD 37-2" {
            let check = check_character(&row["body"]).unwrap();
            assert_eq!(check.to_string(), row["check"], "{}", row["body"]);
            assert_eq!(format!("{}{check}", row["body"]), row["full"]);
            checked += 1;
        }
    }
    assert_eq!(checked, 8);
    // The longest code in use is one of the library's valid numbers too.
    let code = LotCode::nth(2026, 1).unwrap();
    let (body, check) = code.as_str().split_at(5);
    assert_eq!(check_character(body).unwrap().to_string(), check);
}

fn numbers<T: std::str::FromStr>(cell: &str) -> Vec<T> {
    cell.split(';').map(|n| n.parse().ok().unwrap()).collect()
}

fn seats(total: u64, weights: &[u64], names: &[&str]) -> Vec<(u64, bool)> {
    let pairs = weights.iter().zip(names);
    let sharers: Vec<_> = pairs
        .map(|(w, n)| (u128::from(*w), Tie::of("", n)))
        .collect();
    let parts = largest_remainder(total, &sharers).unwrap();
    parts.iter().map(|p| (p.whole, p.odd)).collect()
}

/// A house where every state keeps at least one seat: the seat comes from the state that was the
/// last to be given an odd one.
fn with_one_each(total: u64, weights: &[u64], mut given: Vec<(u64, bool)>) -> Vec<(u64, bool)> {
    let all: u64 = weights.iter().sum();
    while let Some(none) = given.iter().position(|(seats, _)| *seats == 0) {
        let last = (0..given.len())
            .filter(|i| given[*i].1)
            .min_by_key(|i| u128::from(weights[*i]) * u128::from(total) % u128::from(all))
            .unwrap();
        given[last] = (given[last].0 - 1, false);
        given[none] = (1, false);
    }
    given
}

#[test]
fn largest_remainder_agrees_with_census_and_textbook_rows() {
    let mut checked = 0;
    for row in rows("apportionment_examples.csv") {
        if row["method"] != "largest_remainder" {
            continue;
        }
        let total: u64 = row["seats"].parse().unwrap();
        let weights: Vec<u64> = numbers(&row["weights"]);
        let names: Vec<&str> = row["labels"].split(';').collect();
        let mut given = seats(total, &weights, &names);
        if row["min_each"] == "1" {
            // The trap of 1880: Nevada's share of 0.377 of a seat rounds to none.
            assert_ne!(totals(&given), numbers::<u64>(&row["expected"]), "no trap");
            given = with_one_each(total, &weights, given);
        }
        assert_eq!(
            totals(&given),
            numbers::<u64>(&row["expected"]),
            "{}",
            row["example_id"]
        );
        checked += 1;
    }
    assert_eq!(checked, 13);
}

fn totals(given: &[(u64, bool)]) -> Vec<u64> {
    given.iter().map(|(seats, _)| *seats).collect()
}

#[test]
fn the_seven_worked_lots_are_divided_as_printed() {
    let text = include_str!("../published/split_vectors.json");
    let lots: Vec<Value> = serde_json::from_str(text).unwrap();
    assert_eq!(lots.len(), 7);
    for lot in &lots {
        let code = lot["lot"].as_str().unwrap();
        let names: Vec<&str> = lot["members"]
            .as_array()
            .unwrap()
            .iter()
            .map(|n| n.as_str().unwrap())
            .collect();
        let list = |key: &str| -> Vec<i64> {
            let values = lot[key].as_array().unwrap().iter();
            values.map(|v| v.as_i64().unwrap()).collect()
        };
        let all_jars = list("jars_g");
        let total = u64::try_from(all_jars.iter().sum::<i64>()).unwrap();
        let ties: Vec<Tie> = names.iter().map(|n| Tie::of(code, n)).collect();
        let weights = list("cane_weights");
        let sharers: Vec<(u128, Tie)> = weights
            .iter()
            .zip(&ties)
            .map(|(w, tie)| (u128::try_from(*w).unwrap(), *tie))
            .collect();
        let entitled: Vec<i64> = largest_remainder(total, &sharers)
            .unwrap()
            .iter()
            .map(|p| i64::try_from(p.whole).unwrap())
            .collect();
        assert_eq!(entitled, list("entitlement_g"), "{code}");

        let carried = |name: &str| lot["balance_in_g"][name].as_i64().unwrap_or(0);
        let claims: Vec<Claim> = (0..names.len())
            .map(|i| Claim {
                owed_g: carried(names[i]) + entitled[i],
                favoured_at: None,
                tie: ties[i],
            })
            .collect();
        let mut kinds: BTreeMap<i64, u32> = BTreeMap::new();
        for net in &all_jars {
            *kinds.entry(*net).or_default() += 1;
        }
        let kinds: Vec<(i64, u32)> = kinds.into_iter().rev().collect();
        let dealt = deal(&claims, &kinds);
        for (i, name) in names.iter().enumerate() {
            let expected = lot["jars_given"][name].as_array().unwrap();
            for (kind, (net, _)) in kinds.iter().enumerate() {
                let count = expected.iter().filter(|j| j.as_i64() == Some(*net)).count();
                assert_eq!(dealt[i][kind] as usize, count, "{code} {name} {net} g");
            }
            let jars = dealt[i].iter().zip(&kinds);
            let given: i64 = jars.map(|(n, (net, _))| i64::from(*n) * net).sum();
            let carry = lot["balance_out_g"][name].as_i64();
            assert_eq!(Some(claims[i].owed_g - given), carry, "{code} {name}");
        }
    }
}

/// The worked pool: A 60 gal at 17.0 °Bx, B 45 at 13.5, C 30 at 15.0, D 15 at 11.0; 10 % toll;
/// 16.5 gal of syrup. Printed figures: a co-op's worked example, computed by hand from weights in
/// air; the shares are printed to 0.01 percentage points and 0.01 gal.
struct Pool {
    gal: u64,
    brix_tenths: u64,
    /// Density at 20 °C in tenths of a kg/m³: CRC Handbook of Chemistry and Physics, aqueous
    /// sucrose; 13.5 and 15 lie half-way between its rows 13 and 14, 14 and 16.
    density_tenths: u64,
}

const POOL: [Pool; 4] = [
    pool(60, 170, 10_678),
    pool(45, 135, 10_528),
    pool(30, 150, 10_592),
    pool(15, 110, 10_423),
];

const fn pool(gal: u64, brix_tenths: u64, density_tenths: u64) -> Pool {
    Pool {
        gal,
        brix_tenths,
        density_tenths,
    }
}

impl Pool {
    /// Sugar weighed in air: the air a litre pushes aside weighs 1.2 g. In tenths of tenths.
    fn sugar(&self) -> u64 {
        self.gal * self.brix_tenths * (self.density_tenths - 12)
    }
}

/// Shares of a pool of so many small units, the toll included, in the order A to D.
fn shared(total: i64, toll: i64, weigh: impl Fn(&Pool) -> u64) -> Vec<i64> {
    let pours: Vec<Pour> = (1..)
        .zip(&POOL)
        .map(|(n, p)| Pour {
            sharer: member(n),
            weight: weigh(p),
        })
        .collect();
    let toll = BasisPoints::new(toll).unwrap();
    let shares = entitle("26001A", Grams::new(total), toll, &pours).unwrap();
    let members = shares.iter().filter(|s| s.sharer != Sharer::Mill);
    members.map(|s| s.grams.get()).collect()
}

/// Rounded to hundredths of what 1,000 units of `unit` make, halves upward.
fn hundredths(units: &[i64], unit: i64) -> Vec<i64> {
    units.iter().map(|u| (u * 100 + unit / 2) / unit).collect()
}

#[test]
fn the_worked_pool_comes_out_to_the_last_digit() {
    // Sugar in pounds: gal × Brix × lb/gal in air, 1 kg/m³ = 0.003785411784 / 0.45359237 lb/gal.
    // B comes to 53.314, printed as 53.32: the example's density of 13.5 °Bx is a trifle higher.
    for (p, printed) in POOL.iter().zip([90.79, 53.32, 39.73, 14.34]) {
        #[expect(clippy::cast_precision_loss, reason = "far below 2^53")]
        let lb = p.sugar() as f64 / 10_000.0 * 0.003_785_411_784 / 0.453_592_37;
        assert!((lb - printed).abs() < 0.01, "{lb} lb, printed {printed}");
    }

    // Percentages: a whole of 1,000,000,000 parts; one percent is 10,000,000.
    let percent =
        |weigh: &dyn Fn(&Pool) -> u64| hundredths(&shared(1_000_000_000, 0, weigh), 10_000_000);
    assert_eq!(percent(&|p| p.gal), [4000, 3000, 2000, 1000]);
    assert_eq!(percent(&|p| p.gal * p.brix_tenths), [4548, 2709, 2007, 736]);
    assert_eq!(percent(&Pool::sugar), [4581, 2690, 2005, 723]);

    // Gallons of the 16.5 after the toll of 10 %; one gallon is 100,000,000.
    let gallons =
        |weigh: &dyn Fn(&Pool) -> u64| hundredths(&shared(1_650_000_000, 1000, weigh), 100_000_000);
    assert_eq!(gallons(&|p| p.gal), [594, 446, 297, 149]);
    assert_eq!(gallons(&Pool::sugar), [680, 400, 298, 107]);

    // 59 whole quarts: exact shares 27.03, 15.87, 11.83, 4.27; largest remainders 27, 16, 12, 4.
    assert_eq!(
        hundredths(&shared(59_000_000, 0, Pool::sugar), 1_000_000),
        [2703, 1587, 1183, 427]
    );
    assert_eq!(shared(59, 0, Pool::sugar), [27, 16, 12, 4]);
    // And as jars of 1,000 g, with what is carried: +0.03, −0.13, −0.17, +0.27 of a quart.
    let owed: Vec<Owed> = (1..)
        .zip(shared(59_000, 0, Pool::sugar))
        .map(|(n, entitled)| owed(n, 0, entitled, None))
        .collect();
    let out = share_out("26001A", &owed, &[jars("quart", 1000, 59)]).unwrap();
    let quarts: Vec<u32> = out.given.iter().map(|g| g.jars[0]).collect();
    assert_eq!(quarts, [27, 16, 12, 4]);
    let carried: Vec<i64> = out.given.iter().map(|g| g.carry.get()).collect();
    let rounded = |g: &i64| (g + 5).div_euclid(10);
    assert_eq!(
        carried.iter().map(rounded).collect::<Vec<_>>(),
        [3, -13, -17, 27]
    );
}
