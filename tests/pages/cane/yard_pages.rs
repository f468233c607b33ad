use super::tickets::{Mill, mill};
use axum::http::{HeaderName, StatusCode};

const DAY: &str = "/days/2026-09-19";

/// Sends as a phone's script does: with the headers of what a phone kept.
async fn phone_asks(mill: &mut Mill, phone: &str, key: &str) -> Vec<i64> {
    let crew = mill
        .site
        .text("select id from members where name = 'Cora Pell'")
        .await;
    let headers = [
        (HeaderName::from_static("kept-by"), crew),
        (
            HeaderName::from_static("kept-tapped"),
            "1789822800".to_owned(),
        ),
    ];
    let fields = [("phone", phone), ("form_key", key)];
    let answer = mill
        .crew
        .sends_with(&format!("{DAY}/numbers"), &fields, &headers)
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    serde_json::from_str(&answer.body).unwrap()
}

#[tokio::test]
async fn each_phone_holds_ticket_numbers_of_its_own_and_gaps_are_named_on_the_days_page() {
    let mut mill = mill().await;
    mill.ticket().await;
    let key = |n: u8| format!("0199653c-8f00-7abc-8def-0123456789{n:02x}");
    // Three hours of turns, a quarter of an hour each.
    let (one, two): (Vec<i64>, Vec<i64>) = ((2..=13).collect(), (14..=25).collect());
    assert_eq!(phone_asks(&mut mill, "one", &key(1)).await, one);
    assert_eq!(phone_asks(&mut mill, "two", &key(2)).await, two);
    // Asked again, it holds what it held.
    assert_eq!(phone_asks(&mut mill, "one", &key(1)).await, one);
    assert_eq!(phone_asks(&mut mill, "one", &key(3)).await, one);
    // Whoever weighs in without a phone of their own gets the next free one.
    let whose = format!("walk:{}", mill.amos);
    let desk = mill
        .weigh(&whose, "500", "40.5", &[])
        .await
        .taken()
        .to_owned();
    mill.crew.opens(&desk).await.says("Ticket 26");
    mill.weigh(
        &whose,
        "600",
        "40.5",
        &[("number", "3"), ("of_phone", "one")],
    )
    .await
    .taken();
    // Of another phone, and of a hand, it is asked whether the slip bears such a number.
    for other in [
        &[("number", "14"), ("of_phone", "one")][..],
        &[("number", "14")],
    ] {
        mill.weigh(&whose, "800", "40.5", other).await.refused(
            StatusCode::CONFLICT,
            "Number 14 is set aside for a phone of Cora Pell",
        );
    }
    let sure = [("number", "14"), ("number_sure", "yes")];
    mill.weigh(&whose, "660", "40.5", &sure).await.taken();
    mill.crew
        .opens(DAY)
        .await
        .says("Ticket numbers held by a phone of Cora Pell: 2, 4–13, 15–25.");
    let again: Vec<i64> = [2].into_iter().chain(4..=13).chain([27]).collect();
    assert_eq!(phone_asks(&mut mill, "one", &key(4)).await, again);
}

#[tokio::test]
async fn a_phone_is_told_which_pages_of_the_day_to_keep_and_each_of_them_opens() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let list = mill.crew.opens(&format!("{DAY}/pages")).await;
    let pages: Vec<String> = serde_json::from_str(&list.body).unwrap();
    for wanted in [
        DAY.to_owned(),
        format!("{DAY}/tickets/new"),
        format!("{DAY}/juice/new"),
        format!("{DAY}/loads/new"),
        format!("{ticket}/juice/new"),
        "/boils".to_owned(),
        "/hand-overs".to_owned(),
    ] {
        assert!(pages.contains(&wanted), "{wanted} of {pages:?}");
    }
    let kept = [(HeaderName::from_static("kept-page"), "yes")];
    for page in pages {
        let answer = mill.crew.opens_with(&page, &kept).await;
        assert_eq!(answer.status, StatusCode::OK, "{page}");
        // Each carries the line, or the worker would not keep it.
        answer.says("id=\"kept\"");
    }
    // The form for a ticket that stands on a phone only is no page for anybody who is looking.
    for what in ["juice", "loads"] {
        let form = format!("{DAY}/{what}/new");
        assert_eq!(mill.crew.opens(&form).await.taken(), DAY);
        // The phone fills the id of its ticket in where nought stands.
        mill.crew.opens_with(&form, &kept).await.says(&format!(
            "action=\"/tickets/00000000-0000-0000-0000-000000000000/{what}/new\""
        ));
    }
    mill.member
        .opens(&format!("{DAY}/pages"))
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[tokio::test]
async fn a_tag_is_printed_for_cane_that_is_not_juice_yet() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let tags = format!("{DAY}/tags");
    mill.crew.opens(&tags).await.says("360.0 lb of cane");
    crate::cane::juice::measure(&mut mill, &ticket, &[])
        .await
        .taken();
    let page = mill.crew.opens(&tags).await;
    page.says("Juice of ticket 1");
    assert!(!page.body.contains("lb of cane"), "{}", page.body);
}

#[tokio::test]
async fn what_is_next_says_how_many_more_wait_and_phones_keep_the_page_of_a_new_boil() {
    let mut mill = mill().await;
    for n in 0..4 {
        let name = format!("Member {n}");
        let (id, _) = mill
            .site
            .person(&name, canewright::units::Role::Member)
            .await;
        mill.weigh(&format!("walk:{id}"), "400.5", "40.5", &[])
            .await
            .taken();
    }
    mill.crew.opens(DAY).await.says("To press (3 of 4)");
    mill.crew
        .opens(&format!("{DAY}/pages"))
        .await
        .says(&format!("{DAY}/boils/new"));
}
