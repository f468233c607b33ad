//! The same form sent again with something else in it: nothing is changed unseen, and nothing is said to be stored, or
//! not to be, that is otherwise.

use crate::site::TestSite;
use axum::http::StatusCode;

#[tokio::test]
async fn a_new_passphrase_sent_again_otherwise_says_that_the_first_one_is_set() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/passphrase").await;
    let (key, token) = (ruth.hidden("form_key"), ruth.hidden("token"));
    let boxes = |new| [("old", "four mules in a row"), ("passphrase", new)];
    let first = boxes("eight mules in a row");
    ruth.sends_keyed("/passphrase", &first, &key, &token)
        .await
        .taken();
    // The answer was lost; in between another was thought of.
    ruth.sends_keyed("/passphrase", &boxes("nine mules in a row"), &key, &token)
        .await
        .refused(
            StatusCode::CONFLICT,
            "another new passphrase, and that one is set",
        );
    ruth.sends_keyed("/passphrase", &first, &key, &token)
        .await
        .taken();
    let mut door = site.stranger();
    let signs_in = |passphrase| [("sign_in", "ruth"), ("passphrase", passphrase)];
    door.fills("/sign-in", &signs_in("nine mules in a row"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "do not belong together");
    door.fills("/sign-in", &signs_in("eight mules in a row"))
        .await
        .taken();
}

#[tokio::test]
async fn a_stored_form_that_comes_again_unreadable_is_not_said_to_be_unstored() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/mill/vessels/new").await;
    let (key, token) = (ruth.hidden("form_key"), ruth.hidden("token"));
    let boxes = |holds| [("vessel_name", "Sieve"), ("capacity", holds)];
    ruth.sends_keyed("/mill/vessels/new", &boxes("30"), &key, &token)
        .await
        .taken();
    ruth.sends_keyed("/mill/vessels/new", &boxes("thirty"), &key, &token)
        .await
        .refused(StatusCode::CONFLICT, "This form was already sent")
        .says("value=\"thirty\"");
    assert!(
        !ruth.last.contains("Nothing was stored yet"),
        "{}",
        ruth.last
    );
    // With another figure: what is stored is named with its box, and the cursor stands there.
    ruth.sends_keyed("/mill/vessels/new", &boxes("50"), &key, &token)
        .await
        .refused(StatusCode::CONFLICT, "capacity “30” (now “50”)")
        .says("Stored is “30”.")
        .says("autofocus");
    // A form of its own that cannot be read says that nothing is stored.
    ruth.fills("/mill/vessels/new", &boxes("thirty"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Nothing was stored yet");
    let stored = "select count(*) from vessels where name = 'Sieve'";
    assert_eq!(site.count(stored).await, 1);
}

#[tokio::test]
async fn what_two_pages_take_out_of_use_is_out_of_use() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let vessel = site.text("select min(id) from vessels").await;
    let scale = site.text("select min(id) from scales").await;
    for (action, table) in [
        (format!("/mill/vessels/{vessel}/retire"), "vessels"),
        (format!("/mill/scales/{scale}/retire"), "scales"),
    ] {
        for _page in ["one telephone", "the other"] {
            ruth.opens("/mill").await;
            ruth.sends(&action, &[("out", "yes")]).await.taken();
        }
        let out = match table {
            "vessels" => "select count(*) from vessels where retired_at is not null",
            _ => "select count(*) from scales where retired_at is not null",
        };
        assert_eq!(site.count(out).await, 1, "{action}");
        for _page in ["one telephone", "the other"] {
            ruth.opens("/mill").await;
            ruth.sends(&action, &[("out", "no")]).await.taken();
        }
        assert_eq!(site.count(out).await, 0, "{action}");
    }
}
