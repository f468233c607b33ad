//! A season proposed, its members asked, their answers.

use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::turns::press_days;
use canewright::units::{Grams, MinuteOfDay, Minutes, PressDate, Role, Units};

const PROPOSAL: &str = "/seasons/2026/proposal";

async fn day(site: &TestSite, date: &str) {
    let season = site.text("select id from seasons").await;
    let day = press_days::NewPressDay {
        date: PressDate::parse(date).unwrap(),
        opens: MinuteOfDay::new(420).unwrap(),
        closes: MinuteOfDay::new(1020).unwrap(),
        mill_per_h: Grams::parse("500", Units::Us).unwrap(),
        changeover: Minutes::new(10),
        note: String::new(),
    };
    let season = canewright::units::SeasonId::parse(&season).unwrap();
    press_days::plan(&site.act(), season, day).await.unwrap();
}

async fn planted(browser: &mut Browser, member: &str, on: &str, row: &str) {
    let new = format!("/members/{member}/plantings/new");
    let fields = [
        ("variety", "Dale"),
        ("planted_on", on),
        ("row", row),
        ("days", "110"),
    ];
    browser.fills(&new, &fields).await.taken();
}

/// What the page's form carries, with what is pressed or ticked.
async fn sends(steward: &mut Browser, more: &[(&str, &str)]) -> crate::site::Answer {
    let hidden: Vec<(&str, String)> = ["before", "days", "turns"]
        .into_iter()
        .map(|name| (name, steward.hidden(name)))
        .collect();
    let mut fields: Vec<(&str, &str)> = hidden.iter().map(|(n, v)| (*n, v.as_str())).collect();
    fields.extend_from_slice(more);
    steward.sends(PROPOSAL, &fields).await
}

#[tokio::test]
async fn a_season_is_proposed_its_members_are_asked_and_take_or_decline() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut amos_browser) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut ida_browser) = site.person("Ida Finch", Role::Member).await;
    // Ready 6 to 26 September and 16 September to 6 October.
    planted(&mut amos_browser, &amos.to_string(), "2026-05-29", "300").await;
    planted(&mut ida_browser, &ida.to_string(), "2026-06-08", "200").await;
    let mut steward = site.browser(site.steward).await;
    let page = steward.opens(PROPOSAL).await;
    page.says("2 plantings are without a turn; 2 turns are proposed, on 1 of 1 days.")
        .says("Sat 26 Sep 2026")
        .says("Ask the members: 2 turns");
    assert_eq!(page.status, StatusCode::OK);
    let asked = sends(&mut steward, &[("do", "ask")]).await;
    assert_eq!(asked.taken(), PROPOSAL);
    assert_eq!(
        site.count("select count(*) from offers where answer is null")
            .await,
        2
    );
    assert_eq!(
        site.count("select count(*) from notices where kind = 'offer'")
            .await,
        2
    );
    // Nobody is asked twice for the same cane.
    steward
        .opens(PROPOSAL)
        .await
        .says("Every planting on record has its turn");
    let take = |offer: String| format!("/offers/{offer}/take");
    let offer = site
        .text("select o.id from offers o join waiting w on w.id = o.waiting_id join members m on m.id = w.member_id where m.name = 'Amos Trout'")
        .await;
    amos_browser.opens("/").await.says("Sat 26 Sep 2026");
    amos_browser.sends(&take(offer), &[]).await.taken();
    assert_eq!(
        site.count("select count(*) from turns where state = 'held'")
            .await,
        1
    );
    let offer = site
        .text("select o.id from offers o join waiting w on w.id = o.waiting_id join members m on m.id = w.member_id where m.name = 'Ida Finch'")
        .await;
    ida_browser.opens("/").await.says("Sat 26 Sep 2026");
    ida_browser
        .opens("/")
        .await
        .says("Another day")
        .says("Not this year");
    ida_browser
        .sends(&format!("/offers/{offer}/another-day"), &[])
        .await
        .taken();
    // For another day: that day is not possible for her any more. Then it is, and is proposed again; what was taken stays.
    steward
        .opens(PROPOSAL)
        .await
        .says("No press day lies near enough");
    site.sql("delete from day_answers").await;
    steward
        .opens(PROPOSAL)
        .await
        .says("1 planting is without a turn; 1 turn is proposed")
        .says("Ida Finch");
    sends(&mut steward, &[("do", "ask")]).await.taken();
    let offer = site
        .text("select id from offers where answer is null")
        .await;
    let plantings = format!("/members/{ida}/plantings");
    ida_browser.opens("/").await;
    let gone = ida_browser
        .sends(&format!("/offers/{offer}/not-this-year"), &[])
        .await;
    assert_eq!(gone.taken(), plantings);
    ida_browser
        .opens(&plantings)
        .await
        .says("Nothing is on record yet");
    steward
        .opens(PROPOSAL)
        .await
        .says("Every planting on record has its turn");
    // Somebody else's offer is nobody's to answer.
    amos_browser
        .sends(&format!("/offers/{offer}/another-day"), &[])
        .await
        .refused(StatusCode::NOT_FOUND, "");
}

#[tokio::test]
async fn what_is_kept_stays_and_a_shut_day_gets_nothing() {
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-09-26"] {
        day(&site, date).await;
    }
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    // Best on 22 September.
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    assert!(steward.hidden("turns").starts_with("2026-09-22 "));
    let shut = sends(&mut steward, &[("shut-2026-09-22", "yes")]).await;
    assert_eq!(shut.status, StatusCode::OK);
    shut.says("moved");
    assert!(steward.hidden("turns").starts_with("2026-09-26 "));
    let kept = steward.hidden("before");
    let keep = format!("keep-{}", kept.split(':').next().unwrap());
    // Held on the later day, it stays there though the better day is open again.
    let held = sends(&mut steward, &[(keep.as_str(), "yes")]).await;
    assert_eq!(held.status, StatusCode::OK);
    assert!(steward.hidden("turns").starts_with("2026-09-26 "));
}

#[tokio::test]
async fn room_that_was_taken_meanwhile_asks_nobody_and_says_so() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    let (_, mut other) = site.person("Ida Finch", Role::Member).await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    let book = "/days/2026-09-26/book";
    let first = [("told", "weight"), ("amount", "1000"), ("start", "07:00")];
    other.fills(book, &first).await.taken();
    sends(&mut steward, &[("do", "ask")])
        .await
        .refused(StatusCode::CONFLICT, "Nobody was asked");
    assert_eq!(site.count("select count(*) from offers").await, 0);
}

#[tokio::test]
async fn cane_that_no_day_suits_is_named_and_frost_dates_are_looked_at() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    // Ready from 19 November on.
    planted(&mut browser, &amos.to_string(), "2026-08-11", "300").await;
    browser
        .opens(PROPOSAL)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let mut steward = site.browser(site.steward).await;
    steward
        .opens(PROPOSAL)
        .await
        .says("Left without a day")
        .says("No press day lies near enough to the days it is ready.");
    let frost = "/seasons/2026/frost";
    let faulty = [
        ("early", "2026-10-11"),
        ("middle", "2026-10-01"),
        ("late", "soon"),
        ("source", ""),
    ];
    steward
        .sends(frost, &faulty)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "year-month-day")
        .says("value=\"2026-10-11\"");
    let order = [
        ("early", "2026-10-11"),
        ("middle", "2026-10-01"),
        ("late", "2026-10-26"),
        ("source", "County table"),
    ];
    steward
        .sends(frost, &order)
        .await
        .refused(StatusCode::CONFLICT, "not before the early one");
    let right = [
        ("early", "2026-10-01"),
        ("middle", "2026-10-11"),
        ("late", "2026-10-26"),
        ("source", "County table"),
    ];
    steward.opens(PROPOSAL).await;
    steward.sends(frost, &right).await.taken();
    steward
        .opens(PROPOSAL)
        .await
        .says("County table, written in by");
}
