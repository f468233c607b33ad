//! The fair split against values from outside, and over long seasons.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod published;
mod seasons;

use canewright::calc::jars::{JarKind, Jars, Owed, share_out};
use canewright::calc::split::{Pour, Sharer, entitle};
use canewright::units::{BasisPoints, Grams, MemberId, UtcSecond};

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

fn weight_of(kinds: &[Jars]) -> i64 {
    kinds
        .iter()
        .map(|j| j.kind.net.get() * i64::from(j.count))
        .sum()
}

#[test]
fn five_thousand_jars_for_a_thousand_members_are_quickly_given() {
    // Release builds must stay under 10 ms; a debug build is allowed ten times that.
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
    let begun = std::time::Instant::now();
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
    let out = share_out("26001A", &owed, &kinds).unwrap();
    let took = begun.elapsed();
    assert_eq!(out.given.len(), 1001);
    let most = if cfg!(debug_assertions) { 100 } else { 10 };
    assert!(took.as_millis() < most, "{took:?}");
}
