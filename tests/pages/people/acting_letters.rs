//! Letters and notices of a card, told over again to somebody who acts for it.

use super::acting::{Two, book, two};
use canewright::actions::people::household;
use canewright::actions::people::notices::{self, NoticeSubject, Tell};
use canewright::calc::people::notices::Kind;
use canewright::units::TurnId;

const LETTERS: &str = "select count(*) from letters where address = 'ana@example.org'";

/// Ana has an address; Tomás has a turn.
async fn with_address() -> (Two, TurnId) {
    let two = two().await;
    two.site
        .sql("update members set email = 'ana@example.org' where name = 'Ana Reyes'")
        .await;
    let turn = book(&two.site, two.tomas, 9).await;
    (two, turn)
}

/// Tells Tomás that his turn was moved.
async fn tells(two: &Two, mark: &str, turn: TurnId) {
    let mut tx = two.site.writer.begin().await.unwrap();
    let what = Tell {
        member: two.tomas,
        kind: Kind::Moved,
        mark: mark.to_owned(),
        subject: "Your turn was moved".to_owned(),
        words: "Your turn is at 10:00 now.".to_owned(),
        about: NoticeSubject::Turn(turn),
    };
    notices::tell(&two.site.act(), &mut tx, what).await.unwrap();
    tx.commit().await.unwrap();
}

#[tokio::test]
async fn letters_go_to_who_acts_for_a_card_where_its_member_agrees_and_to_nobody_else() {
    let (mut two, turn) = with_address().await;
    let (tomas, ana) = (two.tomas, two.ana);
    let household = format!("/members/{tomas}/household");
    tells(&two, "first", turn).await;
    assert_eq!(two.site.count(LETTERS).await, 0);
    two.steward
        .opens(&household)
        .await
        .says("Gets no letters of this card.");
    let send = format!("{household}/{ana}/letters");
    two.steward.sends(&send, &[]).await.taken();
    two.steward
        .opens(&household)
        .await
        .says("Gets the letters and notices of this card, too.");
    for _ in 0..2 {
        tells(&two, "second", turn).await;
    }
    assert_eq!(two.site.count(LETTERS).await, 1);
    let page = two.ana_opens.opens("/").await;
    page.says("For Tomás Reyes: Your turn was moved")
        .says("Tomás Reyes is told: Your turn is at 10:00 now.");
    // He is called about the last that was told of the turn, she about nothing.
    let page = two.steward.opens("/calls").await;
    assert_eq!(page.body.matches("Your turn is at 10:00 now.").count(), 1);
    assert!(!page.body.contains("is told:"));
    // She puts hers away; his stays.
    let unseen = "select sum(1 + copied) from notices where seen_at is null";
    assert_eq!(two.site.count(unseen).await, 4);
    let id = two
        .site
        .text("select id from notices where copied = 1")
        .await;
    let put_away = format!("/notices/{id}/put-away");
    two.ana_opens.sends(&put_away, &[]).await.taken();
    assert_eq!(two.site.count(unseen).await, 2);
    two.steward.opens(&household).await;
    let stop = format!("{household}/{ana}/no-letters");
    two.steward.sends(&stop, &[]).await.taken();
    tells(&two, "third", turn).await;
    assert_eq!(two.site.count(LETTERS).await, 1);
}

#[tokio::test]
async fn a_member_turns_the_letters_of_the_own_card_on_and_off_and_since_when_stays() {
    let (mut two, turn) = with_address().await;
    let (tomas, ana) = (two.tomas, two.ana);
    // She has acted for it since a day in July.
    two.site.sql("drop trigger household_stands").await;
    two.site
        .sql("update household set at = at - 65 * 86400")
        .await;
    let card = format!("/members/{tomas}");
    let household = format!("{card}/household/{ana}");
    two.tomas_opens
        .opens(&card)
        .await
        .says("does not get your letters and notices");
    for _ in 0..2 {
        let sent = two
            .tomas_opens
            .sends(&format!("{household}/letters"), &[])
            .await;
        assert_eq!(sent.taken(), card);
    }
    two.tomas_opens
        .opens(&card)
        .await
        .says("gets your letters and notices, too.")
        .says("since Thu 16 Jul 2026");
    tells(&two, "on", turn).await;
    assert_eq!(two.site.count(LETTERS).await, 1);
    // Who acts for it cannot turn them off for him, nor sees the buttons.
    let page = two.ana_opens.opens(&card).await;
    assert!(!page.body.contains("Who else gets your letters"));
    two.ana_opens
        .sends(&format!("{household}/no-letters"), &[])
        .await
        .refused(axum::http::StatusCode::NOT_FOUND, "");
    two.tomas_opens.opens(&card).await;
    two.tomas_opens
        .sends(&format!("{household}/no-letters"), &[])
        .await
        .taken();
    tells(&two, "off", turn).await;
    assert_eq!(two.site.count(LETTERS).await, 1);
    two.steward
        .opens(&format!("{card}/household"))
        .await
        .says("since Thu 16 Jul 2026");
}

#[tokio::test]
async fn letters_end_with_the_right_and_are_not_back_when_it_is() {
    let (mut two, turn) = with_address().await;
    let (tomas, ana) = (two.tomas, two.ana);
    let household_page = format!("/members/{tomas}/household");
    let send = format!("{household_page}/{ana}/letters");
    two.steward.opens(&household_page).await;
    two.steward.sends(&send, &[]).await.taken();
    household::end(&two.site.act(), tomas, ana).await.unwrap();
    household::let_act(&two.site.act(), tomas, ana)
        .await
        .unwrap();
    tells(&two, "anew", turn).await;
    assert_eq!(two.site.count(LETTERS).await, 0);
    two.steward
        .opens(&format!("/members/{tomas}"))
        .await
        .says("acts for the card of")
        .says("and gets its letters");
}
