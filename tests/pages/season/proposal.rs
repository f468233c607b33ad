//! A season proposed, its members asked, their answers.

use crate::season::seasons::with;
use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::turns::press_days;
use canewright::units::{Grams, MemberId, MinuteOfDay, Minutes, PressDate, Role, Units};

pub const PROPOSAL: &str = "/seasons/2026/proposal";

pub async fn day(site: &TestSite, date: &str) {
    let season = site.text("select id from seasons").await;
    let day = press_days::NewPressDay {
        date: PressDate::parse(date).unwrap(),
        opens: MinuteOfDay::new(420).unwrap(),
        closes: MinuteOfDay::new(1020).unwrap(),
        mill_per_h: Grams::parse("500", Units::Us).unwrap(),
        changeover: Minutes::new(10),
        note: String::new(),
    };
    let season = canewright::units::SeasonId::parse(&season).unwrap();
    press_days::plan(&site.act(), season, day).await.unwrap();
}

/// Press days on 22 and 26 September, and one planting, which is best on the 22nd.
pub async fn one_planting() -> (TestSite, MemberId, Browser) {
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-09-26"] {
        day(&site, date).await;
    }
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    (site, amos, browser)
}

pub async fn planted(browser: &mut Browser, member: &str, on: &str, row: &str) {
    let new = format!("/members/{member}/plantings/new");
    let fields = [
        ("variety", "Dale"),
        ("planted_on", on),
        ("row", row),
        ("days", "110"),
    ];
    browser.fills(&new, &fields).await.taken();
}

/// What the page's form carries, with what is pressed or ticked.
pub async fn sends(steward: &mut Browser, more: &[(&str, &str)]) -> crate::site::Answer {
    let hidden: Vec<(&str, String)> = ["before", "turns", "kept", "from"]
        .into_iter()
        .map(|name| (name, steward.hidden(name)))
        .collect();
    let mut fields: Vec<(&str, &str)> = hidden.iter().map(|(n, v)| (*n, v.as_str())).collect();
    fields.extend_from_slice(more);
    steward.sends(PROPOSAL, &fields).await
}

/// Forbids a day, or allows it again, by its button; the page after it.
pub async fn says_of_day(
    steward: &mut Browser,
    button: &str,
    more: &[(&str, &str)],
) -> crate::site::Answer {
    let mut fields = vec![("do", button)];
    fields.extend_from_slice(more);
    let to = sends(steward, &fields).await.taken().to_owned();
    steward.opens(&to).await
}

const AMOS_OFFER: &str = "select o.id from offers o join waiting w on w.id = o.waiting_id join members m on m.id = w.member_id where m.name = 'Amos Trout'";
const IDA_OFFER: &str = "select o.id from offers o join waiting w on w.id = o.waiting_id join members m on m.id = w.member_id where m.name = 'Ida Finch'";

#[tokio::test]
async fn a_season_is_proposed_its_members_are_asked_and_take_or_decline() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut amos_browser) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut ida_browser) = site.person("Ida Finch", Role::Member).await;
    // Ready 6 to 26 September and 16 September to 6 October.
    planted(&mut amos_browser, &amos.to_string(), "2026-05-29", "300").await;
    planted(&mut ida_browser, &ida.to_string(), "2026-06-08", "200").await;
    let mut steward = site.browser(site.steward).await;
    let page = steward.opens(PROPOSAL).await;
    page.says("2 plantings are without a turn; 2 turns are proposed, on 1 of 1 days.")
        .says("Sat 26 Sep 2026")
        .says("Ask the members: 2 turns");
    assert_eq!(page.status, StatusCode::OK);
    let asked = sends(&mut steward, &[("do", "ask")]).await;
    assert_eq!(asked.taken(), PROPOSAL);
    for asked in [
        "select count(*) from offers where answer is null",
        "select count(*) from notices where kind = 'offer'",
    ] {
        assert_eq!(site.count(asked).await, 2, "{asked}");
    }
    // Nobody is asked twice for the same cane; who was asked for what stands there, as a list and in the picture.
    let waiting = steward.opens(PROPOSAL).await;
    waiting
        .says("2 turns are asked about and not answered yet")
        .says("asked, may answer by")
        .says("a ring, a day asked about");
    assert!(!waiting.body.contains("has its turn"), "{}", waiting.body);
    let (_, asked) = waiting.body.split_once("Booked and asked").unwrap();
    assert!(asked.contains("<bdi>Amos Trout</bdi>") && asked.contains("<bdi>Ida Finch</bdi>"));
    assert_eq!(waiting.body.matches("<circle class=\"bar-pan\"").count(), 2);
    // The letter names the planting and all three answers.
    let words = site
        .text("select words from notices where kind = 'offer' limit 1")
        .await;
    assert!(
        words.contains("for your Dale")
            && words.contains("another day")
            && words.contains("this year"),
        "{words}"
    );
    let take = |offer: String| format!("/offers/{offer}/take");
    let offer = site.text(AMOS_OFFER).await;
    amos_browser
        .opens("/")
        .await
        .says("Sat 26 Sep 2026")
        .says("for the Dale:");
    amos_browser.sends(&take(offer), &[]).await.taken();
    assert_eq!(
        site.count("select count(*) from turns where state = 'held'")
            .await,
        1
    );
    let offer = site.text(IDA_OFFER).await;
    ida_browser
        .opens("/")
        .await
        .says("Sat 26 Sep 2026")
        .says("Another day")
        .says("Not this year");
    ida_browser
        .sends(&format!("/offers/{offer}/another-day"), &[])
        .await
        .taken();
    steward
        .opens(PROPOSAL)
        .await
        .says("1 turn is booked")
        .says("1 turn was not taken")
        .says("not wanted");
    // For another day: that day is not possible for her any more. Then it is, and is proposed again; what was taken stays.
    steward
        .opens(PROPOSAL)
        .await
        .says("The member cannot come on the press days that are near enough.");
    site.sql("delete from day_answers").await;
    steward
        .opens(PROPOSAL)
        .await
        .says("1 planting is without a turn; 1 turn is proposed")
        .says("Ida Finch");
    sends(&mut steward, &[("do", "ask")]).await.taken();
    let offer = site
        .text("select id from offers where answer is null")
        .await;
    let plantings = format!("/members/{ida}/plantings");
    ida_browser.opens("/").await;
    let gone = ida_browser
        .sends(&format!("/offers/{offer}/not-this-year"), &[])
        .await;
    assert_eq!(gone.taken(), plantings);
    ida_browser
        .opens(&plantings)
        .await
        .says("Nothing is on record yet");
    steward
        .opens(PROPOSAL)
        .await
        .says("Every planting on record has its turn");
    // Somebody else's offer is nobody's to answer.
    amos_browser
        .sends(&format!("/offers/{offer}/another-day"), &[])
        .await
        .refused(StatusCode::NOT_FOUND, "");
}

#[tokio::test]
async fn what_is_kept_stays_and_a_shut_day_gets_nothing() {
    let (site, _, _) = one_planting().await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    assert!(steward.hidden("turns").starts_with("2026-09-22 "));
    let shut = says_of_day(&mut steward, "forbid-2026-09-22", &[]).await;
    shut.says("moved")
        .says("before: Tue 22 Sep 2026, 07:00, ")
        .says("Against what stood here before: 1 moved.");
    assert!(steward.hidden("turns").starts_with("2026-09-26 "));
    let kept = steward.hidden("before");
    let keep = format!("keep-{}", kept.split(':').next().unwrap());
    // Held on the later day, it stays there though the better day is open again.
    let held = sends(&mut steward, &[(keep.as_str(), "yes")]).await;
    assert_eq!(held.status, StatusCode::OK);
    assert!(steward.hidden("turns").starts_with("2026-09-26 "));
    held.says("Nothing changed against what stood here before.");
    // What is kept stays also when nothing is to be proposed on its day, and that is said.
    let keeps = [(keep.as_str(), "yes")];
    says_of_day(&mut steward, "allow-2026-09-22", &keeps)
        .await
        .says("Nothing changed against what stood here before.");
    assert!(steward.hidden("turns").starts_with("2026-09-26 "));
    says_of_day(&mut steward, "forbid-2026-09-26", &keeps)
        .await
        .says("What is kept stays here, though nothing is to be proposed on this day.")
        .says("the day is forbidden: is not asked");
    assert_eq!(steward.hidden("turns"), "");
    says_of_day(&mut steward, "allow-2026-09-26", &keeps).await;
    assert!(steward.hidden("turns").starts_with("2026-09-26 "));
    // Frost written in meanwhile: what was ticked is still ticked, and the same turns are compared with.
    let carried: Vec<(&str, String)> = ["kept", "from", "before"]
        .into_iter()
        .map(|name| (name, steward.hidden(name)))
        .collect();
    let mut frost: Vec<(&str, &str)> = carried.iter().map(|(n, v)| (*n, v.as_str())).collect();
    frost.extend([
        ("early", "2026-10-01"),
        ("middle", "2026-10-11"),
        ("late", "2026-10-26"),
        ("source", "County table"),
    ]);
    let to = steward.sends("/seasons/2026/frost", &frost).await;
    let back = steward.opens(to.taken()).await;
    back.says("County table, written in by")
        .says("Nothing changed against what stood here before.");
    assert_eq!(back.body.matches(" checked").count(), 1, "{}", back.body);
    // And so over a look at the possible days.
    let (_, rest) = back
        .body
        .split_once("/seasons/2026/possible-days?kept=")
        .unwrap();
    let end = rest
        .split('"')
        .next()
        .unwrap()
        .replace("&amp;", "&")
        .replace("&#38;", "&");
    let possible = format!("/seasons/2026/possible-days?kept={end}");
    let days = steward.opens(&possible).await;
    assert!(
        days.body.contains("/seasons/2026/proposal?kept="),
        "{}",
        days.body
    );
}

#[tokio::test]
async fn room_that_was_taken_meanwhile_asks_nobody_and_says_so() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    let (_, mut other) = site.person("Ida Finch", Role::Member).await;
    let mut steward = site.browser(site.steward).await;
    steward.opens(PROPOSAL).await;
    let book = "/days/2026-09-26/book";
    let first = [("told", "weight"), ("amount", "1000"), ("start", "07:00")];
    other.fills(book, &first).await.taken();
    sends(&mut steward, &[("do", "ask")])
        .await
        .refused(StatusCode::CONFLICT, "Nobody was asked");
    assert_eq!(site.count("select count(*) from offers").await, 0);
}

#[tokio::test]
async fn cane_that_no_day_suits_is_named_and_frost_dates_are_looked_at() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    // Ready from 19 November on.
    planted(&mut browser, &amos.to_string(), "2026-08-11", "300").await;
    browser
        .opens(PROPOSAL)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let mut steward = site.browser(site.steward).await;
    steward
        .opens(PROPOSAL)
        .await
        .says("Left without a day")
        .says("No press day lies near enough to the days it is ready.");
    let frost = "/seasons/2026/frost";
    let faulty = [
        ("early", "2026-10-11"),
        ("middle", "2026-10-01"),
        ("late", "soon"),
        ("source", ""),
    ];
    steward
        .sends(frost, &faulty)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "year-month-day")
        .says("value=\"2026-10-11\"");
    let order = [
        ("early", "2026-10-11"),
        ("middle", "2026-10-01"),
        ("late", "2026-10-26"),
        ("source", "County table"),
    ];
    steward
        .sends(frost, &order)
        .await
        .refused(StatusCode::CONFLICT, "not before the early one");
    let right = [
        ("early", "2026-10-01"),
        ("middle", "2026-10-11"),
        ("late", "2026-10-26"),
        ("source", "County table"),
    ];
    steward.opens(PROPOSAL).await;
    steward.sends(frost, &right).await.taken();
    steward
        .opens(PROPOSAL)
        .await
        .says("County table, written in by");
    // With frost on record, what is typed wrong comes back as it was typed, and is told once.
    let emptied = [
        ("early", "2026-10-03"),
        ("middle", "2026-10-12"),
        ("late", "2026-10-27"),
        ("source", ""),
    ];
    let again = steward.sends(frost, &emptied).await;
    again
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box.")
        .says("value=\"2026-10-03\"");
    assert!(!again.body.contains("value=\"County table\""));
    assert_eq!(again.body.matches("Nothing was stored yet.").count(), 1);
}

#[tokio::test]
async fn more_cane_than_the_season_can_press_is_told_with_what_one_more_day_would_take() {
    let site = TestSite::with_season().await;
    day(&site, "2026-09-26").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-08", "6000").await;
    let mut steward = site.browser(site.steward).await;
    let page = steward.opens(PROPOSAL).await;
    page.says("1 planting is without a turn; ")
        .says("proposed, on 1 of 1 days.")
        .says("Left without a day")
        .says("The days that suit it have no room left.")
        // On its best day, 26 September, there is one already: the day before or after loses as little.
        .says("One more press day like the last, on Fri 25 Sep 2026, would take");
    let (_, left) = page.body.split_once("Left without a day").unwrap();
    assert!(left.contains("<bdi>Amos Trout</bdi>"));
    // The same with a day on which nothing may be proposed: who is left out is named with that reason.
    says_of_day(&mut steward, "forbid-2026-09-26", &[])
        .await
        .says("On the press days near enough nothing may be proposed.");
}

#[tokio::test]
async fn a_member_who_can_come_on_no_day_is_named_and_others_are_proposed() {
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-09-26"] {
        day(&site, date).await;
    }
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut other) = site.person("Ida Finch", Role::Member).await;
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    planted(&mut other, &ida.to_string(), "2026-06-04", "300").await;
    site.sql(
        "insert into day_answers (season_id, member_id, date, brings, helps, by_id, at) select s.id, m.id, d.date, 0, 0, m.id, 0 \
         from seasons s, members m, press_days d where m.name = 'Amos Trout'",
    )
    .await;
    let mut steward = site.browser(site.steward).await;
    let page = steward.opens(PROPOSAL).await;
    page.says("2 plantings are without a turn; 1 turn is proposed, on 1 of 2 days.")
        .says("The member cannot come on the press days that are near enough.");
    let (put, left) = page.body.split_once("Left without a day").unwrap();
    assert!(left.contains("<bdi>Amos Trout</bdi>") && !left.contains("<bdi>Ida Finch</bdi>"));
    assert!(put.contains("<bdi>Ida Finch</bdi></td>"));
}

#[tokio::test]
async fn what_counts_how_much_is_voted_with_the_rules_and_the_proposal_goes_by_it() {
    let site = TestSite::with_season().await;
    for date in ["2026-09-22", "2026-09-29"] {
        day(&site, date).await;
    }
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (ida, mut other) = site.person("Ida Finch", Role::Member).await;
    // Best on 22 and 29 September: a week off costs 2 % of some 410 kg, and a day's crew much more.
    planted(&mut browser, &amos.to_string(), "2026-06-04", "300").await;
    planted(&mut other, &ida.to_string(), "2026-06-11", "300").await;
    let mut steward = site.browser(site.steward).await;
    steward
        .opens(PROPOSAL)
        .await
        .says("2 turns are proposed, on 1 of 2 days.")
        .says("a day that the crew opens as 220.5 lb");
    let rules = "/seasons/2026/rules";
    steward
        .fills(
            rules,
            &with(&[("weigh_step", "0"), ("weigh_early", "lots")]),
        )
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please write a percentage from 1 to 50.",
        )
        .says("value=\"lots\"");
    let free = [
        ("weigh_day", "0"),
        ("weigh_person", "0"),
        ("weigh_short", "0"),
    ];
    steward.fills(rules, &with(&free)).await.taken();
    let from = [("holds_from", "2026-09-19")];
    let confirm = "/seasons/2026/rules/2/confirm";
    steward.opens("/seasons/2026").await;
    steward.sends(confirm, &from).await.taken();
    steward
        .opens(PROPOSAL)
        .await
        .says("2 turns are proposed, on 2 of 2 days.")
        .says("for each day after 2.5 %");
    browser
        .opens("/seasons/2026")
        .await
        .says("0.0 lb of cane, for 4 people")
        .says("with a crew of four, a day counts about a hundred kilograms")
        .says("Sugar lost for each day cut too late: 1.8 % → 2.5 %");
    // The season after it begins with what this one ended with.
    steward.opens("/seasons").await;
    steward.sends("/seasons", &[("year", "2027")]).await.taken();
    let kept = "select w.late_pct || ' ' || w.day_g from season_weights w join season_rules r on r.id = w.rules_id \
                join seasons s on s.id = r.season_id where s.year = 2027";
    assert_eq!(site.text(kept).await, "2.5 0");
}
