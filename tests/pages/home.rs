//! What a member finds at the first glance of the home page, and in what order.

use crate::site::{AT, TestSite};
use canewright::actions::people::notices::{self, NoticeSubject, Tell};
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::people::notices::Kind;
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{
    Grams, MemberId, MinuteOfDay, PressDayId, Role, SeasonId, TurnId, Units, UtcSecond,
};

/// A turn on the press day of the fixed clock, booked three days before.
async fn turn(site: &TestSite, member: MemberId) -> TurnId {
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(600).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("83", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    let mut act = site.act();
    act.at = three_days_before(AT);
    turn::book(&act, day, new).await.unwrap()
}

fn three_days_before(at: UtcSecond) -> UtcSecond {
    at.plus(-72 * 3600)
}

/// Tells a member something, in a sentence of its subject alone.
async fn tells(site: &TestSite, member: MemberId, kind: Kind, subject: &str, about: NoticeSubject) {
    let mut tx = site.writer.begin().await.unwrap();
    let what = Tell {
        member,
        kind,
        mark: subject.to_owned(),
        subject: subject.to_owned(),
        words: "That is all.".to_owned(),
        about,
    };
    notices::tell(&site.act(), &mut tx, what).await.unwrap();
    tx.commit().await.unwrap();
}

#[tokio::test]
async fn what_is_only_news_stands_below_where_the_cane_is() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let booked = turn(&site, amos).await;
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    tells(
        &site,
        amos,
        Kind::Moved,
        "Moved to ten",
        NoticeSubject::Turn(booked),
    )
    .await;
    tells(
        &site,
        amos,
        Kind::Statement,
        "Share known",
        NoticeSubject::Season(season),
    )
    .await;

    let home = browser.opens("/").await;
    let place = |words: &str| {
        let found = home.body.find(words);
        found.unwrap_or_else(|| panic!("{words}: {}", home.body))
    };
    let cane = place("Where your cane is");
    assert!(place("Moved to ten") < cane);
    assert!(cane < place("Share known"));
    assert!(place("Share known") < place("Your last results"));
    assert_eq!(home.body.matches("I have read this").count(), 2);
}
