//! What is reckoned or paid on a day goes by the rules that hold on it: not by a draft, and not by rules confirmed for later.

use super::season_close::sound;
use crate::shares::divisions::{act, divided_lot};
use crate::site::{AT, Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::boil::pans;
use canewright::actions::people::accounts;
use canewright::actions::season::seasons::{self, NewRules};
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::boil::pan::{Settings, parse_rate};
use canewright::calc::physics::energy::Fuel;
use canewright::calc::turns::starts::Asker;
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::facts::turns::{room, turn_habit};
use canewright::store::season::seasons as store;
use canewright::store::turns::turn as turns;
use canewright::units::{
    Cents, Grams, MemberId, MilliCents, Millilitres, MinuteOfDay, PressDate, PressDayId, Role,
    SeasonId, SquareMetres, TurnId, Units, Zone,
};

fn date(text: &str) -> PressDate {
    PressDate::parse(text).unwrap()
}

async fn season(site: &TestSite) -> SeasonId {
    SeasonId::parse(&site.text("select id from seasons").await).unwrap()
}

/// A further version: with a day confirmed to hold from it, else a draft.
async fn version(
    site: &TestSite,
    (seen, from): (i64, Option<&str>),
    change: impl FnOnce(&mut NewRules),
) {
    let id = season(site).await;
    let mut rules = NewRules::defaults();
    change(&mut rules);
    seasons::change_rules(&act(site, 0), id, seen, rules)
        .await
        .unwrap();
    if let Some(from) = from {
        seasons::confirm(&act(site, 0), id, seen + 1, date(from))
            .await
            .unwrap();
    }
}

async fn steward_on(site: &TestSite, days: i64) -> Browser {
    let at = AT.plus(days * 86_400);
    let token = accounts::open_session(&site.writer, at, site.steward, "").await;
    let mut browser = site.stranger_at(at);
    browser.cookie = format!("canewright={}", token.unwrap().as_str());
    browser
}

#[tokio::test]
async fn hours_and_syrup_go_by_the_rules_of_their_day_and_not_by_rules_to_come() {
    let lot = divided_lot().await;
    let (site, id) = (&lot.site, season(&lot.site).await.to_string());
    // Version 2 credits $15.00 an hour and pays 880 ¢ a kg; from 24 Oct version 3 says $40.00 and 9,000 ¢ a lb.
    version(site, (2, Some("2026-10-24")), |rules| {
        (rules.hour, rules.hours_most) = (Cents::new(4000), 100);
        rules.syrup_rate = MilliCents::new(9_000_000);
    })
    .await;
    let mut ruth = site.browser(site.steward).await;
    let path = format!("/members/{}/hours", lot.amos);
    let note = |on| {
        [
            ("hours", "2"),
            ("what", "fed the mill"),
            ("on", on),
            ("season", id.as_str()),
        ]
    };
    let credit = "select -sum(cents) from ledger where kind = 'hours'";
    ruth.fills(&path, &note("")).await.taken();
    assert_eq!(site.count(credit).await, 3000);
    ruth.fills(&path, &note("2026-10-30"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "is still to come");
    ruth.opens("/seasons/2026/close").await.says("880 ¢ per kg");
    let settle = format!("/members/{}/settle", lot.bess);
    let page = ruth.opens(&settle).await;
    page.says("2026: 880 ¢ per kg");
    let some = [("grams", "100 g"), ("season", id.as_str())];
    ruth.sends(&settle, &some).await.taken();
    let paid = "select -sum(cents) from ledger where kind = 'settled' and member_id is not null";
    assert_eq!(site.count(paid).await, 88);
    // Later both hold, each on its own days.
    let mut ruth = steward_on(site, 40).await;
    ruth.fills(&path, &note("2026-09-20")).await.taken();
    assert_eq!(site.count(credit).await, 6000);
    ruth.fills(&path, &note("")).await.taken();
    assert_eq!(site.count(credit).await, 14_000);
    ruth.opens("/seasons/2026/close")
        .await
        .says("worked on Sun 20 Sep 2026");
    let days = "select count(*) from hours where worked_on = '2026-09-20'";
    assert_eq!(site.count(days).await, 1);
    ruth.opens(&settle).await;
    ruth.sends(&settle, &some).await.taken();
    // 100 g are written as 0.2205 lb; at 9,000 ¢ that is 1,984.5 ¢, half a cent upward: $19.85.
    assert_eq!(site.count(paid).await, 88 + 1985);
    sound(&lot).await;
}

#[tokio::test]
async fn hours_of_a_day_before_any_rules_of_their_season_are_refused() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens("/seasons").await;
    ruth.sends("/seasons", &[("year", "2027")]).await.taken();
    ruth.opens("/seasons/2027").await;
    let from = [("holds_from", "2027-01-05")];
    ruth.sends("/seasons/2027/rules/1/confirm", &from)
        .await
        .taken();
    let next = lot
        .site
        .text("select id from seasons where year = 2027")
        .await;
    let path = format!("/members/{}/hours", lot.amos);
    let worked = [("hours", "2"), ("what", "wood"), ("season", next.as_str())];
    ruth.fills(&path, &worked).await.refused(
        StatusCode::CONFLICT,
        "The rules of 2027 hold from Tue 5 Jan 2027: before that nothing is written down under them.",
    );
    let page = ruth.opens(&format!("/members/{}/settle", lot.bess)).await;
    page.says("2026: ");
    assert!(
        !page.body.contains("2027: "),
        "syrup has no price yet under rules to come"
    );
    ruth.opens("/seasons/2027/close")
        .await
        .says("No rules of the season are in force today");
}

#[tokio::test]
async fn the_list_of_days_has_the_room_of_each_days_own_page() {
    let site = TestSite::with_season().await;
    small_pan(&site).await;
    let id = season(&site).await;
    let zone = Zone::parse("America/Chicago").unwrap();
    let listed = async || {
        let mut snapshot = site.reader.snapshot().await.unwrap();
        let asker = Asker {
            at: AT,
            crew: false,
        };
        let from = (date("2026-09-19"), &zone);
        room::of_season(&mut snapshot, id, from, asker)
            .await
            .unwrap()
    };
    let before = listed().await;
    assert!(!before.is_empty());
    let other = |rules: &mut NewRules| rules.juice_pct = 30.0;
    version(&site, (1, Some("2026-12-01")), other).await;
    assert_eq!(
        listed().await,
        before,
        "rules of December, on a day in September"
    );
    site.sql("insert into rules_days select rules_id, 1, '2026-09-01', 'a slip', by_id, at from rules_confirmed where holds_from = '2026-12-01'")
        .await;
    assert_ne!(listed().await, before, "these rules leave another room");
}

/// A pan of 24 square feet, so slow that it and not the mill limits a day.
async fn small_pan(site: &TestSite) {
    let gal = |text| Millilitres::parse(text, Units::Us).unwrap();
    let settings = Settings {
        area: SquareMetres::parse("24", Units::Us).unwrap(),
        least: gal("5"),
        most: gal("20"),
        rate_l_m2_h: parse_rate("0.2", Units::Us).unwrap(),
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    };
    pans::add(&site.act(), "Little pan".to_owned(), settings, Units::Us)
        .await
        .unwrap();
}

/// A turn of Amos on the press day at 14:00.
async fn booked(site: &TestSite, amos: MemberId) -> TurnId {
    let day = site
        .text("select id from press_days where date = '2026-09-19'")
        .await;
    let new = NewTurn {
        member: amos,
        start: MinuteOfDay::new(840).unwrap().into(),
        told: AmountTold::Weight(Grams::new(40_000)),
        corrected: None,
        sure: true,
    };
    let act = site.act_as(amos, Role::Member);
    turn::book(&act, PressDayId::parse(&day).unwrap(), new)
        .await
        .unwrap()
}

#[tokio::test]
async fn a_draft_moves_no_cut_off_and_no_turn_is_reckoned_by_it() {
    let site = TestSite::with_season().await;
    let (amos, mut phone) = site.person("Amos Trout", Role::Member).await;
    version(&site, (1, Some("2026-01-01")), |rules| {
        (rules.cutoff_h, rules.row_kg_per_m) = (0, 2.0);
    })
    .await;
    version(&site, (2, None), |rules| {
        (rules.cutoff_h, rules.row_kg_per_m) = (300, 9.0);
    })
    .await;
    let id = booked(&site, amos).await;
    let path = format!("/turns/{id}");
    phone.opens(&path).await.says("Move the turn");
    let kg_per_m = async || {
        let mut snapshot = site.reader.snapshot().await.unwrap();
        let versions = store::rules_list(season(&site).await);
        let versions = versions.ask(&mut snapshot).await.unwrap();
        let turn = turns::find(id).ask(&mut snapshot).await.unwrap().unwrap();
        turn_habit::rules_when_booked(&versions, &turn)
            .unwrap()
            .row_kg_per_m
    };
    assert!((kg_per_m().await - 2.0).abs() < 1e-9);
    // Confirmed after it was booked, for its day: its page goes by that, what it was booked with does not.
    seasons::confirm(&act(&site, 60), season(&site).await, 3, date("2026-09-01"))
        .await
        .unwrap();
    assert!((kg_per_m().await - 2.0).abs() < 1e-9);
    let page = phone.opens(&path).await;
    assert!(
        !page.body.contains("Move the turn"),
        "the cut-off of 300 hours has passed"
    );
}
