//! What becomes of a proposal when a day is closed, when there is more cane than the days press, and what it says of frost, pans and calls.

use crate::season::proposal::{PROPOSAL, day, planted, sends};
use crate::season::proposal_asked::pan;
use crate::season::proposal_room::{grows, proposed};
use crate::site::{AT, TestSite};
use axum::http::StatusCode;
use canewright::actions::Act;
use canewright::actions::turns::press_days;
use canewright::facts::season::proposal_wish::Wish;
use canewright::units::{PressDayId, Role};

#[tokio::test]
async fn a_day_to_come_is_not_closed_over_its_turns_and_cane_that_was_not_pressed_waits_again() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    sends(&mut steward, &[("do", "ask")]).await.taken();
    let offer = site.text("select id from offers").await;
    browser.opens("/").await;
    let take = format!("/offers/{offer}/take");
    browser.sends(&take, &[]).await.taken();
    day(&site, "2026-09-29").await;
    steward
        .opens(PROPOSAL)
        .await
        .says("Every planting on record has its turn.");
    // Nobody would tell him that he has no turn any more.
    steward.opens("/days/2026-09-26").await;
    let close = [("to", "closed")];
    steward
        .sends("/days/2026-09-26/close", &close)
        .await
        .refused(StatusCode::CONFLICT, "Please move its turns together first")
        .says("Amos Trout");
    let closed = "select count(*) from press_days where closed_at is not null";
    assert_eq!(site.count(closed).await, 0);
    // When the day is over it is closed, though he never came: his cane stands in the field.
    let later = Act {
        at: AT.plus(8 * 86_400),
        ..site.act()
    };
    let id = site
        .text("select id from press_days where date = '2026-09-26'")
        .await;
    press_days::set_closed(&later, PressDayId::parse(&id).unwrap(), true)
        .await
        .unwrap();
    steward
        .opens(PROPOSAL)
        .await
        .says("1 planting is without a turn; 1 turn is proposed")
        .says("Tue 29 Sep 2026");
}

#[tokio::test]
async fn where_cane_is_left_over_no_minute_of_the_mill_is_lost_by_rounding() {
    // Twenty members with thirty plantings, about twice what two days press.
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-09-26"] {
        day(&site, date).await;
    }
    let mut members = Vec::new();
    for n in 0..20 {
        let (member, _) = site.person(&format!("Grower {n}"), Role::Member).await;
        members.push(member);
    }
    for n in 0..30_u32 {
        let member = members[usize::try_from(n % 20).unwrap()];
        let on = format!("2026-06-{:02}", 1 + n * 7 % 12);
        grows(&site, member, &on, f64::from(130 + n * 61 % 240)).await;
    }
    let of = proposed(&site, Wish::default()).await;
    assert!(!of.left.is_empty());
    for day in &of.days {
        let minutes: i64 = day.turns.iter().map(|t| t.span.minutes.get()).sum();
        assert!(minutes >= 595, "{minutes} of 600 min");
        // 500 lb an hour: a turn whose plantings have more cane brings all that its minutes press.
        for turn in &day.turns {
            let more = of
                .left
                .iter()
                .any(|(f, _, _)| turn.of.iter().any(|(own, _)| own == f));
            let pressing = u32::try_from(turn.span.minutes.get() - 10).unwrap();
            let could = f64::from(pressing) * 226.796_185 / 60.0;
            let kg = turn.cane.kg();
            assert!(!more || kg > could - 0.1, "{kg} kg of {could}");
        }
    }
}

#[tokio::test]
async fn a_forecast_alone_is_not_contradicted_and_who_loses_most_is_said_of_what_could_be_spared() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-22").await;
    for name in ["Amos Trout", "Ida Finch"] {
        let (member, _) = site.person(name, Role::Member).await;
        grows(&site, member, "2026-06-04", 1400.0).await;
    }
    let mut steward = site.browser(site.steward).await;
    let page = steward.opens(PROPOSAL).await;
    page.says("Nothing was said of frost yet")
        .says("comes off worst, and loses ");
    let night = [
        ("night", "2026-09-28"),
        ("kept", ""),
        ("from", ""),
        ("before", ""),
    ];
    let to = steward.sends("/seasons/2026/frost-forecast", &night).await;
    let to = to.taken().to_owned();
    let page = steward.opens(&to).await;
    page.says("Frost is forecast for the night after Mon 28 Sep 2026")
        .says("goes by that night alone");
    assert!(!page.body.contains("Nothing was said of frost"));
}

#[tokio::test]
async fn it_is_said_until_when_the_pan_burns_and_one_call_tells_a_member_of_all_turns_by_day() {
    let site = TestSite::with_season().await;
    pan(&site).await;
    for date in ["2026-09-29", "2026-09-22", "2026-09-26"] {
        day(&site, date).await;
    }
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-04", "6900").await;
    let mut steward = site.browser(site.steward).await;
    let page = steward.opens(PROPOSAL).await;
    page.says("The pan burns until about ")
        .says("after the mill stops: somebody must stay with it.");
    sends(&mut steward, &[("do", "ask")]).await.taken();
    let many = usize::try_from(site.count("select count(*) from offers").await).unwrap();
    assert!(many >= 3, "{many}");
    let calls = steward.opens("/calls").await;
    assert_eq!(calls.body.matches("<h2><a class=\"alone\"").count(), 1);
    let told: Vec<&str> = calls.body.split("<p id=\"say-").skip(1).collect();
    let days: Vec<&str> = told
        .iter()
        .filter_map(|t| t.split_once(" Sep 2026"))
        .map(|(day, _)| &day[day.len() - 2..])
        .collect();
    assert_eq!(days.len(), many);
    assert!(days.is_sorted(), "{days:?}");
    // Once they are taken, the roster says so too.
    for _ in 0..many {
        let offer = site
            .text("select id from offers where answer is null limit 1")
            .await;
        browser.opens("/").await;
        let take = format!("/offers/{offer}/take");
        browser.sends(&take, &[]).await.taken();
    }
    steward
        .opens("/days/2026-09-26/roster")
        .await
        .says("nobody is down for it after");
}
