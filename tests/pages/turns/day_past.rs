//! A press day whose hours or whose date are past: nobody waits for it, and no time is told of who did not come.

use super::queue::{book, weigh_in};
use crate::site::{AT, Answer, Browser, TestSite};
use axum::http::StatusCode;
use canewright::units::{Role, UtcSecond};

const BOOK: &str = "/days/2026-09-19/book?told=weight&amount=330";
const DAY: &str = "/days/2026-09-19";
/// Half past five: it is eight in the morning.
const EVENING: i64 = 9 * 3600 + 1800;

/// The same person at another time.
fn at(site: &TestSite, browser: &Browser, at: UtcSecond) -> Browser {
    let mut other = site.stranger_at(at);
    other.cookie.clone_from(&browser.cookie);
    other
}

fn says_not(page: &Answer, words: &str) {
    assert!(!page.body.contains(words), "{words}: {}", page.body);
}

#[tokio::test]
async fn a_day_whose_hours_are_past_is_neither_offered_nor_waited_for() {
    let site = TestSite::with_season().await;
    let (_, ida) = site.person("Ida Finch", Role::Member).await;
    let mut late = at(&site, &ida, AT.plus(EVENING));
    says_not(&late.opens("/").await, "full: you can wait for a turn");
    let page = late.opens(BOOK).await;
    page.says("hours on this day are past");
    says_not(&page, "Put me on the waiting list");
}

#[tokio::test]
async fn on_the_next_day_no_time_is_told_of_a_turn_that_nobody_came_to() {
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let turn = format!("/turns/{}", book(&site, ida, 960).await);
    let came = book(&site, amos, 540).await;
    let (_, mut crew) = site.person("Cora Pell", Role::Crew).await;
    weigh_in(&mut crew, &site, &came, "7:55").await;
    // On the day itself it is told, late in the evening, too.
    let mut evening = at(&site, &phone, AT.plus(EVENING));
    evening.opens(&turn).await.says("Your turn is about");
    // The same of a day that was yesterday's.
    site.sql("update press_days set date = '2026-09-18'").await;
    let page = phone.opens(&turn).await;
    page.says("This turn’s day is past, and no cane of it was weighed in.")
        .says("Please call the mill, or book another turn.");
    says_not(&page, "Your turn is about");
    let page = phone.opens("/days/2026-09-18/queue").await;
    says_not(&page, "Your turn is about");
    says_not(&page, "16:00");
    // Home says so for a week, as long as nothing else is to come.
    let passed =
        "Your turn on Fri 18 Sep 2026, 16:00 has passed, and no cane of yours was weighed in.";
    phone.opens("/").await.says(passed);
    let next = at(&site, &phone, AT.plus(8 * 86_400)).opens("/").await;
    says_not(&next, "has passed");
}

#[tokio::test]
async fn the_queue_of_a_past_day_to_which_nobody_came_says_that_it_is_past() {
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    book(&site, ida, 960).await;
    site.sql("update press_days set date = '2026-09-18'").await;
    let page = phone.opens("/days/2026-09-18/queue").await;
    page.says("This press day is past. 0 of 1 pressed.");
    says_not(&page, "the mill is free");
}

#[tokio::test]
async fn opening_a_day_again_says_that_it_is_open() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(DAY).await;
    let closed = [("to", "closed")];
    ruth.sends(&format!("{DAY}/close"), &closed).await.taken();
    let page = ruth.opens(DAY).await;
    page.says("The press day is closed.")
        .says("action=\"/days/2026-09-19/open-again\"");
    ruth.sends(&format!("{DAY}/open-again"), &[("to", "open")])
        .await
        .taken();
    ruth.opens(DAY).await.says("The press day is open again.");
    let (_, mut ida) = site.person("Ida Finch", Role::Member).await;
    ida.opens(DAY).await;
    ida.sends(&format!("{DAY}/open-again"), &[])
        .await
        .refused(StatusCode::FORBIDDEN, "");
}
