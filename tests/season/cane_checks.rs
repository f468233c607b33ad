//! What a member is told of the own cane against the boil's page and the tables, after every step.

use crate::books::Books;
use canewright::calc::boil::sums::Stage;
use canewright::calc::shares::my_cane::{CaneState, LotState};
use canewright::facts::shares::my_cane::{self, MyLot};
use canewright::store::Snapshot;
use canewright::units::{MemberId, SeasonId, UtcSecond, Zone};

/// Looks over the cane of one member.
pub async fn of_member(
    db: &mut Snapshot,
    books: &Books,
    (season, member, at): (SeasonId, MemberId, UtcSecond),
    here: &str,
) {
    let zone = Zone::parse("America/Chicago").unwrap();
    let mine = my_cane::of_member(db, (season, member), (&zone, at))
        .await
        .unwrap();
    let own = books
        .tickets
        .values()
        .filter(|t| t.member_id == member.to_string());
    assert_eq!(mine.len(), own.count(), "{here}: tickets on the home page");
    for ticket in &mine {
        let here = format!("{here}: ticket {}", ticket.ticket.ticket);
        for lot in &ticket.lots {
            agrees_with_the_boils_page(lot, &here);
            agrees_with_the_tables(lot, books, member, &here);
        }
        let least = ticket.lots.iter().map(MyLot::state).min();
        match ticket.state() {
            CaneState::InLot(state) => assert_eq!(Some(state), least, "{here}"),
            CaneState::Pressed => assert!(!ticket.juices.is_empty(), "{here}"),
            CaneState::Here => assert!(ticket.juices.is_empty(), "{here}"),
            CaneState::JuiceLost => assert!(ticket.lost.get() > 0, "{here}"),
            CaneState::WentHome => panic!("{here}: nobody plays that"),
            CaneState::NotWeighed => assert_eq!(ticket.net.get(), 0, "{here}"),
            CaneState::Booked => panic!("{here}: a ticket is more than a turn"),
        }
    }
}

/// The stage that the boil's page shows.
fn agrees_with_the_boils_page(lot: &MyLot, here: &str) {
    let stage = lot.row.stage();
    let fits = match lot.state() {
        LotState::OnFire => stage == Stage::Lit,
        LotState::DrawnOff | LotState::BeingJarred | LotState::InJars => stage == Stage::Finished,
        LotState::Lost => stage == Stage::Lost,
        LotState::ToFetch(_) | LotState::Shared | LotState::Fetched => {
            stage == Stage::Divided || (lot.marks.reopened && stage == Stage::Finished)
        }
    };
    assert!(fits, "{here}: {:?} beside {stage:?}", lot.state());
}

/// The same out of the tables alone.
fn agrees_with_the_tables(lot: &MyLot, books: &Books, member: MemberId, here: &str) {
    let (id, member) = (lot.row.id.to_string(), member.to_string());
    let boil = books.boil(&id);
    let divisions = books.divisions.iter().filter(|d| d.boil_id == id);
    let divided = divisions.max_by_key(|d| d.at);
    let left: i64 = books
        .shares
        .iter()
        .filter(|s| s.member_id.as_deref() == Some(member.as_str()))
        .filter(|s| divided.is_some_and(|d| d.id == s.division_id))
        .flat_map(|s| {
            let jars = books.share_jars.iter();
            jars.filter(|j| j.division_id == s.division_id && j.place == s.place)
        })
        .map(|j| j.count)
        .sum::<i64>()
        - books
            .handed
            .iter()
            .filter(|h| h.boil_id == id && h.member_id.as_deref() == Some(member.as_str()))
            .map(|h| h.count)
            .sum::<i64>();
    let filled = books.fills_of(&id).any(|fill| fill.count > 0);
    let jarred: i64 = books.fills_of(&id).map(|f| f.count * f.net_g).sum();
    // The division asks no more once 95 of 100 are in jars.
    let mostly = |syrup: i64| 100 * jarred >= 95 * syrup;
    let wanted = match lot.state() {
        LotState::OnFire => boil.syrup_g.is_none(),
        LotState::DrawnOff => boil.syrup_g.is_some() && !filled && divided.is_none(),
        LotState::BeingJarred => {
            filled && divided.is_none() && boil.syrup_g.is_some_and(|all| !mostly(all))
        }
        LotState::InJars => filled && divided.is_none() && boil.syrup_g.is_some_and(mostly),
        LotState::ToFetch(n) => n == left,
        LotState::Shared | LotState::Fetched => divided.is_some() && left == 0,
        LotState::Lost => divided.is_none(),
    };
    assert!(wanted, "{here}: {:?}, {left} jars left", lot.state());
}
