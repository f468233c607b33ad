//! A crowd that opens one page at once: each request has one moment of the database, so that requests
//! never wait for each other's second one.

use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{Grams, MinuteOfDay, PressDayId, Role, Units};

/// Many more than there are readers.
const PEOPLE: usize = 128;

#[tokio::test]
async fn a_hundred_and_twenty_eight_people_open_the_page_that_moves_a_turn_at_once() {
    let site = TestSite::with_season().await;
    let (amos, browser) = site.person("Amos Trout", Role::Member).await;
    let day = site.text("select id from press_days").await;
    let new = NewTurn {
        member: amos,
        start: MinuteOfDay::new(600).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("83", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    let id = turn::book(&site.act(), PressDayId::parse(&day).unwrap(), new)
        .await
        .unwrap();
    let path = format!("/turns/{id}/move");
    let crowd = async {
        let mut all = tokio::task::JoinSet::new();
        for _ in 0..PEOPLE {
            let mut one = site.stranger();
            one.cookie.clone_from(&browser.cookie);
            let path = path.clone();
            all.spawn_local(async move { one.opens(&path).await });
        }
        all.join_all().await
    };
    let here = tokio::task::LocalSet::new();
    // A site that stands still answers 503 by itself.
    let answers = here.run_until(crowd).await;
    assert_eq!(answers.len(), PEOPLE);
    for answer in answers {
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
        answer.says("10:20");
    }
}
