use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

/// 18 May + 110 days: ready 26 August to 15 September, four days before the press day.
const DALE: &[(&str, &str)] = &[
    ("variety", "Grandpa’s <sweet>"),
    ("planted_on", "2026-05-18"),
    ("row", "300"),
    ("apart", "3.5"),
    ("days", "110"),
    ("note", "creek bottom"),
];

#[tokio::test]
async fn a_member_notes_a_planting_and_the_booking_starts_from_its_row() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    browser
        .opens("/days/2026-09-19/book")
        .await
        .says("value=\"\"");
    let new = format!("/members/{amos}/plantings/new");
    browser.opens(&new).await.says("value=\"110\"");
    let to = browser.sends(&new, DALE).await.taken().to_owned();
    browser
        .opens(&to)
        .await
        .says("Grandpa’s &#60;sweet&#62;")
        .says("Wed 26 Aug 2026 to Tue 15 Sep 2026")
        .says("300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb")
        .says("3.5 ft");
    browser
        .opens("/days/2026-09-19/book")
        .await
        .says("From the planting record: 300 ft of row")
        .says("value=\"300\"")
        .says("<option value=\"row\" selected>");
}

#[tokio::test]
async fn a_planting_with_faults_shows_each_and_stores_nothing() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let new = format!("/members/{amos}/plantings/new");
    let faulty: &[(&str, &str)] = &[
        ("variety", ""),
        ("planted_on", "May"),
        ("row", "long"),
        ("apart", "300"),
        ("days", "soon"),
    ];
    browser
        .fills(&new, faulty)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "year-month-day")
        .says("how far the rows are apart")
        .says("value=\"long\"");
    for (name, value, words) in [
        ("days", "20", "60 to 200 days"),
        ("row", "0", "more than nothing"),
        (
            "planted_on",
            "2027-05-18",
            "is still to come: today is Sat 19 Sep 2026",
        ),
        (
            "planted_on",
            "2025-05-01",
            "there is no season of 2025 here",
        ),
        (
            "planted_on",
            "31/02/2026",
            "There is no such date as 31/02/2026.",
        ),
        ("planted_on", "18/05/2026", "year-month-day"),
    ] {
        let mut one = DALE.to_vec();
        one.retain(|(n, _)| *n != name);
        one.push((name, value));
        browser
            .fills(&new, &one)
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, words);
    }
    // What cannot be read and what cannot be are told in one pass.
    let faulty = [
        ("variety", "Dale"),
        ("planted_on", "2025-05-01"),
        ("row", "0"),
        ("days", "500"),
    ];
    browser
        .fills(&new, &faulty)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "no season of 2025")
        .says("more than nothing")
        .says("60 to 200 days");
    assert_eq!(site.count("select count(*) from plantings").await, 0);
}

#[tokio::test]
async fn plantings_are_the_members_own_and_the_crews() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (_, mut other) = site.person("Ida Finch", Role::Member).await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    let new = format!("/members/{amos}/plantings/new");
    other
        .opens(&new)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    crew.fills(&new, DALE).await.taken();
    browser
        .opens(&format!("/members/{amos}/plantings"))
        .await
        .says("creek bottom");
    let id = site.text("select id from plantings").await;
    for path in ["edit", "remove"] {
        other.opens("/days/2026-09-19/book").await;
        other
            .sends(&format!("/plantings/{id}/{path}"), DALE)
            .await
            .refused(StatusCode::NOT_FOUND, "Nothing here");
    }
    // For somebody else the turn of the crew starts from that member's record.
    crew.opens("/days/2026-09-19/book").await.says("value=\"\"");
    crew.opens(&format!("/days/2026-09-19/book?member={amos}"))
        .await
        .says("From the planting record");
}

#[tokio::test]
async fn a_change_is_a_new_version_and_what_was_said_before_stays() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let mut second = site.browser(amos).await;
    let new = format!("/members/{amos}/plantings/new");
    browser.fills(&new, DALE).await.taken();
    browser.sends(&new, DALE).await.taken();
    assert_eq!(site.count("select count(*) from plantings").await, 1);
    let id = site.text("select id from plantings").await;
    let edit = format!("/plantings/{id}/edit");
    let longer = |version: &'static str| {
        let mut fields = DALE.to_vec();
        fields.retain(|(n, _)| *n != "row");
        fields.extend([("row", "450"), ("version", version)]);
        fields
    };
    second.opens(&edit).await.says("value=\"300\"");
    browser.fills(&edit, &longer("1")).await.taken();
    second
        .sends(&edit, &longer("1"))
        .await
        .refused(StatusCode::CONFLICT, "changed while you had it open")
        .says("value=\"450\"");
    second.sends(&edit, &longer("2")).await.taken();
    let versions = "select count(*) from planting_versions";
    assert_eq!(site.count(versions).await, 3);
    browser.opens(&edit).await;
    browser
        .sends(&format!("/plantings/{id}/remove"), &[])
        .await
        .taken();
    browser
        .opens(&format!("/members/{amos}/plantings"))
        .await
        .says("Nothing is on record yet");
    assert_eq!(site.count(versions).await, 4);
    browser
        .opens(&edit)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn plantings_of_last_season_are_looked_at_and_taken_over_once() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (bess, mut other) = site.person("Bess Lane", Role::Member).await;
    let new = format!("/members/{amos}/plantings/new");
    browser.fills(&new, DALE).await.taken();
    let again = format!("/members/{amos}/plantings/again");
    // The next season is not open yet.
    browser
        .opens(&again)
        .await
        .says("There is nothing to take over");
    let list = format!("/members/{amos}/plantings");
    let button = "Take over from 2026 into 2027";
    assert!(!browser.opens(&list).await.body.contains("Take over from"));
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/seasons").await;
    ruth.sends("/seasons", &[("year", "2027")]).await.taken();
    browser.opens(&list).await.says(&again).says(button);
    browser
        .opens(&again)
        .await
        .says("Grandpa’s &#60;sweet&#62;")
        .says("Tue 18 May 2027")
        .says("Nothing is stored yet")
        .says("Take 1 planting over into 2027");
    let of = "select count(*) from plantings";
    assert_eq!(site.count(of).await, 1);
    browser.sends(&again, &[]).await.taken();
    browser.sends(&again, &[]).await.taken();
    assert_eq!(site.count(of).await, 2);
    browser.opens(&again).await.says("for 2027 already");
    browser
        .sends(&again, &[])
        .await
        .refused(StatusCode::CONFLICT, "in the season of 2027 already");
    assert_eq!(site.count(of).await, 2);
    // What was taken over and then put right, or taken off, is not offered once more.
    let taken =
        "select p.id from plantings p join seasons s on s.id = p.season_id where s.year = 2027";
    let taken = site.text(taken).await;
    browser.opens(&list).await;
    browser
        .sends(&format!("/plantings/{taken}/remove"), &[])
        .await
        .taken();
    assert!(!browser.opens(&list).await.body.contains(button));
    browser.opens(&again).await.says("for 2027 already");
    browser
        .sends(&again, &[])
        .await
        .refused(StatusCode::CONFLICT, "in the season of 2027 already");
    assert_eq!(site.count(of).await, 2);
    // Nobody does it for another member, but for the crew.
    let answer = other.opens(&again).await;
    assert!(answer.status.is_client_error());
    other
        .opens(&format!("/members/{bess}/plantings/again"))
        .await
        .says("No planting of an earlier season");
}
