//! A season proposed to a crew that comes in shifts, and what is kept when the crew or a member cannot come any more; what it says could
//! have been better.

use crate::season::proposal::{PROPOSAL, day, planted, sends};
use crate::season::proposal_asked::pan;
use crate::season::proposal_room::{grows, proposed, says, turns_of};
use crate::site::TestSite;
use canewright::actions::season::forbidden_days;
use canewright::facts::season::proposal_wish::{Kept, Wish};
use canewright::units::{DayMinute, Grams, PlantingId, PressDate, Role, SeasonId};

/// Somebody who can help on a day in these minutes since midnight, and brings nothing.
async fn helps(site: &TestSite, name: &str, date: &str, (from, to): (i64, i64)) {
    let (member, _) = site.person(name, Role::Member).await;
    let sql = format!(
        "insert into day_answers (season_id, member_id, date, brings, helps, from_min, to_min, by_id, at) \
         select id, '{member}', '{date}', 0, 1, {from}, {to}, '{member}', 0 from seasons"
    );
    let mut tx = site.writer.begin().await.unwrap();
    sqlx::raw_sql(sqlx::AssertSqlSafe(sql))
        .execute(&mut *tx)
        .await
        .unwrap();
    tx.commit().await.unwrap();
}

fn kept(planting: PlantingId, date: &str, start: i64, kg: i64) -> Kept {
    Kept {
        planting,
        date: PressDate::parse(date).unwrap(),
        turn: Some((DayMinute::new(start), Grams::new(kg * 1000))),
    }
}

#[tokio::test]
async fn what_is_kept_and_can_stand_is_not_driven_out_by_what_cannot() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    let early = grows(&site, amos, "2026-06-08", 300.0).await;
    let late = grows(&site, ida, "2026-06-08", 600.0).await;
    // The crew comes from 13 to 17 by now: Amos' 11:10 cannot stand any more, Ida's 13:20 to 16:10 can.
    for name in ["Bea Lund", "Cal Ford"] {
        helps(&site, name, "2026-09-26", (780, 1020)).await;
    }
    let wish = Wish {
        kept: vec![
            kept(early, "2026-09-26", 670, 300),
            kept(late, "2026-09-26", 800, 600),
        ],
        ..Wish::default()
    };
    let of = proposed(&site, wish).await;
    let own = turns_of(&of, ida);
    assert_eq!(own.len(), 1, "{own:?}");
    let turn = own[0].1;
    assert_eq!(
        (turn.span.start.get(), turn.cane.get(), turn.kept),
        (800, 600_000, true)
    );
    // What cannot stand has what is left: no turn of its is outside the crew's hours.
    for (_, turn) in turns_of(&of, amos) {
        assert!(turn.span.start.get() >= 970 && turn.span.end() <= 1020);
    }
}

#[tokio::test]
async fn a_kept_turn_whose_member_cannot_come_is_marked_and_the_others_are_asked() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut other) = site.person("Ida Finch", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-08", "200").await;
    planted(&mut other, &ida.to_string(), "2026-06-07", "200").await;
    let mut steward = site.browser(site.steward).await;
    steward
        .opens(PROPOSAL)
        .await
        .says("Ask the members: 2 turns");
    let turns = steward.hidden("turns");
    let of_ida = turns.split(';').find(|t| t.contains(&ida.to_string()));
    let planting = of_ida.unwrap().split(' ').nth(4).unwrap();
    let keep = format!("keep-{}", planting.split(':').next().unwrap());
    let tick = [(keep.as_str(), "yes")];
    sends(&mut steward, &tick).await;
    says(&site, ida, "2026-09-26", None).await;
    let page = sends(&mut steward, &tick).await;
    page.says("cannot come any more: is not asked")
        .says("2 turns are proposed")
        .says("Ask the members<");
    let asks = [(keep.as_str(), "yes"), ("do", "ask")];
    sends(&mut steward, &asks).await.taken();
    let asked = "select group_concat(m.name) from offers o join waiting w on w.id = o.waiting_id join members m on m.id = w.member_id";
    assert_eq!(site.text(asked).await, "Amos Trout");
}

#[tokio::test]
async fn all_hours_of_a_crew_in_shifts_count() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let shifts = [
        ("Bea Lund", (480, 720)),
        ("Cal Ford", (480, 720)),
        ("Dot Hale", (780, 1020)),
        ("Eli Marsh", (780, 1020)),
    ];
    for (name, hours) in shifts {
        helps(&site, name, "2026-09-26", hours).await;
    }
    // At 500 lb an hour and 10 min for cleaning: 120, 120 and 80 minutes.
    for (name, kg) in [
        ("Amos Trout", 400.0),
        ("Fay Reed", 400.0),
        ("Gus Penn", 250.0),
    ] {
        let (member, _) = site.person(name, Role::Member).await;
        grows(&site, member, "2026-06-08", kg).await;
    }
    let of = proposed(&site, Wish::default()).await;
    assert!(of.left.is_empty(), "{:?}", of.left);
    let spans = of.days[0].turns.iter();
    let spans: Vec<(i64, i64)> = spans
        .map(|turn| (turn.span.start.get(), turn.span.end()))
        .collect();
    assert_eq!(spans.len(), 3);
    for (from, to) in &spans {
        let morning = 480 <= *from && *to <= 720;
        assert!(morning || (780 <= *from && *to <= 1020), "{spans:?}");
    }
    let loads = of.days[0].loads().mill;
    assert_eq!((loads.taken.get(), loads.of.get()), (320, 480));
    let mut steward = site.browser(site.steward).await;
    steward
        .opens(PROPOSAL)
        .await
        .says("4 can help; two or more are there from 08:00 to 12:00 and from 13:00 to 17:00.")
        .says("Taken: mill 5 h 20 min of 8 h");
    // All of them can be asked, and a turn booked in the afternoon is staffed; one across noon is not.
    sends(&mut steward, &[("do", "ask")]).await.taken();
    site.sql("delete from booked_minutes; update waiting set state = 'left'")
        .await;
    site.sql("update offers set answer = 'withdrawn', answered_at = made_at")
        .await;
    let (_, mut ivy) = site.person("Ivy Cole", Role::Member).await;
    let book = "/days/2026-09-26/book";
    let afternoon = [("told", "weight"), ("amount", "300"), ("start", "14:00")];
    ivy.fills(book, &afternoon).await.taken();
    let page = steward.opens(PROPOSAL).await;
    assert!(!page.body.contains("too few people"), "{}", page.body);
    let noon = [
        ("told", "weight"),
        ("amount", "300"),
        ("start", "11:30"),
        ("second", "yes"),
    ];
    ivy.fills(book, &noon).await.taken();
    steward
        .opens(PROPOSAL)
        .await
        .says("too few people at the rollers then");
}

#[tokio::test]
async fn a_roster_for_two_shifts_leaves_nobody_alone_and_a_turn_before_them_says_so() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (_, mut ivy) = site.person("Ivy Cole", Role::Member).await;
    let book = "/days/2026-09-26/book";
    let at = |start| {
        let second = ("second", "yes");
        [
            ("told", "weight"),
            ("amount", "300"),
            ("start", start),
            second,
        ]
    };
    // While nobody has said anything, nobody is told of it.
    let first = ivy.fills(book, &at("08:00")).await.taken().to_owned();
    let page = ivy.opens(&first).await;
    assert!(!page.body.contains("Fewer than two"), "{}", page.body);
    ivy.fills(book, &at("15:00")).await.taken();
    for (name, hours) in [
        ("Bea Lund", (480, 720)),
        ("Cal Ford", (480, 720)),
        ("Dot Hale", (720, 1020)),
        ("Eli Marsh", (720, 1020)),
    ] {
        helps(&site, name, "2026-09-26", hours).await;
    }
    let mut steward = site.browser(site.steward).await;
    let roster = "/days/2026-09-26/roster";
    let page = steward.opens(roster).await;
    page.says("08:00 to 12:00");
    assert!(
        !page.body.contains("fewer than two people"),
        "{}",
        page.body
    );
    let page = ivy.opens(&first).await;
    assert!(!page.body.contains("Fewer than two"), "{}", page.body);
    // 36 min of pressing and 10 for cleaning, from seven on: the crew comes at eight.
    let early = ivy.fills(book, &at("07:00")).await.taken().to_owned();
    ivy.opens(&early)
        .await
        .says("Fewer than two people are down for the rollers from 07:00 to 07:50.")
        .says("bring a second pair of hands");
}

#[tokio::test]
async fn one_more_day_says_what_is_kept_after_its_losses() {
    let site = TestSite::with_season().await;
    day(&site, "2026-12-14").await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    // Best on 25 September and 30 October: a day between them is early for one and late for the other.
    grows(&site, amos, "2026-06-07", 200.0).await;
    grows(&site, ida, "2026-07-12", 200.0).await;
    let of = proposed(&site, Wish::default()).await;
    let more = of.one_more_day.unwrap();
    let (takes, keeps) = (more.cane.kg(), more.kept.kg());
    assert!((takes - 400.0).abs() < 0.01, "{takes}");
    assert!(keeps < takes - 1.0 && keeps > 200.0, "{keeps} of {takes}");
    let mut steward = site.browser(site.steward).await;
    steward
        .opens(PROPOSAL)
        .await
        .says("would take 881.8 lb of it and keep the sugar of ");
}

#[tokio::test]
async fn what_no_plan_could_spare_or_better_is_never_spared_or_bettered_by_another_plan() {
    for kg in [1500.0, 1800.0, 2000.0, 2100.0, 2150.0, 2200.0, 2225.0] {
        let site = TestSite::with_season().await;
        pan(&site).await;
        for date in ["2026-09-26", "2026-10-13"] {
            day(&site, date).await;
        }
        let (amos, _) = site.person("Amos Trout", Role::Member).await;
        grows(&site, amos, "2026-06-08", kg).await;
        let free = proposed(&site, Wish::default()).await;
        let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
        let shut = (PressDate::parse("2026-10-13").unwrap(), true);
        forbidden_days::say(&site.act(), season, shut)
            .await
            .unwrap();
        let one = proposed(&site, Wish::default()).await;
        // By the season's own weights a day more is only taken where it pays.
        let cost = |of: &canewright::facts::season::proposal::SeasonProposal| {
            let used = of.days.iter().filter(|d| !d.turns.is_empty());
            let days: f64 = used.map(|_| of.weights.opening().kg()).sum();
            of.costs.lost_kg + days
        };
        let (_, lost, least) = free.worst.unwrap();
        let (_, other, _) = one.worst.unwrap();
        assert!(
            least <= lost + 1e-9 && least <= other + 1e-6,
            "{kg}: {least} of {lost}, {other}"
        );
        assert!(
            one.kept <= free.kept + free.more + 1e-6 || !free.exact,
            "{kg}"
        );
        assert!(
            free.more <= lost - least + 1e-9,
            "{kg}: {} of {lost}, {least}",
            free.more
        );
        assert!(
            cost(&free) <= cost(&one) + 0.05 * 400.0,
            "{kg}: {} {}",
            cost(&free),
            cost(&one)
        );
    }
}

#[tokio::test]
async fn a_day_is_not_closed_where_its_cane_finds_no_room_on_the_others() {
    let site = TestSite::with_season().await;
    pan(&site).await;
    for date in ["2026-09-26", "2026-10-03"] {
        day(&site, date).await;
    }
    // By its minutes one day presses all of it; but the last one's juice is boiled alone, for which that day's pan has no time.
    for name in ["Amos", "Bea", "Cal", "Dee", "Eli", "Fay", "Gus", "Minnie"] {
        let (member, _) = site.person(name, Role::Member).await;
        grows(&site, member, "2026-06-10", 290.0).await;
    }
    site.sql("update members set pools = 0 where name = 'Minnie'")
        .await;
    let of = proposed(&site, Wish::default()).await;
    let used = of.days.iter().filter(|day| !day.turns.is_empty()).count();
    let (_, lost, _) = of.worst.unwrap();
    assert!(used == 2 && lost < 0.1, "{used} days, {lost}");
}
