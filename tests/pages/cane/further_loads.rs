//! What is asked at the scale after the first load: another load, a load put right, a member who walks in.

use super::tickets::mill;
use axum::http::StatusCode;

#[tokio::test]
async fn the_turn_is_held_against_all_loads_of_its_ticket_and_against_corrections() {
    let mut mill = mill().await;
    let turn = format!("turn:{}", mill.book().await);
    let scale = mill.site.text("select id from scales").await;
    let ticket = mill.weigh(&turn, "440.5", "40.5", &[]).await;
    let ticket = ticket.taken().to_owned();
    let load = |gross, tare, sure, another| {
        [
            ("scale", scale.as_str()),
            ("gross", gross),
            ("tare", tare),
            ("sure", sure),
            ("another", another),
        ]
    };
    let more = format!("{ticket}/loads/new");
    // Four hundred pounds were expected, and stand there already.
    mill.crew
        .fills(&more, &load("440.5", "40.5", "", ""))
        .await
        .refused(
            StatusCode::CONFLICT,
            "400.0 lb net, 800.0 lb with what this ticket has already, is more than the 400.0 lb that the turn expects",
        )
        .says("Yes, it is so: 440.5 and 40.5");
    // A tare ten times off is asked about on further loads as on the first.
    mill.crew
        .fills(&more, &load("500.5", "405", "", ""))
        .await
        .refused(
            StatusCode::CONFLICT,
            "A tare of 405.0 lb: it was 40.5 lb last",
        );
    let count = "select count(*) from loads";
    assert_eq!(mill.site.count(count).await, 1);
    // So is one in a correction, and what it makes of the turn.
    let fix = format!("{ticket}/loads/1/correct");
    let right = |gross, tare, sure| {
        let mut boxes = load(gross, tare, sure, "").to_vec();
        boxes.extend([("seen", "1"), ("why", "read again")]);
        boxes
    };
    mill.crew
        .fills(&fix, &right("440.5", "4.5", ""))
        .await
        .refused(
            StatusCode::CONFLICT,
            "A tare of 4.5 lb: it was 40.5 lb last",
        );
    mill.crew
        .fills(&fix, &right("240.5", "40.5", ""))
        .await
        .refused(
            StatusCode::CONFLICT,
            "200.0 lb net is less than the 400.0 lb",
        );
    assert_eq!(mill.site.count(count).await, 1);
    mill.crew
        .fills(&fix, &right("240.5", "40.5", "240.5 and 40.5"))
        .await
        .taken();
    // What is left of the turn is asked about no more.
    mill.crew
        .fills(&more, &load("240", "40.5", "", "yes"))
        .await
        .taken();
    mill.crew.opens(&ticket).await.says("399.5 lb");
}

#[tokio::test]
async fn the_same_load_is_asked_about_when_it_is_added_to_its_ticket_too() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let scale = mill.site.text("select id from scales").await;
    let more = format!("{ticket}/loads/new");
    let mut load = vec![
        ("scale", scale.as_str()),
        ("gross", "400.5"),
        ("tare", "40.5"),
    ];
    mill.crew
        .fills(&more, &load)
        .await
        .refused(
            StatusCode::CONFLICT,
            "The same load? Amos Trout has 360.0 lb on ticket 1",
        )
        .says("It is another load");
    assert_eq!(mill.site.count("select count(*) from loads").await, 1);
    load.push(("another", "yes"));
    mill.crew.fills(&more, &load).await.taken();
    mill.crew.opens(&ticket).await.says("720.0 lb");
}

#[tokio::test]
async fn who_walks_in_is_held_against_the_loads_before_and_has_their_tares_as_one_tap() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    mill.weigh(&whose, "100.5", "40.5", &[]).await.taken();
    let form = mill.crew.opens("/days/2026-09-19/tickets/new").await;
    form.says(&format!("<span data-whose=\"{}\" hidden>", mill.amos))
        .says("value=\"40.5|\"")
        .says("<bdi>Amos Trout</bdi>, Sat 19 Sep 2026");
    mill.weigh(&whose, "640.5", "40.5", &[]).await.refused(
        StatusCode::CONFLICT,
        "600.0 lb net is more than the 60.0 lb that a load of this member mostly weighs",
    );
    mill.weigh(&whose, "640.5", "40.5", &[("sure", "640.5 and 40.5")])
        .await
        .taken();
}
