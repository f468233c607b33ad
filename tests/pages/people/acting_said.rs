//! What is said after a tap for a card that is not one's own.

use super::acting::{full, two};

const BOOK: &str = "/days/2026-09-19/book";

#[tokio::test]
async fn what_a_tap_did_for_somebody_elses_card_is_said_of_that_card() {
    let mut two = two().await;
    let for_tomas = two.tomas.to_string();
    let fields = [
        ("member", for_tomas.as_str()),
        ("told", "weight"),
        ("amount", "100"),
        ("start", "9:00"),
    ];
    let said = "role=\"status\">For the card of <bdi>Tomás Reyes</bdi>: ";
    // Whoever acts for it, and the steward.
    two.ana_opens.opens(BOOK).await;
    let to = two.ana_opens.sends(BOOK, &fields).await.taken().to_owned();
    let page = two.ana_opens.opens(&to).await;
    page.says(&format!(
        "{said}the turn is booked, Sat 19 Sep 2026, 09:00–"
    ));
    assert!(!page.body.contains("Your turn is booked"));
    two.ana_opens
        .sends(&format!("{to}/cancel"), &[("why", "no car")])
        .await
        .taken();
    let page = two.ana_opens.opens(&to).await;
    page.says(&format!("{said}the turn is cancelled, Sat 19 Sep 2026, "));
    // The own card is spoken to.
    two.tomas_opens.opens(BOOK).await;
    let to = two
        .tomas_opens
        .sends(BOOK, &fields[1..])
        .await
        .taken()
        .to_owned();
    let page = two.tomas_opens.opens(&to).await;
    page.says("role=\"status\">Your turn is booked: Sat 19 Sep 2026, 09:00–");
    two.tomas_opens
        .sends(&format!("{to}/cancel"), &[("why", "no car")])
        .await
        .taken();
    full(&two.site).await;
    two.steward.opens(BOOK).await;
    let waits = [fields[0], fields[1], ("amount", "415")];
    let list = "/days/2026-09-19/waiting";
    let to = two.steward.sends(list, &waits).await.taken().to_owned();
    two.steward
        .opens(&to)
        .await
        .says(&format!("{said}it is on the waiting list."));
    two.steward.sends(&format!("{to}/leave"), &[]).await.taken();
    two.steward
        .opens(&to)
        .await
        .says(&format!("{said}it is off the waiting list."));
}
