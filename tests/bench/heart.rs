//! How long the two heaviest sums of the heart take: jars given out fairly to a thousand members, and
//! boils proposed for sixty juices that wait. Times are only printed; what comes out is looked over, and
//! a fault ends the run with an error.

#[path = "../season/chance.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "shared with the season's test"
)]
mod chance;
mod quickest;

use anyhow::{Context, ensure};
use canewright::calc::boil::pan_day::PanDay;
use canewright::calc::boil::pooling::{JuiceToPool, propose};
use canewright::calc::shares::jars::{JarKind, Jars, Owed, share_out_evenly};
use canewright::calc::shares::split::{Pour, Sharer, entitle};
use canewright::units::{BasisPoints, Grams, MemberId, Millilitres, Minutes, Units, UtcSecond};
use chance::Chance;
use quickest::{head, quickest, tell, yardstick};
use std::collections::{BTreeMap, BTreeSet};

/// The pan is free from then on.
const START: i64 = 1_800_000_000;

fn main() -> anyhow::Result<()> {
    let sorts = yardstick()?;
    head(sorts);
    let (whole, half) = (shared_out(1000)?, shared_out(500)?);
    tell("5,000 jars to 1,000 members", whole, half, sorts);
    for hours in [10, 24, 72] {
        let (whole, half) = (proposed(60, hours)?, proposed(30, hours)?);
        let name = format!("boils for 60 juices due within {hours} h");
        tell(&name, whole, half, sorts);
    }
    Ok(())
}

/// Shares of so many members and the mill, and five jars a member in three sizes, each member with a
/// wish for one of the sizes.
fn shared_out(members: u32) -> anyhow::Result<f64> {
    let ids = (1..=members)
        .map(|n| MemberId::parse(&format!("{n:032x}")).map(Sharer::Member))
        .collect::<Option<Vec<_>>>()
        .context("a member's id")?;
    let pours: Vec<Pour> = (1..=u64::from(members))
        .zip(&ids)
        .map(|(n, sharer)| Pour {
            sharer: *sharer,
            weight: 10_000 + n * 7919 % 50_021,
        })
        .collect();
    let sizes = [
        ("half gallon", 1360, 3),
        ("quart", 680, 4),
        ("pint", 340, 3),
    ];
    let kinds = sizes.map(|(name, net, of_ten)| Jars {
        kind: JarKind {
            name: name.to_owned(),
            net: Grams::new(net),
        },
        count: members * 5 * of_ten / 10,
    });
    let grams = |jars: &Jars| jars.kind.net.get() * i64::from(jars.count);
    let jarred = Grams::new(kinds.iter().map(grams).sum());
    let wishes: BTreeMap<Sharer, BTreeSet<String>> = ids
        .iter()
        .zip(sizes.iter().cycle())
        .map(|(sharer, (name, _, _))| (*sharer, BTreeSet::from([(*name).to_owned()])))
        .collect();
    let toll = BasisPoints::new(1000).context("a toll")?;
    quickest(|| {
        let owed: Vec<Owed> = entitle("26001A", jarred, toll, &pours)?
            .iter()
            .map(|share| Owed {
                sharer: share.sharer,
                carried: Grams::ZERO,
                entitled: share.grams,
                favoured_at: None,
            })
            .collect();
        let out = share_out_evenly("26001A", &owed, &kinds, &wishes)?;
        let given: i64 = out.given.iter().map(|share| share.given.get()).sum();
        ensure!(given == jarred.get(), "{given} g given of {jarred:?}");
        Ok(())
    })
}

/// Boils proposed for so many juices, of which each is due within so many hours.
fn proposed(count: usize, hours: i64) -> anyhow::Result<f64> {
    let mut chance = Chance::new(60);
    let people = i64::try_from(count)? - 1;
    let juices = (0..count)
        .map(|_| {
            Ok(JuiceToPool {
                label: "a tank",
                member: u64::try_from(chance.between(0, people))?,
                volume: Millilitres::new(1_000 * chance.between(20, 249)),
                due: UtcSecond::new(START + 60 * chance.between(0, 60 * hours)),
                pools: chance.of_100(83),
            })
        })
        .collect::<anyhow::Result<Vec<_>>>()?;
    let pan = PanDay {
        least: Millilitres::new(150_000),
        greatest: Millilitres::new(400_000),
        free: UtcSecond::new(START),
        overhead: Minutes::new(45),
        litres_h: 180.0,
    };
    let all: i64 = juices.iter().map(|juice| juice.volume.get()).sum();
    quickest(|| {
        let found = propose(&juices, &pan, Units::Us)?;
        let boiled: i64 = found.boils.iter().map(|boil| boil.volume.get()).sum();
        ensure!(boiled == all, "{boiled} ml in boils of {all} ml");
        Ok(())
    })
}
