//! Empty jars: what stands there, what was used, what the next day needs.

use crate::shares::divisions::finished_lot;
use axum::http::StatusCode;

#[tokio::test]
async fn empty_jars_are_counted_and_what_was_filled_since_is_taken_off() {
    let mut lot = finished_lot().await;
    let page = lot.crew.opens("/jars").await;
    page.says("not counted yet").says("quart").says("pint");
    let wrong = [
        ("size", "gallon"),
        ("way", ""),
        ("count", "-3"),
        ("note", ""),
    ];
    lot.crew
        .sends("/jars", &wrong)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please choose a size.")
        .says("Please say whether they stand here or came in.")
        .says("value=\"-3\"");
    assert_eq!(lot.site.count("select count(*) from empty_jars").await, 0);
    let counted = [
        ("size", "quart"),
        ("way", "counted"),
        ("count", "40"),
        ("note", "top shelf"),
    ];
    lot.crew.fills("/jars", &counted).await.taken();
    let bought = [
        ("size", "quart"),
        ("way", "bought"),
        ("count", "24"),
        ("note", ""),
    ];
    lot.crew.fills("/jars", &bought).await.taken();
    // The nine quarts and the part-jar, a quart too, were filled before they were counted.
    lot.crew
        .opens("/jars")
        .await
        .says("40 counted, 24 came in, 0 filled")
        .says(">64<")
        .says("40 empty jars counted, quart. top shelf");
    // As if the count had been made before the boil was filled.
    lot.site
        .sql("drop trigger empty_jars_stand; update empty_jars set at = 0 where number = 1")
        .await;
    lot.crew
        .opens("/jars")
        .await
        .says("40 counted, 24 came in, 10 filled")
        .says(">54<");
}
