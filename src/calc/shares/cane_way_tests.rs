//! The pages along the way of some cane.

use super::*;

fn id(n: u8) -> String {
    format!("01920000-0000-7000-8000-0000000000{n:02}")
}

fn ticket(n: u8) -> TicketId {
    TicketId::parse(&id(n)).unwrap()
}

fn juice(n: u8) -> JuiceId {
    JuiceId::parse(&id(n)).unwrap()
}

fn member(n: u8) -> MemberId {
    MemberId::parse(&id(n)).unwrap()
}

fn lot(step: Step) -> (LotCode, Step) {
    (LotCode::nth(2026, 1).unwrap(), step)
}

fn strand(n: u8, of: u8, step: Option<Step>) -> JuiceWay {
    JuiceWay {
        ticket: ticket(n),
        member: member(of),
        juice: step.map(|_| juice(n + 20)),
        lot: step.map(lot),
    }
}

#[test]
fn cane_that_is_only_weighed_leads_to_its_statement_alone() {
    let stops = way(&[strand(1, 2, None)], Some(member(2)));
    assert_eq!(stops, [Stop::Ticket(ticket(1)), Stop::Statement(member(2))]);
}

#[test]
fn a_member_meets_no_neighbour_and_no_share_before_it_is_known() {
    let step = Step::InJars;
    let both = [strand(1, 2, Some(step)), strand(3, 4, Some(step))];
    let stops = way(&both, Some(member(2)));
    let (code, _) = lot(step);
    assert_eq!(
        stops,
        [
            Stop::Ticket(ticket(1)),
            Stop::Juice(juice(21)),
            Stop::Boil(code.clone()),
            Stop::Statement(member(2)),
        ]
    );
    let known = way(&[strand(1, 2, Some(Step::ToFetch))], Some(member(2)));
    assert!(known.contains(&Stop::Shares(code)), "{known:?}");
}

#[test]
fn the_crew_meet_everybody_once_and_the_jars() {
    let step = Step::InJars;
    let mut all = vec![strand(1, 2, Some(step)), strand(3, 4, Some(step))];
    all.push(JuiceWay {
        juice: Some(juice(30)),
        ..all[0].clone()
    });
    let stops = way(&all, None);
    let (code, _) = lot(step);
    assert_eq!(
        stops,
        [
            Stop::Ticket(ticket(1)),
            Stop::Ticket(ticket(3)),
            Stop::Juice(juice(21)),
            Stop::Juice(juice(23)),
            Stop::Juice(juice(30)),
            Stop::Boil(code.clone()),
            Stop::Shares(code.clone()),
            Stop::Jars(code),
            Stop::Statement(member(2)),
            Stop::Statement(member(4)),
        ]
    );
}
