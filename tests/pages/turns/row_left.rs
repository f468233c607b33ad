//! A row is offered once, a full day as a list to wait on, and a second turn on one day is asked about.

use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

const BOOK: &str = "/days/2026-09-19/book";
const NEW: &str = "/days/2026-09-19/tickets/new";

#[tokio::test]
async fn a_row_that_was_pressed_and_booked_is_not_offered_whole_again() {
    let site = TestSite::with_season().await;
    let (id, mut phone) = site.person("Ida Finch", Role::Member).await;
    let planting: &[(&str, &str)] = &[
        ("variety", "Dale"),
        ("planted_on", "2026-05-18"),
        ("row", "420"),
        ("apart", "3.5"),
        ("days", "110"),
        ("note", ""),
    ];
    let new = format!("/members/{id}/plantings/new");
    phone.fills(&new, planting).await.taken();
    phone.opens(BOOK).await.says("value=\"420\"");
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    let scale = site.text("select id from scales").await;
    let whose = format!("walk:{id}");
    let weighed: &[(&str, &str)] = &[
        ("whose", &whose),
        ("scale", &scale),
        ("gross", "417"),
        ("tare", "0"),
        ("weighed", "7:40"),
        ("stripped", "yes"),
    ];
    crew.fills(NEW, weighed).await.taken();
    phone
        .opens(BOOK)
        .await
        .says(" of row for that day; the rest was pressed or is booked already");
    let booked = [("told", "weight"), ("amount", "350"), ("start", "13:00")];
    phone.fills(BOOK, &booked).await.taken();
    let page = phone.opens(BOOK).await;
    // 417 lb and 350 lb by 3.0239 lb a foot are 254 ft of the 420.
    page.says("166 ft of 420 ft of row for that day");
    assert!(!page.body.contains("value=\"420\""));
}

#[tokio::test]
async fn a_second_turn_on_one_day_is_asked_about_and_a_form_sent_twice_is_not_one() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let first = [("told", "weight"), ("amount", "330"), ("start", "13:00")];
    phone.opens(BOOK).await;
    let (key, token) = (phone.hidden("form_key"), phone.hidden("token"));
    for _ in 0..2 {
        phone.sends_keyed(BOOK, &first, &key, &token).await.taken();
    }
    let turns = "select count(*) from turns where state = 'held'";
    assert_eq!(site.count(turns).await, 1);
    let second = [("told", "weight"), ("amount", "330"), ("start", "15:00")];
    phone
        .fills(BOOK, &second)
        .await
        .refused(
            StatusCode::CONFLICT,
            "There is a turn on Sat 19 Sep 2026 at 13:00 already",
        )
        .says("Yes, another turn on this day");
    let mut meant = second.to_vec();
    meant.push(("second", "yes"));
    phone.sends(BOOK, &meant).await.taken();
    assert_eq!(site.count(turns).await, 2);
}

#[tokio::test]
async fn home_says_how_much_of_a_day_is_left_and_a_full_day_is_one_to_wait_for() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let home = phone.opens("/").await;
    home.says(" left</span>");
    assert!(!home.body.contains("turns taken"));
    // It is eight o'clock: five minutes of the day are to come.
    site.sql("update press_days set closes_min = 485").await;
    phone.opens("/").await.says("full: you can wait for a turn");
}
