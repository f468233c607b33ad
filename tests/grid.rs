//! Prints our figures over a grid of more than 1,000 points, for `reference/water_steam.py` to
//! hold against other people's programs. Run by that script.
#![expect(
    clippy::print_stdout,
    reason = "the grid is read from the test's output"
)]

use canewright::calc::physics::energy::latent_heat_kj_kg;
use canewright::calc::physics::{density, steam};
use canewright::units::{Altitude, Celsius, Hectopascals};

/// Points from `low` to `high`, both included, `by` apart.
fn points(low: f64, high: f64, by: f64) -> impl Iterator<Item = f64> {
    let mut at = low;
    std::iter::from_fn(move || {
        let here = (at <= high + 1e-9).then_some(at);
        at += by;
        here
    })
}

fn celsius(t: f64) -> Celsius {
    Celsius::new(t).expect("a temperature of the grid")
}

#[test]
#[ignore = "prints a grid; tests/reference/water_steam.py runs it"]
fn the_grid_of_water_steam_and_air_is_printed() {
    let mut count = 0;
    let mut print = |quantity: &str, input: f64, value: f64| {
        assert!(value.is_finite(), "{quantity} at {input}");
        println!("grid,{quantity},{input:.4},{value:.10e}");
        count += 1;
    };
    for hpa in points(500.0, 1100.0, 2.0) {
        let station = Hectopascals::new(hpa).expect("a pressure of the grid");
        let boils = steam::boils_at(station).expect("water boils");
        print("boiling_c_at_hpa", hpa, boils.get());
    }
    for t in points(1.0, 130.0, 0.5) {
        print(
            "saturation_pa_at_c",
            t,
            1e6 * steam::saturation_mpa(t + 273.15),
        );
    }
    for t in points(1.0, 99.0, 0.5) {
        print("water_kg_m3_at_c", t, density::water_kg_m3(celsius(t)));
    }
    for t in points(1.0, 125.0, 0.5) {
        print("latent_kj_kg_at_c", t, latent_heat_kj_kg(celsius(t)));
    }
    for m in points(-300.0, 5000.0, 20.0) {
        let height = Altitude::new(m).expect("a height of the grid");
        print("standard_pa_at_m", m, 100.0 * steam::standard_hpa(height));
    }
    assert!(count > 1000, "{count}");
}
