//! Which jars a recall touches and where they are: worked by hand, and on lots by chance.

use super::*;
use crate::calc::shares::trace::{Load, Poured, streams};
use proptest::prelude::*;
use uuid::Uuid;

fn ticket(n: u128) -> TicketId {
    TicketId::new(Uuid::from_u128(n))
}

fn boil(n: u128) -> BoilId {
    BoilId::new(Uuid::from_u128(n))
}

fn member(n: u128) -> MemberId {
    MemberId::new(Uuid::from_u128(n))
}

fn vessel(n: u128) -> VesselId {
    VesselId::new(Uuid::from_u128(n))
}

fn day(n: i64) -> PressDate {
    PressDate::parse("2026-09-19").unwrap().plus_days(n)
}

fn pour(of: u128, whose: u128, on: i64, from: u128, into: u128) -> Pour {
    Pour {
        ticket: ticket(of),
        member: member(whose),
        day: day(on),
        vessel: vessel(from),
        boil: boil(into),
    }
}

/// Two days; boil 3 takes juice of both, and of both vessels.
fn records() -> Records {
    Records {
        pours: vec![
            pour(1, 7, 0, 1, 1),
            pour(1, 7, 0, 2, 3),
            pour(2, 8, 0, 1, 2),
            pour(3, 7, 1, 1, 3),
        ],
        added: vec![Added {
            boil: boil(2),
            pack: "A-113".to_owned(),
        }],
        boils: vec![(boil(1), day(0)), (boil(2), day(0)), (boil(3), day(1))],
    }
}

fn lots(from: From, only: Option<i64>) -> Vec<u128> {
    let start = Start {
        from,
        day: only.map(day),
    };
    let found = touched_lots(&start, &records());
    (1..=4).filter(|n| found.contains(&boil(*n))).collect()
}

#[test]
fn every_start_reaches_the_lots_that_its_juice_went_into() {
    assert_eq!(lots(From::Lot(boil(2)), None), [2]);
    assert_eq!(lots(From::Ticket(ticket(1)), None), [1, 3]);
    assert_eq!(lots(From::Vessel(vessel(1)), None), [1, 2, 3]);
    assert_eq!(lots(From::Vessel(vessel(1)), Some(0)), [1, 2]);
    assert_eq!(lots(From::Member(member(7)), None), [1, 3]);
    assert_eq!(lots(From::Member(member(7)), Some(1)), [3]);
    assert_eq!(lots(From::Pack(" a-113 ".to_owned()), None), [2]);
    assert_eq!(lots(From::Pack("A-113".to_owned()), Some(1)), [0_u128; 0]);
    // Cane of the first day was boiled on the second as well.
    assert_eq!(lots(From::Day, Some(0)), [1, 2, 3]);
    assert_eq!(lots(From::Day, Some(1)), [3]);
    assert_eq!(lots(From::Ticket(ticket(9)), None), [0_u128; 0]);
}

fn kind(b: u128, net: i64) -> Kind {
    Kind {
        boil: boil(b),
        size_name: "quart".to_owned(),
        net: Grams::new(net),
        part: false,
    }
}

fn counted(of: Kind, m: Option<u128>, receipt: Option<i64>, count: i64) -> Counted {
    Counted {
        kind: of,
        member: m.map(member),
        receipt,
        count,
    }
}

#[test]
fn the_places_of_the_jars_sum_to_what_was_filled_and_the_rest_is_named() {
    let jars = Jars {
        filled: vec![(kind(1, 1360), 12), (kind(2, 680), 5)],
        aside: vec![
            counted(kind(1, 1360), Some(7), None, 6),
            counted(kind(1, 1360), None, None, 4),
        ],
        handed: vec![
            counted(kind(1, 1360), Some(7), Some(1), 2),
            counted(kind(1, 1360), None, Some(2), 1),
        ],
        broken: vec![counted(kind(1, 1360), Some(7), None, 1)],
    };
    let found = placed(&jars);
    let count = |place| -> Vec<i64> {
        let of = found.iter().filter(|p| p.place == place);
        of.map(|p| p.count).collect()
    };
    // Of 6 for the member 2 left and 1 broke: 3; of the mill's 4 one was sold: 3. 12 − 10 are missing.
    assert_eq!(count(Place::Shelf), [3, 3]);
    assert_eq!(count(Place::Handed), [2]);
    assert_eq!(count(Place::Sold), [1]);
    assert_eq!(count(Place::Broken), [1]);
    assert_eq!(count(Place::Unaccounted), [2]);
    assert_eq!(count(Place::Undivided), [5]);
    let whom: Vec<Ask> = calls(&found).into_iter().map(|(ask, _)| ask).collect();
    assert_eq!(
        whom,
        [
            Ask::Mill,
            Ask::Member(member(7)),
            Ask::Receipt(2),
            Ask::Nobody
        ]
    );
}

#[test]
fn what_came_back_is_told_in_jars_and_grams_and_the_rest_is_open() {
    let said = |back, gone| Said { back, gone };
    let sum = tally(&[
        (Grams::new(1360), 6, said(4, 1)),
        (Grams::new(680), 3, Said::default()),
    ]);
    assert_eq!((sum.touched.jars, sum.touched.grams.get()), (9, 10_200));
    assert_eq!((sum.back.jars, sum.back.grams.get()), (4, 5440));
    assert_eq!((sum.gone.jars, sum.gone.grams.get()), (1, 1360));
    assert_eq!((sum.open.jars, sum.open.grams.get()), (4, 3400));
}

proptest! {
    #[test]
    fn prop_forward_to_the_lots_and_back_to_the_loads_agree(
        pours in proptest::collection::vec((0_u128..6, 0_u128..4, 0_u128..5, 1_i64..900), 0..30),
    ) {
        let all: Vec<Pour> = pours.iter().map(|(t, v, b, _)| pour(*t, t % 3, 0, *v, *b)).collect();
        let records = Records { pours: all, ..Records::default() };
        let loads: Vec<Load> = (0..6).map(|t| Load { ticket: ticket(t), number: 1, net: Grams::new(5) }).collect();
        let poured: Vec<Poured> = pours.iter()
            .map(|(t, _, b, g)| Poured { ticket: ticket(*t), boil: boil(*b), solids: Grams::new(*g) })
            .collect();
        let traced = streams(&loads, &poured);
        for t in 0..6 {
            let start = Start { from: From::Ticket(ticket(t)), day: None };
            let back: BTreeSet<BoilId> = traced.iter().filter(|s| s.ticket == ticket(t)).map(|s| s.boil).collect();
            prop_assert_eq!(touched_lots(&start, &records), back);
        }
    }

    #[test]
    fn prop_every_jar_is_in_one_place_and_no_jar_is_in_two(
        aside in proptest::collection::vec((0_u128..4, 1_i64..20), 0..8),
        handed in proptest::collection::vec((0_usize..8, 1_i64..20), 0..8),
        more in 0_i64..9,
    ) {
        let of = |m: u128| (m > 0).then_some(m);
        let mut left: BTreeMap<u128, i64> = BTreeMap::new();
        for (m, n) in &aside {
            *left.entry(*m).or_default() += n;
        }
        let mut out = Vec::new();
        for (receipt, (at, n)) in (1_i64..).zip(&handed) {
            let Some((m, _)) = aside.get(*at) else { continue };
            let still = left.get_mut(m).unwrap();
            let taken = (*n).min(*still);
            *still -= taken;
            if taken > 0 {
                out.push(counted(kind(1, 680), of(*m), Some(receipt), taken));
            }
        }
        let filled = aside.iter().map(|(_, n)| n).sum::<i64>() + more;
        let jars = Jars {
            filled: vec![(kind(1, 680), filled)],
            aside: aside.iter().map(|(m, n)| counted(kind(1, 680), of(*m), None, *n)).collect(),
            handed: out,
            broken: Vec::new(),
        };
        let found = placed(&jars);
        prop_assert_eq!(found.iter().map(|p| p.count).sum::<i64>(), filled);
        prop_assert!(found.iter().all(|p| p.count > 0));
        let asked: usize = calls(&found).iter().map(|(_, of)| of.len()).sum();
        prop_assert_eq!(asked, found.len());
    }
}
