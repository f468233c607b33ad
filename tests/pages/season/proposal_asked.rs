//! A season proposed whose plantings are large, or that changes between being looked at and being sent.

use crate::season::proposal::{PROPOSAL, day, one_planting, planted, says_of_day, sends};
use crate::site::{AT, Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::boil::pans;
use canewright::actions::rounds;
use canewright::calc::boil::pan::Settings;
use canewright::calc::physics::energy::Fuel;
use canewright::calc::turns::day_room::TurnHeld;
use canewright::facts::season::proposal::{SeasonProposal, ToPropose};
use canewright::facts::season::proposal_left::WhyLeft;
use canewright::facts::season::proposal_wish::Wish;
use canewright::units::{Grams, Millilitres, Role, SquareMetres, Units, Zone};

/// A pan by which the juice of one turn is limited: as in the other tests of room.
pub async fn pan(site: &TestSite) {
    let settings = Settings {
        area: SquareMetres::new(2.0).unwrap(),
        least: Millilitres::new(80_000),
        most: Millilitres::new(200_000),
        rate_l_m2_h: 200.0,
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    };
    pans::add(&site.act(), "Pan".to_owned(), settings, Units::Metric)
        .await
        .unwrap();
}

async fn proposed(site: &TestSite) -> SeasonProposal {
    let zone = Zone::parse("America/Chicago").unwrap();
    let mut snapshot = site.reader.snapshot().await.unwrap();
    let read = ToPropose::of_year(&mut snapshot, 2026, (AT, &zone), Wish::default()).await;
    read.unwrap().unwrap().propose()
}

/// Whether another 110 lb would find room on a day as it is proposed.
fn has_room(of: &SeasonProposal) -> bool {
    of.days.iter().any(|day| {
        let proposed = day.turns.iter().map(|turn| TurnHeld {
            span: turn.span,
            cane: turn.cane,
            pools: true,
        });
        let held: Vec<TurnHeld> = day.room.held.iter().copied().chain(proposed).collect();
        day.room
            .first_free(&held, (Grams::new(50_000), true), AT)
            .is_some()
    })
}

#[tokio::test]
async fn a_large_planting_is_pressed_in_several_turns_over_the_days_and_what_is_left_is_left_by_full_days()
 {
    for (row, least, dates) in [
        ("1500", 1, vec!["2026-09-26", "2026-09-29"]),
        ("3500", 2, vec!["2026-09-26", "2026-09-29"]),
        ("6900", 2, vec!["2026-09-22", "2026-09-29"]),
    ] {
        let site = TestSite::with_season().await;
        pan(&site).await;
        for date in &dates {
            day(&site, date).await;
        }
        let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
        planted(&mut browser, &amos.to_string(), "2026-06-08", row).await;
        let of = proposed(&site).await;
        let turns: Vec<usize> = of.days.iter().map(|day| day.turns.len()).collect();
        assert!(turns.iter().sum::<usize>() >= least, "{row}: {turns:?}");
        let put: Grams = of.days.iter().flat_map(|d| &d.turns).map(|t| t.cane).sum();
        let left: Grams = of.left.iter().map(|(_, cane, _)| *cane).sum();
        let missing = of.fields[0].whole.get() - put.get() - left.get();
        assert!(missing.abs() < 1000, "{row}: {missing} g");
        // Nobody is told that there is no room, or no better plan, while there is room.
        for (_, cane, why) in &of.left {
            let full = *why == WhyLeft::Full;
            assert!(!(full && has_room(&of)), "{row}: {cane:?} left, {turns:?}");
            // A day that nobody else comes for may not be worth its crew.
            let opened = turns.iter().all(|n| *n > 0);
            let not_worth = *why == WhyLeft::NotWorth && !opened;
            assert!(
                cane.kg() < 50.0 || full || not_worth,
                "{row}: {why:?}, {turns:?}"
            );
        }
        let kept = put.kg() / of.fields[0].whole.kg();
        assert!(of.kept <= kept + 1e-6, "{row}: {} of {kept}", of.kept);
        assert!(of.kept + of.more <= 1.0 + 1e-6, "{row}");
        // The first plan did not hold, turn by turn: that nothing better exists is not said of another.
        if !of.left.is_empty() {
            assert!(!of.exact, "{row}");
        }
    }
}

#[tokio::test]
async fn several_turns_of_one_day_are_asked_about_and_taken_each_by_itself() {
    let site = TestSite::with_season().await;
    pan(&site).await;
    day(&site, "2026-09-26").await;
    // A neighbour has the noon, so that a large planting comes before and after.
    let (_, mut ida) = site.person("Ida Finch", Role::Member).await;
    let noon = [("told", "weight"), ("amount", "300"), ("start", "12:00")];
    ida.fills("/days/2026-09-26/book", &noon).await.taken();
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-08", "6900").await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await.says("Left without a day");
    let many = steward.hidden("turns").split(';').count();
    assert!(many >= 2, "{}", steward.hidden("turns"));
    sends(&mut steward, &[("do", "ask")]).await.taken();
    let open = "select count(*) from offers where answer is null";
    assert_eq!(site.count(open).await, i64::try_from(many).unwrap());
    for _ in 0..many {
        let offer = site
            .text("select id from offers where answer is null order by start_min limit 1")
            .await;
        browser.opens("/").await;
        browser
            .sends(&format!("/offers/{offer}/take"), &[])
            .await
            .taken();
    }
    assert_eq!(
        site.count("select count(*) from turns where state = 'held'")
            .await,
        1 + i64::try_from(many).unwrap()
    );
}

#[tokio::test]
async fn members_are_asked_for_what_was_ticked_and_for_what_is_still_so() {
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-09-26"] {
        day(&site, date).await;
    }
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let amos = amos.to_string();
    planted(&mut browser, &amos, "2026-06-04", "300").await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    assert!(steward.hidden("turns").starts_with("2026-09-22 "));
    // Kept no more, and not proposed without it.
    let before = steward.hidden("before");
    let keep = format!("keep-{}", before.split(':').next().unwrap());
    sends(&mut steward, &[(keep.as_str(), "yes")]).await;
    sends(&mut steward, &[("do", "ask")])
        .await
        .refused(StatusCode::CONFLICT, "Nobody was asked");
    // Forbidden since by another steward.
    let mut other = site.browser(site.steward).await;
    other.opens(PROPOSAL).await;
    says_of_day(&mut other, "forbid-2026-09-22", &[]).await;
    sends(&mut steward, &[("do", "ask")])
        .await
        .refused(StatusCode::CONFLICT, "as a steward said since");
    assert!(steward.hidden("turns").starts_with("2026-09-26 "));
    assert_eq!(site.count("select count(*) from offers").await, 0);
    // Said since by the member: the hours, then not at all.
    let days = format!("/members/{amos}/days");
    for said in [("brings-2026-09-26", "yes"), ("brings-2026-09-22", "yes")] {
        let both = [said, ("from-2026-09-26", "12:00")];
        browser.opens(&days).await;
        let list = browser.hidden("days");
        let mut fields = vec![("days", list.as_str())];
        fields.extend(both);
        browser.sends(&days, &fields).await.taken();
        sends(&mut steward, &[("do", "ask")])
            .await
            .refused(StatusCode::CONFLICT, "Nobody was asked");
        if said.0 == "brings-2026-09-22" {
            break;
        }
        assert!(steward.hidden("turns").starts_with("2026-09-26 12:00 "));
    }
    site.sql("delete from day_answers").await;
    // Too few at the rollers since.
    steward.opens(PROPOSAL).await;
    let shown = [("do", "ask")];
    let help = "insert into day_answers (season_id, member_id, date, brings, helps, by_id, at) select s.id, m.id, '2026-09-22', 1, 1, m.id, 0 \
                from seasons s, members m";
    site.sql(help).await;
    sends(&mut steward, &shown).await.refused(
        StatusCode::CONFLICT,
        "fewer than two people can be at the rollers",
    );
    site.sql("delete from day_answers").await;
    // A planting that was taken off the record since.
    steward.opens(PROPOSAL).await;
    sends(&mut steward, &[]).await;
    let void = "insert into planting_versions (planting_id, version, variety, planted_on, row_m, maturity_days, note, void, by_id, at) \
                select planting_id, 2, variety, planted_on, row_m, maturity_days, note, 1, by_id, at from planting_versions";
    site.sql(void).await;
    sends(&mut steward, &[("do", "ask")])
        .await
        .refused(StatusCode::CONFLICT, "what stands in the field");
    assert_eq!(site.count("select count(*) from offers").await, 0);
}

#[tokio::test]
async fn not_this_year_leaves_what_is_booked_and_other_plantings_alone() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let amos = amos.to_string();
    planted(&mut browser, &amos, "2026-06-04", "300").await;
    let mut steward = site.browser(site.steward).await;
    // Part of it is booked already, without saying of which planting.
    let book = [("told", "weight"), ("amount", "300"), ("start", "07:00")];
    browser.fills("/days/2026-09-26/book", &book).await.taken();
    planted(&mut browser, &amos, "2026-06-25", "300").await;
    steward
        .opens(PROPOSAL)
        .await
        .says("2 plantings are without a turn");
    sends(&mut steward, &[("do", "ask")]).await.taken();
    // Both plantings of one member come in one turn, or in two: all of them not this year.
    loop {
        if site
            .count("select count(*) from offers where answer is null")
            .await
            == 0
        {
            break;
        }
        let offer = site
            .text("select id from offers where answer is null limit 1")
            .await;
        browser.opens("/").await;
        browser
            .sends(&format!("/offers/{offer}/not-this-year"), &[])
            .await
            .taken();
    }
    let rows = "select group_concat(case when v.void then 'off' else cast(round(v.row_m * 3.28084) as integer) end, ' ') from \
                (select * from planting_versions order by planted_on) v where v.version = 2";
    // 300 lb at the rules' 4.5 kg a metre: 30.2 m, 99 ft of the first; the second goes.
    assert_eq!(site.text(rows).await, "99 off");
    steward
        .opens(PROPOSAL)
        .await
        .says("Every planting on record has its turn")
        .says("1 turn is booked");
}

/// What a place on a list says of itself in the store: only those that are still on a list.
const ON_A_LIST: &str =
    "select count(*) from waiting where state in ('waiting', 'declined', 'missed')";
const STANDING: &str = "select count(*) from offers where answer is null";

/// Asks the members for what is proposed now; the offer that stands, and the address of its page.
async fn asks(site: &TestSite, steward: &mut Browser) -> (String, String) {
    steward.opens(PROPOSAL).await;
    sends(steward, &[("do", "ask")]).await.taken();
    assert_eq!(site.count(STANDING).await, 1);
    let offer = "select id from offers where answer is null";
    let place = "select waiting_id from offers where answer is null";
    let place = format!("/waiting/{}", site.text(place).await);
    (site.text(offer).await, place)
}

#[tokio::test]
async fn a_proposed_turn_has_its_three_answers_wherever_it_is_shown() {
    let (site, _, mut browser) = one_planting().await;
    let mut steward = site.browser(site.steward).await;
    let (offer, place) = asks(&site, &mut steward).await;
    // Whoever calls the member answers from there.
    let calls = steward.opens("/calls").await;
    assert!(calls.body.contains(&place), "{}", calls.body);
    let home = browser.opens("/").await;
    assert!(!home.body.contains("on the waiting list"), "{}", home.body);
    let own = browser.opens(&place).await;
    own.says("A turn proposed for Tue 22 Sep 2026")
        .says("Proposed for the Dale")
        .says("Take this turn")
        .says("Another day")
        .says("Not this year");
    for wrong in ["the next on the list", "Leave the list", "Do not take it"] {
        assert!(!own.body.contains(wrong), "{wrong}: {}", own.body);
    }
    let crew = steward.opens(&place).await;
    crew.says("Take it for Amos Trout")
        .says("Another day for Amos Trout")
        .says("Not this year for Amos Trout");
    assert!(!crew.body.contains("out of order"), "{}", crew.body);
    let another = format!("/offers/{offer}/another-day");
    steward.sends(&another, &[]).await.taken();
    assert_eq!(site.count(ON_A_LIST).await, 0);
    browser.opens(&place).await.says("proposed and not wanted");
    // The day is not proposed again; the other one is, and whoever only says no to it is not asked for it again either.
    let (offer, place) = asks(&site, &mut steward).await;
    browser.opens(&place).await.says("Sat 26 Sep 2026");
    let decline = format!("/offers/{offer}/decline");
    browser.sends(&decline, &[]).await.taken();
    assert_eq!(site.count(ON_A_LIST).await, 0);
    steward
        .opens(PROPOSAL)
        .await
        .says("The member cannot come on the press days that are near enough.");
    let cannot = "select count(*) from day_answers where not brings";
    assert_eq!(site.count(cannot).await, 2);
}

#[tokio::test]
async fn a_proposed_turn_that_nobody_took_is_not_offered_a_second_time_by_a_list() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    let mut steward = site.browser(site.steward).await;
    let (offer, place) = asks(&site, &mut steward).await;
    // Four hours later nobody has answered.
    let late = AT.plus(5 * 3600);
    rounds::due(&site.reader, &site.writer, &site.ids, late)
        .await
        .unwrap();
    assert_eq!(site.count(ON_A_LIST).await, 0);
    let page = browser.opens(&place).await;
    page.says("its time ran out without an answer")
        .says("Book a turn");
    assert!(!page.body.contains("Still waiting"), "{}", page.body);
    let take = format!("/offers/{offer}/take");
    browser
        .sends(&take, &[])
        .await
        .refused(StatusCode::CONFLICT, "wait for the season’s next proposal");
    // Taken back by the steward.
    let (offer, place) = asks(&site, &mut steward).await;
    steward
        .opens(&place)
        .await
        .says("Its cane waits for the next proposal.");
    let withdraw = format!("/offers/{offer}/withdraw");
    let why = [("why_offer", "mill broken")];
    steward.sends(&withdraw, &why).await.taken();
    assert_eq!(site.count(ON_A_LIST).await, 0);
    // Taken back since the day opens later.
    let (_, place) = asks(&site, &mut steward).await;
    let later = [
        ("opens", "9:00"),
        ("closes", "17:00"),
        ("mill_per_h", "500"),
        ("changeover", "10"),
        ("version", "1"),
    ];
    let edit = "/days/2026-09-26/edit";
    steward.fills(edit, &later).await.taken();
    assert_eq!(site.count(STANDING).await, 0);
    assert_eq!(site.count(ON_A_LIST).await, 0);
    browser.opens(&place).await.says("proposed and taken back");
    // Minutes that come free are offered to none of these.
    let (_, mut ida) = site.person("Ida Finch", Role::Member).await;
    let book = [("told", "weight"), ("amount", "300"), ("start", "09:00")];
    let turn = ida.fills("/days/2026-09-26/book", &book).await;
    let turn = turn.taken().to_owned();
    ida.opens(&turn).await;
    ida.sends(&format!("{turn}/undo"), &[]).await.taken();
    assert_eq!(site.count(STANDING).await, 0);
    // A proposed turn that was taken and given up again waits for the proposal, too, and for nothing else.
    let (offer, _) = asks(&site, &mut steward).await;
    browser.opens("/").await;
    let turn = browser.sends(&format!("/offers/{offer}/take"), &[]).await;
    let turn = turn.taken().to_owned();
    browser.opens(&turn).await.says("season’s proposal");
    browser.sends(&format!("{turn}/undo"), &[]).await.taken();
    assert_eq!(site.count(STANDING).await, 0);
    assert_eq!(site.count(ON_A_LIST).await, 0);
    steward.opens(PROPOSAL).await.says("1 turn is proposed");
}
