//! The fair split against values from outside, and over long seasons.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod exchanges;
mod published;
mod reference;
mod seasons;

use canewright::calc::shares::jars::{JarKind, Jars, Owed, share_out_evenly};
use canewright::calc::shares::split::{Pour, Sharer, entitle};
use canewright::units::{BasisPoints, Grams, MemberId, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

fn member(n: u128) -> Sharer {
    Sharer::Member(MemberId::parse(&format!("{n:032x}")).unwrap())
}

fn owed(n: u128, carried: i64, entitled: i64, favoured_at: Option<UtcSecond>) -> Owed {
    Owed {
        sharer: member(n),
        carried: Grams::new(carried),
        entitled: Grams::new(entitled),
        favoured_at,
    }
}

fn jars(name: &str, net: i64, count: u32) -> Jars {
    Jars {
        kind: JarKind {
            name: name.to_owned(),
            net: Grams::new(net),
        },
        count,
    }
}

/// Prints a figure that was measured, for `--nocapture`.
#[expect(
    clippy::print_stderr,
    reason = "figures are for whoever runs the tests"
)]
fn note(figures: &str) {
    eprintln!("{figures}");
}

/// A small reproducible source of numbers (Marsaglia's xorshift, 64 bits): the cases must be the
/// same in every run, so that the printed figures are.
struct Draw(u64);

impl Draw {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
}

fn weight_of(kinds: &[Jars]) -> i64 {
    kinds
        .iter()
        .map(|j| j.kind.net.get() * i64::from(j.count))
        .sum()
}

#[test]
fn five_thousand_jars_for_a_thousand_members_are_all_given() {
    let pours: Vec<Pour> = (1..=1000)
        .map(|n| Pour {
            sharer: member(n),
            weight: 10_000 + u64::try_from(n * 7919 % 50_021).unwrap(),
        })
        .collect();
    let kinds = [
        jars("half gallon", 1360, 1500),
        jars("quart", 680, 2000),
        jars("pint", 340, 1500),
    ];
    let jarred = Grams::new(weight_of(&kinds));
    let shares = entitle("26001A", jarred, BasisPoints::new(1000).unwrap(), &pours).unwrap();
    let owed: Vec<Owed> = shares
        .iter()
        .map(|s| Owed {
            sharer: s.sharer,
            carried: Grams::ZERO,
            entitled: s.grams,
            favoured_at: None,
        })
        .collect();
    let wishes: BTreeMap<Sharer, BTreeSet<String>> = (1..=1000)
        .map(|n| {
            (
                member(n),
                ["half gallon", "quart", "pint"][(n % 3) as usize],
            )
        })
        .map(|(sharer, name)| (sharer, BTreeSet::from([name.to_owned()])))
        .collect();
    let out = share_out_evenly("26001A", &owed, &kinds, &wishes).unwrap();
    note(&format!("{} exchanges", out.exchanges.len()));
    // The mill has its toll, so it is one more.
    assert_eq!(out.given.len(), 1001);
    for (n, kind) in out.kinds.iter().enumerate() {
        let given: u32 = out.given.iter().map(|g| g.jars[n]).sum();
        assert_eq!(given, kind.count, "{}", kind.kind.name);
    }
    let owed: i64 = out.given.iter().map(|g| g.owed.get()).sum();
    assert_eq!(owed, jarred.get());
    let carried: i64 = out.given.iter().map(|g| g.carry.get()).sum();
    assert_eq!(carried, 0);
}
