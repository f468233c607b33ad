use crate::site::{AT, TestSite};
use axum::http::StatusCode;
use canewright::units::Role;

#[tokio::test]
async fn sign_in_opens_a_session_and_sign_out_ends_it() {
    let site = TestSite::new().await;
    let mut ruth = site.stranger();
    assert_eq!(
        ruth.opens("/members").await.taken(),
        "/sign-in?next=/members"
    );
    ruth.opens("/sign-in?next=/members").await;
    let answer = ruth
        .sends(
            "/sign-in",
            &[
                ("sign_in", " Ruth "),
                ("passphrase", "four mules in a row"),
                ("next", "/members"),
            ],
        )
        .await;
    assert_eq!(answer.taken(), "/members");
    let cookie = answer
        .cookies
        .iter()
        .find(|c| c.starts_with("canewright="))
        .unwrap();
    assert!(
        cookie.contains("HttpOnly") && cookie.contains("SameSite=Lax") && cookie.contains("Path=/"),
        "{cookie}"
    );
    let old = ruth.cookie.clone();
    ruth.opens("/").await.says("Ruth Bell");
    ruth.sends("/sign-out", &[]).await.taken();
    ruth.cookie = old;
    assert_eq!(ruth.opens("/").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn an_unknown_name_and_a_wrong_passphrase_get_the_same_answer() {
    let site = TestSite::new().await;
    let mut bodies = Vec::new();
    for name in ["ruth", "nobody"] {
        let mut stranger = site.stranger();
        let answer = stranger
            .fills(
                "/sign-in",
                &[("sign_in", name), ("passphrase", "wrong wrong")],
            )
            .await;
        answer.refused(StatusCode::UNPROCESSABLE_ENTITY, "do not belong together");
        let (key, token) = (stranger.hidden("form_key"), stranger.hidden("token"));
        bodies.push(
            answer
                .body
                .replace(&key, "")
                .replace(&token, "")
                .replace(name, ""),
        );
    }
    // The sign-out form's key differs from page to page even here; only the forms' keys may.
    let strip = |s: &str| {
        s.lines()
            .filter(|l| !l.contains("form_key"))
            .collect::<Vec<_>>()
            .join("\n")
    };
    assert_eq!(strip(&bodies[0]), strip(&bodies[1]));
}

#[tokio::test]
async fn the_sixth_try_waits_with_retry_after() {
    let site = TestSite::new().await;
    let mut stranger = site.stranger();
    for _ in 0..5 {
        stranger
            .fills(
                "/sign-in",
                &[("sign_in", "ruth"), ("passphrase", "wrong wrong")],
            )
            .await;
    }
    let answer = stranger
        .fills(
            "/sign-in",
            &[("sign_in", "ruth"), ("passphrase", "four mules in a row")],
        )
        .await;
    answer.refused(StatusCode::TOO_MANY_REQUESTS, "Too many tries");
    let wait: i64 = answer
        .headers
        .get("retry-after")
        .unwrap()
        .to_str()
        .unwrap()
        .parse()
        .unwrap();
    assert!((1..=900).contains(&wait));
}

#[tokio::test]
async fn an_invitation_works_once() {
    let site = TestSite::new().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    let card = ruth.sends(&format!("/members/{amos}/invite"), &[]).await;
    let link = card
        .body
        .split("http://mill.test")
        .nth(1)
        .unwrap()
        .split('<')
        .next()
        .unwrap()
        .to_owned();
    let mut stranger = site.stranger();
    stranger
        .fills(
            &link,
            &[("sign_in", "ruth"), ("passphrase", "a long enough one")],
        )
        .await
        .refused(
            StatusCode::CONFLICT,
            "Somebody else signs in with that name",
        );
    stranger
        .fills(&link, &[("sign_in", "amos"), ("passphrase", "password")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "one of the first that anybody would try",
        );
    stranger
        .fills(
            &link,
            &[("sign_in", "amos"), ("passphrase", "a long enough one")],
        )
        .await
        .taken();
    stranger.opens("/").await.says("Amos Trout");
    site.stranger()
        .opens(&link)
        .await
        .refused(StatusCode::CONFLICT, "has been used");
}

#[tokio::test]
async fn a_new_passphrase_needs_the_old_one_and_ends_other_sessions() {
    let site = TestSite::new().await;
    let mut other = site.browser(site.steward).await;
    let mut ruth = site.browser(site.steward).await;
    ruth.fills(
        "/passphrase",
        &[("old", "wrong"), ("passphrase", "eight mules in a row")],
    )
    .await
    .refused(StatusCode::CONFLICT, "not your present passphrase");
    ruth.fills(
        "/passphrase",
        &[
            ("old", "four mules in a row"),
            ("passphrase", "eight mules in a row"),
        ],
    )
    .await
    .taken();
    assert_eq!(ruth.opens("/").await.status, StatusCode::OK);
    assert_eq!(other.opens("/").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_session_ends_after_its_idle_limit() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    assert_eq!(ruth.opens("/").await.status, StatusCode::OK);
    site.sql("update sessions set seen_at = seen_at - 12 * 3600")
        .await;
    assert_eq!(ruth.opens("/").await.status, StatusCode::SEE_OTHER);
    let mut again = site.browser(site.steward).await;
    site.sql("update sessions set ends_at = 0 where seen_at = made_at")
        .await;
    assert_eq!(again.opens("/").await.status, StatusCode::SEE_OTHER);
    assert!(AT.get() > 0);
}

#[tokio::test]
async fn a_form_without_its_token_or_from_elsewhere_is_refused() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/members/new").await;
    let key = ruth.hidden("form_key");
    ruth.sends_keyed("/members/new", &[("name", "X")], &key, "wrong")
        .await
        .refused(StatusCode::FORBIDDEN, "That form was not taken");
    let long = "x".repeat(70_000);
    ruth.opens("/members/new").await;
    ruth.sends("/members/new", &[("name", &long)])
        .await
        .refused(StatusCode::PAYLOAD_TOO_LARGE, "Too much at once");
}
