//! Seasons with what was proposed for them, written for a solver of mixed-integer programs to plan anew.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use canewright::calc::season::proposal::{Day, Patch, Proposal, Season, propose};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use serde_json::{Value, json};

/// Seasons written, and rounds for each; `PROPOSAL_SEASONS` writes more, with as many rounds as the page takes.
const SEASONS: u64 = 6;
const ROUNDS: usize = 4000;

/// A season by chance: 3 to 30 members with up to three plantings each, 2 to 16 days in seven weeks.
fn season(seed: u64) -> Season {
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let members: usize = chance.random_range(3..=30);
    let plantings = chance.random_range(members..=60.min(members * 3));
    let count = chance.random_range(2..=16_u32);
    let mut dates: Vec<f64> = (0..count)
        .map(|_| chance.random_range(0.0..50.0_f64).floor())
        .collect();
    dates.sort_by(f64::total_cmp);
    let all = f64::from(count) * 2400.0 * chance.random_range(0.4..1.1);
    let patches = (0..plantings)
        .map(|n| {
            let best = chance.random_range(5.0..45.0);
            let owner = if n < members {
                n
            } else {
                chance.random_range(0..members)
            };
            let part = chance.random_range(0.4..1.6);
            let lost: Vec<Option<f64>> = dates
                .iter()
                .map(|date| {
                    let off: f64 = date - best;
                    let steep = if off < 0.0 { 0.014 } else { 0.018 };
                    let beyond = (off.abs() - 10.0).max(0.0);
                    let lost = 0.0004 * off.abs().min(10.0).powi(2) + steep * beyond;
                    chance.random_bool(0.85).then(|| lost.min(1.0))
                })
                .collect();
            Patch {
                owner,
                cane_kg: (all / f64::from(u32::try_from(plantings).unwrap()) * part * 10.0).round()
                    / 10.0,
                moved: vec![0.0; lost.len()],
                lost,
            }
        })
        .collect();
    let days = dates
        .iter()
        .map(|_| Day {
            minutes: chance.random_range(300.0..600.0_f64).round(),
            kg_per_minute: 8.0,
            changeover: 10.0,
            most_kg: chance.random_range(1800.0..3200.0_f64).round(),
            opening_kg: chance.random_range(0.0..150.0_f64).round(),
        })
        .collect();
    Season {
        patches,
        days,
        step: 0.05,
    }
}

fn written(season: &Season, found: &Proposal) -> Value {
    let patch = |p: &Patch| json!({ "owner": p.owner, "kg": p.cane_kg, "lost": p.lost });
    let day = |d: &Day| {
        json!({ "minutes": d.minutes, "rate": d.kg_per_minute, "changeover": d.changeover, "most": d.most_kg,
            "opening": d.opening_kg })
    };
    json!({
        "patches": season.patches.iter().map(patch).collect::<Vec<_>>(),
        "days": season.days.iter().map(day).collect::<Vec<_>>(),
        "step": season.step,
        "pieces": found.pieces.iter().map(|p| json!([p.patch, p.day, p.kg])).collect::<Vec<_>>(),
        "worst": found.worst, "cost": found.cost_kg, "bound": found.bound_kg,
    })
}

#[test]
fn seasons_are_written_for_a_solver() {
    let more = std::env::var("PROPOSAL_SEASONS")
        .ok()
        .and_then(|n| n.parse().ok());
    let rounds = if more.is_some() { 20_000 } else { ROUNDS };
    let all: Vec<Value> = (0..more.unwrap_or(SEASONS))
        .map(|seed| {
            let season = season(3000 + seed);
            let found = propose(&season, rounds, seed);
            assert!(found.bound_kg <= found.cost_kg + 1e-9);
            written(&season, &found)
        })
        .collect();
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("proposal");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("seasons.json"), Value::from(all).to_string()).unwrap();
}
