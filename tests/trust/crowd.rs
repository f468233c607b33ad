//! Everybody signs in at once, on the morning of a press day: nobody is turned away, and the memory that each
//! passphrase takes to be looked at is not taken by all at the same time.

use crate::program::{Program, desk};
use std::collections::BTreeMap;
use std::fs;
use std::thread;

/// People who sign in at once.
const PEOPLE: usize = 300;
/// The most memory that the program may hold meanwhile, in kilobytes.
const MOST_KB: u64 = 100_000;

/// The most memory of its own that a process has held, in kilobytes: without what it maps of its own file, which in
/// a program built for tests is large. Nothing where the system does not tell.
fn most_held(id: u32) -> Option<u64> {
    let status = fs::read_to_string(format!("/proc/{id}/status")).ok()?;
    let kb = |name: &str| -> Option<u64> {
        let line = status.lines().find_map(|l| l.strip_prefix(name))?;
        line.trim().strip_suffix(" kB")?.trim().parse().ok()
    };
    Some(kb("VmHWM:")?.saturating_sub(kb("RssFile:")?))
}

#[test]
fn of_three_hundred_who_sign_in_at_once_none_is_turned_away_and_memory_stays_below_100_mb() {
    let (_folder, database) = desk();
    let program = Program::serves(&database, &["--new"]);
    program.set_up();
    let answers: BTreeMap<u16, usize> = thread::scope(|scope| {
        let all: Vec<_> = (0..PEOPLE)
            .map(|_| program.browser())
            .map(|mut one| scope.spawn(move || one.signs_in().status))
            .collect();
        all.into_iter().fold(BTreeMap::new(), |mut count, one| {
            *count.entry(one.join().unwrap()).or_default() += 1;
            count
        })
    });
    assert_eq!(answers, BTreeMap::from([(303, PEOPLE)]));
    let most = most_held(program.id());
    assert!(most.is_none_or(|kb| kb < MOST_KB), "{most:?} kB");
    assert!(program.stops().success());
}
