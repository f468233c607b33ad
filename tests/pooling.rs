//! Proposed boils against every possible division of a few juices, and looked over for sixty.

use canewright::calc::boil::pan_day::PanDay;
use canewright::calc::boil::pooling::{JuiceToPool, Proposals, propose};
use canewright::units::{Millilitres, Minutes, Units, UtcSecond};

/// A small fixed generator of chance (splitmix64), so that every run sees the same mills.
struct Chance(u64);

impl Chance {
    fn below(&mut self, most: u64) -> i64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        i64::try_from((z ^ (z >> 31)) % most).expect("small")
    }
}

const START: i64 = 1_800_000_000;

fn pan() -> PanDay {
    PanDay {
        least: Millilitres::new(150_000),
        greatest: Millilitres::new(400_000),
        free: UtcSecond::new(START),
        overhead: Minutes::new(45),
        litres_h: 180.0,
    }
}

fn juices(count: usize, hours: u64, chance: &mut Chance) -> Vec<JuiceToPool<'static>> {
    (0..count)
        .map(|_| JuiceToPool {
            label: "a tank",
            member: u64::try_from(chance.below(count as u64)).expect("small"),
            volume: Millilitres::new(20_000 + 1_000 * chance.below(230)),
            due: UtcSecond::new(START + 60 * chance.below(60 * hours)),
            pools: chance.below(6) > 0,
        })
        .collect()
}

/// The stated cost of a division, worked apart from the program: 10 a boil, 1 a further member, 10
/// a whole shortfall, 1,000 and the minutes of the worst delay. Every order of boils is tried.
/// Nothing when it may not be.
fn cost(boils: &[Vec<usize>], of: &[JuiceToPool<'_>], pan: &PanDay) -> Option<f64> {
    cost_in(boils, of, pan, true)
}

/// The same, in every order or in the one given.
fn cost_in(boils: &[Vec<usize>], of: &[JuiceToPool<'_>], pan: &PanDay, any: bool) -> Option<f64> {
    let mut cost = 0.0;
    let mut jobs = Vec::new();
    for boil in boils {
        let litres: f64 = boil.iter().map(|j| of[*j].volume.litres()).sum();
        let mut members: Vec<u64> = boil.iter().map(|j| of[*j].member).collect();
        members.sort_unstable();
        members.dedup();
        if litres > pan.greatest.litres() + 1e-9
            || (members.len() > 1 && boil.iter().any(|j| !of[*j].pools))
        {
            return None;
        }
        let further = members.len().saturating_sub(1);
        cost += 10.0 + f64::from(u32::try_from(further).expect("few"));
        cost += 10.0 * (1.0 - litres / pan.least.litres()).max(0.0);
        let due = boil
            .iter()
            .map(|j| of[*j].due.get())
            .min()
            .expect("a juice");
        jobs.push((due, litres));
    }
    let mut worst = f64::INFINITY;
    let fixed = if any { 0 } else { jobs.len() };
    orders(&mut (0..jobs.len()).collect(), fixed, &mut |order| {
        let (mut light, mut delay) = (0.0_f64, 0.0_f64);
        for job in order {
            let (due, litres) = jobs[*job];
            let minutes = f64::from(i32::try_from(due - START).expect("a day")) / 60.0;
            delay = delay.max(light - minutes);
            light += 45.0 + 60.0 * litres / pan.litres_h;
        }
        worst = worst.min(delay);
    });
    Some(cost + if worst > 0.02 { 1000.0 + worst } else { 0.0 })
}

fn orders(places: &mut Vec<usize>, from: usize, each: &mut impl FnMut(&[usize])) {
    if from == places.len() {
        each(places);
        return;
    }
    for i in from..places.len() {
        places.swap(from, i);
        orders(places, from + 1, each);
        places.swap(from, i);
    }
}

/// Every division of juices into boils, by growing them one juice at a time.
fn divisions(
    next: usize,
    count: usize,
    boils: &mut Vec<Vec<usize>>,
    each: &mut impl FnMut(&[Vec<usize>]),
) {
    if next == count {
        each(boils);
        return;
    }
    for place in 0..boils.len() {
        boils[place].push(next);
        divisions(next + 1, count, boils, each);
        boils[place].pop();
    }
    boils.push(vec![next]);
    divisions(next + 1, count, boils, each);
    boils.pop();
}

fn least(of: &[JuiceToPool<'_>], pan: &PanDay) -> f64 {
    let mut best = f64::INFINITY;
    divisions(0, of.len(), &mut Vec::new(), &mut |boils| {
        if let Some(found) = cost(boils, of, pan) {
            best = best.min(found);
        }
    });
    best
}

fn check_whole(found: &Proposals, of: &[JuiceToPool<'_>], pan: &PanDay) {
    let mut drawn = vec![Millilitres::ZERO; of.len()];
    for boil in &found.boils {
        assert!(boil.volume <= pan.greatest);
        assert!(boil.members <= 1 || boil.draws.iter().all(|d| of[d.juice].pools));
        for draw in &boil.draws {
            drawn[draw.juice] = drawn[draw.juice] + draw.volume;
            let late = of[draw.juice].due < boil.light;
            assert_eq!(late, boil.late.contains(&draw.juice));
        }
    }
    for (juice, all) in of.iter().zip(drawn) {
        assert_eq!(juice.volume, all);
    }
}

#[test]
fn up_to_six_juices_are_proposed_as_well_as_any_division_can_be() {
    let mut chance = Chance(27);
    for case in 0..240 {
        let count = 2 + case % 5;
        let of = juices(count, [4, 8, 14][case % 3], &mut chance);
        let found = propose(&of, &pan(), Units::Metric).expect("a proposal");
        check_whole(&found, &of, &pan());
        let best = least(&of, &pan());
        // Our times are whole seconds; the worst delay may differ by a few hundredths.
        assert!(
            (found.cost - best).abs() < 0.1,
            "case {case}: {} against {best}",
            found.cost
        );
        let late = found.boils.iter().any(|b| !b.late.is_empty());
        assert_eq!(late, best >= 1000.0, "case {case}");
    }
}

/// As [`least`], for more juices than every order of boils can be tried for: boils are lit in the
/// order in which they must be done to have been lit in time, which is best (Jackson's rule).
fn least_by_urgency(of: &[JuiceToPool<'_>], pan: &PanDay) -> f64 {
    let mut best = f64::INFINITY;
    divisions(0, of.len(), &mut Vec::new(), &mut |boils| {
        let mut sorted = boils.to_vec();
        sorted.sort_by_key(|b| {
            let due = b.iter().map(|j| of[*j].due.get()).min().expect("a juice");
            let ml: i64 = b.iter().map(|j| of[*j].volume.get()).sum();
            due + ml * 3600 / 180_000
        });
        if let Some(found) = cost_in(&sorted, of, pan, false) {
            best = best.min(found);
        }
    });
    best
}

#[test]
fn nine_and_ten_juices_are_within_5_percent_of_the_best_of_all_divisions() {
    let mut chance = Chance(910);
    for case in 0..15 {
        let of = juices(9 + case % 5 / 4, [6, 10, 20][case % 3], &mut chance);
        let found = propose(&of, &pan(), Units::Metric).expect("a proposal");
        let best = least_by_urgency(&of, &pan());
        let rest = best - if best >= 1000.0 { 1000.0 } else { 0.0 };
        assert!(
            found.cost <= best + 0.05 * rest + 0.1,
            "case {case}: {} against {best}",
            found.cost
        );
    }
}

#[test]
fn seven_juices_are_never_late_when_on_time_is_possible() {
    let mut chance = Chance(2027);
    let mut possible = 0;
    for case in 0..12 {
        let of = juices(7, 9, &mut chance);
        let found = propose(&of, &pan(), Units::Us).expect("a proposal");
        let best = least(&of, &pan());
        possible += usize::from(best < 1000.0);
        assert!(
            (found.cost - best).abs() < 0.1,
            "case {case}: {} against {best}",
            found.cost
        );
    }
    assert!(possible > 0);
}

#[test]
fn sixty_juices_are_proposed_mostly_in_boils_of_the_least_charge_or_more() {
    let mut chance = Chance(60);
    for hours in [10, 24, 72] {
        let of = juices(60, hours, &mut chance);
        let found = propose(&of, &pan(), Units::Us).expect("a proposal");
        check_whole(&found, &of, &pan());
        let full = found
            .boils
            .iter()
            .filter(|b| b.short == Millilitres::ZERO)
            .count();
        assert!(
            2 * full > found.boils.len(),
            "{full} of {}",
            found.boils.len()
        );
    }
}

/// Juices for which a division without any delay is known: the boils are made up first, and each
/// juice is due when its boil is lit, or up to `slack` minutes later.
fn on_time_is_possible(boils: usize, slack: u64, chance: &mut Chance) -> Vec<JuiceToPool<'static>> {
    let (mut all, mut light) = (Vec::new(), START);
    for _ in 0..boils {
        let count = 2 + chance.below(4);
        let mut litres = 0;
        for part in 0..count {
            let left = 390 - litres - 25 * (count - part);
            let share = 25 + chance.below(u64::try_from(left / 2).expect("room"));
            litres += share;
            all.push(JuiceToPool {
                label: "a tank",
                member: u64::try_from(chance.below(1000)).expect("small"),
                volume: Millilitres::new(1000 * share),
                due: UtcSecond::new(light + 60 * chance.below(slack)),
                pools: true,
            });
        }
        light += 45 * 60 + litres * 3600 / 180;
    }
    all
}

#[test]
fn many_juices_are_never_late_when_on_time_is_known_to_be_possible() {
    let mut chance = Chance(7);
    for case in 0..60 {
        let of = on_time_is_possible(2 + case % 16, [5, 30, 120][case % 3], &mut chance);
        let found = propose(&of, &pan(), Units::Us).expect("a proposal");
        check_whole(&found, &of, &pan());
        let late: Vec<_> = found.boils.iter().filter(|b| !b.late.is_empty()).collect();
        assert!(
            late.is_empty(),
            "case {case}, {} juices: {late:?}",
            of.len()
        );
    }
}

#[test]
fn each_proposal_says_why() {
    let of = |label, member, litres: i64, minutes: i64, pools| JuiceToPool {
        label,
        member,
        volume: Millilitres::new(litres * 1000),
        due: UtcSecond::new(START + 60 * minutes),
        pools,
    };
    let waiting = [
        of("Ann, tank 1", 1, 120, 90, true),
        of("Ben, tank 2", 2, 140, 200, true),
        of("Cora, tank 3", 3, 60, 600, false),
        of("Dan, tank 4", 4, 900, 700, true),
    ];
    let found = propose(&waiting, &pan(), Units::Metric).expect("a proposal");
    check_whole(&found, &waiting, &pan());
    let first = &found.boils[0].sentence;
    assert!(
        first.starts_with("Ann, tank 1 and Ben, tank 2: 260.0 L in a pan"),
        "{first}"
    );
    assert!(first.contains("Ann, tank 1 has 1 h 30 min left"), "{first}");
    let alone = found
        .boils
        .iter()
        .find(|b| b.draws[0].juice == 2)
        .expect("Cora's boil");
    assert_eq!((alone.members, alone.short), (1, Millilitres::new(90_000)));
    assert!(
        alone.sentence.contains("alone, as asked"),
        "{}",
        alone.sentence
    );
    assert!(alone.sentence.contains("less than the least charge"));
    let dan: Vec<_> = found
        .boils
        .iter()
        .filter(|b| b.draws[0].juice == 3)
        .collect();
    assert_eq!(dan.len(), 3);
    let late = propose(&[of("Eve, tank 5", 5, 200, -30, true)], &pan(), Units::Us).expect("one");
    assert!(
        late.boils[0]
            .sentence
            .contains("30 min past its holding time")
    );
}

#[test]
fn a_pan_without_a_sensible_charge_is_refused() {
    let with = |change: fn(&mut PanDay)| {
        let mut pan = pan();
        change(&mut pan);
        propose(&[], &pan, Units::Us)
    };
    assert_eq!(
        with(|p| p.greatest = Millilitres::ZERO).unwrap_err().at,
        Some("pan_greatest")
    );
    assert_eq!(
        with(|p| p.least = Millilitres::new(500_000))
            .unwrap_err()
            .at,
        Some("pan_least")
    );
    assert_eq!(with(|p| p.litres_h = 0.0).unwrap_err().at, Some("pan_rate"));
    assert!(with(|_| ()).unwrap().boils.is_empty());
}
