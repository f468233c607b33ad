//! What members are told: once, on the home page, by letter, by a call; and how letters fare.

use crate::shares::divisions::divided_lot;
use crate::site::{AT, TestSite};
use axum::http::StatusCode;
use canewright::actions::people::notices::{self, LetterOutcome, NoticeSubject, Tell};
use canewright::actions::turns::turn::{self, NewPlace, NewTurn};
use canewright::actions::{Act, Actor, Stop, rounds};
use canewright::calc::people::notices::Kind;
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{
    Grams, MemberId, MinuteOfDay, NoticeId, PressDayId, Role, SeasonId, TurnId, Units, UtcSecond,
};

/// What an action is handed so many hours before the fixed clock.
pub fn hours_ago(site: &TestSite, hours: i64) -> Act {
    let mut act = site.act();
    act.at = AT.plus(-hours * 3600);
    act
}

/// A turn on the press day of the fixed clock, for a member, booked three days before.
pub async fn turn(site: &TestSite, member: MemberId, start: i64) -> TurnId {
    let day = site.text("select id from press_days").await;
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("83", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    let day = PressDayId::parse(&day).unwrap();
    // The member books, and so is told nothing of that.
    let mut act = hours_ago(site, 72);
    act.actor = Actor {
        id: member,
        role: Role::Member,
    };
    turn::book(&act, day, new).await.unwrap()
}

/// Tells somebody that a turn was moved.
async fn tells(site: &TestSite, member: MemberId, turn: TurnId, mark: &str, words: &str) {
    let mut tx = site.writer.begin().await.unwrap();
    let what = Tell {
        member,
        kind: Kind::Moved,
        mark: mark.to_owned(),
        subject: "Your turn was moved".to_owned(),
        words: words.to_owned(),
        about: NoticeSubject::Turn(turn),
    };
    notices::tell(&site.act(), &mut tx, what).await.unwrap();
    tx.commit().await.unwrap();
}

/// A site with Amos, who has an address and a turn at 10:00, told that it was moved.
async fn amos_told() -> (TestSite, MemberId, TurnId) {
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
        "select count(*) from letters where address = 'amos@example.org' and state = 'waiting'";
    assert_eq!(site.count(letters).await, 1);
    // Another mark is another notice; who has no address gets no letter.
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    tells(&site, ida, booked, "moved:2", "Your turn is at 11:00 now.").await;
    assert_eq!(site.count("select count(*) from notices").await, 2);
    assert_eq!(site.count("select count(*) from letters").await, 1);
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
        about: NoticeSubject::Turn(booked),
    };
    notices::tell(&site.act(), &mut tx, what).await.unwrap();
    drop(tx);
    assert_eq!(site.count("select count(*) from notices").await, 1);
    assert_eq!(site.count("select count(*) from letters").await, 1);
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
        about: NoticeSubject::Season(SeasonId::parse(&season).unwrap()),
    };
    notices::tell(&site.act(), &mut tx, what).await.unwrap();
    tx.commit().await.unwrap();
    assert_eq!(site.count("select length(subject) from notices").await, 120);
    assert_eq!(site.count("select length(words) from notices").await, 600);
}

/// Sends the next letter as somebody would whose server answers so; gives whose it was.
async fn posts(site: &TestSite, at: UtcSecond, went: LetterOutcome) -> Option<NoticeId> {
    let due = notices::next_letter(&site.writer, at).await.unwrap()?;
    notices::note_letter(&site.writer, at, due.notice.id, &went)
        .await
        .unwrap();
    Some(due.notice.id)
}

#[tokio::test]
async fn a_letter_is_written_on_the_clock_of_whoever_gets_it() {
    let (site, _, _) = amos_told().await;
    site.sql("update members set clock = 12 where name = 'Amos Trout'")
        .await;
    let due = notices::next_letter(&site.writer, AT)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(due.words(), "Your turn is at 10:00\u{a0}am now.");
    assert_eq!(due.subject(), "Your turn was moved");
}

#[tokio::test]
async fn a_letter_is_tried_again_later_and_sent_once() {
    let (site, _, _) = amos_told().await;
    let busy = || LetterOutcome::NotYet("451 try later".to_owned());
    assert!(posts(&site, AT, busy()).await.is_some());
    assert!(posts(&site, AT.plus(59), busy()).await.is_none());
    assert!(posts(&site, AT.plus(60), busy()).await.is_some());
    assert!(posts(&site, AT.plus(359), busy()).await.is_none());
    let problem = site.text("select problem from letters").await;
    assert_eq!(problem, "451 try later");
    assert!(
        posts(&site, AT.plus(360), LetterOutcome::Taken)
            .await
            .is_some()
    );
    assert!(posts(&site, AT.plus(90_000), busy()).await.is_none());
    let sent = "select count(*) from letters where state = 'sent' and tries = 3 and problem = ''";
    assert_eq!(site.count(sent).await, 1);
    // What was sent is not noted again.
    let id = NoticeId::parse(&site.text("select id from notices").await).unwrap();
    let again = notices::note_letter(&site.writer, AT, id, &busy()).await;
    assert!(matches!(again, Err(Stop::Missing)));
}

#[tokio::test]
async fn a_letter_whose_fate_was_never_noted_is_not_sent_over_and_over() {
    let (site, _, _) = amos_told().await;
    let next = async |after| {
        notices::next_letter(&site.writer, AT.plus(after))
            .await
            .unwrap()
    };
    let due = next(0).await.unwrap();
    assert_eq!(due.address, "amos@example.org");
    assert!(next(59).await.is_none());
    assert!(next(60).await.is_some());
    assert!(next(359).await.is_none());
    let tried = "select count(*) from letters where state = 'waiting' and tries = 2";
    assert_eq!(site.count(tried).await, 1);
}

#[tokio::test]
async fn a_letter_refused_too_old_or_overtaken_is_given_up() {
    let given_up = "select count(*) from letters where state = 'given_up'";
    let (site, _, _) = amos_told().await;
    posts(
        &site,
        AT,
        LetterOutcome::Refused("550 nobody of that name".to_owned()),
    )
    .await;
    assert_eq!(site.count(given_up).await, 1);

    let (site, _, _) = amos_told().await;
    site.sql("update press_days set date = '2026-09-30'").await;
    let late = AT.plus(2 * 24 * 3600 + 1);
    assert!(posts(&site, late, LetterOutcome::Taken).await.is_none());
    assert_eq!(site.count(given_up).await, 1);

    // The turn began at 10:00, two hours on.
    let (site, _, _) = amos_told().await;
    assert!(
        posts(&site, AT.plus(7_200), LetterOutcome::Taken)
            .await
            .is_none()
    );
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

#[tokio::test]
async fn a_notice_stands_on_its_members_home_page_until_it_is_put_away() {
    let (site, amos, booked) = amos_told().await;
    let mut browser = site.browser(amos).await;
    let (_, mut other) = site.person("Ida Finch", Role::Member).await;
    let page = browser.opens("/").await;
    page.says("For you")
        .says("Your turn is at 10:00 now.")
        .says(&format!("href=\"/turns/{booked}\">Look at the turn"));
    assert!(!other.opens("/").await.body.contains("For you"));
    let path = format!(
        "/notices/{}/put-away",
        site.text("select id from notices").await
    );
    // Not the neighbour's, nor a steward's.
    let mut ruth = site.browser(site.steward).await;
    for stranger in [&mut other, &mut ruth] {
        stranger.opens("/").await;
        stranger
            .sends(&path, &[])
            .await
            .refused(StatusCode::NOT_FOUND, "Nothing here");
    }
    assert_eq!(browser.sends(&path, &[]).await.taken(), "/");
    browser.sends(&path, &[]).await.taken();
    let seen = site.count("select seen_at from notices").await;
    assert_eq!(seen, AT.get());
    let page = browser.opens("/").await;
    assert!(!page.body.contains("Your turn is at 10:00 now."));
    // Put away from another page as well, it stays as it was.
    browser.sends(&path, &[]).await.taken();
    assert_eq!(site.count("select seen_at from notices").await, seen);
    browser
        .sends("/notices/nothing/put-away", &[])
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn a_call_is_ticked_off_by_the_crew_and_taken_back() {
    let (site, amos, _) = amos_told().await;
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let mut ruth = site.browser(site.steward).await;
    let mut member = site.browser(amos).await;
    for browser in [&mut crew, &mut ruth] {
        browser
            .opens("/")
            .await
            .says("href=\"/calls\">1 call to make");
    }
    assert!(!member.opens("/").await.body.contains("/calls"));
    crew.opens("/calls")
        .await
        .says("Amos Trout")
        .says("href=\"tel:6155550101\"")
        .says("Your turn is at 10:00 now.")
        .says("since Sat 19 Sep 2026 08:00");
    let id = site.text("select id from notices").await;
    let told = format!("/calls/{id}/told");
    assert_eq!(crew.sends(&told, &[]).await.taken(), "/calls");
    crew.sends(&told, &[]).await.taken();
    let page = crew.opens("/calls").await;
    page.says("Nobody has to be called.")
        .says("Cal Reed called, Sat 19 Sep 2026 08:00");
    // Ticked off once more by another: the first stands.
    ruth.opens("/calls").await;
    ruth.sends(&told, &[]).await.taken();
    let by = "select m.name from notices n join members m on m.id = n.told_by";
    assert_eq!(site.text(by).await, "Cal Reed");
    assert!(!crew.opens("/").await.body.contains("/calls"));
    // Not told after all.
    crew.opens("/calls").await;
    crew.sends(&format!("/calls/{id}/not-told"), &[])
        .await
        .taken();
    assert_eq!(
        site.count("select count(*) from notices where told_at is null")
            .await,
        1
    );
    crew.opens("/calls").await.says("Told: Amos Trout");
    // The member, who sees it, leaves the list by putting it away.
    member.opens("/").await;
    member
        .sends(&format!("/notices/{id}/put-away"), &[])
        .await
        .taken();
    crew.opens("/calls").await.says("Nobody has to be called.");
}

#[tokio::test]
async fn calls_are_the_crews_and_an_unknown_one_is_not_there() {
    let (site, amos, _) = amos_told().await;
    let mut member = site.browser(amos).await;
    member
        .opens("/calls")
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let id = site.text("select id from notices").await;
    for path in ["told", "not-told"] {
        member.opens("/").await;
        member
            .sends(&format!("/calls/{id}/{path}"), &[])
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
    }
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/calls").await;
    ruth.sends("/calls/01920000-0000-7000-8000-00000000ffff/told", &[])
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    assert_eq!(
        site.count("select count(*) from notices where told_at is null")
            .await,
        1
    );
}

#[tokio::test]
async fn a_turn_that_comes_up_is_told_once_wherever_it_is() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let booked = turn(&site, amos, 600).await;
    let round = async |hours: i64| {
        let act = hours_ago(&site, hours);
        rounds::due(&site.reader, &site.writer, &site.ids, act.at)
            .await
            .unwrap();
    };
    let coming = "select count(*) from notices where kind = 'coming'";
    // 17 September begins 56 hours before the fixed clock.
    round(57).await;
    assert_eq!(site.count(coming).await, 0);
    round(56).await;
    round(55).await;
    assert_eq!(site.count(coming).await, 1);
    let mark = site.text("select mark from notices").await;
    assert_eq!(mark, format!("coming:{booked}:1"));
    let words = site.text("select words from notices").await;
    assert!(
        words.starts_with(
            "Your turn at the mill is on Sat 19 Sep 2026 at 10:00, for 20 min. Please confirm"
        ),
        "{words}"
    );
    // Moved: told of again where it is, once it has stood there for half a day.
    let to = NewPlace {
        day: PressDayId::parse(&site.text("select id from press_days").await).unwrap(),
        start: MinuteOfDay::new(720).unwrap().into(),
        why: String::new(),
        second: false,
        seen: 1,
    };
    turn::move_turn(&hours_ago(&site, 24), booked, to)
        .await
        .unwrap();
    round(13).await;
    assert_eq!(site.count(coming).await, 1);
    round(12).await;
    round(0).await;
    assert_eq!(site.count(coming).await, 2);
    // On the home page it is the question; the notice of the first place is overtaken.
    let page = browser.opens("/").await;
    page.says("Please confirm your turn on Sat 19 Sep 2026 at 12:00.");
    assert!(!page.body.contains("Your turn at the mill is on"));
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/calls").await.says("at 12:00, for 20 min");
    // That it was moved is told besides.
    ruth.opens("/calls")
        .await
        .says("Your turn on Sat 19 Sep 2026 at 10:00 is moved to Sat 19 Sep 2026, 12:00–12:20.");
    ruth.opens("/").await.says("2 calls to make");
    // Confirmed, nobody has to call.
    browser
        .sends(&format!("/turns/{booked}/confirm"), &[])
        .await
        .taken();
    ruth.opens("/calls").await.says("Nobody has to be called.");
}

#[tokio::test]
async fn a_turn_confirmed_cancelled_begun_or_just_booked_is_not_told_of() {
    let site = TestSite::with_season().await;
    let mut turns = Vec::new();
    for (name, start) in [("Amos Trout", 600), ("Bess Lane", 660), ("Ida Finch", 430)] {
        let (member, _) = site.person(name, Role::Member).await;
        turns.push(turn(&site, member, start).await);
    }
    turn::confirm(&hours_ago(&site, 50), turns[0])
        .await
        .unwrap();
    turn::cancel(&hours_ago(&site, 50), turns[1], "no cane")
        .await
        .unwrap();
    // Ida's began at 7:10; nobody has told of it before.
    rounds::due(&site.reader, &site.writer, &site.ids, AT)
        .await
        .unwrap();
    let coming = "select count(*) from notices where kind = 'coming'";
    assert_eq!(site.count(coming).await, 0);
}

#[tokio::test]
async fn closing_a_day_tells_the_growers_of_its_lots_once() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    for to in ["closed", "open", "closed"] {
        ruth.opens("/days/2026-09-19").await;
        ruth.sends("/days/2026-09-19/close", &[("to", to)])
            .await
            .taken();
    }
    let told = "select group_concat(name, ', ') from (select m.name from notices n join members m \
        on m.id = n.member_id where n.kind = 'statement' order by m.name)";
    assert_eq!(lot.site.text(told).await, "Amos <b>Trout</b>, Bess Lane");
    let mut amos = lot.amos_opens;
    let href = format!(
        "href=\"/members/{}/statement/2026\">Look at the statement",
        lot.amos
    );
    amos.opens("/")
        .await
        .says("Sat 19 Sep 2026 is closed.")
        .says(&href);
    // A statement can wait: nobody calls about it.
    ruth.opens("/calls").await.says("Nobody has to be called.");
}

#[tokio::test]
async fn a_day_that_is_not_closed_tells_nobody() {
    let lot = crate::shares::divisions::finished_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens("/days/2026-09-19").await;
    ruth.sends("/days/2026-09-19/close", &[("to", "closed")])
        .await
        .refused(StatusCode::CONFLICT, "not divided");
    assert_eq!(lot.site.count("select count(*) from notices").await, 0);
}

#[tokio::test]
async fn the_margin_gone_back_is_told_with_what_each_gets() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    crate::season::season_close::day_over(&lot).await;
    let before = lot.site.count("select count(*) from notices").await;
    let path = "/seasons/2026/close";
    ruth.opens(&format!("{path}?margin=10")).await;
    ruth.sends(path, &[("margin", "10")]).await.taken();
    let words = "select words from notices where words like 'The margin%' and member_id = (select id from members where name = 'Bess Lane')";
    assert_eq!(
        lot.site.text(words).await,
        "The margin of the season of 2026 has gone back to the members. $3.20 of it is yours and stands on \
         your statement."
    );
    let after = lot.site.count("select count(*) from notices").await;
    assert_eq!(after - before, 2);
}

#[tokio::test]
async fn the_form_of_a_card_says_what_the_address_is_for() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/members/new")
        .await
        .says("This site sends no letters at present.");
}
