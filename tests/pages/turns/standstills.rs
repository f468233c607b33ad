//! The mill stands or runs: standstills that overlap are one, and each member is told of them where a start is told.

use super::day_changes::{does, mill};
use super::queue::{book, weigh_in};
use crate::site::TestSite;
use canewright::units::Role;

const LATER: &str = "/days/2026-09-19/turns/later";
const QUEUE: &str = "/days/2026-09-19/queue";
const BOARD: &str = "/days/2026-09-19/board";

fn stands<'a>(from: &'a str, minutes: &'a str) -> [(&'a str, &'a str); 3] {
    [
        ("from", from),
        ("minutes", minutes),
        ("why", "a belt broke"),
    ]
}

#[tokio::test]
async fn standstills_that_overlap_are_one_and_end_together() {
    let mut mill = mill().await;
    let first = does(&mut mill.steward, LATER, &stands("10:00", "120")).await;
    let second = stands("11:00", "120");
    mill.steward.opens(LATER).await;
    mill.steward
        .sends(LATER, &second)
        .await
        .says("The mill stands 10:00–13:00: nobody can be booked into that");
    let second = does(&mut mill.steward, LATER, &second).await;
    let third = does(&mut mill.steward, LATER, &stands("15:30", "60")).await;
    mill.steward
        .opens(&first)
        .await
        .says("The mill stands 10:00–13:00: 10:00–12:00 as noted here");
    mill.steward
        .opens(QUEUE)
        .await
        .says("The mill is to stand from 10:00 to 13:00 and from 15:30 to 16:30.");
    mill.steward.opens(&first).await;
    let again = format!("{first}/runs-again");
    mill.steward.sends(&again, &[]).await.taken();
    for one in [&first, &second] {
        mill.steward.opens(one).await.says("and ran again before");
    }
    mill.steward
        .opens(&third)
        .await
        .says("The mill stands 15:30–16:30.");
    mill.steward
        .opens(QUEUE)
        .await
        .says("The mill is to stand from 15:30 to 16:30.");
}

#[tokio::test]
async fn a_standstill_to_come_is_told_with_each_start_that_it_may_touch() {
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let (june, mut other) = site.person("June Pickett", Role::Member).await;
    let second = book(&site, ida, 490).await;
    book(&site, june, 420).await;
    site.sql(
        "insert into day_changes (id, press_day_id, kind, why, by_id, at) select '01920000-0000-7000-8000-0000000000c1', id, 'later', 'belt', made_by, 1789822800 from press_days; \
        insert into standstills (change_id, press_day_id, start_min, start_again, minutes) select '01920000-0000-7000-8000-0000000000c1', id, 510, 0, 60 from press_days;
        update turns set no_show_at = 1789822800 where start_min = 420",
    )
    .await;
    let coming = "The mill is to stand from 08:30 to 09:30.";
    let says = format!("Your turn is about 08:10, as planned. {coming}");
    for page in ["/".to_owned(), format!("/turns/{second}"), QUEUE.to_owned()] {
        phone.opens(&page).await.says(&says);
    }
    other.opens(QUEUE).await.says(coming);
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    crew.opens(BOARD)
        .await
        .says("The mill is free")
        .says(coming);
}

#[tokio::test]
async fn a_mill_that_stands_now_holds_up_a_turn_whose_cane_has_not_come_and_time_it_stood_is_lost()
{
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let turn = book(&site, ida, 460).await;
    let mut steward = site.browser(site.steward).await;
    // The clock is at 08:00, her turn was to begin at 07:40; it would end at 08:30.
    let change = does(&mut steward, LATER, &stands("08:00", "60")).await;
    steward
        .opens(&change)
        .await
        .says("The mill stands 08:00–09:00.");
    let says = "Your turn is about 09:00, as planned. The mill stands until about 09:00.";
    for page in ["/".to_owned(), format!("/turns/{turn}"), QUEUE.to_owned()] {
        phone.opens(&page).await.says(says);
    }
    // Of cane that has the mill since 07:40 ten minutes were not pressed, from 07:45 on.
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let first = book(&site, amos, 420).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    weigh_in(&mut crew, &site, &first, "7:40").await;
    site.sql(
        "update standstills set start_min = 465, ended_at = 1789822500, ended_by = (select made_by from press_days);
        update turns set start_min = 485 where start_min = 540",
    )
    .await;
    phone
        .opens(QUEUE)
        .await
        .says("Your turn is about 08:40 (planned 08:05).");
}
