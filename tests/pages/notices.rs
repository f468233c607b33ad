//! What members are told: once, on the home page, by letter, by a call; and how letters fare.

use crate::site::{AT, TestSite};
use canewright::actions::Stop;
use canewright::actions::bookings::{self, NewTurn};
use canewright::actions::notices::{self, About, Tell, Went};
use canewright::calc::notices::Kind;
use canewright::calc::turn_cane::Told;
use canewright::units::{
    BookingId, Grams, MemberId, MinuteOfDay, NoticeId, PressDayId, Role, SeasonId, Units, UtcSecond,
};

/// A turn on the press day of the fixed clock, for a member.
async fn turn(site: &TestSite, member: MemberId, start: i64) -> BookingId {
    let day = site.text("select id from press_days").await;
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: Told::Weight(Grams::parse("83", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    bookings::book(&site.act(), PressDayId::parse(&day).unwrap(), new)
        .await
        .unwrap()
}

/// Tells somebody that a turn was moved.
async fn tells(site: &TestSite, member: MemberId, turn: BookingId, mark: &str, words: &str) {
    let mut tx = site.writer.begin().await.unwrap();
    let what = Tell {
        member,
        kind: Kind::Moved,
        mark: mark.to_owned(),
        subject: "Your turn was moved".to_owned(),
        words: words.to_owned(),
        about: About::Booking(turn),
    };
    notices::tell(&site.act(), &mut tx, what).await.unwrap();
    tx.commit().await.unwrap();
}

/// A site with Amos, who has an address and a turn at 10:00, told that it was moved.
async fn amos_told() -> (TestSite, MemberId, BookingId) {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    site.sql("update members set email = 'amos@example.org' where name = 'Amos Trout'")
        .await;
    let booked = turn(&site, amos, 600).await;
    tells(&site, amos, booked, "moved:1", "Your turn is at 10:00 now.").await;
    (site, amos, booked)
}

#[tokio::test]
async fn the_same_is_told_once_and_written_once() {
    let (site, amos, booked) = amos_told().await;
    tells(&site, amos, booked, "moved:1", "Your turn is at 10:00 now.").await;
    assert_eq!(site.count("select count(*) from notices").await, 1);
    let letters =
        "select count(*) from mails where address = 'amos@example.org' and state = 'waiting'";
    assert_eq!(site.count(letters).await, 1);
    // Another mark is another notice; who has no address gets no letter.
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    tells(&site, ida, booked, "moved:2", "Your turn is at 11:00 now.").await;
    assert_eq!(site.count("select count(*) from notices").await, 2);
    assert_eq!(site.count("select count(*) from mails").await, 1);
}

#[tokio::test]
async fn telling_falls_with_the_transaction_it_is_told_in() {
    let (site, amos, booked) = amos_told().await;
    let mut tx = site.writer.begin().await.unwrap();
    let what = Tell {
        member: amos,
        kind: Kind::Moved,
        mark: "moved:3".to_owned(),
        subject: "Never".to_owned(),
        words: "Never".to_owned(),
        about: About::Booking(booked),
    };
    notices::tell(&site.act(), &mut tx, what).await.unwrap();
    drop(tx);
    assert_eq!(site.count("select count(*) from notices").await, 1);
    assert_eq!(site.count("select count(*) from mails").await, 1);
}

#[tokio::test]
async fn words_too_long_for_a_notice_are_cut_and_nothing_fails() {
    let site = TestSite::with_season().await;
    let season = site.text("select id from seasons").await;
    let mut tx = site.writer.begin().await.unwrap();
    let what = Tell {
        member: site.steward,
        kind: Kind::Statement,
        mark: "statement:long".to_owned(),
        subject: "ä".repeat(200),
        words: "Frost\non ".repeat(200),
        about: About::Season(SeasonId::parse(&season).unwrap()),
    };
    notices::tell(&site.act(), &mut tx, what).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(site.count("select length(subject) from notices").await, 120);
    assert_eq!(site.count("select length(words) from notices").await, 600);
}

/// Sends the next letter as somebody would whose server answers so; gives whose it was.
async fn posts(site: &TestSite, at: UtcSecond, went: Went) -> Option<NoticeId> {
    let due = notices::next_letter(&site.writer, at).await.unwrap()?;
    notices::note_letter(&site.writer, at, due.notice.id, &went)
        .await
        .unwrap();
    Some(due.notice.id)
}

#[tokio::test]
async fn a_letter_is_tried_again_later_and_sent_once() {
    let (site, _, _) = amos_told().await;
    let busy = || Went::NotYet("451 try later".to_owned());
    assert!(posts(&site, AT, busy()).await.is_some());
    assert!(posts(&site, AT.plus(59), busy()).await.is_none());
    assert!(posts(&site, AT.plus(60), busy()).await.is_some());
    assert!(posts(&site, AT.plus(359), busy()).await.is_none());
    let problem = site.text("select problem from mails").await;
    assert_eq!(problem, "451 try later");
    assert!(posts(&site, AT.plus(360), Went::Taken).await.is_some());
    assert!(posts(&site, AT.plus(90_000), busy()).await.is_none());
    let sent = "select count(*) from mails where state = 'sent' and tries = 3 and problem = ''";
    assert_eq!(site.count(sent).await, 1);
    // What was sent is not noted again.
    let id = NoticeId::parse(&site.text("select id from notices").await).unwrap();
    let again = notices::note_letter(&site.writer, AT, id, &busy()).await;
    assert!(matches!(again, Err(Stop::Missing)));
}

#[tokio::test]
async fn a_letter_refused_too_old_or_overtaken_is_given_up() {
    let given_up = "select count(*) from mails where state = 'given_up'";
    let (site, _, _) = amos_told().await;
    posts(
        &site,
        AT,
        Went::Refused("550 nobody of that name".to_owned()),
    )
    .await;
    assert_eq!(site.count(given_up).await, 1);

    let (site, _, _) = amos_told().await;
    site.sql("update press_days set date = '2026-09-30'").await;
    let late = AT.plus(2 * 24 * 3600 + 1);
    assert!(posts(&site, late, Went::Taken).await.is_none());
    assert_eq!(site.count(given_up).await, 1);

    // The turn began at 10:00, two hours on.
    let (site, _, _) = amos_told().await;
    assert!(posts(&site, AT.plus(7_200), Went::Taken).await.is_none());
    assert_eq!(site.count(given_up).await, 1);

    // Without a mail server, too.
    let (site, _, _) = amos_told().await;
    let at = AT.plus(2 * 24 * 3600);
    assert_eq!(notices::give_up_old(&site.writer, at).await.unwrap(), 0);
    assert_eq!(
        notices::give_up_old(&site.writer, at.plus(1))
            .await
            .unwrap(),
        1
    );
    assert_eq!(site.count(given_up).await, 1);
}
