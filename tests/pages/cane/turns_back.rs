//! A turn whose ticket was crossed out to the last load is to be weighed in again.

use crate::cane::tickets::mill;

const NEW: &str = "/days/2026-09-19/tickets/new";
const DAY: &str = "/days/2026-09-19";

#[tokio::test]
async fn a_ticket_with_every_load_crossed_out_gives_its_turn_back_and_takes_it_again_with_cane() {
    let mut mill = mill().await;
    let turn = mill.book().await;
    let (whose, way) = (format!("turn:{turn}"), format!("{NEW}?turn={turn}"));
    let ticket = mill
        .weigh(&whose, "440.5", "40.5", &[])
        .await
        .taken()
        .to_owned();
    mill.crew.opens(DAY).await.says("here: ticket 1");
    mill.crew.opens(&ticket).await;
    let undo = format!("{ticket}/loads/1/undo");
    mill.crew.sends(&undo, &[("seen", "1")]).await.taken();
    // The turn is still to come, on the day's page and at the scale; at home nothing is at the mill.
    let day = mill.crew.opens(DAY).await;
    day.says("1 still expected").says(&way);
    assert!(!day.body.contains("here: ticket 1"));
    mill.crew
        .opens(NEW)
        .await
        .says(&format!("value=\"{whose}\""));
    mill.crew
        .opens(&ticket)
        .await
        .says("Its turn was set free (Cora Pell");
    let home = mill.member.opens("/").await;
    home.says("Your turn is booked").says("crossed out");
    assert!(!home.body.contains("Your cane is at the mill"));
    // Put right it has its turn again.
    let scale = mill.site.text("select id from scales").await;
    let mut fix = vec![
        ("seen", "2"),
        ("scale", scale.as_str()),
        ("gross", "441"),
        ("tare", "40.5"),
        ("why", "it was his after all"),
    ];
    let correct = format!("{ticket}/loads/1/correct");
    mill.crew.fills(&correct, &fix).await.taken();
    mill.crew.opens(DAY).await.says("here: ticket 1");
    // Crossed out by a correction, and weighed anew by the turn: the old ticket cannot take it any more.
    fix[0] = ("seen", "3");
    fix.push(("void", "yes"));
    mill.crew.fills(&correct, &fix).await.taken();
    mill.weigh(&whose, "440.5", "40.5", &[]).await.taken();
    mill.crew.opens(DAY).await.says("here: ticket 2");
    fix.pop();
    (fix[0], fix[2]) = (("seen", "4"), ("gross", "300.5"));
    fix.push(("sure", "300.5 and 40.5"));
    mill.crew.fills(&correct, &fix).await.taken();
    let held = "select count(*) from tickets where turn_id is not null and ticket = 2";
    assert_eq!(mill.site.count(held).await, 1);
}
