//! Forgetting a member who has left, as a steward does it.

use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::units::{MemberId, Role};

const PASSPHRASE: (&str, &str) = ("passphrase", "four mules in a row");

/// A co-op from which somebody has left.
async fn left() -> (TestSite, Browser, MemberId) {
    let site = TestSite::with_season().await;
    let (zeb, _) = site.person("Zebedee Quillfeather", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let card = format!("/members/{zeb}");
    let page = ruth.opens(&card).await;
    assert!(!page.body.contains("Forget this member"));
    ruth.sends(&format!("{card}/let-go"), &[]).await.taken();
    (site, ruth, zeb)
}

#[tokio::test]
async fn a_member_who_has_not_left_is_not_forgotten_and_the_page_says_what_is_open() {
    let site = TestSite::with_season().await;
    let (zeb, _) = site.person("Zebedee Quillfeather", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let page = ruth.opens(&format!("/members/{zeb}/forget")).await;
    page.says("<strong>Not yet.</strong>")
        .says("The member has not left. Let the member go first, on the card.")
        .says("What goes")
        .says("What stays")
        .says("ask your state’s office");
    assert!(!page.body.contains("name=\"passphrase\""));
    // Whoever sends the form all the same is told so.
    ruth.opens(&format!("/members/{zeb}")).await;
    ruth.sends(&format!("/members/{zeb}/forget"), &[PASSPHRASE])
        .await
        .refused(StatusCode::CONFLICT, "The member has not left.");
    assert_eq!(site.count("select count(*) from forgotten").await, 0);
}

#[tokio::test]
async fn a_steward_forgets_a_member_and_every_page_says_the_number_from_then_on() {
    let (site, mut ruth, zeb) = left().await;
    let card = format!("/members/{zeb}");
    let forget = format!("{card}/forget");
    ruth.opens(&card).await.says("Forget this member …");
    ruth.opens(&forget)
        .await
        .says("“Member 2” stands there")
        .says("Zebedee\nQuillfeather</textarea>");
    // Both a passphrase that is not hers and a word that is too short are told beside their boxes.
    let words = ("words", "Quillfeather\nQ");
    ruth.sends(&forget, &[words, ("keep_until", "2028-02-31"), PASSPHRASE])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "“Q” is too short")
        .says("There is no 31 February 2028.")
        .says("Quillfeather\nQ</textarea>");
    let words = ("words", "Quillfeather");
    ruth.sends(&forget, &[words, ("passphrase", "not hers at all")])
        .await
        .refused(StatusCode::CONFLICT, "That is not your passphrase.")
        .says("Quillfeather</textarea>");
    ruth.sends(&forget, &[("words", "Quillfeather\nBell"), PASSPHRASE])
        .await
        .refused(
            StatusCode::CONFLICT,
            "“Bell” stands in the name of Ruth Bell as well",
        );
    assert_eq!(site.count("select count(*) from forgotten").await, 0);
    let first = ruth.sends(&forget, &[words, PASSPHRASE]).await;
    let again = ruth.sends(&forget, &[words, PASSPHRASE]).await;
    assert_eq!(first.taken(), again.taken());
    assert_eq!(first.taken(), card);
    assert_eq!(site.count("select count(*) from forgotten").await, 1);
    let page = ruth.opens(&card).await;
    page.says("Member 2 (forgotten on Sat 19 Sep 2026)");
    for gone in ["Quillfeather", "Take the member back", "Change the card"] {
        assert!(!page.body.contains(gone), "{gone}");
    }
    let statement = ruth.opens(&format!("{card}/statement/2026")).await;
    statement.says("Member 2. As of");
    let list = ruth.opens("/members?show=all").await;
    assert!(!list.body.contains("Quillfeather"), "{}", list.body);
    let history = ruth.opens("/history").await;
    assert!(!history.body.contains("Quillfeather"));
    // The page of forgetting asks for further words alone; nothing brings the name back.
    let page = ruth.opens(&forget).await;
    page.says("This member was forgotten before.");
    for gone in ["Quillfeather", "keep_until", "Forget this member"] {
        assert!(!page.body.contains(gone), "{gone}");
    }
    ruth.opens(&card).await;
    ruth.sends(&format!("{card}/take-back"), &[])
        .await
        .refused(StatusCode::CONFLICT, "Member 2 was forgotten.");
    let new = [
        ("name", "Zebedee Quillfeather"),
        ("phone", "615 555 0134"),
        ("units", "us"),
        ("clock", "24"),
        ("role", "member"),
        ("version", "4"),
    ];
    ruth.opens(&format!("/members/{}/edit", site.steward)).await;
    ruth.sends(&format!("{card}/edit"), &new)
        .await
        .refused(StatusCode::CONFLICT, "Member 2 was forgotten.");
}

#[tokio::test]
async fn a_name_that_is_kept_is_seen_by_stewards_alone_and_can_be_deleted() {
    let (site, mut ruth, zeb) = left().await;
    let (_, mut crew) = site.person("Delia March", Role::Crew).await;
    let card = format!("/members/{zeb}");
    let forget = format!("{card}/forget");
    let until = ("keep_until", "2028-09-20");
    ruth.fills(&forget, &[("words", ""), until, PASSPHRASE])
        .await
        .taken();
    ruth.opens(&card)
        .await
        .says("until Wed 20 Sep 2028: <strong><bdi>Zebedee Quillfeather</bdi></strong>");
    let seen = crew.opens(&card).await;
    seen.says("Member 2 (forgotten on");
    assert!(!seen.body.contains("Quillfeather"));
    let found = crew.opens("/find?q=Quillfeather").await;
    assert!(!found.body.contains("Member 2"), "{}", found.body);
    ruth.sends(&format!("{forget}/name"), &[]).await.taken();
    let page = ruth.opens(&card).await;
    assert!(!page.body.contains("Quillfeather"));
    ruth.sends(&format!("{forget}/name"), &[])
        .await
        .refused(StatusCode::CONFLICT, "No name is kept for this member");
}

#[tokio::test]
async fn two_things_that_would_be_called_the_same_are_told_and_nothing_is_forgotten() {
    let (site, mut ruth, zeb) = left().await;
    let named = [
        "update vessels set name = 'Zebedee barrel' where name = (select min(name) from vessels)",
        "update vessels set name = 'Quillfeather barrel' where name = (select min(name) from vessels where name <> 'Zebedee barrel')",
    ];
    for sql in named {
        site.sql(sql).await;
    }
    let forget = format!("/members/{zeb}/forget");
    ruth.opens(&forget).await;
    let words = ("words", "Zebedee\nQuillfeather");
    ruth.sends(&forget, &[words, PASSPHRASE]).await.refused(
        StatusCode::CONFLICT,
        "Two of the mill’s vessels would both be called “Member 2 barrel”",
    );
    assert_eq!(site.count("select count(*) from forgotten").await, 0);
    site.sql("update vessels set name = 'Old barrel' where name = 'Zebedee barrel'")
        .await;
    ruth.sends(&forget, &[words, PASSPHRASE]).await.taken();
    let left = "select count(*) from vessels where name = 'Member 2 barrel'";
    assert_eq!(site.count(left).await, 1);
}

#[tokio::test]
async fn further_words_sent_again_mended_are_not_said_to_be_forgotten() {
    let (_site, mut ruth, zeb) = left().await;
    let forget = format!("/members/{zeb}/forget");
    ruth.fills(&forget, &[("words", "Quillfeather"), PASSPHRASE])
        .await
        .taken();
    ruth.opens(&forget).await;
    let (key, token) = (ruth.hidden("form_key"), ruth.hidden("token"));
    let more = ("more", "yes");
    let further = |words| [("words", words), more, ("seen", words), PASSPHRASE];
    ruth.sends_keyed(&forget, &further("Zebbie"), &key, &token)
        .await
        .taken();
    // The answer was lost, and a slip was mended in between.
    ruth.sends_keyed(&forget, &further("Zebby"), &key, &token)
        .await
        .refused(
            StatusCode::CONFLICT,
            "What stood in it then is not kept, and this may be something else",
        );
    ruth.sends_keyed(&forget, &further("Zebbie"), &key, &token)
        .await
        .taken();
}
