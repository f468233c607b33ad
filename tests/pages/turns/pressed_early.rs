//! Cane that came and was pressed before its planned time leaves that time to others: what is free is reckoned from where the day
//! really stands.

use super::queue::{book, weigh_in};
use crate::cane::juice::measure;
use crate::cane::tickets::{Mill, mill};
use crate::site::{AT, Answer, Browser};
use canewright::facts::shares::verify::verify;
use canewright::units::Role;

const BOOK: &str = "/days/2026-09-19/book";
const ASKS: &str = "/days/2026-09-19/book?told=weight&amount=330";

fn starts(page: &Answer) -> Vec<String> {
    let buttons = page.body.split("name=\"start\" value=\"").skip(1);
    buttons
        .map(|rest| rest.split('"').next().unwrap().to_owned())
        .collect()
}

/// Nothing of what is held twice, or for nothing.
async fn sound(mill: &Mill) {
    let mut snapshot = mill.site.reader.snapshot().await.unwrap();
    let differs = verify(&mut snapshot).await.unwrap().differs;
    let of_minutes = differs
        .iter()
        .filter(|line| line.contains("minutes are held"));
    assert_eq!(of_minutes.count(), 0, "{differs:?}");
}

async fn free(mill: &Mill) -> (Browser, Vec<String>) {
    let (_, mut ida) = mill.site.person("Ida Finch", Role::Member).await;
    let page = ida.opens(ASKS).await;
    (ida, starts(&page))
}

#[tokio::test]
async fn the_time_planned_for_cane_pressed_early_is_free_and_can_be_taken() {
    let mut mill = mill().await;
    let turn = book(&mill.site, mill.amos, 540).await;
    let ticket = weigh_in(&mut mill.crew, &mill.site, &turn, "7:30").await;
    measure(&mut mill, &ticket, &[("amount", "150")])
        .await
        .taken();
    let (mut ida, free) = free(&mill).await;
    assert!(free.contains(&"09:00".to_owned()), "{free:?}");
    let nine = [("told", "weight"), ("amount", "330"), ("start", "9:00")];
    let hers = ida.fills(BOOK, &nine).await.taken().to_owned();
    ida.opens(&hers).await.says("09:00–09:50");
    sound(&mill).await;
    // Hers is taken; nobody else gets it.
    let (_, mut otis) = mill.site.person("Otis Lund", Role::Member).await;
    let page = otis.opens(ASKS).await;
    assert!(
        !starts(&page).contains(&"09:00".to_owned()),
        "{}",
        page.body
    );
}

#[tokio::test]
async fn cane_at_the_mill_before_its_time_takes_the_mill_once() {
    let mut mill = mill().await;
    let turn = book(&mill.site, mill.amos, 540).await;
    let before = free(&mill).await.1;
    // Fifty minutes from 07:55.
    weigh_in(&mut mill.crew, &mill.site, &turn, "7:55").await;
    let (_, mut otis) = mill.site.person("Otis Lund", Role::Member).await;
    let after = starts(&otis.opens(ASKS).await);
    assert!(!before.contains(&"09:00".to_owned()), "{before:?}");
    assert_eq!(after.first().map(String::as_str), Some("08:45"));
    assert!(after.contains(&"09:00".to_owned()), "{after:?}");
    sound(&mill).await;
}

#[tokio::test]
async fn a_ticket_crossed_out_after_others_took_its_time_leaves_the_books_sound() {
    let mut mill = mill().await;
    let turn = book(&mill.site, mill.amos, 540).await;
    let ticket = weigh_in(&mut mill.crew, &mill.site, &turn, "7:55").await;
    let (mut ida, _) = free(&mill).await;
    let nine = [("told", "weight"), ("amount", "330"), ("start", "9:00")];
    ida.fills(BOOK, &nine).await.taken();
    mill.crew.opens(&ticket).await;
    let undo = format!("{ticket}/loads/1/undo");
    mill.crew.sends(&undo, &[("seen", "1")]).await.taken();
    sound(&mill).await;
    // Amos is still expected, and can be moved to where there is room.
    let moves = format!("/turns/{turn}/move");
    let to = [("day", "2026-09-19"), ("start", "11:00"), ("version", "1")];
    mill.crew.fills(&moves, &to).await.taken();
    sound(&mill).await;
}

#[tokio::test]
async fn who_waits_is_offered_the_time_of_cane_pressed_early() {
    let mut mill = mill().await;
    // Ten turns of fifty minutes and one of an hour and a half, less what fits nothing: the day is full from 08:00 on.
    let mut turns = Vec::new();
    for start in (480..1020).step_by(50) {
        if start + 50 <= 1020 {
            turns.push(book(&mill.site, mill.amos, start).await);
        }
    }
    let (_, mut ida) = mill.site.person("Ida Finch", Role::Member).await;
    ida.opens(ASKS).await.says("Put me on the waiting list");
    let asks = [("told", "weight"), ("amount", "330")];
    ida.sends("/days/2026-09-19/waiting", &asks).await.taken();
    let last = turns.last().unwrap().clone();
    let ticket = weigh_in(&mut mill.crew, &mill.site, &last, "7:00").await;
    measure(&mut mill, &ticket, &[("amount", "150")])
        .await
        .taken();
    canewright::actions::rounds::due(
        &mill.site.reader,
        &mill.site.writer,
        &mill.site.ids,
        AT.plus(60),
    )
    .await
    .unwrap();
    ida.opens("/").await.says("A turn is free for you");
    sound(&mill).await;
}
