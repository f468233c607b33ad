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
}
