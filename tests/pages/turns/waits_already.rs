//! Whoever waits for a full day reads that instead of being asked to wait; a turn that is to move finds the full days named.

use crate::site::{AT, Answer, Browser, TestSite};
use canewright::actions::turns::press_days;
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{
    Grams, MinuteOfDay, Minutes, PressDate, PressDayId, Role, SeasonId, TurnId, Units,
};

const BOOK: &str = "/days/2026-09-19/book";
const LIST: &str = "/days/2026-09-19/waiting";
/// 415 lb are 49.8 minutes of pressing: an hour with the change-over.
const HOUR: [(&str, &str); 2] = [("told", "weight"), ("amount", "415")];
const ASKS: &str = "/days/2026-09-19/book?told=weight&amount=415";

/// The steward's turns of an hour from 07:00 to 17:00: the day is full.
async fn full(site: &TestSite) -> Vec<TurnId> {
    let id = site.text("select id from press_days where date = '2026-09-19'");
    let day = PressDayId::parse(&id.await).unwrap();
    let mut turns = Vec::new();
    for hour in 7..17 {
        let new = NewTurn {
            member: site.steward,
            start: MinuteOfDay::new(hour * 60).unwrap().into(),
            told: AmountTold::Weight(Grams::parse("415", Units::Us).unwrap()),
            corrected: None,
            sure: false,
        };
        turns.push(turn::book(&site.act(), day, new).await.unwrap());
    }
    turns
}

/// A second press day, with nothing on it yet.
async fn another_day(site: &TestSite, closes: i64) {
    let other = press_days::NewPressDay {
        date: PressDate::parse("2026-09-26").unwrap(),
        opens: MinuteOfDay::new(420).unwrap(),
        closes: MinuteOfDay::new(closes).unwrap(),
        mill_per_h: Grams::parse("500", Units::Us).unwrap(),
        changeover: Minutes::new(10),
        note: String::new(),
    };
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    press_days::plan(&site.act(), season, other).await.unwrap();
}

async fn waits(browser: &mut Browser) -> String {
    browser.opens(ASKS).await.says("Put me on the waiting list");
    browser.sends(LIST, &HOUR).await.taken().to_owned()
}

fn says_not(page: &Answer, words: &str) {
    assert!(!page.body.contains(words), "{words}: {}", page.body);
}

/// The address behind a button of the page.
fn action(page: &Answer, ending: &str) -> String {
    let mut forms = page.body.split("action=\"").skip(1);
    let found = forms.find_map(|rest| rest.split('"').next().filter(|path| path.ends_with(ending)));
    found.unwrap().to_owned()
}

#[tokio::test]
async fn who_waits_for_a_full_day_reads_the_place_instead_of_the_button() {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    let (amos_id, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    let place = waits(&mut amos).await;
    waits(&mut della).await;
    let there = "You are 1st of 2 on the waiting list of Sat 19 Sep 2026.";
    let page = amos.opens(ASKS).await;
    page.says(there)
        .says(&format!("<a href=\"{place}\">See your place</a>"));
    says_not(&page, "Put me on the waiting list");
    // The crew, who may put anybody on the list, reads it of whom it chose.
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let page = crew.opens(&format!("{ASKS}&member={amos_id}")).await;
    page.says("<bdi>Amos Trout</bdi> is 1st of 2 on the waiting list of Sat 19 Sep 2026.")
        .says("See that place");
    says_not(&page, "Put on the waiting list");
    // With an offer open, that stands there, too.
    turn::cancel(&site.act(), turns[6], "mule lame")
        .await
        .unwrap();
    amos.opens(ASKS)
        .await
        .says(there)
        .says("A turn is offered there.");
    says_not(&amos.opens(ASKS).await, "Put me on the waiting list");
}

#[tokio::test]
async fn a_turn_that_is_to_move_finds_full_days_named_and_where_its_member_waits() {
    let site = TestSite::with_season().await;
    full(&site).await;
    another_day(&site, 720).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let booked = [HOUR[0], HOUR[1], ("start", "9:00")];
    let turn = amos.fills("/days/2026-09-26/book", &booked).await;
    let moves = format!("{}/move", turn.taken());
    let page = amos.opens(&moves).await;
    page.says(">Sat 19 Sep 2026: full</option>")
        .says(">Sat 26 Sep 2026</option>");
    let there = format!("{moves}?day=2026-09-19");
    amos.opens(&there).await.says("Wait for Sat 19 Sep 2026");
    waits(&mut amos).await;
    let page = amos.opens(&there).await;
    page.says("You are 1st of 1 on the waiting list of Sat 19 Sep 2026.");
    says_not(&page, "Or wait for a turn");
}

#[tokio::test]
async fn a_day_with_room_for_shorter_turns_only_is_not_called_full() {
    let site = TestSite::with_season().await;
    another_day(&site, 450).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let short = [("told", "weight"), ("amount", "83"), ("start", "9:00")];
    let turn = amos.fills(BOOK, &short).await.taken().to_owned();
    let page = amos.opens(&format!("{turn}/move")).await;
    page.says(">Sat 26 Sep 2026</option>");
    let booked = [HOUR[0], HOUR[1], ("start", "11:00"), ("second", "yes")];
    let turn = amos.fills(BOOK, &booked).await.taken().to_owned();
    let page = amos.opens(&format!("{turn}/move")).await;
    page.says(">Sat 26 Sep 2026: too short for this turn</option>");
}

#[tokio::test]
async fn undoing_an_offered_turn_says_what_becomes_of_it_and_which_place_stands_again() {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut della) = site.person("Della Moss", Role::Member).await;
    let place = waits(&mut amos).await;
    waits(&mut della).await;
    turn::cancel(&site.act(), turns[6], "mule lame")
        .await
        .unwrap();
    let take = action(&amos.opens("/").await, "/take");
    let turn = amos.sends(&take, &[]).await.taken().to_owned();
    let page = amos.opens(&turn).await;
    page.says("Undo: give the turn up; it is offered to the next on the list");
    amos.sends(&action(&page, "/undo"), &[]).await.taken();
    let page = amos.opens(&turn).await;
    page.says("You are 1st of 2 on the waiting list of Sat 19 Sep 2026 again.")
        .says(&format!("<a href=\"{place}\">See your place</a>"))
        .says("it is offered to the next on the waiting list");
    says_not(&page, "its time is free for others");
    // Long after, it says where he stands by then.
    let mut late = site.stranger_at(AT.plus(700));
    late.cookie.clone_from(&amos.cookie);
    late.opens(&turn).await.says("You are 1st of 2");
}

#[tokio::test]
async fn undoing_a_turn_that_nobody_else_waits_for_says_only_that_it_is_given_up() {
    let site = TestSite::with_season().await;
    let turns = full(&site).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    waits(&mut amos).await;
    turn::cancel(&site.act(), turns[6], "mule lame")
        .await
        .unwrap();
    let take = action(&amos.opens("/").await, "/take");
    let turn = amos.sends(&take, &[]).await.taken().to_owned();
    let page = amos.opens(&turn).await;
    page.says("Undo: give the turn up, and wait for the day again");
    amos.sends(&action(&page, "/undo"), &[]).await.taken();
    let page = amos.opens(&turn).await;
    page.says("You are 1st of 1 on the waiting list of Sat 19 Sep 2026 again.")
        .says("its time is free for others");
}
