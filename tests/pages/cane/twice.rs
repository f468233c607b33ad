//! What was weighed or numbered already is not taken a second time without a word.

use super::tickets::mill;
use axum::http::StatusCode;

#[tokio::test]
async fn a_ticket_keeps_the_number_that_is_written_on_paper_and_none_is_given_twice() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    let paper = mill.weigh(&whose, "300", "40.5", &[("number", "7")]).await;
    let to = paper.taken().to_owned();
    mill.crew.opens(&to).await.says("Ticket 7");
    mill.weigh(&whose, "500", "40.5", &[("number", "7")])
        .await
        .refused(StatusCode::CONFLICT, "Ticket 7 is in the book already");
    let next = mill
        .weigh(&whose, "500", "40.5", &[])
        .await
        .taken()
        .to_owned();
    mill.crew.opens(&next).await.says("Ticket 8");
    // A digit too many is asked about, and taken once the slip is said to bear it.
    mill.weigh(&whose, "700", "40.5", &[("number", "501")])
        .await
        .refused(StatusCode::CONFLICT, "Number 501 leaves out 9 to 500")
        .says("The slip bears this number");
    let sure = [("number", "501"), ("number_sure", "yes")];
    mill.weigh(&whose, "700", "40.5", &sure).await.taken();
}

#[tokio::test]
async fn a_load_or_turn_weighed_already_is_led_to_its_ticket() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    let first = mill.weigh(&whose, "400.5", "40.5", &[]).await;
    let first = first.taken().to_owned();
    let id = first.trim_start_matches("/tickets/");
    mill.weigh(&whose, "401", "40.5", &[])
        .await
        .refused(StatusCode::CONFLICT, "go on with ticket 1")
        .says(&format!(
            "href=\"{first}\" data-twin=\"{id}\">The same load: ticket 1</a>"
        ));
    // Whoever makes the box up is led nowhere.
    let made_up = format!("{id}|1");
    let page = mill
        .weigh(&whose, "40", "40.5", &[("twin", &made_up)])
        .await;
    assert!(!page.body.contains("data-twin"), "{}", page.body);
}
