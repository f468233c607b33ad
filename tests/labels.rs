//! Jar labels and scales against published tables. Each row of the files in `tests/published/`
//! names its source, and says where it is from memory.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use canewright::calc::cane::scale::Graduation;
use canewright::calc::paper::label::NetContents;
use canewright::calc::paper::panel::Panel;
use canewright::calc::paper::qr::Qr;
use canewright::units::{Grams, LotCode, Units};
use std::collections::BTreeMap;

fn rows(file: &str) -> Vec<BTreeMap<String, String>> {
    let path = format!("{}/tests/published/{file}", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::Reader::from_path(path).unwrap();
    let rows: Vec<BTreeMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
    assert!(!rows.is_empty());
    rows
}

fn number(cell: &str) -> f64 {
    cell.parse().unwrap()
}

#[test]
fn net_contents_read_as_the_published_declarations() {
    for row in rows("dual_declaration_vectors.csv") {
        // As a steward types the jar: kept in whole grams, like every jar.
        let net = Grams::parse_small(&format!("{} oz", row["ounces"]), Units::Us).unwrap();
        let declared = NetContents::of(net).unwrap();
        assert_eq!(declared.customary_text(), row["customary_form"]);
        // Of the table's three roundings this is the one that never says more than is in the jar
        // and keeps to three figures; `three_sig_nearest_g` overstates (454 g for 453.59).
        assert_eq!(
            declared.metric().get().to_string(),
            row["three_sig_down_g"],
            "{} oz",
            row["ounces"]
        );
        assert!(declared.metric().as_f64() <= number(&row["exact_g"]));
        // Filled to the fill target, a jar holds what its label says.
        assert!(declared.fill().as_f64() >= number(&row["exact_g"]));
    }
}

#[test]
fn letters_are_as_high_as_the_panel_asks() {
    for row in rows("label_type_size.csv") {
        let height = |sq_in: f64| {
            let side = 25.4 * sq_in.sqrt();
            Panel::Flat {
                height_mm: side,
                width_mm: side,
            }
            .type_height()
            .unwrap()
        };
        let over = number(&row["pdp_area_over_in2"]);
        let mut inside = vec![height(over + 0.001)];
        if let Ok(to) = row["pdp_area_to_and_incl_in2"].parse::<f64>() {
            inside.push(height(to));
        }
        for found in inside {
            assert_eq!(found.inches(), format!("{} in", row["min_height_in"]));
            // High enough by both published figures, and no higher than their rounding.
            let exact = number(&row["min_height_exact_mm"]);
            assert!(found.mm() >= exact && found.mm() < exact + 0.1);
            assert!(found.mm() >= number(&row["uplr_min_height_mm"]));
        }
    }
}

#[test]
fn panels_of_jars_have_the_published_areas() {
    for row in rows("label_pdp_vectors.csv") {
        // "cylinder body 2.5 x 2.5 in dia", "flat face 2 x 2.5 in".
        let sides: Vec<f64> = row["container"]
            .split_whitespace()
            .filter_map(|word| word.parse().ok())
            .collect();
        let (height_mm, across_mm) = (sides[0] * 25.4, sides[1] * 25.4);
        let panel = if row["container"].starts_with("cylinder") {
            Panel::Round {
                height_mm,
                diameter_mm: across_mm,
            }
        } else {
            Panel::Flat {
                height_mm,
                width_mm: across_mm,
            }
        };
        let area = number(&row["pdp_area_in2"]);
        assert!((panel.area_sq_in() - area).abs() < 0.0006, "{area}");
        let height = panel.type_height().unwrap();
        assert_eq!(height.inches(), format!("{} in", row["min_type_height_in"]));
    }
}

fn unit_g(unit: &str) -> f64 {
    match unit {
        "lb" => 453.592_37,
        "kg" => 1000.0,
        "g" => 1.0,
        other => panic!("{other}"),
    }
}

#[test]
fn a_class_iii_scale_may_be_out_by_the_published_tolerance() {
    for row in rows("scale_tolerance_vectors.csv") {
        let unit = unit_g(&row["unit"]);
        let d = Graduation::new(number(&row["d"]) * unit).unwrap();
        let load = Grams::nearest(number(&row["load"]) * unit);
        assert!((d.divisions(load) - number(&row["load_in_d"])).abs() < 1e-9);
        let tolerance = d.tolerance_g(load) / unit;
        assert!((tolerance - number(&row["maintenance_tol"])).abs() < 1e-9);
        assert!((tolerance / 2.0 - number(&row["acceptance_tol"])).abs() < 1e-9);
    }
}

#[test]
fn tolerance_steps_where_the_published_table_steps() {
    let d = Graduation::new(5.0).unwrap();
    let mut checked = 0;
    for row in rows("scale_tolerance.csv") {
        if row["accuracy_class"] != "III" {
            continue;
        }
        let ends = ["test_load_from_d", "test_load_to_d"].map(|end| row[end].parse::<i64>());
        for load_d in ends.into_iter().flatten() {
            let tolerance = d.tolerance_g(Grams::new(load_d * 5)) / 5.0;
            assert!((tolerance - number(&row["maintenance_tol_d"])).abs() < 1e-9);
        }
        checked += 1;
    }
    assert_eq!(checked, 4);
}

/// Draws codes into `target/tmp/qr/`, where `tests/reference/qr_read.py` reads them back with
/// zxing-cpp and compares each with its title.
#[test]
fn qr_codes_are_drawn_for_the_reference_reader() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("qr");
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    let lot = LotCode::nth(2026, 300).unwrap();
    for (name, text) in [
        (
            "capitals",
            format!("HTTPS://MILL.EXAMPLE/L/{}", lot.as_str()),
        ),
        (
            "small-letters",
            format!("https://mill.example/l/{}", lot.as_str()),
        ),
        (
            "port",
            format!("HTTP://192.168.100.200:8080/L/{}", lot.as_str()),
        ),
        (
            "invite",
            format!("https://mill.example/join/{}", "4f9a".repeat(8)),
        ),
        (
            "long",
            format!("https://mill.example/{}", "a/b".repeat(120)),
        ),
    ] {
        let Qr { path, modules } = Qr::of(&text).unwrap();
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {modules} {modules}\">\
             <title>{text}</title><path d=\"{path}\"/></svg>"
        );
        std::fs::write(folder.join(format!("{name}.svg")), svg).unwrap();
    }
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 5);
}
