//! kill -9 again and again while people send forms: nothing that was acknowledged is lost, nothing stands twice.

use crate::program::{Browser, Program, desk};
use sqlx::{Connection, SqliteConnection};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

/// Browsers that send at once.
const BROWSERS: usize = 3;

/// What a storm came to.
#[derive(Debug, Default)]
pub struct Storm {
    /// Kills.
    pub kills: usize,
    /// Members acknowledged.
    pub acknowledged: usize,
    /// Of these, how many were not there in the end.
    pub lost: usize,
    /// Members that stand twice.
    pub doubled: usize,
}

/// Adds members until the server is gone; each name is used once, and a form that got no answer is not sent again.
fn adds(mut ruth: Browser, names: &AtomicUsize, done: &AtomicUsize) -> Vec<String> {
    let mut kept = Vec::new();
    loop {
        let name = format!("Grower {}", names.fetch_add(1, Ordering::SeqCst));
        match ruth.adds(&name) {
            Ok(answer) if answer.status == 303 => {
                kept.push(name);
                done.fetch_add(1, Ordering::SeqCst);
            }
            Ok(answer) => panic!("{} {}", answer.status, answer.body),
            Err(_) => return kept,
        }
    }
}

/// How often each name stands in the file.
fn stands(database: &Path) -> BTreeMap<String, usize> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    let names: Vec<String> = runtime.block_on(async {
        let mut conn = SqliteConnection::connect(&format!("sqlite:{}", database.display()))
            .await
            .unwrap();
        let names = sqlx::query_scalar("select name from members")
            .fetch_all(&mut conn)
            .await
            .unwrap();
        conn.close().await.unwrap();
        names
    });
    let mut count = BTreeMap::new();
    for name in names {
        *count.entry(name).or_default() += 1;
    }
    count
}

/// Kills the server so many times, each time once some forms more have been acknowledged.
pub fn storm(kills: usize) -> Storm {
    let (_folder, database) = desk();
    let first = Program::serves(&database, &["--new"]);
    let ruth = first.set_up();
    first.killed();
    let names = AtomicUsize::new(0);
    let mut kept = Vec::new();
    for kill in 0..kills {
        let program = Program::serves(&database, &[]);
        let done = AtomicUsize::new(0);
        // One to seven acknowledged, so that the kill falls now here, now there.
        let wanted = 1 + kill % 7;
        kept.extend(thread::scope(|scope| {
            let browsers: Vec<_> = (0..BROWSERS)
                .map(|_| {
                    let ruth = ruth.at(&program);
                    scope.spawn(|| adds(ruth, &names, &done))
                })
                .collect();
            while done.load(Ordering::SeqCst) < wanted {
                thread::yield_now();
            }
            program.killed();
            let each = browsers.into_iter().map(|b| b.join().unwrap());
            each.flatten().collect::<Vec<String>>()
        }));
    }
    let last = Program::serves(&database, &[]);
    assert!(last.stops().success());
    let stands = stands(&database);
    Storm {
        kills,
        acknowledged: kept.len(),
        lost: kept
            .iter()
            .filter(|name| !stands.contains_key(*name))
            .count(),
        doubled: stands.values().filter(|count| **count > 1).count(),
    }
}
