//! What the cook says of the fire near the end.

use super::live::{lit, set_up_pan};

const ASKED: &str = "The fire is let down";

#[tokio::test]
async fn near_the_end_the_page_asks_what_becomes_of_the_fire_and_not_again_once_it_is_said() {
    // At 78 °Bx 81.3 minutes after it came to the boil; five minutes before that it is called for the refractometer.
    let mut boil = lit(106).await;
    set_up_pan(&boil.pan, &[]).await;
    for ago in (1..=76).rev().step_by(5) {
        boil.at_boil(76 - ago, ago).await;
    }
    boil.shows()
        .await
        .says("Check with the refractometer")
        .says(ASKED);
    let page = boil.page.clone();
    let said = [
        ("remark", "down"),
        ("temp", "224.5"),
        ("brix", ""),
        ("note", ""),
    ];
    boil.pan.sends(&page, "readings", &said).await.taken();
    let count = "select count(*) from boil_readings where note = 'Fire let down'";
    assert_eq!(boil.pan.site.count(count).await, 1);
    let page = boil.shows().await;
    page.says("Fire let down");
    assert!(!page.body.contains(ASKED), "{}", page.body);
}

#[tokio::test]
async fn long_before_the_end_nothing_is_asked_of_the_fire() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    for after in [0, 10, 20, 30] {
        boil.at_boil(after, 40 - after).await;
    }
    let page = boil.shows().await;
    assert!(!page.body.contains(ASKED), "{}", page.body);
}

#[tokio::test]
async fn after_long_silence_no_figure_is_told_that_nobody_can_know() {
    // By hand: 1.514 kg a minute of the 130 kg that were not solids leave nothing to drive off after 86 minutes.
    let mut boil = lit(150).await;
    set_up_pan(&boil.pan, &[]).await;
    for after in [0, 10, 20, 30] {
        boil.at_boil(after, 120 - after).await;
    }
    let page = boil.shows().await;
    page.says("now about 94 °Bx or more (")
        .says(" or more, nine times in ten)");
    assert!(!page.body.contains("94.0"), "{}", page.body);
}
