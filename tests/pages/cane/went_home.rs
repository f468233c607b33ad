//! A ticket closed as gone home unpressed takes juice and loads only once somebody has said that it is pressed after all.

use super::juice::measure;
use super::kept::phone_sends;
use super::tickets::{Mill, mill};
use crate::site::AT;
use axum::http::StatusCode;

const CLOSED: &str = "Cora Pell closed this ticket as gone home unpressed (Sat 19 Sep 2026 08:00): home for feed. Is its cane pressed here after all?";
const YES: (&str, &str) = ("after_all", "yes");
const JUICES: &str = "select count(*) from juices";
/// How often its end was written, and how it ends by the last of them.
const ENDS: &str = "select count(*) || ' ' || group_concat(unpressed, '') from ticket_ends";

/// A ticket of Amos that was closed as gone home.
async fn gone_home() -> (Mill, String) {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    closes(&mut mill, &ticket).await;
    (mill, ticket)
}

async fn closes(mill: &mut Mill, ticket: &str) {
    let went = [("went", "home for feed")];
    let path = format!("{ticket}/unpressed");
    mill.crew.fills(&path, &went).await.taken();
}

#[tokio::test]
async fn juice_of_a_ticket_that_went_home_asks_and_the_answer_takes_the_end_back_with_it() {
    let (mut mill, ticket) = gone_home().await;
    let blank = mill.crew.opens(&format!("{ticket}/juice/new")).await;
    blank.says(CLOSED).says(
        "name=\"after_all\" value=\"yes\"><label for=\"f-after_all\">It is pressed after all",
    );
    measure(&mut mill, &ticket, &[])
        .await
        .refused(StatusCode::CONFLICT, CLOSED)
        .says("id=\"p-after_all\"")
        .says("value=\"170\"");
    assert_eq!(mill.site.count(JUICES).await, 0);
    // A juice that is refused for another reason leaves the end as it is.
    measure(&mut mill, &ticket, &[YES, ("amount", "999")])
        .await
        .refused(StatusCode::CONFLICT, "juice from 100 of cane");
    assert_eq!(mill.site.text(ENDS).await, "1 1");
    measure(&mut mill, &ticket, &[YES]).await.taken();
    assert_eq!(mill.site.text(ENDS).await, "2 10");
    let page = mill.crew.opens(&ticket).await;
    page.says("170.0 lb").says("Measure the juice");
    assert!(!page.body.contains("Went home unpressed"), "{}", page.body);
    // Once it is taken back nothing is asked, and nothing is written again.
    let other = mill
        .site
        .text("select id from vessels where name <> 'Blue barrel'")
        .await;
    let small = [("vessel", other.as_str()), ("amount", "10"), YES];
    let small = measure(&mut mill, &ticket, &small).await;
    assert!(!small.body.contains("gone home"), "{}", small.body);
    assert_eq!(mill.site.text(ENDS).await, "2 10");
}

#[tokio::test]
async fn another_load_of_a_ticket_that_went_home_asks_the_same() {
    let (mut mill, ticket) = gone_home().await;
    let scale = mill.site.text("select id from scales").await;
    let path = format!("{ticket}/loads/new");
    mill.crew.opens(&path).await.says(CLOSED);
    let mut load = vec![
        ("scale", scale.as_str()),
        ("gross", "290.5"),
        ("tare", "40.5"),
    ];
    mill.crew
        .fills(&path, &load)
        .await
        .refused(StatusCode::CONFLICT, CLOSED);
    load.push(YES);
    mill.crew.fills(&path, &load).await.taken();
    let page = mill.crew.opens(&ticket).await;
    page.says("610.0 lb");
    assert!(!page.body.contains("Went home unpressed"), "{}", page.body);
    assert_eq!(mill.site.text(ENDS).await, "2 10");
}

#[tokio::test]
async fn juice_that_a_phone_kept_comes_back_with_the_question_and_goes_with_its_answer() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    closes(&mut mill, &ticket).await;
    let vessel = mill
        .site
        .text("select id from vessels where name = 'Blue barrel'")
        .await;
    let mut fields = vec![
        ("vessel", vessel.as_str()),
        ("kind", "mass"),
        ("amount", "170"),
        ("temp", "68"),
        ("instrument", "self"),
        ("brix_1", "15.4"),
        ("brix_2", "15.6"),
    ];
    let path = format!("{ticket}/juice/new");
    let mut crew = mill.site.stranger_at(AT.plus(1800));
    crew.cookie.clone_from(&mill.crew.cookie);
    // Tapped before Cora closed it, sent after.
    let asked = phone_sends(&mill, &mut crew, (&path, &fields, 1), (0, 0)).await;
    asked
        .refused(StatusCode::CONFLICT, CLOSED)
        .says("It is pressed after all");
    fields.push(YES);
    let taken = phone_sends(&mill, &mut crew, (&path, &fields, 1), (0, 0)).await;
    assert_eq!(taken.status, StatusCode::CREATED, "{}", taken.body);
    assert_eq!(mill.site.text(ENDS).await, "2 10");
}

#[tokio::test]
async fn the_page_of_a_ticket_that_went_home_offers_the_way_back_before_anything_else() {
    let (mut mill, ticket) = gone_home().await;
    let page = mill.crew.opens(&ticket).await;
    page.says("Went home unpressed");
    for way in ["Measure the juice", "Weigh another load"] {
        assert!(!page.body.contains(way), "{way}: {}", page.body);
    }
    let (before, _) = page.body.split_once("Not theirs, or not pressed?").unwrap();
    assert!(
        before.contains("<button class=\"do \">It is pressed after all"),
        "{before}"
    );
    let back = format!("{ticket}/unpressed/back");
    mill.crew.sends(&back, &[]).await.taken();
    mill.crew
        .opens(&ticket)
        .await
        .says("Measure the juice")
        .says("Weigh another load");
}

#[tokio::test]
async fn a_juice_that_never_was_does_not_stand_again_on_a_ticket_that_went_home() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let juice = measure(&mut mill, &ticket, &[]).await.taken().to_owned();
    let fix = format!("{juice}/correct");
    let right = |seen, amount, void, after| {
        [
            ("seen", seen),
            ("kind", "mass"),
            ("amount", amount),
            ("temp", "68"),
            ("instrument", "self"),
            ("brix_1", "15.4"),
            ("brix_2", "15.6"),
            ("void", void),
            ("why", "another ticket’s"),
            ("after_all", after),
        ]
    };
    mill.crew
        .fills(&fix, &right("1", "170", "yes", ""))
        .await
        .taken();
    closes(&mut mill, &ticket).await;
    mill.crew.opens(&juice).await;
    mill.crew
        .sends(&format!("{juice}/undo"), &[])
        .await
        .refused(
            StatusCode::CONFLICT,
            "Please take that back on its ticket first.",
        );
    mill.crew
        .fills(&fix, &right("2", "168", "", ""))
        .await
        .refused(StatusCode::CONFLICT, CLOSED)
        .says("It is pressed after all");
    assert_eq!(mill.site.text(ENDS).await, "1 1");
    mill.crew
        .fills(&fix, &right("2", "168", "", "yes"))
        .await
        .taken();
    assert_eq!(mill.site.text(ENDS).await, "2 10");
    mill.crew.opens(&ticket).await.says("168.0 lb");
}
