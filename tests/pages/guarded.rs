use crate::site::{AT, TestSite};
use axum::http::{StatusCode, header};
use canewright::units::Role;

#[tokio::test]
async fn what_never_changes_is_sent_without_a_cookie_and_may_be_kept() {
    let site = TestSite::new().await;
    let mut stranger = site.stranger();
    let page = stranger.opens("/sign-in").await;
    let (_, rest) = page.body.split_once("href=\"/static/").unwrap();
    let css = format!("/static/{}", rest.split('"').next().unwrap());
    stranger.cookie.clear();
    let answer = stranger.opens(&css).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert!(answer.cookies.is_empty(), "{:?}", answer.cookies);
    let kept = answer.headers[header::CACHE_CONTROL].to_str().unwrap();
    assert!(kept.contains("immutable"), "{kept}");
}

#[tokio::test]
async fn a_new_co_op_lets_nobody_in_before_it_is_set_up() {
    let (site, _) = TestSite::before_set_up(AT).await;
    let mut stranger = site.stranger();
    for path in ["/", "/members", "/sign-in", "/seasons"] {
        assert_eq!(stranger.opens(path).await.taken(), "/set-up", "{path}");
    }
    let wrong = [
        ("code", "0000"),
        ("coop", "Mine"),
        ("place", "Here"),
        ("zone", "America/Chicago"),
        ("units", "us"),
        ("name", "Eve"),
        ("phone", "615 555 0100"),
        ("sign_in", "eve"),
        ("passphrase", "four crows on a wire"),
    ];
    stranger
        .fills("/set-up", &wrong)
        .await
        .refused(StatusCode::CONFLICT, "not the set-up code");
    assert_eq!(site.count("select count(*) from accounts").await, 0);
}

#[tokio::test]
async fn a_role_that_was_taken_away_is_gone_at_the_next_page() {
    let site = TestSite::new().await;
    let (_, mut delia) = site.person("Delia Stone", Role::Steward).await;
    assert_eq!(delia.opens("/ledger").await.status, StatusCode::OK);
    site.sql("update members set role = 'member' where name = 'Delia Stone'")
        .await;
    assert_eq!(delia.opens("/ledger").await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn what_a_stranger_says_of_the_address_counts_only_behind_a_proxy_of_ours() {
    let site = TestSite::new().await;
    let mut stranger = site.stranger();
    let mut last = StatusCode::OK;
    for n in 0..6 {
        stranger.opens("/sign-in").await;
        let (key, token) = (stranger.hidden("form_key"), stranger.hidden("token"));
        let boxes = [
            ("sign_in", "ruth"),
            ("passphrase", "wrong wrong"),
            ("form_key", key.as_str()),
            ("token", token.as_str()),
        ];
        let said = header::HeaderName::from_static("x-forwarded-for");
        let more = [(said, format!("10.0.0.{n}"))];
        last = stranger.sends_with("/sign-in", &boxes, &more).await.status;
    }
    assert_eq!(last, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn nobody_is_led_elsewhere_after_signing_in() {
    let site = TestSite::new().await;
    for (next, to) in [
        ("/members?x=1", "/members?x=1"),
        ("//evil.example", "/"),
        ("https://evil.example", "/"),
        ("/\\evil.example", "/"),
        ("/\t/evil.example", "/"),
        ("", "/"),
    ] {
        let boxes = [
            ("sign_in", "ruth"),
            ("passphrase", "four mules in a row"),
            ("next", next),
        ];
        let answer = site.stranger().fills("/sign-in", &boxes).await;
        assert_eq!(answer.taken(), to, "{next:?}");
    }
}

#[tokio::test]
async fn every_answer_says_what_it_is_and_how_it_is_written() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    for (path, kind) in [
        ("/", "text/html; charset=utf-8"),
        ("/nothing/here", "text/html; charset=utf-8"),
        ("/health", "text/plain; charset=utf-8"),
        ("/robots.txt", "text/plain; charset=utf-8"),
        ("/seasons/2026/loads.csv", "text/csv; charset=utf-8"),
        ("/clock", "application/json"),
        ("/manifest.json", "application/manifest+json"),
    ] {
        let answer = ruth.opens(path).await;
        let said = answer.headers[header::CONTENT_TYPE].to_str().unwrap();
        assert!(said.starts_with(kind), "{path}: {said}");
        if path.contains(".csv") {
            let name = answer.headers[header::CONTENT_DISPOSITION]
                .to_str()
                .unwrap();
            assert!(name.contains("filename=") && !name.contains(".."), "{name}");
        }
    }
}
