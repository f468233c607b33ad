//! The queue of a press day for members: the same figures on every page that says them.

use crate::site::{Answer, Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{Grams, MemberId, MinuteOfDay, PressDayId, Role, Units};

const BOARD: &str = "/days/2026-09-19/board";
const QUEUE: &str = "/days/2026-09-19/queue";
const NEW: &str = "/days/2026-09-19/tickets/new";

/// Turns of 330 lb: fifty minutes with the change-over.
pub async fn book(site: &TestSite, member: MemberId, start: i64) -> String {
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("330", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    turn::book(&site.act(), day, new).await.unwrap().to_string()
}

pub async fn weigh_in(crew: &mut Browser, site: &TestSite, turn: &str, at: &str) -> String {
    let scale = site.text("select id from scales").await;
    let whose = format!("turn:{turn}");
    let weighed: &[(&str, &str)] = &[
        ("whose", &whose),
        ("scale", &scale),
        ("gross", "330"),
        ("tare", "0"),
        ("weighed", at),
        ("stripped", "yes"),
    ];
    crew.fills(NEW, weighed).await.taken().to_owned()
}

/// Place, about and planned of each row of a table with those words before the first cell.
fn rows(page: &Answer, about: &str) -> Vec<(String, String, String)> {
    let cell = |row: &str, mark: &str| -> String {
        let (_, rest) = row.split_once(mark).unwrap_or(("", ""));
        let text = rest.trim_start_matches("<strong>");
        text.split('<').next().unwrap().to_owned()
    };
    let of_row = |row: &str| {
        let (planned, about) = if about.is_empty() {
            let times: Vec<String> = row
                .split("<td class=\"t\">")
                .skip(1)
                .map(|cell| {
                    let text = cell.trim_start_matches("<strong>");
                    text.split('<').next().unwrap().to_owned()
                })
                .collect();
            (times[0].clone(), times[1].clone())
        } else {
            (cell(row, "data-is=\"Planned\">"), cell(row, about))
        };
        (cell(row, "<th scope=\"row\">"), about, planned)
    };
    page.body
        .split("<tr>")
        .filter(|row| row.contains("<th scope=\"row\">"))
        .map(of_row)
        .collect()
}

#[tokio::test]
async fn the_queue_of_members_has_the_figures_of_the_board_and_only_names_agreed_to() {
    let site = TestSite::with_season().await;
    let (amos, mut amos_phone) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut ida_phone) = site.person("Ida Finch", Role::Member).await;
    let (june, _) = site.person("June Pickett", Role::Member).await;
    site.sql("update members set in_queue = 0 where name = 'June Pickett'")
        .await;
    let first = book(&site, amos, 420).await;
    let second = book(&site, ida, 490).await;
    book(&site, june, 600).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    // The clock is at 08:00. Amos has the mill since 07:40 for fifty minutes; Ida's turn is at 08:10 and she is here.
    weigh_in(&mut crew, &site, &first, "7:40").await;
    weigh_in(&mut crew, &site, &second, "7:55").await;
    let board = crew.opens(BOARD).await;
    let queue = ida_phone.opens(QUEUE).await;
    assert_eq!(rows(&queue, "data-is=\"About\">"), rows(&board, ""));
    assert_eq!(rows(&queue, "data-is=\"About\">").len(), 2);
    queue
        .says("Your cane is pressed about 08:30 (planned 08:10).")
        .says("At 08:00 the mill has Turn 1: Amos.")
        .says("It runs 20 min late.")
        .says("a neighbour")
        .says("0 of 3 pressed");
    for name in ["Trout", "Finch", "Pickett", "June", "615 555"] {
        // Her own name stands at the foot of the page.
        let page = queue.body.split("<footer").next().unwrap();
        assert!(!page.contains(&format!("{name}</bdi>")), "{name}");
    }
    assert!(!queue.body.contains("June"));
    amos_phone
        .opens(QUEUE)
        .await
        .says("The mill has your cane now.")
        .says("At 08:00 the mill has Turn 1: you.");
    let stranger = site.stranger().opens(QUEUE).await;
    assert!(stranger.taken().starts_with("/sign-in?"));
    let elsewhere = ida_phone.opens("/days/2026-09-20/queue").await;
    assert_eq!(elsewhere.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn home_the_turn_and_the_calendar_say_the_same_time_while_the_mill_runs() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let first = book(&site, amos, 420).await;
    let second = book(&site, ida, 490).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    weigh_in(&mut crew, &site, &first, "7:40").await;
    let says = "Your turn is about 08:30 (planned 08:10).";
    phone.opens("/").await.says(says).says(QUEUE);
    phone.opens(QUEUE).await.says(says);
    phone
        .opens(&format!("/turns/{second}"))
        .await
        .says(says)
        .says("Before you come");
    let file = phone.opens(&format!("/turns/{second}/ics")).await.body;
    let unfolded = file.replace("\r\n ", "");
    assert!(unfolded.contains(says), "{unfolded}");
}

#[tokio::test]
async fn while_the_mill_stands_nothing_is_pressed_and_everybody_is_told_until_when() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let first = book(&site, amos, 420).await;
    let second = book(&site, ida, 490).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    weigh_in(&mut crew, &site, &first, "7:40").await;
    let turn = format!("/turns/{second}");
    let runs = "Your turn is about 08:30 (planned 08:10).";
    phone.opens(&turn).await.says(runs);
    // The clock is at 08:00; the belt is off until 09:30. Of the first fifty minutes thirty are left then.
    let stands = "insert into day_changes (id, press_day_id, kind, why, by_id, at) select '01920000-0000-7000-8000-0000000000c1', id, 'later', 'belt', made_by, 1789822800 from press_days; \
        insert into standstills (change_id, press_day_id, start_min, start_again, minutes) select '01920000-0000-7000-8000-0000000000c1', id, 480, 0, 90 from press_days";
    site.sql(stands).await;
    let says = "Your turn is about 10:00 (planned 08:10). The mill stands until about 09:30.";
    for page in ["/", turn.as_str(), QUEUE] {
        phone.opens(page).await.says(says);
    }
    phone.opens(QUEUE).await.says("It runs 1 h 50 min late.");
    crew.opens(BOARD)
        .await
        .says("The mill stands until about 09:30.");
    site.sql(
        "update standstills set ended_at = 1789822800, ended_by = (select made_by from press_days)",
    )
    .await;
    phone.opens(&turn).await.says(runs);
}

#[tokio::test]
async fn a_late_mill_is_told_to_whoever_books_and_offers_no_start_before_it_is_free() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    let first = book(&site, amos, 570).await;
    // The clock is at 08:00. Three came without a turn, with cane for 3 h 58 min each: the mill is free at 19:24.
    let scale = site.text("select id from scales").await;
    let (clyde, _) = site.person("Clyde Rowe", Role::Member).await;
    let (pearl, _) = site.person("Pearl Nix", Role::Member).await;
    for (who, at) in [(ida, "7:30"), (clyde, "7:35"), (pearl, "7:40")] {
        let who = who.to_string();
        let walked_in: &[(&str, &str)] = &[
            ("whose", ""),
            ("member", &who),
            ("scale", &scale),
            ("gross", "1900"),
            ("tare", "0"),
            ("weighed", at),
            ("stripped", "yes"),
            ("sure", "yes"),
        ];
        crew.fills(NEW, walked_in).await.taken();
    }
    let (june, mut other) = site.person("June Pickett", Role::Member).await;
    let asks = "/days/2026-09-19/book?told=weight&amount=60";
    let page = other.opens(asks).await;
    page.says("The mill runs 9 h 54 min late today: a new turn begins after those who are there and those who booked.");
    assert!(!page.body.contains("value=\"10:30\""), "{}", page.body);
    // The walk-in and the turn after it take the mill until it closes.
    other.opens("/").await.says("full: you can wait for a turn");
    let new = NewTurn {
        member: june,
        start: MinuteOfDay::new(630).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("60", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let act = site.act_as(june, Role::Member);
    let early = turn::book(&act, day, new).await.unwrap_err().to_string();
    assert!(early.contains("is taken"), "{early}");
    // Who booked before is told that the mill closes before that.
    let closes = "The mill closes at 17:00: please ask the crew whether it is pressed today.";
    let amos_turn = format!("/turns/{first}");
    site.browser(amos)
        .await
        .opens(&amos_turn)
        .await
        .says(closes);
    phone.opens(QUEUE).await.says("The mill has your cane now.");
}

#[tokio::test]
async fn a_turn_that_nobody_came_to_holds_up_nobody() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let first = book(&site, amos, 420).await;
    book(&site, ida, 490).await;
    let says = "Your turn is about 08:50 (planned 08:10).";
    phone.opens("/").await.says(says);
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    let missed = format!("/turns/{first}/missed");
    crew.opens(&format!("/turns/{first}")).await;
    crew.sends(&missed, &[("to", "missed")]).await.taken();
    phone
        .opens("/")
        .await
        .says("Your turn is about 08:10, as planned.");
}

#[tokio::test]
async fn what_the_stewards_wrote_of_the_way_stands_with_each_turn() {
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let second = book(&site, ida, 600).await;
    let mut steward = site.browser(site.steward).await;
    steward.opens("/mill/co-op").await;
    let card: &[(&str, &str)] = &[
        ("coop", "Coldwater Ridge"),
        ("place", "Tolliver Gap, TN 37999"),
        ("zone", "America/Chicago"),
        ("units", "us"),
        ("altitude", "950"),
        ("phone", "(615) 555-0100"),
        ("way", "The red barn behind the church."),
        ("lies_at", "35.8741, -83.5612"),
        ("bring", "Cane and jars."),
    ];
    steward.sends("/mill/co-op", card).await.taken();
    phone
        .opens(&format!("/turns/{second}"))
        .await
        .says("Cane and jars.")
        .says("The red barn behind the church.")
        .says("geo:35.8741,-83.5612")
        .says("tel:6155550100");
    let mut wrong = card.to_vec();
    wrong[7] = ("lies_at", "95, 7");
    steward.opens("/mill/co-op").await;
    steward
        .sends("/mill/co-op", &wrong)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "two numbers with a comma");
}
