//! What phones kept before they sent it: when it was tapped, when it arrived, by a clock that may be wrong.

use super::tickets::{Mill, mill};
use crate::site::{AT, Answer, Browser};
use axum::http::{HeaderName, StatusCode};

/// A key such as a phone makes.
fn key(n: u8) -> String {
    format!("0199653c-8f00-7abc-8def-0123456789{n:02x}")
}

/// What Cora's phone sends, tapped so many seconds before it arrives, by a clock so many seconds ahead.
pub async fn phone_sends(
    mill: &Mill,
    crew: &mut Browser,
    (path, fields, n): (&str, &[(&str, &str)], u8),
    (before, ahead): (i64, i64),
) -> Answer {
    let cora = mill
        .site
        .text("select id from members where name = 'Cora Pell'")
        .await;
    let tapped = AT.get() - before + ahead;
    let headers = [
        (HeaderName::from_static("kept-by"), cora),
        (HeaderName::from_static("kept-tapped"), tapped.to_string()),
        (HeaderName::from_static("kept-ahead"), ahead.to_string()),
    ];
    let key = key(n);
    let mut fields = fields.to_vec();
    fields.push(("form_key", &key));
    crew.sends_with(path, &fields, &headers).await
}

#[tokio::test]
async fn the_page_of_a_juice_says_when_a_phone_tapped_it_when_it_arrived_and_how_wrong_its_clock_was()
 {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let vessel = mill
        .site
        .text("select id from vessels where name = 'Blue barrel'")
        .await;
    // Its cane was weighed an hour before.
    mill.site
        .sql("insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, void, why, by_id, at, weighed_at, trailer) select ticket_id, number, 2, scale_id, graduation_g, gross_g, tare_g, void, 'time put right', by_id, at, at - 3600, trailer from loads")
        .await;
    let fields = [
        ("vessel", vessel.as_str()),
        ("kind", "mass"),
        ("amount", "170"),
        ("temp", "68"),
        ("instrument", "self"),
        ("brix_1", "15.4"),
        ("brix_2", "15.6"),
        ("sediment", ""),
        ("pressed", ""),
    ];
    let path = format!("{ticket}/juice/new");
    let mut crew = mill.site.stranger_at(AT);
    crew.cookie.clone_from(&mill.crew.cookie);
    let answer = phone_sends(&mill, &mut crew, (&path, &fields, 1), (20 * 60, 3 * 3600)).await;
    assert_eq!(answer.status, StatusCode::CREATED, "{}", answer.body);
    mill.crew.opens(&answer.to).await.says(
        "(tapped 07:40 on a phone without network; it arrived 08:00; its clock was 3 h fast, which is taken off)",
    );
}

#[tokio::test]
async fn juice_of_a_ticket_whose_only_load_was_undone_comes_back_with_its_form_and_the_way_to_the_scale()
 {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    mill.crew.opens(&ticket).await;
    let undo = format!("{ticket}/loads/1/undo");
    mill.crew.sends(&undo, &[("seen", "1")]).await.taken();
    let vessel = mill
        .site
        .text("select id from vessels where name = 'Blue barrel'")
        .await;
    let fields = [
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
    let back = phone_sends(&mill, &mut crew, (&path, &fields, 1), (0, 0)).await;
    back.refused(StatusCode::CONFLICT, "Please weigh the cane first.")
        .says(&format!("name=\"form_key\" value=\"{}\"", key(1)))
        .says(&format!(
            "href=\"{ticket}/loads/new\" data-first=\"yes\">Weigh its cane first"
        ));
}

#[tokio::test]
async fn an_undo_tapped_within_ten_minutes_counts_when_the_network_is_back_an_hour_later() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let mut later = mill.site.stranger_at(AT.plus(3600));
    later.cookie.clone_from(&mill.crew.cookie);
    let path = format!("{ticket}/loads/1/undo");
    let seen = [("seen", "1")];
    // Eleven minutes after it was written the tap is too late, however it comes.
    let late = phone_sends(&mill, &mut later, (&path, &seen, 1), (-11 * 60, 0)).await;
    late.refused(StatusCode::CONFLICT, "Ten minutes are over");
    let in_time = phone_sends(&mill, &mut later, (&path, &seen, 2), (-9 * 60, 0)).await;
    assert_eq!(in_time.status, StatusCode::CREATED, "{}", in_time.body);
    mill.crew
        .opens(&ticket)
        .await
        .says("undone at once by who wrote it");
}

#[tokio::test]
async fn a_turn_and_somebody_without_a_turn_are_not_taken_both() {
    let mut mill = mill().await;
    let whose = format!("turn:{}", mill.book().await);
    let other = mill
        .site
        .text("select id from members where name = 'Cora Pell'")
        .await;
    mill.weigh(&whose, "400.5", "40.5", &[("member", &other)])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "are chosen both");
    mill.weigh("", "400.5", "40.5", &[("member", &other)])
        .await
        .taken();
}
