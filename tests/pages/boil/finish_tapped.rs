//! A finish that a phone kept: the time of the tap counts, and its jars have a form before the mill knows of it.

use super::boils::pan;
use crate::site::AT;
use axum::http::{HeaderName, StatusCode};

/// What is finished as usual, with the time as it is typed.
fn finish(time: &str) -> [(&'static str, &str); 6] {
    [
        ("syrup", "55"),
        ("finish_brix", "78.2"),
        ("sample", "68"),
        ("instrument", "self"),
        ("finished_at", time),
        ("finish_why", ""),
    ]
}

#[tokio::test]
async fn a_finish_without_a_time_is_of_the_tap_however_old_the_page_and_however_late_it_arrives() {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    let page = pan.crew.opens(&boil).await;
    // The box stands empty, or an old page would send the time it was opened.
    let at = page.body.find("name=\"finished_at\"").unwrap();
    let input = &page.body[at..at + page.body[at..].find('>').unwrap()];
    assert!(input.contains("value=\"\""), "{input}");
    page.says("Left empty it is your tap");
    let member = pan
        .site
        .text("select id from members where name = 'Cora Pell'")
        .await;
    // Tapped 40 minutes after the fire was lit, and arrived after an hour.
    let mut phone = pan.site.stranger_at(AT.plus(3600));
    phone.cookie.clone_from(&pan.crew.cookie);
    let headers = [
        (HeaderName::from_static("kept-by"), member),
        (
            HeaderName::from_static("kept-tapped"),
            AT.plus(2400).get().to_string(),
        ),
        (HeaderName::from_static("kept-ahead"), "0".to_owned()),
    ];
    let mut fields = finish("").to_vec();
    fields.push(("form_key", "0199653c-8f00-7abc-8def-012345678901"));
    let answer = phone
        .sends_with(&format!("{boil}/finish"), &fields, &headers)
        .await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.body);
    let stands = pan.site.count("select finished_at from finishes").await;
    assert_eq!(stands, AT.plus(2400).get());
}

#[tokio::test]
async fn a_finish_without_a_time_from_an_open_page_is_of_this_moment_and_a_time_typed_counts() {
    for (typed, stands) in [("", 1800), ("8:10", 600)] {
        let mut pan = pan().await;
        let (boil, ..) = pan.pooled().await;
        let mut later = pan.site.stranger_at(AT.plus(1800));
        later.cookie.clone_from(&pan.crew.cookie);
        later.opens(&boil).await;
        later
            .sends(&format!("{boil}/finish"), &finish(typed))
            .await
            .taken();
        let found = pan.site.count("select finished_at from finishes").await;
        assert_eq!(found, AT.plus(stands).get(), "typed {typed:?}");
    }
}

#[tokio::test]
async fn the_jars_of_a_lit_boil_have_a_form_for_phones_and_lead_everybody_else_to_the_boil() {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    let jars = format!("{boil}/jars");
    assert_eq!(pan.crew.opens(&jars).await.taken(), boil);
    let kept = [(HeaderName::from_static("kept-page"), "yes")];
    let page = pan.crew.opens_with(&jars, &kept).await;
    page.says("Jars of boil ")
        .says(&format!("action=\"{boil}/fills\""))
        .says("name=\"count_1\"")
        .says("The finish is kept on this phone");
    assert!(!page.body.contains("Drawn off: write the finish down"));
}
