//! What a page says after a tap, once; and undoing a booking or a move within ten minutes.

use crate::site::{AT, Browser, TestSite};
use axum::http::StatusCode;
use axum::http::header;
use canewright::actions::Act;
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{Grams, MemberId, MinuteOfDay, PressDayId, Role, TurnId, Units};

const BOOK: &str = "/days/2026-09-19/book";
const BOOKED: &[(&str, &str)] = &[("told", "weight"), ("amount", "330"), ("start", "13:00")];

async fn book(site: &TestSite, act: &Act, member: MemberId, start: i64) -> TurnId {
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("330", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    turn::book(act, day, new).await.unwrap()
}

async fn moves(phone: &mut Browser, turn: &str, start: &str) {
    let to = [("day", "2026-09-19"), ("start", start), ("version", "1")];
    phone.fills(&format!("{turn}/move"), &to).await.taken();
}

#[tokio::test]
async fn what_a_tap_did_is_said_in_words_on_the_next_page_and_once() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let turn = phone.fills(BOOK, BOOKED).await.taken().to_owned();
    let says = "Your turn is booked: Sat 19 Sep 2026, 13:00–13:50.";
    // A script that looks by itself neither hears it nor takes it away.
    let by_script = [(
        header::HeaderName::from_static("sec-fetch-mode"),
        "same-origin",
    )];
    let fetched = phone.opens_with(&turn, &by_script).await;
    assert!(!fetched.body.contains("Your turn is booked"));
    phone.opens("/clock").await;
    phone.opens(&turn).await.says(says);
    let again = phone.opens(&turn).await;
    assert!(!again.body.contains("Your turn is booked"));
}

#[tokio::test]
async fn nothing_is_said_of_a_form_that_was_refused_and_a_cookie_writes_no_words() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let wrong = phone
        .fills(BOOK, &[("told", "weight"), ("amount", "-")])
        .await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!phone.opens("/").await.body.contains("role=\"status\""));
    phone.cookie = format!("{}; canewright-said=<b>paid</b>", phone.cookie);
    assert!(!phone.opens("/").await.body.contains("paid"));
}

#[tokio::test]
async fn a_booking_is_undone_by_whoever_booked_for_ten_minutes_and_sent_twice_once() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let turn = phone.fills(BOOK, BOOKED).await.taken().to_owned();
    phone
        .opens(&turn)
        .await
        .says("Undo: give the turn up again")
        .says("You can undo this until 08:10 today.");
    let (key, token) = (phone.hidden("form_key"), phone.hidden("token"));
    let undo = format!("{turn}/undo");
    for _ in 0..2 {
        phone.sends_keyed(&undo, &[], &key, &token).await.taken();
    }
    phone
        .opens(&turn)
        .await
        .says("Undone")
        .says("undone within ten minutes")
        .says("This turn was cancelled");
    let cancelled = "select count(*) from turn_events where what = 'cancelled'";
    assert_eq!(site.count(cancelled).await, 1);
}

#[tokio::test]
async fn after_ten_minutes_and_by_others_nothing_is_undone() {
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    // The steward booked it for her.
    let turn = format!("/turns/{}", book(&site, &site.act(), ida, 780).await);
    let page = phone.opens(&turn).await;
    assert!(!page.body.contains("Undo"));
    let refused = phone.sends(&format!("{turn}/undo"), &[]).await;
    refused.refused(StatusCode::CONFLICT, "can be undone for ten minutes");
    let own = site.act_as(ida, Role::Member);
    let turn = format!("/turns/{}", book(&site, &own, ida, 900).await);
    let looks_at = |at| Browser::on(&site.writer, &site.reader, &site.ids, at, &phone.cookie);
    looks_at(AT.plus(600)).opens(&turn).await.says("Undo");
    let late = looks_at(AT.plus(601)).opens(&turn).await;
    assert_eq!(late.status, StatusCode::OK);
    assert!(!late.body.contains("Undo"));
}

#[tokio::test]
async fn a_stewards_move_is_told_on_home_and_ends_what_the_member_could_undo() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    let turn = phone.fills(BOOK, BOOKED).await.taken().to_owned();
    phone.opens(&turn).await.says("You can undo this until");
    let (key, token) = (phone.hidden("form_key"), phone.hidden("token"));
    let mut steward = site.browser(site.steward).await;
    let to = [
        ("day", "2026-09-19"),
        ("start", "15:00"),
        ("version", "1"),
        ("why", "the boiler is late"),
    ];
    steward.fills(&format!("{turn}/move"), &to).await.taken();
    // The page that the phone still shows offers what stands no more: it is refused, and says why.
    let why = "Nothing was undone: Ruth Bell changed this turn since you did, at 08:00 today.";
    phone
        .sends_keyed(&format!("{turn}/undo"), &[], &key, &token)
        .await
        .refused(StatusCode::CONFLICT, why);
    let page = phone.opens(&turn).await;
    page.says("<bdi>Ruth Bell</bdi> changed this turn at 08:00 today, after you did.")
        .says("<p class=\"big\">15:00–15:50</p>");
    assert!(!page.body.contains("You can undo this until"));
    phone
        .opens("/")
        .await
        .says("Your turn on Sat 19 Sep 2026 at 13:00 is moved to Sat 19 Sep 2026, 15:00–15:50. Why: the boiler is late.");
    // Her own move after it is hers to undo.
    let back = [("day", "2026-09-19"), ("start", "14:00"), ("version", "2")];
    phone.fills(&format!("{turn}/move"), &back).await.taken();
    phone
        .opens(&turn)
        .await
        .says("Undo: back to Sat 19 Sep 2026, 15:00");
    // Given up by the steward, it is told, too.
    steward.opens(&turn).await;
    steward
        .sends(&format!("{turn}/cancel"), &[("why", "frost")])
        .await
        .taken();
    phone
        .opens("/")
        .await
        .says("Your turn on Sat 19 Sep 2026 at 14:00 is cancelled; its time is free for others. Why: frost.");
}

#[tokio::test]
async fn a_move_is_undone_unless_somebody_took_the_minutes_meanwhile() {
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let (june, _) = site.person("June Pickett", Role::Member).await;
    let turn = format!("/turns/{}", book(&site, &site.act(), ida, 780).await);
    moves(&mut phone, &turn, "15:00").await;
    phone
        .opens(&turn)
        .await
        .says("The turn is moved: Sat 19 Sep 2026, 15:00–15:50.")
        .says("Undo: back to Sat 19 Sep 2026, 13:00");
    phone.sends(&format!("{turn}/undo"), &[]).await.taken();
    phone
        .opens(&turn)
        .await
        .says("<p class=\"big\">13:00–13:50</p>")
        .says("Move it to Sat 19 Sep 2026, 15:00 again");
    // Moved again, and now somebody books the minutes that were left.
    let to = [("day", "2026-09-19"), ("start", "15:00"), ("version", "3")];
    phone.fills(&format!("{turn}/move"), &to).await.taken();
    book(&site, &site.act(), june, 780).await;
    phone.opens(&turn).await.says("Undo: back to");
    phone
        .sends(&format!("{turn}/undo"), &[])
        .await
        .refused(StatusCode::CONFLICT, "The turn stays where it is now");
    phone
        .opens(&turn)
        .await
        .says("<p class=\"big\">15:00–15:50</p>");
}
