//! Full jars on the scale, on the lot worked by hand in `divisions`: nine quarts of 1,360 g, whose label declares
//! 47.9 oz and 1.36 kg.

use crate::shares::divisions::{Lot, divided_lot, finished_lot};
use axum::http::StatusCode;

/// A scale for jars, in steps of a gram.
async fn with_scale(lot: &Lot) {
    lot.site
        .sql(
            "insert into scales (id, name, graduation_g, capacity_g)
            values ('01920000-0000-7000-8000-0000000000bb', 'Kitchen scale', 1, 5000)",
        )
        .await;
}

fn weights(lot: &Lot) -> String {
    format!("/boils/{}/weights", lot.code.as_str())
}

#[tokio::test]
async fn the_filling_page_says_what_the_scale_shows_and_without_a_scale_what_is_missing() {
    let mut lot = finished_lot().await;
    let path = weights(&lot);
    lot.crew
        .opens(&path)
        .await
        .says("There is no scale for jars here");
    with_scale(&lot).await;
    // 2 g over for a scale of 1,360 divisions; a jar of 1,360 g may be short by 42.6 g: 1,317.4 + 2, up to 1,320 g.
    for page in [path, format!("/boils/{}", lot.code.as_str())] {
        let page = lot.crew.opens(&page).await;
        page.says("1,362 g").says("1,320 g").says("1,404 g");
    }
}

#[tokio::test]
async fn check_weights_say_in_words_whether_the_lot_holds_and_a_short_lot_is_asked_about() {
    let mut lot = divided_lot().await;
    with_scale(&lot).await;
    let path = weights(&lot);
    lot.crew.opens(&path).await.says("Weigh 9 of them");
    let good = [
        ("kind", "1360/quart"),
        ("tare", "300"),
        ("weights", "1662 1663 1661 1664 1662 1661 1663 1662 1661"),
    ];
    lot.crew.sends(&path, &good).await.taken();
    let page = lot.crew.opens(&path).await;
    // 1,662.1 − 300: on average 1,362 g.
    page.says("The lot holds what its label says. On average 1,362 g net")
        .says("9 weighed, 9 asked for");
    // The same jars again, one of them far too light: the last weighing counts.
    let short = [
        ("kind", "1360/quart"),
        ("tare", ""),
        ("weights", "1700 1700 1700 1700 1700 1700 1700 1700 1610"),
    ];
    lot.crew.sends(&path, &short).await.taken();
    lot.crew
        .opens(&path)
        .await
        .says("Short: 1 of the jars lack more than the 43 g that a single jar may");
    // Labels ask, and so does the hand-over; whoever says so goes on.
    let sheet = format!(
        "/boils/{}/labels/sheet?jar=1360&sheet=letter-10&start=1&shape=round&high=4+in&wide=3+in",
        lot.code.as_str()
    );
    lot.crew.opens(&sheet).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "do not hold what the label says",
    );
    let page = lot.crew.opens(&format!("{sheet}&short=yes")).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    let door = format!("/members/{}/hand-over", lot.amos);
    let jar = format!("jar-{}-1360-quart", lot.code.as_str());
    let mut boxes = vec![(jar.as_str(), "1"), ("signed_by", "Amos"), ("note", "")];
    lot.crew.opens(&door).await;
    lot.crew
        .sends(&door, &boxes)
        .await
        .refused(StatusCode::CONFLICT, "do not hold what their label says")
        .says("I know that this lot is short");
    boxes.push(("short", "yes"));
    lot.crew.sends(&door, &boxes).await.taken();
}

#[tokio::test]
async fn weights_that_cannot_be_are_refused_beside_the_box() {
    let mut lot = finished_lot().await;
    with_scale(&lot).await;
    let path = weights(&lot);
    for (tare, typed, says) in [
        ("", "", "one on a line"),
        ("", "<script>", "is not a number"),
        ("", "-3", "is no weight of a jar"),
        ("", "12", "is far from a jar of 1360 g"),
        ("6000", "1661", "less than 5 kg"),
        (
            "300",
            "1661 1661 1661 1661 1661 1661 1661 1661 1661 1661",
            "has 9 of these jars",
        ),
    ] {
        lot.crew.opens(&path).await;
        let boxes = [("kind", "1360/quart"), ("tare", tare), ("weights", typed)];
        let page = lot.crew.sends(&path, &boxes).await;
        assert!(page.status.is_client_error(), "{typed}");
        page.says(says);
    }
    assert_eq!(lot.site.count("select count(*) from jar_checks").await, 0);
}
