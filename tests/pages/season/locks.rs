//! What a locked season says and refuses, who is not settled with before it is locked, and where things go between its lock and the
//! first day of the next season's rules. Bess carries 252 g (8.9 oz) out of the lot that is worked by hand in `shares`.

use super::bearing::{SPILL, lacks};
use super::season_close::{ANOTHER_DAY, day_over, locked, sound};
use crate::shares::divisions::divided_lot;
use axum::http::StatusCode;

#[tokio::test]
async fn who_is_not_settled_with_is_named_before_a_season_is_locked_and_that_is_ticked() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = "/seasons/2026/lock";
    day_over(&lot).await;
    ruth.opens(path)
        .await
        .says("Not settled yet")
        .says("Bess Lane: 8.9 oz still to come, ");
    let unread = [("why", "Read and taken"), ("step", "lock")];
    ruth.sends(path, &unread)
        .await
        .refused(StatusCode::CONFLICT, "Not everybody is settled with")
        .says("f-knows")
        .says("Read and taken");
    assert_eq!(lot.site.count("select count(*) from season_locks").await, 0);
    // What was ticked is what was read: a payment in between is shown first.
    ruth.opens(path).await;
    let seen = ruth.hidden("seen");
    let season = lot.site.text("select id from seasons").await;
    let paid = [
        ("way", "in"),
        ("cents", "5.00"),
        ("text", "cash"),
        ("season", season.as_str()),
        ("sure", "yes"),
    ];
    let payment = format!("/members/{}/payment", lot.amos);
    ruth.fills(&payment, &paid).await.taken();
    let read = [("seen", seen.as_str()), ("knows", "yes"), ("step", "lock")];
    ruth.opens(path).await;
    ruth.sends(path, &read)
        .await
        .refused(StatusCode::CONFLICT, "What is not settled changed");
    locked(&mut ruth, "Read and taken").await.taken();
    let page = ruth.opens(path).await;
    page.says("goes on into the next season");
    lacks(&page, "Not settled yet");
    // Where nothing is carried and nobody owes anything there is nothing to tick.
    ruth.sends(path, &[("why", "a payment"), ("step", "lift")])
        .await
        .taken();
    lot.site
        .sql(
            "insert into ledger (number, season_id, member_id, kind, grams, cents, says, by_id, at)
             select (select max(number) from ledger) + row_number() over (), min(season_id), member_id, 'settled', -sum(grams), -sum(cents),
             'even', min(by_id), 1 from ledger where member_id is not null group by member_id",
        )
        .await;
    lacks(&ruth.opens(path).await, "f-knows");
    ruth.sends(path, &unread).await.taken();
}

#[tokio::test]
async fn between_a_lock_and_the_rules_of_the_next_season_the_pages_name_the_day_and_send_nobody_to_what_is_done()
 {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let settle = format!("/members/{}/settle", lot.bess);
    let divided = format!("/boils/{}/divide", lot.code.as_str());
    ruth.opens(&divided)
        .await
        .says("Open the boil for a correction");
    day_over(&lot).await;
    locked(&mut ruth, "").await.taken();
    // A boil of the locked season is not offered to be opened; the page says what comes first.
    let page = ruth.opens(&divided).await;
    page.says("the boil is not opened")
        .says("href=\"/seasons/2026/lock\"");
    lacks(&page, "Open the boil for a correction");
    ruth.opens(&settle)
        .await
        .says("Every season is closed and locked");
    ruth.opens("/seasons").await;
    ruth.sends("/seasons", &[("year", "2027")]).await.taken();
    let page = ruth.opens(&settle).await;
    page.says(
        "The season of 2027 is open; its rules name a price of syrup once they are confirmed.",
    );
    lacks(&page, "Every season is closed and locked");
    lacks(&page, "please open it first");
    ruth.opens("/seasons/2027").await;
    ruth.sends(
        "/seasons/2027/rules/1/confirm",
        &[("holds_from", "2027-01-01")],
    )
    .await
    .taken();
    let page = ruth.opens(&settle).await;
    page.says("its price of syrup, hold from Fri 1 Jan 2027.")
        .says(&format!("/members/{}/settle-jars", lot.bess));
    lacks(&page, "please open it first");
    ruth.opens("/seasons/2027").await.says(
        "The rules of this season hold from Fri 1 Jan 2027: before that day no ticket is opened",
    );
    lacks(&ruth.opens("/seasons").await, "In force");
}

#[tokio::test]
async fn a_closed_season_is_locked_stays_readable_and_takes_payments_alone_until_a_steward_gives_a_reason()
 {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = "/seasons/2026/lock";
    ruth.opens("/seasons/2026/close").await.says(path);
    day_over(&lot).await;
    locked(&mut ruth, "Read and taken on 12 Dec").await.taken();
    ruth.opens(path)
        .await
        .says("is closed and locked")
        .says("Read and taken on 12 Dec");
    // Nothing is weighed, boiled, voted or put right; what is there is read.
    let code = lot.code.as_str().to_owned();
    ruth.opens(&format!("/boils/{code}")).await.says("divided");
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &ANOTHER_DAY)
        .await
        .refused(StatusCode::CONFLICT, "closed and locked")
        .says("value=\"2026-10-03\"");
    let before = lot
        .site
        .count("select count(*) from ledger where kind not in ('payment', 'answer')")
        .await;
    let hours = format!("/members/{}/hours", lot.amos);
    let season = lot.site.text("select id from seasons").await;
    let worked = [
        ("hours", "2"),
        ("what", "wood"),
        ("season", season.as_str()),
    ];
    let answer = ruth.fills(&hours, &worked).await;
    assert!(answer.status.is_client_error(), "{}", answer.status);
    let after = lot
        .site
        .count("select count(*) from ledger where kind not in ('payment', 'answer')")
        .await;
    assert_eq!(before, after);
    let payment = format!("/members/{}/payment", lot.amos);
    let season = lot.site.text("select id from seasons").await;
    let paid = [
        ("way", "in"),
        ("cents", "5.00"),
        ("text", "cash"),
        ("season", season.as_str()),
        ("sure", "yes"),
    ];
    ruth.fills(&payment, &paid).await.taken();
    // Lifted with a reason, and both stand.
    ruth.opens(path).await;
    ruth.sends(path, &[("why", ""), ("step", "lift")])
        .await
        .refused(StatusCode::CONFLICT, "why the lock is lifted");
    ruth.opens(path).await;
    ruth.sends(path, &[("why", "A load was left out"), ("step", "lift")])
        .await
        .taken();
    ruth.opens(path)
        .await
        .says("opened again: “A load was left out”")
        .says("Read and taken on 12 Dec");
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &ANOTHER_DAY).await.taken();
    // Days are to come: the season is not closed in its middle, and each of them is named with its page.
    let another = ANOTHER_DAY.map(|(name, typed)| match name {
        "date" => (name, "2026-10-10"),
        _ => (name, typed),
    });
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &another).await.taken();
    locked(&mut ruth, "")
        .await
        .refused(
            StatusCode::CONFLICT,
            "Sat 3 Oct 2026 is still to come; Sat 10 Oct 2026 is still to come",
        )
        .says("href=\"/days/2026-10-03\"")
        .says("href=\"/days/2026-10-10\"");
}

#[tokio::test]
async fn a_locked_season_refuses_losses_hours_and_settlements_and_links_to_its_lock() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let season = lot.site.text("select id from seasons").await;
    let loss = format!("/boils/{}/loss", lot.code.as_str());
    let hours = format!("/members/{}/hours", lot.amos);
    let settle = format!("/members/{}/settle", lot.bess);
    day_over(&lot).await;
    locked(&mut ruth, "").await.taken();
    let link = "href=\"/seasons/2026/lock\"";
    for page in [&loss, &hours, &settle] {
        ruth.opens(page).await.says("closed and locked").says(link);
    }
    // No season takes them, so there is no form; one sentence says it, whatever the number of seasons.
    for page in [&hours, &settle] {
        let page = ruth.opens(page).await;
        page.says("Every season is closed and locked");
        lacks(&page, "<button class=\"do\">");
    }
    let worked = [
        ("hours", "2"),
        ("what", "wood"),
        ("season", season.as_str()),
    ];
    let money = [("grams", ""), ("season", season.as_str())];
    let sent: [(&str, &[(&str, &str)]); 3] =
        [(&loss, &SPILL), (&hours, &worked), (&settle, &money)];
    let before = lot.site.count("select count(*) from ledger").await;
    for (page, fields) in sent {
        ruth.opens("/ledger").await;
        ruth.sends(page, fields)
            .await
            .refused(
                StatusCode::CONFLICT,
                "The season of 2026 is closed and locked, by Ruth Bell",
            )
            .says(link);
    }
    assert_eq!(lot.site.count("select count(*) from ledger").await, before);
    assert_eq!(lot.site.count("select count(*) from losses").await, 0);
}

#[tokio::test]
async fn a_jar_that_breaks_after_its_season_was_locked_is_made_good_in_the_season_that_is_open() {
    let mut lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    day_over(&lot).await;
    locked(&mut ruth, "").await.taken();
    let shelf = format!("/members/{}/shelf", lot.bess);
    let broken = [("became", "broken"), ("count-0", "1"), ("why", "it fell")];
    lot.crew.opens(&shelf).await;
    lot.crew
        .sends(&shelf, &broken)
        .await
        .refused(StatusCode::CONFLICT, "Every season is closed and locked");
    let gone = "select coalesce(sum(count), 0) from jars_gone";
    assert_eq!(lot.site.count(gone).await, 0);
    ruth.opens("/seasons").await;
    ruth.sends("/seasons", &[("year", "2027")]).await.taken();
    lot.crew.opens(&shelf).await;
    lot.crew.sends(&shelf, &broken).await.taken();
    assert_eq!(lot.site.count(gone).await, 1);
    let good = "select sum(l.grams) from ledger l join seasons s on s.id = l.season_id \
                where s.year = 2027 and l.member_id is not null";
    assert_eq!(lot.site.count(good).await, 1360);
    sound(&lot).await;
}
