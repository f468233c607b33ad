//! A household: several people act for one member's card, each signed in as oneself and named in what they do.

use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::units::Role;

/// She confirms the turn and is named; the day, its queue and what she is asked count it as hers to look after.
async fn confirmed_for_the_card(ana_opens: &mut Browser, tomas_opens: &mut Browser, to: &str) {
    // Asked to confirm it, she does, and is named.
    ana_opens
        .opens("/")
        .await
        .says("For <bdi>Tomás Reyes</bdi>: Please confirm the turn on Sat 19 Sep 2026 at 09:00.");
    ana_opens.sends(&format!("{to}/confirm"), &[]).await.taken();
    tomas_opens
        .opens(to)
        .await
        .says("Confirmed Sat 19 Sep 2026 08:00 by <bdi>Ana Reyes</bdi>.");
    // The day, its queue and the list of boils count what is hers to look after.
    let day = ana_opens.opens("/days/2026-09-19").await;
    day.says(&format!("href=\"{to}\""));
    ana_opens
        .opens("/days/2026-09-19/queue")
        .await
        .says("Tomás");
}

/// The steward lets her act, once.
async fn let_her_act(steward: &mut Browser, card: &str, person: &str) {
    let household = format!("{card}/household");
    // The steward lets her; whoever is nobody is asked for.
    steward.opens(card).await.says("Who acts for this card");
    steward
        .opens(&household)
        .await
        .says("Nobody else acts for it yet");
    steward.sends(&household, &[("person", "")]).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please choose who is to act for it.",
    );
    steward.opens(&household).await;
    steward
        .sends(&household, &[("person", person)])
        .await
        .taken();
    steward.opens(&household).await.says("<bdi>Ana Reyes</bdi>");
    steward
        .sends(&household, &[("person", person)])
        .await
        .refused(
            StatusCode::CONFLICT,
            "Ana Reyes acts for this card already.",
        );
}

/// The card's history says who acted for it, and that it ended.
async fn ended_in_the_history(steward: &mut Browser, card: &str) {
    let page = steward.opens(card).await;
    page.says("(Ana Reyes) acts for the card of")
        .says("(Ana Reyes) does not act any more for the card of");
    assert!(!page.body.contains("Also act for this card"));
}

#[tokio::test]
async fn somebody_of_the_household_books_for_the_card_and_is_named_in_it() {
    let site = TestSite::with_season().await;
    let (tomas, mut tomas_opens) = site.person("Tomás Reyes", Role::Member).await;
    let (ana, mut ana_opens) = site.person("Ana Reyes", Role::Member).await;
    let mut steward = site.browser(site.steward).await;
    let card = format!("/members/{tomas}");
    let household = format!("/members/{tomas}/household");
    // Not before a steward said so.
    ana_opens
        .opens(&card)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    let for_tomas = tomas.to_string();
    let book = "/days/2026-09-19/book";
    let turn = |member: &str| {
        vec![
            ("member", member.to_owned()),
            ("told", "weight".to_owned()),
            ("amount", "350".to_owned()),
            ("start", "9:00".to_owned()),
        ]
    };
    let sent = turn(&for_tomas);
    let sent: Vec<(&str, &str)> = sent.iter().map(|(n, v)| (*n, v.as_str())).collect();
    ana_opens.opens(book).await;
    let refused = ana_opens.sends(book, &sent).await;
    assert_eq!(refused.status, StatusCode::NOT_FOUND);
    let_her_act(&mut steward, &card, &ana.to_string()).await;
    // Ana books for the card, as herself.
    ana_opens
        .opens("/")
        .await
        .says("For the card of <bdi>Tomás Reyes</bdi>");
    ana_opens
        .opens(book)
        .await
        .says("Whose cane")
        .says("Tomás Reyes (");
    let to = ana_opens.sends(book, &sent).await.taken().to_owned();
    for browser in [&mut ana_opens, &mut tomas_opens] {
        browser
            .opens(&to)
            .await
            .says("<bdi>Ana Reyes</bdi>, for the card of <bdi>Tomás Reyes</bdi>")
            .says("Move the turn");
    }
    ana_opens
        .opens("/")
        .await
        .says(&format!("href=\"{to}\""))
        .says(&format!("href=\"/members/{tomas}/statement/2026\""));
    ana_opens
        .opens(&format!("/members/{tomas}/statement/2026"))
        .await
        .says("Tomás Reyes: statement 2026");
    confirmed_for_the_card(&mut ana_opens, &mut tomas_opens, &to).await;
    // Both the member and the steward read on the card who acts for it.
    for browser in [&mut tomas_opens, &mut steward] {
        browser
            .opens(&card)
            .await
            .says("Also act for this card</dt><dd><bdi>Ana Reyes</bdi>");
    }
    // The card itself is not hers to change, and hers is not his to see.
    let edit = ana_opens.opens(&format!("{card}/edit")).await;
    assert_eq!(edit.status, StatusCode::FORBIDDEN);
    tomas_opens
        .opens(&format!("/members/{ana}"))
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    // Ended, she acts for it no more; what she did stands.
    steward.opens(&household).await;
    steward
        .sends(&format!("{household}/{ana}/end"), &[])
        .await
        .taken();
    for (browser, status) in [
        (&mut ana_opens, StatusCode::NOT_FOUND),
        (&mut tomas_opens, StatusCode::OK),
    ] {
        assert_eq!(browser.opens(&to).await.status, status);
    }
    ended_in_the_history(&mut steward, &card).await;
}
