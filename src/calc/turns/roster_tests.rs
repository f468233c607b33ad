//! Shifts of a day by hand, who takes them, and that nobody is at the rollers alone unsaid.

use super::*;
use proptest::prelude::*;

fn helper(from: i64, to: i64, tasks: &[Task]) -> Helper {
    Helper {
        from,
        to,
        tasks: tasks.to_vec(),
        already: 0,
    }
}

#[test]
fn a_day_from_seven_to_five_has_these_shifts() {
    // Cane 7:00 to 15:00, the mill closes at 17:00: ten hours, two parts of five; the pan from 8:00, jars from noon.
    let all = shifts(420, 900, 1020, &[]);
    let of = |task| -> Vec<(i64, i64)> {
        all.iter()
            .filter(|s| s.task == task)
            .map(|s| (s.from, s.to))
            .collect()
    };
    assert_eq!(
        of(Task::Feed),
        [(420, 720), (420, 720), (720, 900), (720, 900)]
    );
    assert_eq!(of(Task::Weigh), [(420, 720), (720, 900)]);
    assert_eq!(of(Task::Boil), [(480, 720), (720, 1020)]);
    assert_eq!(of(Task::Fill), [(720, 1020)]);
    assert_eq!(of(Task::HandOver), [(720, 1020)]);
    // Twelve hours and a quarter: three parts, on full five minutes; jars from the second.
    let long = shifts(415, 1150, 1150, &[]);
    let weigh: Vec<(i64, i64)> = long
        .iter()
        .filter(|s| s.task == Task::Weigh)
        .map(|s| (s.from, s.to))
        .collect();
    assert_eq!(weigh, [(415, 660), (660, 905), (905, 1150)]);
    assert_eq!(long.iter().filter(|s| s.task == Task::Fill).count(), 2);
}

#[test]
fn a_day_without_cane_needs_nobody() {
    assert!(shifts(420, 420, 420, &[]).is_empty());
}

#[test]
fn who_can_do_only_one_thing_gets_it_though_another_was_asked_first() {
    // The first can feed and boil, the second only feed, the third only feed.
    let shifts = [
        Shift {
            task: Task::Feed,
            from: 0,
            to: 60,
        },
        Shift {
            task: Task::Feed,
            from: 0,
            to: 60,
        },
        Shift {
            task: Task::Boil,
            from: 0,
            to: 60,
        },
    ];
    let people = [
        helper(0, 60, &[Task::Feed, Task::Boil]),
        helper(0, 60, &[Task::Feed]),
        helper(0, 60, &[Task::Feed]),
    ];
    let by = filled(&shifts, &people);
    assert_eq!(by[2], Some(0));
    assert!(by.iter().all(Option::is_some), "{by:?}");
    assert!(too_few_at_rollers(&shifts, &by, &[]).is_empty());
}

#[test]
fn who_has_had_least_comes_first_and_a_short_day_is_not_enough_for_a_long_shift() {
    let shift = [Shift {
        task: Task::Weigh,
        from: 420,
        to: 660,
    }];
    let mut people = [
        helper(420, 660, &[]),
        helper(420, 660, &[]),
        helper(480, 660, &[]),
    ];
    people[0].already = 100;
    people[2].already = -1;
    assert_eq!(filled(&shift, &people), [Some(1)]);
    // Who has not said that they can boil is not put at the pan.
    let pan = [Shift {
        task: Task::Boil,
        from: 420,
        to: 660,
    }];
    assert_eq!(filled(&pan, &people), [None]);
}

#[test]
fn one_at_the_rollers_is_told() {
    let all = shifts(420, 600, 600, &[]);
    let by = filled(&all, &[helper(0, 1440, &[Task::Feed])]);
    assert_eq!(too_few_at_rollers(&all, &by, &[]), [(420, 600)]);
    // The same person twice is still one.
    let twice = all
        .iter()
        .map(|s| (s.task == Task::Feed).then_some(0))
        .collect::<Vec<_>>();
    assert_eq!(too_few_at_rollers(&all, &twice, &[]), [(420, 600)]);
}

#[test]
fn a_turn_that_no_shift_at_the_rollers_covers_is_told() {
    let all = shifts(480, 510, 900, &[]);
    let two = [
        helper(0, 1440, &[Task::Feed]),
        helper(0, 1440, &[Task::Feed]),
    ];
    let by = filled(&all, &two);
    assert!(too_few_at_rollers(&all, &by, &[(480, 510)]).is_empty());
    // One was booked after the roster was made; another runs over the end of the shift, and on into a third.
    assert_eq!(
        too_few_at_rollers(&all, &by, &[(480, 510), (840, 880)]),
        [(840, 880)]
    );
    assert_eq!(
        too_few_at_rollers(&all, &by, &[(490, 530), (530, 560)]),
        [(510, 560)]
    );
}

#[test]
fn the_hours_of_a_crew_are_all_those_of_two() {
    assert_eq!(crew_hours(&[(420, 1020)]), []);
    assert_eq!(crew_hours(&[(420, 720), (600, 1020)]), [(600, 720)]);
    // Two by two, one after another: 7 to 12, and 12 to 14 with others.
    let four = [(420, 720), (420, 720), (720, 840), (700, 840)];
    assert_eq!(crew_hours(&four), [(420, 840)]);
    // A gap parts them, and both count.
    let gap = [(420, 480), (420, 480), (600, 840), (600, 900)];
    assert_eq!(crew_hours(&gap), [(420, 480), (600, 840)]);
    assert_eq!(crew_hours(&[]), []);
}

#[test]
fn a_roster_changes_hands_when_helpers_do() {
    // Cane 8:00 to 16:00, the mill closes at 17:00: two come from 8 to 12, two from 12 to 17.
    let feed = [Task::Feed];
    let four = [
        helper(480, 720, &feed),
        helper(480, 720, &feed),
        helper(720, 1020, &feed),
        helper(720, 1020, &feed),
    ];
    let all = shifts(480, 960, 1020, &four);
    let by = filled(&all, &four);
    assert_eq!(too_few_at_rollers(&all, &by, &[]), []);
    // In equal parts the morning would be nobody's: they would change at 12:30.
    let equal = shifts(480, 960, 1020, &[]);
    assert!(equal.iter().any(|s| s.to == 750));
    let by = filled(&equal, &four);
    assert_eq!(too_few_at_rollers(&equal, &by, &[]), [(480, 750)]);
    // Helpers who come at odd times and are not needed change nothing.
    let mut more = vec![helper(0, 1440, &feed), helper(0, 1440, &feed)];
    assert_eq!(shifts(480, 960, 1020, &more), equal);
    more.push(helper(507, 861, &feed));
    assert_eq!(shifts(480, 960, 1020, &more), equal);
    // No shift gets longer than five hours, and nobody's hours are overstepped.
    let late = [
        helper(480, 543, &feed),
        helper(480, 1020, &feed),
        helper(541, 1020, &feed),
    ];
    let all = shifts(480, 960, 1020, &late);
    assert!(all.iter().all(|s| s.minutes() <= SHIFT_MOST_MIN), "{all:?}");
    // 9:01 to 9:03 is shorter than five minutes: from 9:00 to 9:05 one is alone.
    assert_eq!(
        too_few_at_rollers(&all, &filled(&all, &late), &[]),
        [(540, 545)]
    );
}

#[test]
fn a_tasks_word_is_read_back() {
    for task in Task::ALL {
        assert_eq!(Task::of(task.word()), Some(task));
        assert!(!task.words().is_empty());
    }
    assert_eq!(Task::of("nap"), None);
}

/// The most shifts that can be filled, by trying everything.
fn most(shifts: &[Shift], helpers: &[Helper], at: usize, by: &mut Vec<Option<usize>>) -> usize {
    if at == shifts.len() {
        return by.iter().flatten().count();
    }
    by.push(None);
    let mut best = most(shifts, helpers, at + 1, by);
    by.pop();
    for h in 0..helpers.len() {
        let free = (0..at).all(|n| by[n] != Some(h) || !shifts[n].overlaps(shifts[at]));
        if free && helpers[h].can(shifts[at]) {
            by.push(Some(h));
            best = best.max(most(shifts, helpers, at + 1, by));
            by.pop();
        }
    }
    best
}

fn people() -> impl Strategy<Value = Vec<Helper>> {
    let one = (0_i64..3, 1_i64..3, prop::collection::vec(0_usize..5, 0..3)).prop_map(
        |(from, long, tasks)| Helper {
            from: from * 60,
            to: (from + long) * 60,
            tasks: tasks.into_iter().map(|t| Task::ALL[t]).collect(),
            already: 0,
        },
    );
    prop::collection::vec(one, 0..5)
}

proptest! {
    #[test]
    fn nobody_is_in_two_places_and_as_many_shifts_are_filled_as_can_be(helpers in people(), tasks in prop::collection::vec(0_usize..5, 1..5)) {
        // Shifts of the same hour, as on a day with one part: there augmenting paths are exact.
        let shifts: Vec<Shift> = tasks.iter().map(|t| Shift { task: Task::ALL[*t], from: 60, to: 120 }).collect();
        let by = filled(&shifts, &helpers);
        for a in 0..shifts.len() {
            if let Some(h) = by[a] {
                prop_assert!(helpers[h].can(shifts[a]));
                prop_assert!((0..a).all(|b| by[b] != Some(h)));
            }
        }
        prop_assert_eq!(by.iter().flatten().count(), most(&shifts, &helpers, 0, &mut Vec::new()));
    }
}

#[test]
fn hours_that_end_before_they_begin_leave_no_time() {
    assert!(leaves_time(None, None));
    assert!(leaves_time(Some(420), None) && leaves_time(None, Some(420)));
    assert!(leaves_time(Some(420), Some(421)));
    assert!(!leaves_time(Some(420), Some(420)) && !leaves_time(Some(421), Some(420)));
    assert!(!leaves_time(Some(1_440), None));
}
