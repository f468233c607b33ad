//! What holds of divisions, the ledger and hand-overs, always: every figure worked out a second time.

use crate::books::{Boil, Books, Division, Line, Share, in_ratio};
use std::collections::{BTreeMap, BTreeSet};

/// Looks over everything from the first division on.
pub fn all(books: &Books, here: &str) {
    for division in &books.divisions {
        let boil = books.boil(&division.boil_id);
        let here = &format!("{here}: {}", boil.lot_code);
        adds_up(books, division, here);
        brought(books, division, here);
        entitled(books, division, here);
        jars_to_whoever_is_owed_most(books, division, here);
        lines(books, division, boil, here);
    }
    running_sums(books, here);
    handed_over(books, here);
    money(books, here);
}

type Kind<'a> = (&'a str, i64, bool);

/// Entitled, jarred and filled are one sum; of every kind as many are given as were filled.
fn adds_up(books: &Books, division: &Division, here: &str) {
    let filled: i64 = books
        .fills_of(&division.boil_id)
        .map(|f| f.net_g * f.count)
        .sum();
    let sum = |of: fn(&Share) -> i64| -> i64 { books.shares_of(&division.id).map(of).sum() };
    assert_eq!(division.jarred_g, filled, "{here}: jarred and filled");
    assert_eq!(sum(|s| s.entitled_g), filled, "{here}: entitled and filled");
    assert_eq!(sum(|s| s.jarred_g), filled, "{here}: set aside and filled");
    assert_eq!(sum(|s| s.carried_g), sum(|s| s.carry_g), "{here}: balances");
    let mut kinds: BTreeMap<Kind<'_>, i64> = BTreeMap::new();
    for fill in books.fills_of(&division.boil_id) {
        *kinds
            .entry((&fill.size_name, fill.net_g, fill.part))
            .or_default() += fill.count;
    }
    for share in books.shares_of(&division.id) {
        let mut grams = 0;
        for jars in jars_of(books, share) {
            *kinds
                .entry((&jars.size_name, jars.net_g, jars.part))
                .or_default() -= jars.count;
            grams += jars.net_g * jars.count;
        }
        assert_eq!(grams, share.jarred_g, "{here}: jars of one sharer");
        let carry = share.carried_g + share.entitled_g - share.jarred_g;
        assert_eq!(carry, share.carry_g, "{here}: carry of one sharer");
    }
    assert!(
        kinds.values().all(|left| *left == 0),
        "{here}: jars not given, or given twice: {kinds:?}"
    );
}

fn jars_of<'a>(
    books: &'a Books,
    share: &Share,
) -> impl Iterator<Item = &'a crate::books::ShareJar> {
    let (division, place) = (share.division_id.clone(), share.place);
    books
        .share_jars
        .iter()
        .filter(move |j| j.division_id == division && j.place == place)
}

/// What each member brought, from the juices as they stand today: under a divided boil nothing moves.
fn brought(books: &Books, division: &Division, here: &str) {
    let mut sums: BTreeMap<&str, (i64, i64)> = BTreeMap::new();
    for part in books.parts_of(&division.boil_id) {
        let weight = match division.basis.as_str() {
            "solids" => part.solids,
            "juice_mass" => part.mass,
            "juice_volume" => part.volume,
            "cane_mass" => part.cane,
            other => panic!("{here}: basis {other}"),
        };
        let sum = sums.entry(&part.member_id).or_default();
        *sum = (sum.0 + weight, sum.1 + part.solids);
    }
    for share in books.shares_of(&division.id) {
        let own = share.member_id.as_deref().and_then(|m| sums.remove(m));
        let (mut weight, solids) = own.unwrap_or_default();
        if division.basis == "cane_mass" && !books.cane_stands(division) {
            weight = share.weight;
        }
        let (frozen, who) = ((share.weight, share.solids_g), &share.member_id);
        assert_eq!(frozen, (weight, solids), "{here}: what {who:?} brought");
    }
    assert!(
        sums.is_empty(),
        "{here}: brought juice and shares nothing: {sums:?}"
    );
}

/// Each entitlement is the exact share cut to whole grams; the odd grams go to those of whom most
/// was cut off.
fn entitled(books: &Books, division: &Division, here: &str) {
    let all: i128 = books
        .shares_of(&division.id)
        .map(|s| i128::from(s.weight))
        .sum();
    let toll = i128::from(division.toll_bp);
    let (mut most_without, mut least_with) = (None, None);
    for share in books.shares_of(&division.id) {
        let weight = match share.member_id {
            Some(_) => (10_000 - toll) * i128::from(share.weight),
            None => toll * all,
        };
        let exact = i128::from(division.jarred_g) * weight;
        let (floor, cut) = (
            exact.div_euclid(10_000 * all),
            exact.rem_euclid(10_000 * all),
        );
        match i128::from(share.entitled_g) - floor {
            0 => most_without = most_without.max(Some(cut)),
            1 => least_with = Some(least_with.map_or(cut, |least: i128| least.min(cut))),
            off => panic!("{here}: {off} g off the exact share"),
        }
    }
    if let (Some(without), Some(with)) = (most_without, least_with) {
        assert!(
            with >= without,
            "{here}: an odd gram went past whom more was cut off"
        );
    }
}

/// Largest jar first, each to whoever is owed most; between equals either may have it, which changes
/// nothing in the balances taken together. Exchanges after that only even out: the least balance never
/// falls, and no sum of the greatest rises.
/// Under a bound of what a lot repays, claims are cut to it: then only the bound itself is looked at.
fn jars_to_whoever_is_owed_most(books: &Books, division: &Division, here: &str) {
    if let Some(pct) = bound(books, division) {
        let others = books
            .shares_of(&division.id)
            .filter(|s| s.weight == 0 && s.member_id.is_some());
        let repaid: i64 = others.map(|s| s.jarred_g).sum();
        assert!(
            repaid * 100 <= division.jarred_g * pct,
            "{here}: {repaid} g repaid of {} g, {pct} of 100 voted",
            division.jarred_g
        );
        return;
    }
    let mut owed: Vec<i64> = books
        .shares_of(&division.id)
        .map(|s| s.carried_g + s.entitled_g)
        .collect();
    for fill in books.fills_of(&division.boil_id) {
        for _ in 0..fill.count {
            *owed.iter_mut().max().unwrap() -= fill.net_g;
        }
    }
    let mut carry: Vec<i64> = books.shares_of(&division.id).map(|s| s.carry_g).collect();
    owed.sort_unstable();
    carry.sort_unstable();
    assert!(
        carry.first() >= owed.first(),
        "{here}: somebody was given more than by the rule"
    );
    let greatest = |all: &[i64], k: usize| -> i64 { all.iter().rev().take(k).sum() };
    for k in 1..=owed.len() {
        assert!(
            greatest(&carry, k) <= greatest(&owed, k),
            "{here}: jars given otherwise than the rule says"
        );
    }
}

/// How much of 100 may repay those without juice in the lot, where the rules bound it.
fn bound(books: &Books, division: &Division) -> Option<i64> {
    let pct = books.boil(&division.boil_id).lots_repay_pct;
    pct.filter(|pct| *pct < 100)
}

/// Grams and cents by sharer and kind of line.
type Lines<'a> = BTreeMap<(Option<&'a str>, &'a str), (i64, i64)>;

/// The ledger's lines of a division: grams as shared, cents by the rules in force when it was lit.
fn lines(books: &Books, division: &Division, boil: &Boil, here: &str) {
    assert_eq!(division.basis, boil.basis, "{here}");
    assert_eq!(division.toll_bp, boil.toll_bp, "{here}");
    let mut written: Lines<'_> = BTreeMap::new();
    let own = books
        .ledger
        .iter()
        .filter(|l| l.boil_id.as_ref() == Some(&boil.id) && l.answers.is_none())
        // What the season bears of the boil at its close is no part of its division.
        .filter(|l| l.kind != "loss");
    for line in own {
        let sum = written
            .entry((line.member_id.as_deref(), &line.kind))
            .or_default();
        *sum = (sum.0 + line.grams, sum.1 + line.cents);
    }
    let mut wanted: Lines<'_> = BTreeMap::new();
    for share in books.shares_of(&division.id) {
        let who = share.member_id.as_deref();
        let mut add = |kind, grams, cents| {
            if (grams, cents) != (0, 0) {
                wanted.insert((who, kind), (grams, cents));
            }
        };
        add("entitled", share.entitled_g, 0);
        add("jarred", -share.jarred_g, 0);
        let Some(member) = who else { continue };
        let own = || books.parts_of(&boil.id).filter(|p| p.member_id == member);
        let cane: i64 = own().map(|p| p.cane).sum();
        let juice: i64 = own().map(|p| p.volume).sum();
        let jars: i64 = jars_of(books, share).map(|j| j.count).sum();
        let glass: i64 = jars_of(books, share)
            .map(|j| {
                let same = books
                    .fills_of(&boil.id)
                    .filter(|f| (&f.size_name, f.net_g, f.part) == (&j.size_name, j.net_g, j.part));
                j.count * same.map(|f| f.price_cents).min().unwrap()
            })
            .sum();
        let cane_lb: i64 = own().map(|p| p.cane_lb).sum();
        // Ten-thousandths of the unit that the rates were voted in, times thousandths of a cent.
        let (cane, juice) = match boil.rates_in.as_str() {
            "us" => (cane_lb, in_ratio(juice, 10_000_000_000, 3_785_411_784)),
            _ => (cane * 10, juice * 10),
        };
        let cane_fee = if books.cane_stands(division) {
            in_ratio(boil.cane_mc, cane, 10_000_000)
        } else {
            written
                .get(&(who, "cane_fee"))
                .map_or(0, |(_, cents)| *cents)
        };
        let juice_fee = in_ratio(boil.juice_mc, juice, 10_000_000);
        // Whoever brought nothing to the boil pays for the empty jar alone.
        let jar_fee = match own().next() {
            Some(_) => boil.jar_fee_cents * jars,
            None => 0,
        };
        add("cane_fee", 0, cane_fee);
        add("juice_fee", 0, juice_fee);
        add("jar_fee", 0, jar_fee);
        if own().next().is_some() {
            add(
                "least_fee",
                0,
                (boil.least_cents - cane_fee - juice_fee - jar_fee).max(0),
            );
        }
        add("jar_price", 0, glass);
    }
    assert_eq!(written, wanted, "{here}: the ledger's lines");
}

/// Balances run on from lot to lot, sum to nought, and keep within the bounds proven in `calc::jars`, as long as no lot was
/// divided under rules that bound what it repays: the proof needs everybody who is owed in every line.
fn running_sums(books: &Books, here: &str) {
    let all: i64 = books.ledger.iter().map(|l| l.grams).sum();
    assert_eq!(all, 0, "{here}: grams of all sharers together");
    let mut balance: BTreeMap<Option<&str>, i64> = BTreeMap::new();
    let mut sharers: BTreeSet<Option<&str>> = BTreeSet::new();
    let mut largest = 0;
    // What broke or was lost on the mill's shelf is owed again, by the mill: the bounds move by no more than that.
    let (mut upto, mut lost, mut all_in_line) = (0, 0, true);
    for division in &books.divisions {
        let own = books
            .ledger
            .iter()
            .filter(|l| l.boil_id.as_deref() == Some(&division.boil_id));
        let first = own.map(|l| l.number).min().unwrap_or(upto);
        lost += losses(books, upto..first, &mut balance);
        upto = first;
        let here = format!("{here}: {}", books.boil(&division.boil_id).lot_code);
        all_in_line &= bound(books, division).is_none();
        let own = books.fills_of(&division.boil_id).map(|f| f.net_g);
        largest = own.max().unwrap_or(0).max(largest);
        let mut owed: BTreeSet<Option<&str>> = balance
            .iter()
            .filter(|(_, g)| **g > 0)
            .map(|(who, _)| *who)
            .collect();
        sharers.extend(
            books
                .shares_of(&division.id)
                .map(|s| s.member_id.as_deref()),
        );
        for share in books.shares_of(&division.id) {
            let who = share.member_id.as_deref();
            owed.remove(&who);
            let before = balance.insert(who, share.carry_g).unwrap_or(0);
            assert_eq!(share.carried_g, before, "{here}: carried by {who:?}");
            assert!(
                !all_in_line || share.carry_g > -largest - lost,
                "{here}: a full jar too much"
            );
            assert!(
                !all_in_line || within(share.carry_g - lost, largest, sharers.len()),
                "{here}: owed too much"
            );
        }
        assert!(
            !all_in_line || owed.is_empty(),
            "{here}: owed from before and left out: {owed:?}"
        );
    }
    losses(books, upto..i64::MAX, &mut balance);
    let mut written: BTreeMap<Option<&str>, i64> = BTreeMap::new();
    for line in &books.ledger {
        *written.entry(line.member_id.as_deref()).or_default() += line.grams;
    }
    written.retain(|_, g| *g != 0);
    balance.retain(|_, g| *g != 0);
    assert_eq!(written, balance, "{here}: balances and the ledger");
}

/// Moves the balances by the losses, settlements and what was taken back among so many lines; gives the grams that were made good.
fn losses<'a>(
    books: &'a Books,
    lines: std::ops::Range<i64>,
    balance: &mut BTreeMap<Option<&'a str>, i64>,
) -> i64 {
    let all = books
        .ledger
        .iter()
        .filter(|l| ["loss", "settled", "answer"].contains(&l.kind.as_str()));
    let mut made_good = 0;
    for line in all.filter(|l| lines.contains(&l.number)) {
        *balance.entry(line.member_id.as_deref()).or_default() += line.grams;
        made_good += line.grams.max(0);
    }
    made_good
}

/// Whether no more than s × (1/2 + … + 1/n) is owed.
#[expect(
    clippy::cast_precision_loss,
    reason = "a few thousand grams, a few sharers"
)]
fn within(carry: i64, largest: i64, sharers: usize) -> bool {
    let sum: f64 = (2..=sharers).map(|k| 1.0 / k as f64).sum();
    carry as f64 <= largest as f64 * sum + 1e-6
}

/// No more jars are handed over than were set aside for that sharer.
fn handed_over(books: &Books, here: &str) {
    for handed in &books.handed {
        let aside: i64 = books
            .divisions
            .iter()
            .filter(|d| d.boil_id == handed.boil_id)
            .flat_map(|d| books.shares_of(&d.id))
            .filter(|s| s.member_id == handed.member_id)
            .flat_map(|s| jars_of(books, s))
            .filter(|j| {
                (&j.size_name, j.net_g, j.part) == (&handed.size_name, handed.net_g, handed.part)
            })
            .map(|j| j.count)
            .sum();
        assert!(
            handed.count <= aside,
            "{here}: {} handed over of {aside}",
            handed.count
        );
    }
}

/// A line is answered once at most, by its opposite, and of a settlement in money both halves or neither; payments move no syrup.
fn money(books: &Books, here: &str) {
    let mut answered = BTreeSet::new();
    for line in &books.ledger {
        assert!(
            line.kind != "payment" || line.grams == 0,
            "{here}: line {} moves syrup",
            line.number
        );
        assert_eq!(
            line.kind == "answer",
            line.answers.is_some(),
            "{here}: line {}",
            line.number
        );
        let Some(number) = line.answers else { continue };
        let of = books.ledger.iter().find(|l| l.number == number).unwrap();
        assert!(
            answered.insert(number),
            "{here}: line {number} answered twice"
        );
        assert!(
            of.kind != "answer" && of.number < line.number,
            "{here}: line {}",
            line.number
        );
        let moved = (line.grams, line.cents);
        assert_eq!(
            moved,
            (-of.grams, -of.cents),
            "{here}: line {}",
            line.number
        );
        assert_eq!(line.member_id, of.member_id, "{here}: line {}", line.number);
    }
    let halves =
        |line: &&Line| line.kind == "settled" && line.cents != 0 && line.member_id.is_some();
    for line in books.ledger.iter().filter(halves) {
        let mills = books.ledger.iter().find(|l| l.number == line.number + 1);
        assert_eq!(
            mills.map(|l| (l.kind.as_str(), l.member_id.as_ref(), l.grams, l.cents)),
            Some(("settled", None, -line.grams, -line.cents)),
            "{here}: the other half of line {}",
            line.number
        );
        assert_eq!(
            answered.contains(&line.number),
            answered.contains(&(line.number + 1)),
            "{here}: half of the settlement of line {} is taken back",
            line.number
        );
    }
}
