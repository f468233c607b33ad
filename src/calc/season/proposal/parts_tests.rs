//! Parts of seasons worked by hand, and of seasons by chance.

use super::super::best::score;
use super::super::place::Placed;
use super::super::search::begun;
use super::super::tests::{day, near, patch};
use super::super::{Day, LEAST_PIECE_KG, WaitingPlanting};
use super::*;
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;

fn from(season: &Season, pieces: &[Piece]) -> Best {
    Best {
        score: score(&Placed::with(season, pieces)),
        pieces: pieces.to_vec(),
    }
}

fn piece(patch: usize, day: usize, kg: f64) -> Piece {
    Piece { patch, day, kg }
}

fn free(minutes: f64, most_kg: f64) -> Day {
    Day {
        opening_kg: 0.0,
        ..day(minutes, most_kg)
    }
}

/// 4 to 15 members with 20 plantings on six days that are too full for all; every third brings no more than 300 kg on a day.
fn by_chance(seed: u64) -> Season {
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let members = chance.random_range(4..=15);
    let patches = (0..20).map(|n| WaitingPlanting {
        owner: n % members,
        cane_kg: chance.random_range(40.0..900.0),
        lost: (0..6)
            .map(|_| {
                let lost = chance.random::<f64>().powi(3);
                chance.random_bool(0.8).then_some(lost)
            })
            .collect(),
        moved: vec![0.0; 6],
        most_kg: if n % 3 == 0 {
            vec![300.0; 6]
        } else {
            Vec::new()
        },
    });
    Season {
        patches: patches.collect(),
        days: vec![
            Day {
                pan_kg: 600.0,
                short: 0.05,
                prompt_kg: 900.0,
                waiting: 0.02,
                ..day(300.0, 1300.0)
            };
            6
        ],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    }
}

#[test]
fn plantings_that_stand_in_one_anothers_way_change_places_all_at_once() {
    // Each of four would lose nothing on the day on which the one before it stands, and no day has room for two.
    let patches = (0..4).map(|n| {
        let lost = (0..4).map(|d| Some(if d == n { 0.0 } else { 0.1 }));
        patch(n, 500.0, &lost.collect::<Vec<_>>())
    });
    let season = Season {
        patches: patches.collect(),
        days: vec![free(110.0, 500.0); 4],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let pieces: Vec<Piece> = (0..4).map(|d| piece((d + 1) % 4, d, 500.0)).collect();
    let mut best = from(&season, &pieces);
    near(best.score.1, 200.0);
    let mut chance = Pcg64Mcg::seed_from_u64(1);
    cheaper(&season, &mut best, 5000, &mut chance);
    near(best.score.1, 0.0);
    assert!(best.pieces.iter().all(|p| p.patch == p.day));
}

#[test]
fn no_part_makes_a_season_worse_or_a_day_too_full() {
    let mut better = 0;
    for seed in 0..12 {
        let season = by_chance(seed);
        let mut chance = Pcg64Mcg::seed_from_u64(seed);
        let mut best = begun(&season, &mut chance);
        let before = best.score;
        fairer(&season, &mut best, 1000, &mut chance);
        assert!(best.score.0 <= before.0, "season {seed}");
        let fair = best.score;
        cheaper(&season, &mut best, 1000, &mut chance);
        assert!(best.score <= fair, "season {seed}");
        better += usize::from(best.score.1 < fair.1 - 1.0);
        near(season.cost_kg(&best.pieces), best.score.1);
        for (d, day) in season.days.iter().enumerate() {
            let on = || best.pieces.iter().filter(|p| p.day == d).map(|p| p.kg);
            let minutes: f64 = on().map(|kg| kg / day.kg_per_minute + day.changeover).sum();
            assert!(minutes < day.minutes + 1e-6, "season {seed}: {minutes}");
            assert!(on().sum::<f64>() < day.most_kg + 1e-6, "season {seed}");
        }
        for (n, patch) in season.patches.iter().enumerate() {
            let own = || best.pieces.iter().filter(|p| p.patch == n);
            assert!(own().map(|p| p.kg).sum::<f64>() < patch.cane_kg + 1e-6);
            let least = patch.cane_kg.min(LEAST_PIECE_KG);
            assert!(own().all(|p| p.kg > least - 2e-3 && patch.lost[p.day].is_some()));
            assert!(own().all(|p| p.kg < season.most_kg(n, p.day) + 1e-6));
        }
    }
    assert!(better > 6, "{better} of 12 became cheaper");
}

#[test]
fn nobody_is_left_above_a_step_that_can_be_had_for_all() {
    // Room for 1,000 kg, and half of the first one's sugar is lost in any case: with 250 kg of the first and 750 of the second
    // each loses a quarter of all cane beyond that, and no other amounts are fairer.
    let season = Season {
        patches: vec![
            patch(0, 500.0, &[Some(0.5)]),
            patch(1, 1000.0, &[Some(0.0)]),
        ],
        days: vec![free(1000.0, 1000.0)],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let mut best = from(&season, &[piece(1, 0, 1000.0)]);
    assert_eq!(best.score.0, 10);
    let mut chance = Pcg64Mcg::seed_from_u64(1);
    fairer(&season, &mut best, 5000, &mut chance);
    assert_eq!(best.score.0, 5);
}

#[test]
fn a_part_has_the_room_that_the_rest_leaves() {
    let season = Season {
        patches: vec![
            patch(0, 600.0, &[Some(0.1)]),
            patch(0, 600.0, &[Some(0.2)]),
            patch(1, 600.0, &[Some(0.0)]),
        ],
        days: vec![Day {
            pan_kg: 500.0,
            prompt_kg: 700.0,
            ..free(300.0, 1200.0)
        }],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let pieces = [piece(0, 0, 400.0), piece(1, 0, 300.0)];
    let part = Part::of(&season, &pieces, |patch, _| match patch {
        0 => Ask::Nothing,
        1 => Ask::Amount,
        _ => Ask::Piece,
    });
    // 400 kg took 80 minutes and one change-over, and keep nine tenths; 60 and 120 kg of this member's are lost on any plan.
    near(part.days[0].minutes, 210.0);
    near(part.days[0].most_kg, 800.0);
    near(part.days[0].pan_kg, 100.0);
    near(part.days[0].prompt_kg, 300.0);
    near(part.cane_kg[0], 200.0);
    near(part.kept_kg[0], 540.0);
    assert!(!part.opened[0]);
    assert_eq!(part.asked(), 1);
    // One turn more, besides the one whose amount is asked: the cane it has.
    near(part.most(2, 0), 600.0);
    // With room for 40 kg more nobody is asked who does not stand there.
    let mut full = season;
    full.days[0].most_kg = 440.0;
    let part = Part::of(&full, &pieces[..1], |patch, _| {
        if patch == 2 { Ask::Piece } else { Ask::Nothing }
    });
    assert_eq!(part.asked(), 0);
}
