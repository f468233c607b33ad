//! The line at the mill, written for a simulation of the same rules by another program: some days
//! turn by turn, and the mean waits of many days with chance service times.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

use canewright::calc::turns::queue::{InLine, serve};
use std::fmt::Write as _;

/// Turns of a simulated day: planned half an hour apart from the opening.
const TURNS: usize = 16;
/// Times are told to the heart in thousandths of a minute.
const MINUTE: f64 = 1000.0;
/// Minutes from turn to turn.
const APART: i64 = 30;
/// Shortest and longest service, minutes; in between all are as likely.
const SERVICE: (i64, i64) = (12, 44);
/// Days simulated here.
const DAYS: u32 = 20_000;

/// Numbers between 0 and 1 that are the same in every run (`SplitMix64`; G. Steele, D. Lea and
/// C. Flood, 2014).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Thousandths of a minute, from nought to so many minutes.
    fn up_to(&mut self, minutes: i64) -> i64 {
        let most = u64::try_from(minutes * 1000 + 1).unwrap();
        i64::try_from(self.next() % most).unwrap()
    }

    fn day(&mut self) -> Vec<InLine> {
        let turns = i64::try_from(TURNS).unwrap();
        (0..turns)
            .map(|turn| InLine {
                ready: turn * APART * 1000,
                service: SERVICE.0 * 1000 + self.up_to(SERVICE.1 - SERVICE.0),
            })
            .collect()
    }
}

/// So many thousandths of a minute, in minutes.
fn minutes(thousandths: i64) -> f64 {
    f64::from(i32::try_from(thousandths).unwrap()) / MINUTE
}

/// A chance day again with every second member early or late, so that the order of turns, and not
/// of arrival, is what counts.
fn shuffled(numbers: &mut Numbers) -> Vec<InLine> {
    let mut day = numbers.day();
    for one in &mut day {
        one.ready = (one.ready + numbers.up_to(50) - 25_000).max(0);
    }
    day
}

#[test]
fn days_and_mean_waits_are_written_for_another_program() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("queue");
    std::fs::create_dir_all(&folder).unwrap();
    let mut numbers = Numbers(2026);
    let mut days = "day,free_min,ready_min,service_min,start_min,wait_min\n".to_owned();
    for day in 0..40 {
        let free = numbers.up_to(20);
        let line = shuffled(&mut numbers);
        for (one, begins) in line.iter().zip(serve(free, &line, &[])) {
            writeln!(
                days,
                "{day},{},{},{},{},{}",
                minutes(free),
                minutes(one.ready),
                minutes(one.service),
                minutes(begins.start),
                minutes(begins.wait)
            )
            .unwrap();
        }
    }
    std::fs::write(folder.join("days.csv"), days).unwrap();
    let mut sums = [(0.0, 0.0); TURNS];
    for _ in 0..DAYS {
        for (sum, begins) in sums.iter_mut().zip(serve(0, &numbers.day(), &[])) {
            let wait = minutes(begins.wait);
            sum.0 += wait;
            sum.1 += wait * wait;
        }
    }
    let mut means =
        "turn,apart_min,least_min,most_min,days,mean_wait_min,deviation_min\n".to_owned();
    for (turn, (sum, squares)) in sums.into_iter().enumerate() {
        let mean = sum / f64::from(DAYS);
        let deviation = (squares / f64::from(DAYS) - mean * mean).max(0.0).sqrt();
        writeln!(
            means,
            "{turn},{APART},{},{},{DAYS},{mean},{deviation}",
            SERVICE.0, SERVICE.1
        )
        .unwrap();
    }
    std::fs::write(folder.join("means.csv"), means).unwrap();
    // The first never waits; the second waits only for what the first takes over half an hour: of
    // U(12, 44) that is 14 of 32 chances, 7 minutes on average.
    let second = sums[1].0 / f64::from(DAYS);
    assert!(sums[0].0.abs() < 1e-9);
    assert!((second - 14.0 * 14.0 / 2.0 / 32.0).abs() < 0.12, "{second}");
}
