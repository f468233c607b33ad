//! Once the fire is drawn; a figure that stands alone; the call on the crew's pages.

use super::live::{Watched, lit, set_up_pan};
use axum::http::StatusCode;
use canewright::calc::boil::fire::on_fire::FIRE_DRAWN;

/// A boil that was read for 76 minutes at the boil, the last time so many minutes ago.
async fn read_until(minutes_ago: i64) -> Watched {
    let boil = lit(106 + minutes_ago).await;
    set_up_pan(&boil.pan, &[]).await;
    for after in (0..=76).step_by(4) {
        boil.at_boil(after, 76 - after + minutes_ago).await;
    }
    boil
}

#[tokio::test]
async fn a_drawn_fire_is_neither_overdue_nor_past_and_rings_no_more() {
    let mut boil = read_until(25).await;
    boil.read(20, None, Some(77.5)).await;
    boil.shows().await.says("No reading since");
    boil.remarks(19, FIRE_DRAWN).await;
    let page = boil.shows().await;
    page.says("data-weight=\"\" data-words=\"The fire is drawn\" data-next=\"0\"")
        .says("Cool a drop");
    for gone in [
        "No reading since",
        "Read it now",
        "Past the target",
        "Draw the fire at once",
        "The pan drives off",
    ] {
        assert!(!page.body.contains(gone), "{gone}: {}", page.body);
    }
    let call = "The fire is drawn";
    boil.pan.crew.opens("/").await.says(call);
    boil.pan.crew.opens("/boils").await.says(call);
}

#[tokio::test]
async fn the_call_stands_on_the_crews_pages() {
    let mut boil = read_until(0).await;
    let call = "Check with the refractometer";
    boil.pan.crew.opens("/").await.says(call);
    boil.pan.crew.opens("/boils").await.says(call);
    boil.read(0, None, Some(80.0)).await;
    boil.read(0, None, Some(80.4)).await;
    boil.shows().await.says("Past the target");
}

#[tokio::test]
async fn a_confirmed_drop_past_the_target_is_not_answered_by_on_its_way() {
    let mut boil = lit(70).await;
    set_up_pan(&boil.pan, &[]).await;
    for after in [0, 10, 20, 30] {
        boil.at_boil(after, 40 - after).await;
    }
    let page = boil.page.clone();
    let typed = [("temp", ""), ("brix", "80.0"), ("note", "")];
    boil.pan
        .sends(&page, "readings", &typed)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "80.0, really?");
    let sure = [typed[0], typed[1], typed[2], ("sure", "80.0")];
    boil.pan.sends(&page, "readings", &sure).await.taken();
    let page = boil.shows().await;
    page.says("Read back and confirmed")
        .says("Cool another and read it at once");
    for quiet in ["On its way", "Too early", "when the next one is due"] {
        assert!(!page.body.contains(quiet), "{quiet}: {}", page.body);
    }
}

#[tokio::test]
async fn a_fire_drawn_half_way_is_not_told_as_done_to_the_member() {
    let mut boil = lit(40).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.member
        .opens("/")
        .await
        .says("It is too early to tell when it will be done: too few readings have been noted.");
    for after in [0, 4, 8] {
        boil.at_boil(after, 10 - after).await;
    }
    boil.remarks(1, FIRE_DRAWN).await;
    for page in ["/".to_owned(), boil.page.clone()] {
        let said = boil.member.opens(&page).await;
        said.says("Its fire was drawn at").says("it is not done");
        assert!(!said.body.contains("done about now"), "{page}");
    }
}

#[tokio::test]
async fn of_a_fire_drawn_before_anything_was_read_no_readings_are_named() {
    let mut boil = lit(40).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.remarks(5, FIRE_DRAWN).await;
    for page in ["/".to_owned(), boil.page.clone()] {
        let said = boil.member.opens(&page).await;
        said.says("Its fire was drawn at 07:55")
            .says("and no reading was noted before.");
        assert!(!said.body.contains("by its readings"), "{page}");
    }
}
