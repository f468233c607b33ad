//! Press days on which the clocks change. In Chicago they go back at 02:00 on 1 November 2026 and on at
//! 02:00 on 14 March 2027 (tz database; `tests/published/tz_vectors.csv` has such days of several places).

use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::actions::season::seasons;
use canewright::actions::turns::press_days;
use canewright::units::{Grams, MinuteOfDay, Minutes, PressDate, Role, SeasonId, Units};

/// A night's pressing from midnight to 04:00; 500 lb an hour, 10 min between two.
async fn night(site: &TestSite, date: &str) {
    let season = site
        .text("select id from seasons order by year desc limit 1")
        .await;
    let day = press_days::NewPressDay {
        date: PressDate::parse(date).unwrap(),
        opens: MinuteOfDay::new(0).unwrap(),
        closes: MinuteOfDay::new(240).unwrap(),
        mill_per_h: Grams::parse("500", Units::Us).unwrap(),
        changeover: Minutes::new(10),
        note: String::new(),
    };
    let season = SeasonId::parse(&season).unwrap();
    press_days::plan(&site.act(), season, day).await.unwrap();
}

/// 415 lb are 49.8 minutes of pressing: an hour with the change-over.
const HOUR: [(&str, &str); 2] = [("told", "weight"), ("amount", "415")];

fn at(start: &'static str) -> [(&'static str, &'static str); 3] {
    [HOUR[0], HOUR[1], ("start", start)]
}

#[tokio::test]
async fn a_start_that_comes_twice_is_asked_about_and_both_can_be_taken() {
    let site = TestSite::with_season().await;
    night(&site, "2026-11-01").await;
    let book = "/days/2026-11-01/book";
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let page = amos.opens(&format!("{book}?told=weight&amount=415")).await;
    page.says("value=\"01:30 first\">01:30, first time<")
        .says("value=\"01:30 second\">01:30, second time<")
        .says("value=\"02:00\">02:00<");
    // Typed without saying which, it is asked, with both beside it and the amount kept.
    amos.sends(book, &at("1:30"))
        .await
        .refused(StatusCode::CONFLICT, "01:30 comes twice")
        .says("Please choose the first or the second time")
        .says("Nearest to the start you wanted")
        .says("value=\"415\"");
    assert_eq!(site.count("select count(*) from turns").await, 0);
    let first = amos.sends(book, &at("1:30 first")).await.taken().to_owned();
    amos.opens(&first)
        .await
        .says("01:30, first time–01:30, second time");
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    della.opens(&format!("{book}?told=weight&amount=415")).await;
    let second = della
        .sends(book, &at("1:30 second"))
        .await
        .taken()
        .to_owned();
    della
        .opens(&second)
        .await
        .says("01:30, second time–02:30")
        .says("at 01:30, second time");
    // 24 minutes of five, none shared: the second hour has keys of its own.
    assert_eq!(site.count("select count(*) from booked_minutes").await, 24);
    assert_eq!(
        site.count("select count(*) from booked_minutes where minute between 1500 and 1555")
            .await,
        12
    );
    // A calendar has them an hour apart: 06:30 and 07:30 UTC.
    let ics = amos.opens(&format!("{first}/ics")).await;
    ics.says("DTSTART:20261101T063000Z")
        .says("DTEND:20261101T073000Z");
    della
        .opens(&format!("{second}/ics"))
        .await
        .says("DTSTART:20261101T073000Z");
}

#[tokio::test]
async fn a_day_of_25_hours_has_an_hour_more_and_its_lists_are_in_the_order_of_the_night() {
    let site = TestSite::with_season().await;
    night(&site, "2026-11-01").await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    crew.opens("/days").await.says("5 h");
    let book = "/days/2026-11-01/book";
    for (who, start) in [
        ("Amos Trout", "2:00"),
        ("Della Moss", "1:00 second"),
        ("Ida Finch", "1:05 first"),
    ] {
        let (_, mut browser) = site.person(who, Role::Member).await;
        browser
            .opens(&format!("{book}?told=weight&amount=415"))
            .await;
        let sent = browser.sends(book, &at(start)).await;
        if start == "1:05 first" {
            // Runs into the second 01:00, which is taken.
            sent.refused(StatusCode::CONFLICT, "is not free");
            browser.sends(book, &at("1:00 first")).await.taken();
        } else {
            sent.taken();
        }
    }
    for page in ["/days/2026-11-01", "/days/2026-11-01/sheet"] {
        let shown = crew.opens(page).await;
        let place = |words: &str| {
            shown
                .body
                .find(words)
                .unwrap_or_else(|| panic!("{page}: no {words}"))
        };
        let order = [
            place("01:00, first time–01:00, second time"),
            place("01:00, second time–02:00"),
            place("02:00–03:00"),
        ];
        assert!(order.is_sorted(), "{page}: {order:?}");
    }
}

#[tokio::test]
async fn a_start_in_the_hour_that_is_skipped_is_refused_and_turns_run_across_it() {
    let site = TestSite::with_season().await;
    seasons::open(&site.act(), 2027, seasons::NewRules::defaults())
        .await
        .unwrap();
    night(&site, "2027-03-14").await;
    let book = "/days/2027-03-14/book";
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    amos.opens(&format!("{book}?told=weight&amount=415")).await;
    amos.sends(book, &at("2:30"))
        .await
        .refused(StatusCode::CONFLICT, "The clocks skip 02:30")
        .says("value=\"415\"");
    let turn = amos.sends(book, &at("1:30")).await.taken().to_owned();
    amos.opens(&turn).await.says("01:30–03:30");
    assert_eq!(site.count("select count(*) from booked_minutes").await, 12);
    amos.opens(&format!("{turn}/ics"))
        .await
        .says("DTSTART:20270314T073000Z")
        .says("DTEND:20270314T083000Z");
}
