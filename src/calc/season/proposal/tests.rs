//! Proposals worked by hand.

use super::*;

pub(super) fn day(minutes: f64, most_kg: f64) -> Day {
    Day {
        minutes,
        kg_per_minute: 5.0,
        changeover: 10.0,
        most_kg,
        opening_kg: 100.0,
        pan_kg: 0.0,
        short: 0.0,
        prompt_kg: most_kg,
        waiting: 0.0,
    }
}

pub(super) fn patch(owner: usize, cane_kg: f64, lost: &[Option<f64>]) -> WaitingPlanting {
    WaitingPlanting {
        owner,
        cane_kg,
        lost: lost.to_vec(),
        moved: vec![0.0; lost.len()],
        most_kg: Vec::new(),
    }
}

pub(super) fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6, "{a} and {b}");
}

#[test]
fn everybody_gets_the_best_day_while_there_is_room() {
    let season = Season {
        patches: vec![
            patch(0, 400.0, &[Some(0.02), Some(0.0)]),
            patch(1, 400.0, &[Some(0.0), Some(0.02)]),
        ],
        days: vec![day(480.0, 5000.0), day(480.0, 5000.0)],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    // A second day costs 100 kg and saves 8 kg: both come on one.
    let one = propose(&season, 200, 1);
    assert_eq!(one.pieces.len(), 2);
    assert_eq!(one.pieces[0].day, one.pieces[1].day);
    near(one.cost_kg, 108.0);
    near(one.worst, 0.02);
    assert!(
        one.bound_kg <= 108.0 + 1e-9 && one.bound_kg > 20.0,
        "{}",
        one.bound_kg
    );
}

#[test]
fn what_a_day_cannot_press_is_split_or_told() {
    // 480 min at 5 kg with 10 min between: 2,350 kg of one planting; 3,000 kg go on two days.
    let season = Season {
        patches: vec![patch(0, 3000.0, &[Some(0.0), Some(0.1)])],
        days: vec![day(480.0, 9000.0), day(480.0, 9000.0)],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let split = propose(&season, 100, 1);
    near(split.pieces[0].kg, 2350.0);
    near(split.pieces[1].kg, 650.0);
    near(split.cost_kg, 265.0);
    let short = Season {
        days: vec![day(480.0, 9000.0), day(0.0, 9000.0)],
        ..season
    };
    let told = propose(&short, 100, 1);
    near(told.left_kg[0], 650.0);
    near(told.cost_kg, 750.0);
}

#[test]
fn the_vessels_limit_a_day_as_the_rollers_do() {
    let season = Season {
        patches: vec![patch(0, 600.0, &[Some(0.0)]), patch(1, 600.0, &[Some(0.0)])],
        days: vec![day(480.0, 700.0)],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let told = propose(&season, 100, 1);
    near(told.pieces.iter().map(|p| p.kg).sum(), 700.0);
}

#[test]
fn a_day_on_which_a_member_cannot_come_is_never_proposed() {
    let season = Season {
        patches: vec![patch(0, 600.0, &[None, Some(0.4)])],
        days: vec![day(480.0, 5000.0), day(480.0, 5000.0)],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    assert_eq!(propose(&season, 50, 1).pieces[0].day, 1);
    let unable = Season {
        patches: vec![patch(0, 600.0, &[None, None])],
        ..season
    };
    let told = propose(&unable, 50, 1);
    assert!(told.pieces.is_empty());
    near(told.left_kg[0], 600.0);
    near(unable.lost_by_member(&told.pieces)[0], 1.0);
    // No plan could spare it.
    near(told.worst, 0.0);
}

#[test]
fn nobody_is_left_out_for_the_sake_of_the_sum() {
    // One day, room for 1,000 kg: the other's cane would lose less, but the first would lose all.
    let season = Season {
        patches: vec![
            patch(0, 500.0, &[Some(0.5)]),
            patch(1, 1000.0, &[Some(0.0)]),
        ],
        days: vec![Day {
            opening_kg: 0.0,
            ..day(1000.0, 1000.0)
        }],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let fair = propose(&season, 2000, 1);
    // The first loses half in any case: a quarter more is as fair as can be, and a step over it allowed.
    let beyond = season.beyond_by_member(&fair.pieces);
    assert!(beyond[0] < 0.31 && beyond[1] < 0.31, "{beyond:?}");
}

#[test]
fn what_was_told_moves_only_for_a_reason() {
    let mut season = Season {
        patches: vec![patch(0, 500.0, &[Some(0.0), Some(0.01)])],
        days: vec![day(480.0, 5000.0), day(480.0, 5000.0)],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    season.patches[0].moved = vec![0.02, 0.0];
    assert_eq!(propose(&season, 100, 1).pieces[0].day, 1);
    season.patches[0].moved = vec![0.005, 0.0];
    assert_eq!(propose(&season, 100, 1).pieces[0].day, 0);
}

#[test]
fn the_same_seed_gives_the_same_proposal() {
    let lost: Vec<Option<f64>> = vec![Some(0.0), Some(0.05), Some(0.1)];
    let season = Season {
        patches: (0..20).map(|n| patch(n, 300.0, &lost)).collect(),
        days: vec![day(400.0, 2500.0); 3],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    assert_eq!(propose(&season, 300, 7), propose(&season, 300, 7));
}

#[test]
fn a_pan_that_is_not_full_and_juice_that_waits_are_weighed_too() {
    // 400 kg each. Both on one day: 8 kg lost, and 300 kg wait at 0.1: 138 kg with 100 for the day. Each on its own: 200 kg.
    let own = |pan_kg, short, waiting| Day {
        pan_kg,
        short,
        prompt_kg: 500.0,
        waiting,
        ..day(480.0, 5000.0)
    };
    let season = |days: Vec<Day>| Season {
        patches: vec![
            patch(0, 400.0, &[Some(0.02), Some(0.0)]),
            patch(1, 400.0, &[Some(0.0), Some(0.02)]),
        ],
        days,
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let waits = propose(&season(vec![own(0.0, 0.0, 0.1); 2]), 200, 1);
    near(waits.cost_kg, 138.0);
    assert_eq!(waits.pieces[0].day, waits.pieces[1].day);
    // At 0.4 for what waits one day costs 228 kg: two are opened for 200, and nobody loses anything.
    let two = propose(&season(vec![own(0.0, 0.0, 0.4); 2]), 200, 1);
    near(two.cost_kg, 200.0);
    near(two.worst, 0.0);
    // A pan takes 700 kg: two days would each miss 300 kg at 0.1, 260 kg in all, and one day costs 228 again.
    let one = propose(&season(vec![own(700.0, 0.1, 0.4); 2]), 200, 1);
    near(one.cost_kg, 228.0);
    assert!(waits.exact && two.exact && one.exact);
    assert!(one.bound_kg > 227.0, "{}", one.bound_kg);
}

#[test]
fn small_plantings_come_together_where_there_are_minutes_for_many_turns() {
    // Seven days have minutes for ten turns and vessels for 600 kg, seven room for more cane in six turns: 42 of 400 kg and
    // 70 of 60 kg find just room, if no small one takes a turn of the large ones. Too large to be solved to the end.
    let anywhere = [Some(0.0); 14];
    let mut patches: Vec<WaitingPlanting> = (0..42).map(|n| patch(n, 400.0, &anywhere)).collect();
    patches.extend((42..112).map(|n| patch(n, 60.0, &anywhere)));
    let free = |minutes, most_kg| Day {
        opening_kg: 0.0,
        ..day(minutes, most_kg)
    };
    let mut days = vec![free(540.0, 9000.0); 7];
    days.extend([free(220.0, 600.0); 7]);
    let season = Season {
        patches,
        days,
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let found = propose(&season, 1000, 1);
    // Within 3 % of all.
    assert!(found.cost_kg < 630.0, "{} kg lost", found.cost_kg);
    assert!(
        found.worst < 0.2,
        "{} of somebody's cane is lost",
        found.worst
    );
}

#[test]
fn a_proposal_that_nearly_fits_changes_only_where_it_must() {
    let anywhere = [Some(0.0), Some(0.01), Some(0.02)];
    let mut season = Season {
        patches: (0..15).map(|n| patch(n, 300.0, &anywhere)).collect(),
        days: vec![day(480.0, 1500.0); 3],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let first = propose(&season, 300, 1);
    assert!(
        first.left_kg.iter().all(|kg| *kg < 1e-6),
        "{:?}",
        first.left_kg
    );
    season.before = first.pieces.clone();
    season.days[1].most_kg = 1400.0;
    // As the page counts it: what is moved from the day it had costs a fiftieth.
    for (n, patch) in season.patches.iter_mut().enumerate() {
        for (day, moved) in patch.moved.iter_mut().enumerate() {
            let mut first = first.pieces.iter();
            *moved = if first.any(|p| p.patch == n && p.day == day) {
                0.0
            } else {
                0.02
            };
        }
    }
    let next = propose_near(&season, 50, 1);
    let on = |plan: &Proposal, day| {
        plan.pieces
            .iter()
            .filter(|p| p.day == day)
            .map(|p| p.kg)
            .sum::<f64>()
    };
    near(on(&next, 1), 1400.0);
    near(next.left_kg.iter().sum(), 100.0);
    let stood = |p: &Piece| {
        let mut first = first.pieces.iter();
        first.any(|f| f.patch == p.patch && f.day == p.day)
    };
    let same = next.pieces.iter().filter(|p| stood(p));
    assert!(same.count() >= 13, "{:?}", next.pieces);
    // Nobody is left out for it: a hundredth or two of each is as fair as can be, and a step over it allowed.
    assert!(next.worst < 0.1, "{}", next.worst);
}

#[test]
fn amounts_are_weighed_for_turns_that_are_settled() {
    // Room for 1,000 kg of two; the first loses a tenth there, the second nothing.
    let season = Season {
        patches: vec![patch(0, 800.0, &[Some(0.1)]), patch(1, 800.0, &[Some(0.0)])],
        days: vec![day(480.0, 1000.0)],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let turns = [0, 1].map(|patch| Piece {
        patch,
        day: 0,
        kg: 500.0,
    });
    // For the sum alone the second brings all and the first the rest.
    let cheap = amounts::weighed(&season, &turns, Some(1.0)).unwrap();
    near(cheap[0].kg, 200.0);
    near(cheap[1].kg, 800.0);
    // With nobody above six tenths, beyond the tenth that the first loses in any case, the first brings 800 x 0.3 / 0.9.
    let bearable = amounts::weighed(&season, &turns, Some(0.6)).unwrap();
    near(bearable[0].kg, 240.0 / 0.9);
    // As fair as can be: 0.9 a = b - 80 and a + b = 1,000.
    let fair = amounts::weighed(&season, &turns, None).unwrap();
    near(fair[0].kg, 920.0 / 1.9);
    near(fair[1].kg, 80.0 + 0.9 * 920.0 / 1.9);
}

#[test]
fn what_no_plan_could_spare_does_not_hide_what_others_lose() {
    // One day for 1,000 kg; the first two could both come then, the third on no day at all.
    let day = Day {
        opening_kg: 0.0,
        ..day(1000.0, 1000.0)
    };
    let season = |hopeless: bool| {
        let mut patches = vec![
            patch(0, 500.0, &[Some(0.5)]),
            patch(1, 1000.0, &[Some(0.0)]),
        ];
        if hopeless {
            patches.push(patch(2, 400.0, &[None]));
        }
        Season {
            patches,
            days: vec![day],
            step: 0.05,
            haul_kg: 0.0,
            before: Vec::new(),
        }
    };
    // As fair as can be, beyond the half that the first loses anyhow: a and b kg brought, 1 - a / 1000 - 1 / 2 = 1 - b / 1000 and
    // a + b = 1,000; within two steps of it.
    for hopeless in [false, true] {
        let season = season(hopeless);
        let least = season.least_by_member();
        near(least[0], 0.5);
        near(least[1], 0.0);
        for found in [propose(&season, 2000, 1), propose_near(&season, 2000, 1)] {
            let beyond = season.beyond_by_member(&found.pieces);
            assert!(
                beyond[0] < 0.35 && beyond[1] < 0.35,
                "{hopeless}: {beyond:?}"
            );
            near(found.worst, beyond[0].max(beyond[1]));
        }
        if hopeless {
            near(least[2], 1.0);
        }
    }
}

#[test]
fn the_least_that_a_member_could_lose_goes_by_what_the_days_hold() {
    // 2,350 kg find room on either day: of 3,000 kg the rest loses a tenth; with a second planting of 2,000 kg only 4,700 of 5,000 kg
    // find room, and of those that lose least on the first day stay there.
    let one = Season {
        patches: vec![patch(0, 3000.0, &[Some(0.0), Some(0.1)])],
        days: vec![day(480.0, 9000.0); 2],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    near(one.least_by_member()[0], 65.0 / 3000.0);
    let two = Season {
        patches: vec![
            patch(0, 3000.0, &[Some(0.0), Some(0.1)]),
            patch(0, 2000.0, &[Some(0.0), Some(0.4)]),
        ],
        ..one
    };
    // The second has the first day, 2,000 kg; 350 kg of the first beside it, 2,350 on the other, 300 left.
    near(two.least_by_member()[0], (235.0 + 300.0) / 5000.0);
}

#[test]
fn nobody_brings_more_than_the_own_hours_allow() {
    let mut season = Season {
        patches: vec![
            patch(0, 600.0, &[Some(0.0), Some(0.3)]),
            patch(1, 600.0, &[Some(0.0), Some(0.3)]),
        ],
        days: vec![
            Day {
                opening_kg: 0.0,
                ..day(480.0, 5000.0)
            };
            2
        ],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    season.patches[0].most_kg = vec![200.0, f64::INFINITY];
    let found = propose(&season, 200, 1);
    assert!(found.exact);
    near(found.pieces[0].kg, 200.0);
    near(found.pieces[1].kg, 600.0);
    near(found.cost_kg, 400.0 * 0.3);
    // Nor where what stood before is more.
    season.before = vec![Piece {
        patch: 0,
        day: 0,
        kg: 600.0,
    }];
    season
        .patches
        .extend((2..14).map(|n| patch(n, 100.0, &[None, Some(0.0)])));
    let next = propose_near(&season, 200, 1);
    let first = next.pieces.iter().find(|p| p.patch == 0 && p.day == 0);
    near(first.unwrap().kg, 200.0);
}

#[test]
fn how_far_a_proposal_is_from_the_best_is_told_for_any_pieces() {
    let season = Season {
        patches: vec![patch(0, 800.0, &[Some(0.0), Some(0.02)])],
        days: vec![day(480.0, 5000.0); 2],
        step: 0.05,
        haul_kg: 0.0,
        before: Vec::new(),
    };
    let on = |days: &[(usize, f64)]| -> Vec<Piece> {
        let piece = |(day, kg): &(usize, f64)| Piece {
            patch: 0,
            day: *day,
            kg: *kg,
        };
        days.iter().map(piece).collect()
    };
    let (bound, best) = how_far(&season, &on(&[(0, 800.0)]), 0.05);
    assert!(best && (bound - 100.0).abs() < 0.1, "{bound}");
    let (bound, best) = how_far(&season, &on(&[(0, 400.0), (1, 400.0)]), 0.05);
    assert!(!best && (bound - 100.0).abs() < 0.1, "{bound}");
}
