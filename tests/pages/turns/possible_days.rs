//! Days that are possible, who can come on them, the season proposed around it, and the roster.

use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::season::seasons;
use canewright::units::{Cents, PressDate, Role, SeasonId};

const POSSIBLE: &str = "/seasons/2026/possible-days";
const PROPOSAL: &str = "/seasons/2026/proposal";

async fn possible(steward: &mut Browser, date: &str, until: &str, weekday: &str) {
    steward.opens(POSSIBLE).await;
    let fields = [
        ("date", date),
        ("until", until),
        (weekday, "yes"),
        ("opens", "7:00"),
        ("closes", "17:00"),
        ("mill_per_h", "500"),
        ("changeover", "10"),
    ];
    steward.sends(POSSIBLE, &fields).await.taken();
}

async fn planted(browser: &mut Browser, member: &str, on: &str) {
    let new = format!("/members/{member}/plantings/new");
    let fields = [
        ("variety", "Dale"),
        ("planted_on", on),
        ("row", "300"),
        ("days", "110"),
    ];
    browser.fills(&new, &fields).await.taken();
}

async fn says(browser: &mut Browser, member: &str, fields: &[(&str, &str)]) {
    let page = format!("/members/{member}/days");
    browser.opens(&page).await;
    let days = browser.hidden("days");
    let mut all = vec![("days", days.as_str())];
    all.extend_from_slice(fields);
    assert_eq!(browser.sends(&page, &all).await.taken(), page);
}

#[tokio::test]
async fn possible_days_are_added_by_weekday_and_taken_off_again() {
    let site = TestSite::with_season().await;
    let mut steward = site.browser(site.steward).await;
    // Saturdays from 19 September: that one is a press day already and stays as it is.
    possible(&mut steward, "2026-09-19", "2026-10-04", "on-sat").await;
    assert_eq!(
        site.text("select group_concat(date) from possible_days")
            .await,
        "2026-09-26,2026-10-03"
    );
    steward.opens(POSSIBLE).await.says("Sat 3 Oct 2026");
    let remove = format!("{POSSIBLE}/remove");
    let days = steward.hidden("days");
    steward
        .sends(&remove, &[("days", days.as_str())])
        .await
        .refused(
            StatusCode::CONFLICT,
            "Please tick the days to take off the list.",
        );
    let off = [("days", days.as_str()), ("off-2026-09-26", "yes")];
    steward.sends(&remove, &off).await.taken();
    assert_eq!(site.count("select count(*) from possible_days").await, 1);
    // What cannot be stands beside its box, and what was typed stays.
    steward.opens(POSSIBLE).await;
    let wrong = [
        ("date", "2026-10-10"),
        ("until", "2027-01-02"),
        ("opens", "7"),
        ("closes", "6"),
        ("mill_per_h", "much"),
        ("changeover", "10"),
    ];
    steward
        .sends(POSSIBLE, &wrong)
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please tick at least one weekday.",
        )
        .says("value=\"2027-01-02\"");
    let other_year = [
        ("date", "2026-10-10"),
        ("until", "2027-01-02"),
        ("on-sat", "yes"),
        ("opens", "7:00"),
        ("closes", "17:00"),
        ("mill_per_h", "500"),
        ("changeover", "10"),
    ];
    steward
        .sends(POSSIBLE, &other_year)
        .await
        .refused(StatusCode::CONFLICT, "not in the season of 2026");
}

#[tokio::test]
async fn a_member_says_which_days_are_possible_for_oneself_only() {
    let site = TestSite::with_season().await;
    let (amos, mut own) = site.person("Amos Trout", Role::Member).await;
    let (_, mut other) = site.person("Ida Finch", Role::Member).await;
    let page = format!("/members/{amos}/days");
    other.opens(&page).await.refused(StatusCode::NOT_FOUND, "");
    let mut steward = site.browser(site.steward).await;
    possible(&mut steward, "2026-09-26", "2026-09-26", "on-sat").await;
    own.opens(&page)
        .await
        .says("Sat 19 Sep 2026")
        .says("Press day, 07:00 to 17:00")
        .says("Possible, 07:00 to 17:00");
    let days = own.hidden("days");
    let backwards = [
        ("days", days.as_str()),
        ("brings-2026-09-26", "yes"),
        ("from-2026-09-26", "14:00"),
        ("to-2026-09-26", "9:00"),
    ];
    own.sends(&page, &backwards)
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "later than the one before it",
        )
        .says("value=\"14:00\"");
    let said = [
        ("helps-2026-09-26", "yes"),
        ("from-2026-09-26", "9:00"),
        ("task-feed", "yes"),
    ];
    says(&mut own, &amos.to_string(), &said).await;
    assert_eq!(
        site.text("select group_concat(date || brings || helps || coalesce(from_min, '-'), ' ') from day_answers").await,
        "2026-09-1900- 2026-09-2601540"
    );
    own.opens(&page).await.says("value=\"09:00\"");
}

#[tokio::test]
async fn the_proposal_goes_by_who_can_come_and_a_possible_day_becomes_a_press_day_when_members_are_asked()
 {
    let site = TestSite::with_season().await;
    let (amos, mut own) = site.person("Amos Trout", Role::Member).await;
    planted(&mut own, &amos.to_string(), "2026-06-04").await;
    let mut steward = site.browser(site.steward).await;
    // Best on 22 September; Tuesdays are possible.
    possible(&mut steward, "2026-09-22", "2026-09-30", "on-tue").await;
    steward
        .opens(PROPOSAL)
        .await
        .says("it becomes a press day when the members are asked");
    assert!(steward.hidden("turns").starts_with("2026-09-22 "));
    // Not before noon.
    let noon = [("brings-2026-09-22", "yes"), ("from-2026-09-22", "12:00")];
    says(&mut own, &amos.to_string(), &noon).await;
    steward.opens(PROPOSAL).await;
    assert!(steward.hidden("turns").starts_with("2026-09-22 12:00 "));
    // Not on that day at all.
    says(&mut own, &amos.to_string(), &[("brings-2026-09-29", "yes")]).await;
    steward.opens(PROPOSAL).await;
    assert!(steward.hidden("turns").starts_with("2026-09-29 "));
    // One helper says nothing yet of the crew; two who can help another day leave this one without.
    let (ida, mut ida_browser) = site.person("Ida Finch", Role::Member).await;
    says(
        &mut ida_browser,
        &ida.to_string(),
        &[("helps-2026-09-29", "yes")],
    )
    .await;
    steward.opens(PROPOSAL).await;
    assert!(steward.hidden("turns").starts_with("2026-09-29 "));
    let both = [("brings-2026-09-29", "yes"), ("helps-2026-09-22", "yes")];
    says(&mut own, &amos.to_string(), &both).await;
    steward.opens(PROPOSAL).await.says("1 can help: too few");
    assert_eq!(steward.hidden("turns"), "");
    // Two who hand jars over and do nothing else are no crew at the rollers.
    let jars = [
        ("brings-2026-09-29", "yes"),
        ("helps-2026-09-29", "yes"),
        ("task-hand_over", "yes"),
    ];
    says(&mut own, &amos.to_string(), &jars).await;
    says(&mut ida_browser, &ida.to_string(), &jars).await;
    steward
        .opens(PROPOSAL)
        .await
        .says("2 can help, 0 of them at the rollers: too few");
    assert_eq!(steward.hidden("turns"), "");
    says(
        &mut ida_browser,
        &ida.to_string(),
        &[("helps-2026-09-29", "yes"), ("task-feed", "yes")],
    )
    .await;
    let both = [
        ("brings-2026-09-29", "yes"),
        ("helps-2026-09-29", "yes"),
        ("from-2026-09-29", "10:00"),
        ("task-feed", "yes"),
    ];
    says(&mut own, &amos.to_string(), &both).await;
    steward
        .opens(PROPOSAL)
        .await
        .says("2 can help; two or more are there from 10:00 to 17:00.");
    let turns = steward.hidden("turns");
    assert!(turns.starts_with("2026-09-29 10:00 "), "{turns}");
    let fields = [
        ("before", steward.hidden("before")),
        ("kept", steward.hidden("kept")),
        ("from", steward.hidden("from")),
        ("turns", turns),
        ("do", "ask".to_owned()),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    assert_eq!(steward.sends(PROPOSAL, &fields).await.taken(), PROPOSAL);
    assert_eq!(
        site.text("select group_concat(date) from press_days").await,
        "2026-09-19,2026-09-29"
    );
    assert_eq!(
        site.text("select group_concat(date) from possible_days")
            .await,
        "2026-09-22"
    );
    own.opens("/").await.says("Tue 29 Sep 2026");
}

/// Rules under which an hour is credited.
async fn credits_hours(site: &TestSite) {
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    let mut rules = seasons::NewRules::defaults();
    rules.hour = Cents::new(1200);
    rules.hours_most = 10;
    seasons::change_rules(&site.act(), season, 1, rules)
        .await
        .unwrap();
    let from = PressDate::parse("2026-09-19").unwrap();
    seasons::confirm(&site.act(), season, 2, from)
        .await
        .unwrap();
}

#[tokio::test]
async fn a_roster_is_proposed_saved_and_its_hours_are_credited() {
    let site = TestSite::with_season().await;
    credits_hours(&site).await;
    let roster = "/days/2026-09-19/roster";
    let mut steward = site.browser(site.steward).await;
    steward
        .opens(roster)
        .await
        .says("Nobody has said so yet.")
        .says("fewer than two people at the rollers");
    let mut people = Vec::new();
    for name in ["Amos Trout", "Ida Finch", "Zeb Ashe", "Nell Poe"] {
        let (id, mut browser) = site.person(name, Role::Member).await;
        let said = [
            ("helps-2026-09-19", "yes"),
            ("task-feed", "yes"),
            ("task-weigh", "yes"),
            ("task-boil", "yes"),
        ];
        says(&mut browser, &id.to_string(), &said).await;
        people.push((id, browser));
    }
    let page = steward.opens(roster).await;
    page.says("proposed from the people who said they can help")
        .says("Amos Trout");
    assert!(
        !page.body.contains("fewer than two people"),
        "{}",
        page.body
    );
    // As it is proposed: two at the rollers, one at the pan, one weighs, in two halves.
    let chosen = |body: &str, n: usize| -> String {
        let from = body.find(&format!("name=\"who-{n}\"")).expect("a box");
        let rest = &body[from..];
        let until = rest.find("</select>").expect("its end");
        rest[..until]
            .lines()
            .find(|l| l.contains("selected"))
            .map_or(String::new(), |line| {
                line.split('"').nth(1).unwrap_or_default().to_owned()
            })
    };
    let shifts = steward.hidden("shifts");
    let many = shifts.split(',').count();
    let who: Vec<(String, String)> = (1..=many)
        .map(|n| (format!("who-{n}"), chosen(&page.body, n)))
        .collect();
    let mut fields: Vec<(&str, &str)> = vec![("shifts", shifts.as_str())];
    fields.extend(who.iter().map(|(n, v)| (n.as_str(), v.as_str())));
    // The same person twice in the same hours is refused.
    let mut twice = fields.clone();
    twice[1].1 = &who[1].1;
    let save = format!("{roster}/save");
    steward
        .sends(&save, &twice)
        .await
        .refused(StatusCode::CONFLICT, "two things in the same hours");
    assert_eq!(steward.hidden("shifts"), shifts);
    assert_eq!(steward.sends(&save, &fields).await.taken(), roster);
    assert!(
        site.count("select count(*) from roster where member_id is not null")
            .await
            >= 8
    );
    let (amos, browser) = &mut people[0];
    browser
        .opens(roster)
        .await
        .says("07:00 to 12:00")
        .says("no loose sleeves");
    browser
        .opens("/days/2026-09-19/hours")
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    // The hours of the roster are proposed; what was worked is credited once.
    let hours = "/days/2026-09-19/hours";
    steward.opens(hours).await.says("Amos Trout, down for");
    let of_amos = format!("hours-{amos}");
    let people = steward.hidden("people");
    let worked = [("people", people.as_str()), (of_amos.as_str(), "4:30")];
    steward.sends(hours, &worked).await.taken();
    assert_eq!(
        site.text("select minutes || what from hours").await,
        "270Helped at the mill on Sat 19 Sep 2026"
    );
    steward.opens(hours).await;
    steward
        .sends(hours, &worked)
        .await
        .refused(StatusCode::CONFLICT, "are noted already");
}

#[tokio::test]
async fn a_roster_that_a_turn_booked_later_runs_past_says_so_to_all_and_a_refused_one_keeps_its_shifts()
 {
    let site = TestSite::with_season().await;
    let roster = "/days/2026-09-19/roster";
    let save = format!("{roster}/save");
    let mut steward = site.browser(site.steward).await;
    let (amos, mut amos_browser) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut ida_browser) = site.person("Ida Finch", Role::Member).await;
    let (amos, ida) = (amos.to_string(), ida.to_string());
    let two = [
        ("shifts", "feed 420 450,feed 420 450"),
        ("who-1", amos.as_str()),
        ("who-2", ida.as_str()),
    ];
    steward.opens(roster).await;
    steward.sends(&save, &two).await.taken();
    let quiet = steward.opens(roster).await;
    assert!(!quiet.body.contains("fewer than two"), "{}", quiet.body);
    let book = [("told", "weight"), ("amount", "200"), ("start", "14:00")];
    ida_browser
        .fills("/days/2026-09-19/book", &book)
        .await
        .taken();
    steward
        .opens(roster)
        .await
        .says("From 14:00 to 14:")
        .says("fewer than two people at the rollers");
    // One alone is told so on the own page, too.
    let one = [
        ("shifts", "feed 420 450,feed 840 900"),
        ("who-1", amos.as_str()),
        ("who-2", ""),
    ];
    steward.sends(&save, &one).await.taken();
    amos_browser
        .opens(roster)
        .await
        .says("From 07:00 to 07:30: nobody else is down for the rollers beside you.");
    let away = ida_browser.opens(roster).await;
    assert!(!away.body.contains("nobody else"), "{}", away.body);
    // Others than those that stand saved were sent and refused: they are shown again, each with its own person.
    let twice = [
        ("shifts", "weigh 420 450,feed 480 500,feed 480 500"),
        ("who-1", ida.as_str()),
        ("who-2", amos.as_str()),
        ("who-3", amos.as_str()),
    ];
    steward.opens(roster).await;
    let back = steward.sends(&save, &twice).await;
    back.refused(StatusCode::CONFLICT, "two things in the same hours")
        .says("Weigh cane in, measure juice, 07:00 to 07:30")
        .says("At the rollers, 08:00 to 08:20");
    assert_eq!(steward.hidden("shifts"), twice[0].1);
}

#[tokio::test]
async fn nonsense_is_refused_in_words_and_stores_nothing() {
    let site = TestSite::with_season().await;
    let mut steward = site.browser(site.steward).await;
    // A mill that runs to midnight is a press day like any other.
    steward.opens(POSSIBLE).await;
    let midnight = [
        ("date", "2026-09-26"),
        ("until", "2026-09-26"),
        ("on-sat", "yes"),
        ("opens", "0:00"),
        ("closes", "24:00"),
        ("mill_per_h", "500"),
        ("changeover", "10"),
    ];
    steward.sends(POSSIBLE, &midnight).await.taken();
    let (amos, mut own) = site.person("Amos Trout", Role::Member).await;
    let page = format!("/members/{amos}/days");
    own.opens(&page).await;
    let days = own.hidden("days");
    for (name, hour) in [("from-2026-09-26", "24:00"), ("to-2026-09-26", "0:00")] {
        own.opens(&page).await;
        let fields = [("days", days.as_str()), (name, hour)];
        own.sends(&page, &fields).await.refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "later than the one before it",
        );
    }
    // Days that nobody asked about are not kept, however many are sent.
    let many: Vec<String> = (1..=28).map(|n| format!("1999-02-{n:02}")).collect();
    let many = many.join(",");
    own.opens(&page).await;
    own.sends(&page, &[("days", many.as_str())]).await.taken();
    assert_eq!(site.count("select count(*) from day_answers").await, 0);
    // A roster of hours that no day has, or of work that there is not.
    let save = "/days/2026-09-19/roster/save";
    for shifts in [
        "feed 0 99999",
        "feed -5 60",
        "nap 0 60",
        "feed 60 60",
        "feed 1 x",
        "",
    ] {
        steward.opens("/days/2026-09-19/roster").await;
        let answer = steward.sends(save, &[("shifts", shifts)]).await;
        assert!(
            answer.status.is_client_error(),
            "{shifts}: {}",
            answer.status
        );
    }
    let long = vec!["feed 0 60"; 61].join(",");
    steward.opens("/days/2026-09-19/roster").await;
    steward
        .sends(save, &[("shifts", long.as_str())])
        .await
        .refused(StatusCode::CONFLICT, "holds at most 60 shifts");
    assert_eq!(site.count("select count(*) from roster").await, 0);
    // A planting named twice has no more cane than it has.
    planted(&mut own, &amos.to_string(), "2026-06-12").await;
    steward.opens(PROPOSAL).await;
    let turns = steward.hidden("turns");
    let named = turns.split(' ').nth(4).unwrap().to_owned();
    let twice = turns.replace(&named, &format!("{named},{named}"));
    assert_ne!(twice, turns);
    let fields = [
        ("before", steward.hidden("before")),
        ("kept", steward.hidden("kept")),
        ("from", steward.hidden("from")),
        ("turns", twice),
        ("do", "ask".to_owned()),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (*n, v.as_str())).collect();
    steward
        .sends(PROPOSAL, &fields)
        .await
        .refused(StatusCode::CONFLICT, "Nobody was asked");
    assert_eq!(site.count("select count(*) from offers").await, 0);
}
