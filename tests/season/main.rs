//! Whole seasons by chance, through the real actions and a database file: after every step every sum
//! is worked out a second time from the tables alone. Every form is sent twice; what is refused must
//! change nothing; and some seasons are lived with every write failing first.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on should stop")]

mod books;
mod cane_checks;
mod chance;
mod checks;
mod faults;
mod kept_checks;
mod mill;
mod page_checks;
mod play;
mod play_after;
mod play_boil;
mod play_cane;
mod play_changes;
mod play_close;
mod play_field;
mod play_right;
mod play_waiting;
mod share_checks;
#[path = "../pages/site.rs"]
#[expect(dead_code, reason = "shared with the tests of pages")]
mod site;
mod turn_checks;
mod whole;

use faults::Faults;
use mill::Mill;
use std::collections::BTreeMap;
use std::future::Future;
use std::panic::{RefUnwindSafe, catch_unwind};
use std::sync::Mutex;

/// Starts that once failed, each with what it found, and those that show what is rare.
/// - 1012: juice measured after its ticket's cane was counted, so that cane counted twice.
/// - 3028: every day is closed in the end, so that the season bears a loss.
const KEPT: [u64; 2] = [1012, 3028];
/// Starts of seasons under a bound in which whole jars filled what was left of it.
const BOUNDED: [u64; 4] = [19, 25, 36, 37];
/// So many more, from 1 on.
const STARTS: u64 = 50;
/// The first so many write their whole book for `tests/reference/books_again.py`.
const BOOKS: u64 = 8;

fn on_a_thread_of_its_own<T>(work: impl Future<Output = T>) -> T {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
        .block_on(work)
}

/// Every start, shared out over two threads; what happened, counted.
fn live_through<F: Future<Output = BTreeMap<String, u32>>>(
    starts: Vec<u64>,
    season: impl Fn(u64) -> F + Sync + RefUnwindSafe,
) -> BTreeMap<String, u32> {
    let (starts, tally) = (Mutex::new(starts), Mutex::new(BTreeMap::new()));
    let failed = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                loop {
                    let next = starts.lock().unwrap().pop();
                    let Some(start) = next else { break };
                    // The others are lived through all the same: one run shows every failing start.
                    let Ok(own) = catch_unwind(|| on_a_thread_of_its_own(season(start))) else {
                        failed.lock().unwrap().push(start);
                        continue;
                    };
                    let mut tally = tally.lock().unwrap();
                    for (what, times) in own {
                        *tally.entry(what).or_default() += times;
                    }
                }
            });
        }
    });
    let failed = failed.into_inner().unwrap();
    assert!(
        failed.is_empty(),
        "starts that failed, to be kept in KEPT: {failed:?}"
    );
    tally.into_inner().unwrap()
}

/// What must come about in all those seasons together, or they try less than they seem to.
#[rustfmt::skip] // a list of words
const COMES_ABOUT: [&str; 99] = [
    "plant: done", "change a planting: done", "lose a planting: done",
    "add a load: done", "add a load: divided", "add to a boil: done", "answer a line: done",
    "answer a line: answered-before", "answer a line: syrup-stands", "book a turn: done",
    "book a turn: taken", "book a turn: outside-hours", "book a turn: missing", "cancel a turn: done",
    "cancel a turn: weighed-in", "change a card: done", "change a press day: done",
    "change the rules: done", "close a press day: done", "close a press day: day-not-done",
    "correct a fill: done", "correct a load: done", "correct a load: divided",
    "correct a load: more-juice-than-cane", "correct juice: done", "correct juice: divided",
    "correct juice: drawn-already", "divide a boil: done", "divide a boil: changed-meanwhile",
    "divide a boil: divided-before", "divide a boil: not-sure",
    "divide a boil: nothing-jarred", "fill jars: done", "fill jars: jars-exceed-syrup",
    "finish a boil: done", "finish a boil: below-standard", "finish a boil: jars-exceed-syrup",
    "finish a boil: more-out-than-in", "finish a boil: recovery-low", "finish a boil: why-missing",
    "hand jars over: done", "hand jars over: not-there", "leave or come back: done",
    "light a boil: done", "light a boil: juice-late", "light a boil: juice-short",
    "make the opening checks: done", "measure juice: done", "measure juice: brix-apart",
    "measure juice: cane-counted", "measure juice: more-juice-than-cane", "measure juice: vessel-full",
    "move a turn: done", "move a turn: changed-meanwhile", "move a turn: taken", "note a payment: done",
    "note a payment: missing", "open a ticket: done", "open a ticket: has-turn",
    "open a ticket: missing", "open a ticket: morning-checks", "pour: done", "pour: boil-empty",
    "pour: more-out-than-in", "pour: why-missing", "pour: boil_is_anothers", "read a boil: done",
    "read a boil: boil-finished", "wait for a day: done", "wait for a day: room-free",
    "wait for a day: on-list", "wait for a day: longer-than-day", "take an offer: done",
    "take an offer: offer-ran-out", "decline an offer: done", "leave a list: done", "still wait: done",
    "place out of order: done", "withdraw an offer: done", "take off a list: done",
    "move turns together: done", "move turns together: changed-meanwhile",
    "move turns together: none-killed", "move turns together: same-day",
    "move turns together: no-next-day", "move turns together: no-such-delay", "run again: done",
    "note a loss: done", "take a loss back: done", "note hours: done", "settle in money: done",
    "settle in jars: done", "lock the season: done", "strip a sample: done", "strip a sample: divided",
    "divide again: done", "take a settlement back: done", "bear a loss: done", "lock the season: losses-open",
];

#[test]
fn seasons_by_chance_keep_every_sum_after_every_step() {
    let starts: Vec<u64> = KEPT.into_iter().chain(1..=STARTS).collect();
    let tally = live_through(starts, async |start| {
        let mut mill = Mill::new(start).await;
        mill.season(3, 40).await;
        mill.ends().await;
        if start <= BOOKS {
            mill.writes_its_book(&format!("season-{start}")).await;
            mill.puts_right().await;
            mill.writes_its_book(&format!("season-{start}-put-right"))
                .await;
        }
        mill.tally
    });
    let missing: Vec<&str> = COMES_ABOUT
        .into_iter()
        .filter(|what| !tally.contains_key(*what))
        .collect();
    assert!(
        missing.is_empty(),
        "never came about: {missing:?} in {tally:#?}"
    );
}

/// Under a bound, a lot is filled up to it with whole jars for those who wait: `books_again.py` makes those divisions again.
#[test]
fn seasons_whose_rules_bound_what_a_lot_repays_keep_every_sum_too() {
    live_through(BOUNDED.to_vec(), async |start| {
        let mut mill = Mill::new(start).await;
        mill.bounds = true;
        mill.season(3, 50).await;
        mill.ends().await;
        mill.writes_its_book(&format!("bounded-{start}")).await;
        mill.tally
    });
}

#[test]
fn a_season_lived_again_from_the_same_start_gives_the_same_database() {
    on_a_thread_of_its_own(async {
        let mut ends = Vec::new();
        for start in [3, 3, 4] {
            let mut mill = Mill::new(start).await;
            mill.season(2, 30).await;
            ends.push(mill.ends().await);
        }
        assert!(ends[0] == ends[1], "the same start, another database");
        assert!(ends[0] != ends[2], "another start, the same database");
    });
}

#[test]
fn home_never_contradicts_the_pages_of_lot_shares_and_statement() {
    let tally = live_through((101..=104).collect(), async |start| {
        let mut mill = Mill::new(start).await;
        mill.looks_at_pages();
        mill.season(2, 40).await;
        mill.tally
    });
    for what in ["a lot divided", "a lot not divided", "jars to fetch"] {
        let times = tally.get(&format!("home: {what}")).copied().unwrap_or(0);
        assert!(times > 20, "{what}: {times} times in {tally:#?}");
    }
}

/// A season in which every form fails first: at each row it writes, and then in its COMMIT.
async fn with_every_write_failing(start: u64, faults: Faults) -> BTreeMap<String, u32> {
    let mut mill = Mill::new(start).await;
    mill.with_faults(faults).await;
    mill.season(1, 45).await;
    mill.ends().await;
    mill.tally
}

#[test]
fn nothing_is_half_written_whichever_write_fails() {
    for faults in [Faults::Abort, Faults::Rollback] {
        let tally = live_through(vec![41, 42], |start| {
            with_every_write_failing(start, faults)
        });
        let times = |what: &str| tally.get(what).copied().unwrap_or(0);
        assert!(times("failed: write") > 400, "{faults:?}: {tally:#?}");
        assert!(times("failed: commit") > 60, "{faults:?}: {tally:#?}");
        for what in [
            "light a boil: done",
            "divide a boil: done",
            "hand jars over: done",
        ] {
            assert!(times(what) > 0, "{faults:?}: {what}: {tally:#?}");
        }
    }
}

#[test]
fn a_full_disk_loses_nothing_and_the_writer_works_once_there_is_room() {
    on_a_thread_of_its_own(async {
        let mut mill = Mill::new(7).await;
        mill.season(1, 20).await;
        mill.fills_the_disk().await;
    });
}
