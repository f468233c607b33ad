//! The mill stands or runs: standstills that overlap are one, and each member is told of them where a start is told.

use super::day_changes::{Mill, another_day, does, mill};
use super::queue::{book, weigh_in};
use super::turn_told::later;
use crate::season::bearing::lacks;
use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

const LATER: &str = "/days/2026-09-19/turns/later";
const QUEUE: &str = "/days/2026-09-19/queue";
const BOARD: &str = "/days/2026-09-19/board";

/// Everybody has read what was told so far.
const READ: &str = "update notices set seen_at = made_at where seen_at is null";

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
        mill.steward
            .opens(one)
            .await
            .says("At 08:00 it was noted that it does not stand after all.");
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
async fn turns_put_off_go_back_by_one_button_as_far_as_nobody_has_their_place() {
    let mut mill = mill().await;
    // Amos at 09:00, Bess at 10:00 and Cole at 11:30, each for an hour, behind a mill that stands till 11:00.
    let change = does(&mut mill.steward, LATER, &stands("09:00", "120")).await;
    mill.steward
        .opens(&change)
        .await
        .says("The mill will not stand after all");
    let starts = "select group_concat(start_min, ' ') from (select b.start_min from turns b join members m on m.id = b.member_id
        where b.state = 'held' and m.name in ('Amos', 'Bess', 'Cole') order by m.name)";
    let put_off = mill.site.text(starts).await;
    let bring_back = format!("{change}/bring-back");
    mill.steward
        .sends(&bring_back, &[])
        .await
        .refused(StatusCode::CONFLICT, "No turn can go back any more");
    mill.steward.opens(&change).await;
    let again = format!("{change}/runs-again");
    mill.steward.sends(&again, &[]).await.taken();
    assert_eq!(mill.site.text(starts).await, put_off);
    // Somebody takes what Bess had: she stays at noon, and so Cole, whose old place she is in now.
    let (dora, mut phone) = mill.site.person("Dora", Role::Member).await;
    let taken = book(&mill.site, dora, 600).await;
    let page = mill.steward.opens(&change).await;
    page.says("<bdi>Amos</bdi>: now 11:00, back to 09:00")
        .says("2 turns stay where they were put");
    assert!(!page.body.contains("back to 10:00") && !page.body.contains("back to 11:30"));
    phone.opens("/").await;
    phone
        .sends(&bring_back, &[])
        .await
        .refused(StatusCode::FORBIDDEN, "");
    mill.site.sql(READ).await;
    mill.steward.opens(&change).await;
    mill.steward.sends(&bring_back, &[]).await.taken();
    assert_eq!(mill.site.text(starts).await, "540 720 780");
    mill.steward
        .opens(&change)
        .await
        .says("The turns are back where they were. Who had learnt of being put off is told.")
        .says("Your turn on Sat 19 Sep 2026 at 11:00 is back where it was: Sat 19 Sep 2026, 09:00–10:00.");
    mill.people[0].1.opens("/").await.says(
        "is back where it was: Sat 19 Sep 2026, 09:00–10:00. The mill runs again earlier than was said.",
    );
    // Given up again, both others can go back.
    let cancel = format!("/turns/{taken}/cancel");
    mill.steward.opens(&format!("/turns/{taken}")).await;
    mill.steward
        .sends(&cancel, &[("why", "rain")])
        .await
        .taken();
    mill.steward
        .opens(&change)
        .await
        .says("<bdi>Bess</bdi>: now 12:00, back to 10:00")
        .says("<bdi>Cole</bdi>: now 13:00, back to 11:30");
    mill.steward.sends(&bring_back, &[]).await.taken();
    assert_eq!(mill.site.text(starts).await, "540 600 690");
    let page = mill.steward.opens(&change).await;
    assert!(!page.body.contains("Bring them back"));
    assert!(!page.body.contains("where they were put"));
}

#[tokio::test]
async fn a_turn_that_found_no_room_is_brought_back_too_and_leaves_the_list_it_was_put_on() {
    let mut mill = mill().await;
    another_day(&mill.site, "2026-09-26", 720).await;
    // From 09:00 for seven hours: after 16:00 there is room for one.
    let change = does(&mut mill.steward, LATER, &stands("09:00", "420")).await;
    let waits = "select count(*) from waiting where state = 'waiting'";
    assert_eq!(mill.site.count(waits).await, 2);
    let cole = &mut mill.people[2].1;
    let turn =
        "select b.id from turns b join members m on m.id = b.member_id where m.name = 'Cole'";
    let turn = format!("/turns/{}", mill.site.text(turn).await);
    cole.opens(&turn)
        .await
        .says("You are on the waiting list of Sat 26 Sep 2026 instead.")
        .says("This turn found no room any more");
    mill.steward.opens(&change).await;
    let again = format!("{change}/runs-again");
    mill.steward.sends(&again, &[]).await.taken();
    mill.steward
        .opens(&change)
        .await
        .says("<bdi>Cole</bdi>: now on the waiting list of Sat 26 Sep 2026, back to 11:30");
    mill.site.sql(READ).await;
    let bring_back = format!("{change}/bring-back");
    mill.steward.sends(&bring_back, &[]).await.taken();
    let starts = "select group_concat(start_min, ' ') from (select b.start_min from turns b join members m on m.id = b.member_id
        where b.state = 'held' order by m.name)";
    assert_eq!(mill.site.text(starts).await, "540 600 690");
    assert_eq!(mill.site.count(waits).await, 0);
    assert_eq!(
        mill.site
            .count("select count(*) from offers where answer is null")
            .await,
        0
    );
    let home = mill.people[2].1.opens("/").await;
    home.says("has it again: Sat 19 Sep 2026, 11:30–12:30.")
        .says("you do not wait for Sat 26 Sep 2026 any more");
    // What was told of it before is told no more, neither by who calls.
    assert!(
        !home.body.contains("finds no room any more"),
        "{}",
        home.body
    );
    let calls = mill.steward.opens("/calls").await;
    assert!(
        !calls.body.contains("finds no room any more"),
        "{}",
        calls.body
    );
}

#[tokio::test]
async fn who_has_not_learnt_of_being_put_off_is_told_from_where_the_turn_was_known_to_be() {
    let mut mill = mill().await;
    another_day(&mill.site, "2026-09-26", 720).await;
    let at = |mill: &Mill, seconds| later(&mill.site, &mill.steward, seconds);
    // Till 11:00, and then till the mill closes: nobody has a place that day.
    let first = does(&mut mill.steward, LATER, &stands("09:00", "120")).await;
    let second = does(&mut at(&mill, 60), LATER, &stands("11:00", "360")).await;
    let amos = later(&mill.site, &mill.people[0].1, 70).opens("/").await;
    amos.says("Your turn on Sat 19 Sep 2026 at 09:00 finds no room any more.");
    let mut steward = at(&mill, 120);
    steward
        .opens(&second)
        .await
        .says("and what was noted besides, which ends with it.");
    steward
        .sends(&format!("{second}/runs-again"), &[])
        .await
        .taken();
    steward.opens(&second).await;
    steward
        .sends(&format!("{second}/bring-back"), &[])
        .await
        .taken();
    let moved = "Your turn on Sat 19 Sep 2026 at 09:00 is moved to Sat 19 Sep 2026, 11:00–12:00. Why: Put off by 2 h: a belt broke.";
    let calls = at(&mill, 130).opens("/calls").await;
    for page in [
        later(&mill.site, &mill.people[0].1, 130).opens("/").await,
        calls,
    ] {
        page.says(moved);
        lacks(&page, "no room");
    }
    // Back where everybody knows it to be, nothing is told of all this.
    let mut steward = at(&mill, 180);
    steward.opens(&first).await;
    steward
        .sends(&format!("{first}/bring-back"), &[])
        .await
        .taken();
    let calls = at(&mill, 190).opens("/calls").await;
    for page in [
        later(&mill.site, &mill.people[0].1, 190).opens("/").await,
        calls,
    ] {
        for told in ["is moved to", "is back where", "no room"] {
            lacks(&page, told);
        }
    }
    assert_eq!(
        mill.site
            .count(
                "select count(*) from turns where state = 'held' and start_min in (540, 600, 690)"
            )
            .await,
        3
    );
}

#[tokio::test]
async fn a_standstill_that_was_cut_short_says_how_long_the_mill_stood() {
    let mut mill = mill().await;
    let change = does(&mut mill.steward, LATER, &stands("08:00", "60")).await;
    mill.steward
        .opens(&change)
        .await
        .says("<button class=\"do plain\">The mill runs again</button>");
    mill.site
        .sql("update standstills set start_min = 465, ended_at = 1789822800, ended_by = (select made_by from press_days)")
        .await;
    mill.steward
        .opens(&change)
        .await
        .says("The mill stood from 07:45 and runs again since 08:00; it was to stand until 08:45.");
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
