//! Joining: what is asked, and what a card is for whoever has signed in before.

use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

/// A steward makes an invitation; gives its address.
async fn invited(site: &TestSite, member: &str) -> String {
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{member}")).await;
    let card = ruth.sends(&format!("/members/{member}/invite"), &[]).await;
    let (_, link) = card.body.split_once("http://mill.test").unwrap();
    link.split('<').next().unwrap().to_owned()
}

#[tokio::test]
async fn three_questions_are_asked_at_joining_with_nothing_ticked_and_silence_is_a_no() {
    let site = TestSite::new().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    site.sql("update members set pools = 1, named = 0, in_queue = 0")
        .await;
    let link = invited(&site, &amos.to_string()).await;
    let mut phone = site.stranger();
    let page = phone.opens(&link).await;
    page.says("boiled together with others")
        .says("jars’ public page")
        .says("in the day’s queue")
        // What a steward wrote on the card, which an open question would turn into a no.
        .says("Your card says now: boiled together, yes; on the jars’ page, no; in the queue, no.");
    assert!(!page.body.contains(" checked"));
    let answers = [
        ("sign_in", "amos"),
        ("passphrase", "a long enough one"),
        ("named", "no"),
        ("in_queue", "yes"),
    ];
    phone.sends(&link, &answers).await.taken();
    let card = "select pools || named || in_queue from members where name = 'Amos Trout'";
    assert_eq!(site.text(card).await, "001");
    // A steward who makes the card is asked, too.
    let mut ruth = site.browser(site.steward).await;
    assert!(!ruth.opens("/members/new").await.body.contains(" checked"));
}

#[tokio::test]
async fn a_name_that_looks_like_anothers_or_hides_something_is_refused() {
    let site = TestSite::new().await;
    site.person("June Hollowell", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let card = |name: &'static str| {
        [
            ("name", name),
            ("phone", "615 555 0134"),
            ("units", "us"),
            ("clock", "24"),
            ("role", "member"),
        ]
    };
    for (name, words) in [
        ("June Holl\u{ad}owell", "hidden characters"),
        ("June\u{200d} Hollowell", "hidden characters"),
        ("June Hollowell\u{fe0f}", "hidden characters"),
        ("Ann\u{2028}B", "leave out what cannot be seen"),
        ("Ann\u{fdd0}", "leave out what cannot be seen"),
        ("Ann\u{e0042}", "hidden characters"),
    ] {
        ruth.fills("/members/new", &card(name))
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, words);
    }
    for name in ["Jun\u{435} Hollowell", "June Hollow\u{ff45}ll"] {
        ruth.fills("/members/new", &card(name))
            .await
            .refused(StatusCode::CONFLICT, "so that it looks the same");
    }
    assert_eq!(site.count("select count(*) from members").await, 2);
    // A name that somebody bore stays theirs: tickets and receipts of then keep it.
    let june = site.text("select id from members where number = 2").await;
    let mut renamed = card("June Reyes").to_vec();
    renamed.push(("version", "1"));
    ruth.fills(&format!("/members/{june}/edit"), &renamed)
        .await
        .taken();
    ruth.fills("/members/new", &card("June Hollowell"))
        .await
        .refused(StatusCode::CONFLICT, "Member 2 was called that before");
    ruth.fills("/members/new", &card("Jane Hollowell"))
        .await
        .taken();
}

#[tokio::test]
async fn the_number_to_call_before_signing_in_can_be_tapped() {
    let site = TestSite::new().await;
    site.stranger().opens("/sign-in").await.says(
        "A steward can give you a card with a new invitation: <a class=\"alone\" href=\"tel:",
    );
}

#[tokio::test]
async fn a_card_for_a_forgotten_passphrase_keeps_the_sign_in_name_and_says_so() {
    let site = TestSite::new().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let first = invited(&site, &amos.to_string()).await;
    let mut phone = site.stranger();
    let mine = [
        ("sign_in", "amos"),
        ("passphrase", "a long enough one"),
        ("pools", "yes"),
    ];
    phone.fills(&first, &mine).await.taken();
    let again = invited(&site, &amos.to_string()).await;
    let mut other = site.stranger();
    let page = other.opens(&again).await;
    page.says("You go on signing in as <strong>amos</strong>");
    assert!(!page.body.contains("boiled together"));
    // Whatever else is sent as a name, the account keeps its own.
    let new = [
        ("sign_in", "ruth"),
        ("passphrase", "another long one"),
        ("pools", "no"),
    ];
    other.sends(&again, &new).await.taken();
    let name = "select sign_in from accounts a join members m on m.id = a.member_id where m.name = 'Amos Trout'";
    assert_eq!(site.text(name).await, "amos");
    let pools = "select count(*) from members where name = 'Amos Trout' and pools = 1";
    assert_eq!(site.count(pools).await, 1);
}
