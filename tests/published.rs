//! The formulas of `calc` against published values. Each row of `published/*.csv` carries its own
//! tolerance and source; each test prints the largest deviation it found.
#![expect(
    clippy::print_stdout,
    reason = "the largest deviations are read from the tests' output"
)]

use canewright::calc::physics::elevation::{Factor, rise, water_activity};
use canewright::calc::physics::energy::{BTU_J, Fuel, latent_heat_kj_kg, specific_heat_kj_kg};
use canewright::calc::physics::refractometer::{brix_of_index, correction};
use canewright::calc::physics::{density, steam};
use canewright::units::{
    Altitude, BrixAt20C, BrixRead, Celsius, Grams, Hectopascals, Metres, Millilitres, Units,
};
use std::collections::BTreeMap;

/// Pascals in one psi (NIST SP 811), to read tables printed in psi.
const PSI_PA: f64 = 6_894.757_293_168;

/// One published value.
#[derive(Debug)]
struct Row {
    quantity: String,
    input1: Option<f64>,
    input1_unit: String,
    input2: Option<f64>,
    expected: f64,
    expected_unit: String,
    tolerance: f64,
    source: String,
}

impl Row {
    fn first(&self) -> f64 {
        self.input1.expect("the row has a first input")
    }
    fn second(&self) -> f64 {
        self.input2.expect("the row has a second input")
    }
}

fn rows(table: &str) -> Vec<Row> {
    let path = format!("{}/tests/published/{table}.csv", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(&path).expect("the table is there");
    let number =
        |text: &str| -> Option<f64> { (!text.is_empty()).then(|| text.parse().expect("a number")) };
    let found: Vec<Row> = reader
        .records()
        .map(|record| {
            let record = record.expect("a whole row");
            Row {
                quantity: record[0].to_owned(),
                input1: number(&record[1]),
                input1_unit: record[2].to_owned(),
                input2: number(&record[3]),
                expected: record[5].parse().expect("an expected value"),
                expected_unit: record[6].to_owned(),
                tolerance: record[7].parse().expect("a tolerance"),
                source: record[8].to_owned(),
            }
        })
        .collect();
    assert!(!found.is_empty(), "{table} is empty");
    found
}

/// Compares every row of one quantity; fails on the first outside its tolerance, or with no rows.
fn check(table: &str, quantity: &str, compute: impl Fn(&Row) -> f64) {
    let all = rows(table);
    let found: Vec<&Row> = all.iter().filter(|row| row.quantity == quantity).collect();
    assert!(!found.is_empty(), "{table} has no {quantity}");
    let mut largest: BTreeMap<&str, f64> = BTreeMap::new();
    for row in &found {
        let deviation = (compute(row) - row.expected).abs();
        assert!(
            deviation <= row.tolerance,
            "{deviation} out in {row:?}: {} against {}",
            compute(row),
            row.source
        );
        let so_far = largest.entry(&row.expected_unit).or_default();
        *so_far = so_far.max(deviation);
    }
    for (unit, deviation) in largest {
        println!(
            "{table}/{quantity}: {} rows, largest deviation {deviation:.3e} {unit}",
            found.len()
        );
    }
}

fn bx(value: f64) -> BrixAt20C {
    BrixAt20C::new(value).expect("a Brix")
}
fn c(value: f64) -> Celsius {
    Celsius::new(value).expect("a temperature")
}

/// Every table under `published/` that this file checks.
const TABLES: [&str; 6] = [
    "density",
    "refractometer",
    "boiling_water",
    "bpe",
    "energy",
    "units",
];

#[test]
fn every_quantity_in_every_table_is_checked_by_a_test_here() {
    let me = include_str!("published.rs");
    for table in TABLES {
        for row in rows(table) {
            let named = me.contains(&format!("check(\"{table}\", \"{}\"", row.quantity))
                || me.lines().any(|line| {
                    line.contains("// OUTSIDE_CHECK:")
                        && line.contains(&format!("\"{}\"", row.quantity))
                });
            assert!(named, "{table} has an unknown quantity {}", row.quantity);
            assert!(row.source.len() > 10, "no source: {row:?}");
        }
    }
}

#[test]
fn density_agrees_with_the_crc_table() {
    check("density", "density", |r| {
        density::kg_m3(bx(r.first()), c(r.second()))
    });
}

#[test]
fn density_of_water_agrees_with_iapws_95() {
    check("density", "water_density", |r| {
        density::water_kg_m3(c(r.first()))
    });
}

#[test]
fn apparent_specific_gravity_agrees_with_the_usda_table() {
    check("density", "apparent_sg_20_20", |r| {
        density::apparent_specific_gravity(bx(r.first()))
    });
}

#[test]
fn baume_agrees_with_mohos() {
    check("density", "baume_145", |r| density::baume(bx(r.first())));
}

#[test]
fn pounds_per_gallon_agree_with_asadi() {
    check("density", "lb_per_us_gal_air", |r| {
        density::lb_per_gal_in_air(bx(r.first()), c(r.second()))
    });
}

#[test]
fn brix_of_a_refractive_index_agrees_with_the_crc_table() {
    check("refractometer", "brix_from_refractive_index", |r| {
        brix_of_index(r.first())
    });
}

#[test]
fn the_refractometer_correction_agrees_with_the_international_table() {
    check("refractometer", "temperature_correction_to_20C", |r| {
        correction(BrixRead::new(r.first()).unwrap(), c(r.second()))
    });
}

#[test]
fn saturation_pressure_gives_the_verification_values_of_if97() {
    check("boiling_water", "saturation_pressure", |r| {
        steam::saturation_mpa(r.first())
    });
}

#[test]
fn saturation_temperature_gives_the_verification_values_of_if97() {
    check("boiling_water", "saturation_temperature", |r| {
        steam::saturation_kelvin(r.first())
    });
}

#[test]
fn boiling_water_agrees_with_iapws_95() {
    check("boiling_water", "boiling_point_water", |r| {
        steam::boils_at(Hectopascals::new(r.first() / 100.0).unwrap())
            .unwrap()
            .get()
    });
}

#[test]
fn the_standard_atmosphere_agrees_with_its_table() {
    check("boiling_water", "standard_pressure", |r| {
        let metres = match r.input1_unit.as_str() {
            "ft" => r.first() * 0.3048,
            "m_geometric" => r.first(),
            other => panic!("unknown unit {other}"),
        };
        let pascals = 100.0 * steam::standard_hpa(Altitude::new(metres).unwrap());
        match r.expected_unit.as_str() {
            "psi" => pascals / PSI_PA,
            "Pa" => pascals,
            other => panic!("unknown unit {other}"),
        }
    });
}

fn water_at(pascals: f64) -> Celsius {
    let station = Hectopascals::new(pascals / 100.0).expect("a pressure");
    steam::boils_at(station).expect("a temperature")
}

#[test]
fn the_boiling_rise_agrees_with_the_maple_rule() {
    check("bpe", "bpe_near_pure_sucrose", |r| {
        1.8 * rise(bx(r.first()), water_at(r.second()), Factor::PURE).get()
    });
}

#[test]
fn boiling_temperatures_agree_with_the_candy_stages() {
    check("bpe", "boiling_temperature_candy_stage", |r| {
        let water = water_at(r.second());
        water.get() + rise(bx(r.first()), water, Factor::PURE).get()
    });
}

#[test]
fn water_activity_agrees_with_zobrist_2011() {
    check("bpe", "water_activity_25C", |r| {
        water_activity(r.first(), r.second())
    });
}

#[test]
fn latent_heat_agrees_with_iapws_95() {
    check("energy", "latent_heat_water", |r| {
        latent_heat_kj_kg(c(r.first()))
    });
}

#[test]
fn specific_heat_agrees_with_three_published_formulas() {
    check("energy", "specific_heat_sugar_solution", |r| {
        specific_heat_kj_kg(bx(r.first()), c(r.second()), 1.0)
    });
}

#[test]
fn fuels_hold_the_heat_that_the_eia_prints() {
    check("energy", "propane_heat_content", |_| Fuel::Propane.btu());
    check("energy", "natural_gas_therm", |_| Fuel::NaturalGas.btu());
    check("energy", "wood_cord_average", |_| Fuel::Wood.btu());
}

#[test]
fn woods_hold_the_heat_that_kentucky_forestry_prints() {
    let million = |fuel: Fuel| fuel.btu() / 1e6;
    check("energy", "firewood_hickory", |_| million(Fuel::Hickory));
    check("energy", "firewood_black_locust", |_| {
        million(Fuel::BlackLocust)
    });
    check("energy", "firewood_white_oak", |_| million(Fuel::WhiteOak));
    check("energy", "firewood_sugar_maple", |_| {
        million(Fuel::SugarMaple)
    });
    check("energy", "firewood_red_oak", |_| million(Fuel::RedOak));
    check("energy", "firewood_white_ash", |_| million(Fuel::WhiteAsh));
    check("energy", "firewood_yellow_poplar", |_| {
        million(Fuel::YellowPoplar)
    });
}

/// An efficiency that a published row bounds from below or above, in percent.
fn bound(quantity: &str) -> f64 {
    let all = rows("energy");
    let row = all.iter().find(|row| row.quantity == quantity);
    row.expect("the row is there").expected
}

#[test]
fn guessed_efficiencies_lie_inside_published_ranges_of_open_pans() {
    // OUTSIDE_CHECK: "open_pan_efficiency_improved_low" "open_pan_efficiency_improved_high"
    // OUTSIDE_CHECK: "open_pan_efficiency_tested_low" "open_pan_efficiency_tested_high"
    for fuel in Fuel::ALL {
        let guess = 100.0 * fuel.efficiency_guess();
        let improved =
            bound("open_pan_efficiency_improved_low")..=bound("open_pan_efficiency_improved_high");
        let tested =
            bound("open_pan_efficiency_tested_low")..=bound("open_pan_efficiency_tested_high");
        assert!(
            improved.contains(&guess) || tested.contains(&guess),
            "{fuel:?}"
        );
    }
}

#[test]
fn a_btu_is_as_defined() {
    check("units", "btu_it", |_| BTU_J);
}

#[test]
fn gallons_are_as_defined() {
    check("units", "us_gallon", |_| {
        1e9 / Millilitres::new(1_000_000_000_000).gal()
    });
}

#[test]
fn pounds_are_as_defined() {
    check("units", "pound_avoirdupois", |_| {
        1e9 / Grams::new(1_000_000_000_000).lb()
    });
}

#[test]
fn feet_are_as_defined() {
    check("units", "foot", |_| {
        Metres::parse("1 ft", Units::Metric).unwrap().get()
    });
}

#[test]
fn inches_of_mercury_are_as_defined() {
    check("units", "inch_of_mercury_conventional", |_| {
        100.0 * Hectopascals::parse("25 inHg", Units::Metric).unwrap().get() / 25.0
    });
}

#[test]
fn the_standard_atmosphere_starts_from_one_atmosphere() {
    check("units", "standard_atmosphere", |_| {
        100.0 * steam::standard_hpa(Altitude::new(0.0).unwrap())
    });
}

#[test]
fn fahrenheit_is_as_defined() {
    check("units", "celsius_to_fahrenheit", |r| {
        c(r.first()).fahrenheit()
    });
}

/// Ounces and fluid ounces are read into whole grams and millilitres, so a great many are read and
/// the answer may be out by half a gram or millilitre in all.
fn check_whole(quantity: &str, whole: f64, count: f64) {
    let all = rows("units");
    let row = all
        .iter()
        .find(|row| row.quantity == quantity)
        .expect("the row is there");
    assert!(
        (whole - count * row.expected).abs() <= 0.5,
        "{whole} {row:?}"
    );
    println!("units/{quantity}: {count} read to the nearest whole");
}

#[test]
fn ounces_are_as_defined_to_the_whole_gram_in_a_million() {
    // OUTSIDE_CHECK: "ounce_avoirdupois"
    let read = Grams::parse_small("1000000 oz", Units::Metric).unwrap();
    check_whole("ounce_avoirdupois", read.as_f64(), 1e6);
}

#[test]
fn fluid_ounces_are_as_defined_to_the_whole_millilitre_in_half_a_million() {
    // OUTSIDE_CHECK: "us_fluid_ounce"
    let read = Millilitres::parse("500000 fl oz", Units::Metric).unwrap();
    check_whole("us_fluid_ounce", read.as_f64(), 5e5);
}

#[test]
fn what_a_jar_may_be_short_by_is_the_table() {
    use canewright::calc::boil::jar_tolerance::allowed_g;
    let path = format!(
        "{}/tests/published/mav_by_weight.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut reader = csv::Reader::from_path(path).expect("the table is there");
    let mut rows = 0;
    for record in reader.records() {
        let record = record.expect("a whole row");
        let (Ok(to), Ok(allowed)) = (record[3].parse::<f64>(), record[6].parse::<f64>()) else {
            continue;
        };
        rows += 1;
        let declared = Grams::nearest(to);
        assert!(
            (allowed_g(declared) - allowed).abs() < 0.06,
            "{to} g: {}",
            &record[8]
        );
        let above = allowed_g(declared + Grams::new(1));
        assert!(above > allowed, "over {to} g more may be short: {above}");
    }
    assert_eq!(rows, 32);
    // Rules at both ends: a tenth of the smallest, a fiftieth of the largest.
    assert!((allowed_g(Grams::new(30)) - 3.0).abs() < 1e-9);
    assert!((allowed_g(Grams::new(30_000)) - 600.0).abs() < 1e-9);
}
