//! Which cane is in which lot, written for a graph library to follow: 200 seasons by chance, with tickets of
//! several loads, loads crossed out, juices divided between boils, and boils of many tickets.

use canewright::calc::shares::trace::{Load, Poured, streams};
use canewright::units::{BoilId, Grams, TicketId};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use serde_json::{Value, json};
use uuid::Uuid;

/// Seasons written.
const SEASONS: usize = 200;

type Loads = Vec<(u128, i64)>;
type Pours = Vec<(u128, u128, i64)>;

fn season() -> impl Strategy<Value = (Loads, Pours)> {
    (1_u128..30, 1_u128..15).prop_flat_map(|(tickets, boils)| {
        (
            prop::collection::vec(
                (
                    0..tickets,
                    prop_oneof![1 => Just(0_i64), 6 => 1..900_000_i64],
                ),
                1..60,
            ),
            prop::collection::vec((0..tickets, 0..boils, 0..60_000_i64), 0..60),
        )
    })
}

fn written((loads, pours): (Loads, Pours)) -> Value {
    let ticket = |n: u128| TicketId::new(Uuid::from_u128(n + 1));
    let boil = |n: u128| BoilId::new(Uuid::from_u128(n + 1000));
    let loads: Vec<Load> = (1..)
        .zip(loads)
        .map(|(number, (of, net))| Load {
            ticket: ticket(of),
            number,
            net: Grams::new(net),
        })
        .collect();
    let poured: Vec<Poured> = pours
        .into_iter()
        .map(|(of, into, solids)| Poured {
            ticket: ticket(of),
            boil: boil(into),
            solids: Grams::new(solids),
        })
        .collect();
    let found = streams(&loads, &poured);
    json!({
        "loads": loads.iter().map(|l| json!([l.ticket.to_string(), l.number, l.net.get()])).collect::<Vec<_>>(),
        "poured": poured.iter().map(|p| json!([p.ticket.to_string(), p.boil.to_string(), p.solids.get()]))
            .collect::<Vec<_>>(),
        "streams": found.iter().map(|s| json!([s.ticket.to_string(), s.load, s.boil.to_string(), s.solids.get()]))
            .collect::<Vec<_>>(),
    })
}

#[test]
fn seasons_are_followed_for_a_graph_library_to_follow_again() {
    let folder = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("trace");
    std::fs::create_dir_all(&folder).unwrap();
    let dice = TestRng::from_seed(RngAlgorithm::ChaCha, &[26; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), dice);
    let seasons: Vec<Value> = (0..SEASONS)
        .map(|_| written(season().new_tree(&mut runner).unwrap().current()))
        .collect();
    let reached = |one: &Value| one["streams"].as_array().is_some_and(|s| s.len() > 5);
    assert!(seasons.iter().filter(|one| reached(one)).count() > SEASONS / 2);
    std::fs::write(folder.join("seasons.json"), json!(seasons).to_string()).unwrap();
}
