//! A turn as its time comes: confirmed, missed, past the cut-off.

use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{Grams, MemberId, MinuteOfDay, PressDayId, Role, TurnId, Units, UtcSecond};

/// A turn of 20 minutes on the press day of the fixed clock, for a member.
async fn turn(site: &TestSite, member: MemberId, start: i64) -> TurnId {
    let day = site.text("select id from press_days").await;
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("83", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    turn::book(&site.act(), PressDayId::parse(&day).unwrap(), new)
        .await
        .unwrap()
}

#[tokio::test]
async fn a_member_confirms_from_the_home_page_and_the_crew_sees_who_has_not() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (_, mut other) = site.person("Della Moss", Role::Member).await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let id = turn(&site, amos, 600).await;
    crew.opens("/days/2026-09-19").await.says("not confirmed");
    browser
        .opens("/")
        .await
        .says("Please confirm your turn on Sat 19 Sep 2026 at 10:00. Please do so by 10:00 today, its planned start.");
    let path = format!("/turns/{id}/confirm");
    other.opens("/").await;
    other
        .sends(&path, &[])
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    browser.sends(&path, &[]).await.taken();
    browser.sends(&path, &[]).await.taken();
    assert!(
        !browser
            .opens("/")
            .await
            .body
            .contains("Please confirm your turn")
    );
    browser
        .opens(&format!("/turns/{id}"))
        .await
        .says("Confirmed Sat 19 Sep 2026 08:00.");
    let board = crew.opens("/days/2026-09-19").await;
    assert!(board.body.contains(">confirmed<") && !board.body.contains("not confirmed"));
    // Moved, it is to be confirmed anew.
    let fields = [("day", "2026-09-19"), ("version", "1"), ("start", "11:00")];
    browser
        .fills(&format!("/turns/{id}/move"), &fields)
        .await
        .taken();
    browser.opens("/").await.says("at 11:00.");
}

#[tokio::test]
async fn confirm_then_cancel_with_the_key_of_one_page_both_count() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let id = turn(&site, amos, 600).await;
    browser.opens(&format!("/turns/{id}")).await;
    let (key, token) = (browser.hidden("form_key"), browser.hidden("token"));
    let confirm = format!("/turns/{id}/confirm");
    let cancel = format!("/turns/{id}/cancel");
    let why = [("why", "hail")];
    browser
        .sends_keyed(&confirm, &[], &key, &token)
        .await
        .taken();
    let confirmed = "select count(*) from turns where confirmed_at is not null";
    assert_eq!(site.count(confirmed).await, 1);
    browser
        .sends_keyed(&cancel, &why, &key, &token)
        .await
        .taken();
    let cancelled = "select count(*) from turns where state = 'cancelled'";
    assert_eq!(site.count(cancelled).await, 1);
    // Sent again unchanged, the same answer; with another reason, nothing is stored and that is said.
    browser
        .sends_keyed(&cancel, &why, &key, &token)
        .await
        .taken();
    browser
        .sends_keyed(&cancel, &[("why", "frost")], &key, &token)
        .await
        .refused(
            StatusCode::CONFLICT,
            "already sent, and stored as why “hail”",
        );
    let said = "select count(*) from turn_events where why = 'hail'";
    assert_eq!(site.count(said).await, 1);
}

#[tokio::test]
async fn a_turn_far_off_is_not_confirmed_yet() {
    // 16 September: three days before.
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let id = turn(&site, amos, 600).await;
    let mut act = site.act_as(amos, Role::Member);
    act.at = UtcSecond::new(act.at.get() - 3 * 86_400);
    let said = turn::confirm(&act, id).await.unwrap_err().to_string();
    assert!(said.contains("from Thu 17 Sep 2026"), "{said}");
    let none = "select count(*) from turns where confirmed_at is not null";
    assert_eq!(site.count(none).await, 0);
}

#[tokio::test]
async fn the_crew_notes_a_turn_nobody_came_to_and_takes_it_back() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let gone = turn(&site, amos, 425).await;
    let later = turn(&site, amos, 600).await;
    let path = |id| format!("/turns/{id}/missed");
    browser.opens("/").await;
    browser
        .sends(&path(gone), &[("to", "missed")])
        .await
        .refused(StatusCode::FORBIDDEN, "crew");
    crew.opens(&format!("/turns/{gone}"))
        .await
        .says("Nobody came</button>");
    crew.sends(&path(gone), &[("to", "missed")]).await.taken();
    crew.opens("/days/2026-09-19").await.says("nobody came");
    crew.opens(&format!("/turns/{gone}"))
        .await
        .says("Nobody came: noted Sat 19 Sep 2026 08:00.");
    crew.sends(&path(gone), &[("to", "came")]).await.taken();
    crew.opens(&format!("/turns/{later}")).await;
    crew.sends(&path(later), &[("to", "missed")]).await.refused(
        StatusCode::CONFLICT,
        "This turn does not begin before 10:00",
    );
    let noted = "select count(*) from turns where no_show_at is not null";
    assert_eq!(site.count(noted).await, 0);
}

#[tokio::test]
async fn after_the_cut_off_a_member_calls_the_crew_who_may_still_move_it() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let id = turn(&site, amos, 600).await;
    // The rules are voted anew, in the database as in the form: 24 h.
    site.sql("drop trigger season_rules_stand; update season_rules set cutoff_h = 24")
        .await;
    let page = browser.opens(&format!("/turns/{id}")).await;
    page.says("until 24 h before it begins; for this one that was Fri 18 Sep 2026 10:00");
    assert!(!page.body.contains("Cancel the turn"));
    browser
        .sends(&format!("/turns/{id}/cancel"), &[("why", "hail")])
        .await
        .refused(StatusCode::CONFLICT, "Please call the crew");
    browser
        .opens(&format!("/turns/{id}/move"))
        .await
        .refused(StatusCode::CONFLICT, "Please call the crew");
    ruth.opens(&format!("/turns/{id}")).await;
    ruth.sends(&format!("/turns/{id}/cancel"), &[("why", "he called")])
        .await
        .taken();
    ruth.opens("/seasons/2026").await.says("24 h before it");
}
