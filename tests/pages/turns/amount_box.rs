//! The box of the amount: its hint and its refusals go with the way of telling it and with the reader's units.

use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

const BOOK: &str = "/days/2026-09-19/book";

#[tokio::test]
async fn each_way_of_telling_the_amount_has_its_own_hint() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    phone
        .opens(BOOK)
        .await
        .says("<span class=\"told weight\">In pounds, like 350. Other units are written out, like 160 kg. </span>")
        .says("<span class=\"told row\">In feet, like 300. Other units are written out, like 90 m. </span>")
        .says("<span class=\"told stalks\">How many stalks, like 500. </span>")
        .says("aria-describedby=\"h-amount\"");
}

#[tokio::test]
async fn a_length_for_a_weight_is_said_to_be_one_and_units_begin_with_the_readers() {
    let site = TestSite::with_season().await;
    let (_, mut phone) = site.person("Ida Finch", Role::Member).await;
    for (told, amount, words) in [
        (
            "weight",
            "90 m",
            "That is a length. Please choose “By the length of row”",
        ),
        (
            "row",
            "160 kg",
            "That is a weight. Please choose “By its weight”",
        ),
        ("weight", "12 st", "Please write lb, oz, kg or g."),
        ("row", "12 st", "Please write ft, yd or m."),
    ] {
        let sent = [("told", told), ("amount", amount), ("start", "9:00")];
        phone
            .fills(BOOK, &sent)
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, words);
    }
    site.sql("update members set units = 'metric' where name = 'Ida Finch'")
        .await;
    for (told, words) in [
        ("weight", "Please write kg, g, lb or oz."),
        ("row", "Please write m, yd or ft."),
    ] {
        let sent = [("told", told), ("amount", "12 st"), ("start", "9:00")];
        phone
            .fills(BOOK, &sent)
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, words);
    }
}

#[tokio::test]
async fn an_empty_planting_date_is_asked_for_without_an_example_of_another_year() {
    let site = TestSite::with_season().await;
    let (ida, mut phone) = site.person("Ida Finch", Role::Member).await;
    let sent = [
        ("variety", "Dale"),
        ("planted_on", ""),
        ("row", "300"),
        ("apart", "12 st"),
        ("days", "115"),
        ("note", ""),
    ];
    let page = phone
        .fills(&format!("/members/{ida}/plantings/new"), &sent)
        .await;
    page.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please say when it was planted.",
    );
    assert!(!page.body.contains("2027-09-18"), "{}", page.body);
}
