//! What the simulated boils themselves are like, so that makes can be compared and a figure understood.

use super::cells::Plan;
use super::goals::quantile;
use crate::fire::face::Make;
use std::fmt::Write;

/// Minutes at which a boil passes its moments.
struct Moments {
    /// At the boil; at the target less 8, less 4, at the target, 2 over it.
    at: [f64; 5],
    k: f64,
    depth_kg_m2: f64,
    rate: f64,
    /// What the mill has learned, over the truth; NaN if nothing.
    learned_over: f64,
    seed: u64,
}

fn moments<B: Make>(plan: &Plan, seed: u64) -> Moments {
    const STEP_MIN: f64 = 1.0 / 60.0;
    let mut sim = B::new(seed, plan.boil(seed));
    let setup = sim.setup();
    let steps = [f64::MIN, -8.0, -4.0, 0.0, 2.0].map(|over| setup.target_brix + over);
    let mut at = [f64::NAN; 5];
    let mut minute = 0.0;
    while at[4].is_nan() && minute < 1200.0 {
        minute += STEP_MIN;
        sim.advance(minute);
        for (i, &brix) in steps.iter().enumerate() {
            if at[i].is_nan() && sim.brix() >= brix && (i > 0 || sim.boiling()) {
                at[i] = minute;
            }
        }
    }
    Moments {
        at,
        k: sim.true_k(),
        depth_kg_m2: setup.solids_g / 10.0 / setup.juice_brix / setup.area_m2,
        rate: setup.rate_l_m2_h,
        learned_over: setup.k.map_or(f64::NAN, |(k, _)| k - sim.true_k()),
        seed,
    }
}

/// A table of the boils of `plan` from seed `from`: each line a property, by the part of the boils below it.
#[must_use]
pub fn table<B: Make>(plan: &Plan, from: u64, boils: u64) -> String {
    const PARTS: [f64; 7] = [0.0, 0.05, 0.25, 0.5, 0.75, 0.95, 1.0];
    let all: Vec<Moments> = (from..from + boils)
        .map(|seed| moments::<B>(plan, seed))
        .collect();
    let lost: Vec<u64> = (from..)
        .zip(&all)
        .filter(|(_, m)| m.at[3].is_nan())
        .map(|(seed, _)| seed)
        .collect();
    let mut text = if lost.is_empty() {
        String::new()
    } else {
        format!("Never at the target: {lost:?}\n\n")
    };
    text +=
        "| | least | 5 % | 25 % | half | 75 % | 95 % | most |\n|---|---|---|---|---|---|---|---|\n";
    let mut line = |name: &str, value: &dyn Fn(&Moments) -> f64| {
        let values: Vec<f64> = all.iter().map(value).collect();
        let cells = PARTS
            .map(|part| format!("{:.2}", quantile(values.clone(), part)))
            .join(" | ");
        let _ = writeln!(text, "| {name} | {cells} |");
    };
    line("juice, kg/m²", &|m| m.depth_kg_m2);
    line("rate as the mill knows it, L/(m² h)", &|m| m.rate);
    line("lit to boil, min", &|m| m.at[0]);
    line("boil to target, min", &|m| m.at[3] - m.at[0]);
    line("target - 8 to target, min", &|m| m.at[3] - m.at[1]);
    line("target - 4 to target, min", &|m| m.at[3] - m.at[2]);
    line("target to target + 2, min", &|m| m.at[4] - m.at[3]);
    line("true K", &|m| m.k);
    line("learned K - true K", &|m| m.learned_over);
    let _ = writeln!(
        text,
        "\nLongest to boil, quickest to the target: {}",
        odd(&all)
    );
    text
}

/// Seeds of the boils at both ends.
fn odd(all: &[Moments]) -> String {
    let slow = all
        .iter()
        .max_by(|a, b| a.at[0].total_cmp(&b.at[0]))
        .map_or(0, |m| m.seed);
    let fast = all
        .iter()
        .min_by(|a, b| (a.at[3] - a.at[0]).total_cmp(&(b.at[3] - b.at[0])))
        .map_or(0, |m| m.seed);
    format!("seeds {slow}, {fast}")
}
