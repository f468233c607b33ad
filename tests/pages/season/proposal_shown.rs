//! A proposal that was shown: what a steward forbids of it stays forbidden for everybody, and what is kept moves nothing else.

use crate::season::proposal::{PROPOSAL, day, one_planting, says_of_day, sends};
use crate::season::proposal_asked::pan;
use crate::season::proposal_room::{grows, proposed};
use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::actions::season::forbidden_days;
use canewright::facts::season::proposal_wish::Wish;
use canewright::units::{PressDate, Role, SeasonId};
use std::collections::BTreeMap;

/// Forty plantings of twenty members on five days, each of so much cane, kg, and up to so much more.
async fn large(site: &TestSite, (least, more): (u32, u32)) {
    for date in [
        "2026-09-22",
        "2026-09-26",
        "2026-09-29",
        "2026-10-03",
        "2026-10-06",
    ] {
        day(site, date).await;
    }
    let mut members = Vec::new();
    for n in 0..20 {
        let (member, _) = site.person(&format!("Grower {n}"), Role::Member).await;
        members.push(member);
    }
    for n in 0..40_u32 {
        let member = members[usize::try_from(n % 20).unwrap()];
        let on = format!("2026-06-{:02}", 1 + n * 7 % 24);
        grows(site, member, &on, f64::from(least + n * 61 % more)).await;
    }
}

#[tokio::test]
async fn a_forbidden_day_stays_so_for_every_steward_until_one_allows_it_again() {
    let (site, amos, _) = one_planting().await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    assert!(steward.hidden("turns").starts_with("2026-09-22 "));
    let forbid = "forbid-2026-09-22";
    says_of_day(&mut steward, forbid, &[]).await;
    // Opened anew, and by somebody else.
    let (_, mut ruth) = site.person("Nell Orchard", Role::Steward).await;
    for who in [&mut steward, &mut ruth] {
        let page = who.opens(PROPOSAL).await;
        page.says("Forbidden by")
            .says("nothing is proposed on this day until a steward allows it again")
            .says("Allow Tue 22 Sep 2026 again");
        assert!(who.hidden("turns").starts_with("2026-09-26 "));
    }
    // Said twice it stands once, with whoever said it first.
    says_of_day(&mut ruth, forbid, &[]).await;
    let rows =
        "select group_concat(date || ' ' || version || ' ' || forbidden) from forbidden_days";
    assert_eq!(site.text(rows).await, "2026-09-22 1 1");
    says_of_day(&mut ruth, "allow-2026-09-22", &[]).await;
    assert_eq!(site.text(rows).await, "2026-09-22 1 1,2026-09-22 2 0");
    let page = steward.opens(PROPOSAL).await;
    assert!(!page.body.contains("Forbidden by"), "{}", page.body);
    assert!(steward.hidden("turns").starts_with("2026-09-22 "));
    // A day of another season, and no day at all.
    sends(&mut steward, &[("do", "forbid-2027-09-22")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "That date is not in the season of 2026.",
        );
    let page = sends(&mut steward, &[("do", "forbid-soon")]).await;
    assert_eq!(page.status, StatusCode::OK);
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    let said = (PressDate::parse("2026-09-22").unwrap(), true);
    let act = site.act_as(amos, Role::Member);
    let member = forbidden_days::say(&act, season, said);
    assert!(member.await.is_err());
    assert_eq!(site.count("select count(*) from forbidden_days").await, 2);
}

#[tokio::test]
async fn keeping_one_turn_where_it_is_shown_moves_no_other() {
    let site = TestSite::with_season().await;
    pan(&site).await;
    large(&site, (130, 300)).await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    let shown = steward.hidden("turns");
    let before = steward.hidden("before");
    assert!(shown.split(';').count() >= 20, "{shown}");
    for turn in before.split(',').step_by(5) {
        let keep = format!("keep-{}", turn.split(':').next().unwrap());
        let page = sends(&mut steward, &[(keep.as_str(), "yes")]).await;
        page.says("Nothing changed against what stood here before.");
        assert_eq!(steward.hidden("turns"), shown);
    }
}

#[tokio::test]
async fn a_forbidden_day_moves_little_beside_its_own_turns() {
    let site = TestSite::with_season().await;
    large(&site, (60, 120)).await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    let by_planting = |before: &str| {
        let mut all: BTreeMap<String, Vec<String>> = BTreeMap::new();
        for turn in before.split(',') {
            let (planting, rest) = turn.split_once(':').unwrap();
            all.entry(planting.to_owned())
                .or_default()
                .push(rest.to_owned());
        }
        all
    };
    let before = by_planting(&steward.hidden("before"));
    let shut = "2026-10-06";
    let own = before.values().flatten().filter(|t| t.starts_with(shut));
    let own = own.count();
    says_of_day(&mut steward, &format!("forbid-{shut}"), &[]).await;
    let after = by_planting(&steward.hidden("before"));
    let others = before
        .iter()
        .filter(|(_, turns)| !turns.iter().any(|t| t.starts_with(shut)));
    let others: Vec<_> = others.collect();
    let moved = others
        .iter()
        .filter(|(planting, turns)| after.get(*planting) != Some(turns));
    let moved = moved.count();
    assert!(own > 0 && !others.is_empty());
    assert!(
        moved * 4 <= others.len(),
        "{moved} of {} others moved, {own} stood on that day",
        others.len()
    );
}

#[tokio::test]
async fn what_is_boiled_alone_is_not_reckoned_as_if_it_were_boiled_together() {
    let site = TestSite::with_season().await;
    pan(&site).await;
    large(&site, (130, 300)).await;
    let together = proposed(&site, Wish::default()).await;
    site.sql("update members set pools = 0").await;
    let alone = proposed(&site, Wish::default()).await;
    let days = || alone.days.iter().zip(&together.days);
    assert!(days().all(|(day, other)| day.most <= other.most));
    assert!(
        days().any(|(day, other)| day.most < other.most),
        "{:?}",
        alone.days[0].most
    );
}
