use crate::site::{AT, Browser, TestSite};
use axum::http::StatusCode;
use canewright::calc::people::second_factor::Secret;
use canewright::units::{Role, UtcSecond};

const PASSPHRASE: &str = "four mules in a row";

/// Signs Ruth in by the form, as a browser of that name.
async fn signs_in(site: &TestSite, at: UtcSecond) -> Browser {
    let mut ruth = site.stranger_at(at);
    ruth.fills(
        "/sign-in",
        &[("sign_in", "ruth"), ("passphrase", PASSPHRASE)],
    )
    .await
    .taken();
    ruth
}

/// Where the buttons of a page lead that sign a device out.
fn ends(page: &str) -> Vec<String> {
    let of = page.split("action=\"/sessions/").skip(1);
    of.filter_map(|rest| rest.split_once("/end\""))
        .map(|(mark, _)| format!("/sessions/{mark}/end"))
        .filter(|path| path.len() < 60)
        .collect()
}

#[tokio::test]
async fn one_sees_where_one_is_signed_in_and_signs_a_device_out() {
    let site = TestSite::new().await;
    let mut phone = signs_in(&site, AT).await;
    let mut desk = signs_in(&site, AT.plus(5)).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let page = desk.opens("/sessions").await;
    page.says("this device");
    let ends = ends(&page.body);
    assert_eq!(ends.len(), 1, "{}", page.body);
    // Somebody else's mark opens nothing, and ends nothing.
    amos.opens("/sessions").await;
    amos.sends(&ends[0], &[])
        .await
        .refused(StatusCode::CONFLICT, "signed out already");
    assert_eq!(phone.opens("/").await.status, StatusCode::OK);
    desk.opens("/sessions").await;
    assert_eq!(desk.sends(&ends[0], &[]).await.taken(), "/sessions");
    assert_eq!(phone.opens("/").await.status, StatusCode::SEE_OTHER);
    assert_eq!(desk.opens("/").await.status, StatusCode::OK);
    let mut third = signs_in(&site, AT).await;
    let mut fourth = signs_in(&site, AT).await;
    desk.opens("/sessions").await;
    desk.sends("/sessions/end-others", &[]).await.taken();
    for other in [&mut third, &mut fourth] {
        assert_eq!(other.opens("/").await.status, StatusCode::SEE_OTHER);
    }
    assert_eq!(desk.opens("/").await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_steward_signs_a_member_out_everywhere_and_nobody_else_may() {
    let site = TestSite::new().await;
    let (amos, mut his) = site.person("Amos Trout", Role::Member).await;
    let (_, mut delia) = site.person("Delia Stone", Role::Crew).await;
    let to = format!("/members/{amos}/sign-out");
    delia.opens("/").await;
    assert_eq!(delia.sends(&to, &[]).await.status, StatusCode::FORBIDDEN);
    assert_eq!(his.opens("/").await.status, StatusCode::OK);
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    ruth.sends(&to, &[]).await.taken();
    assert_eq!(his.opens("/").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn sessions_that_are_over_are_forgotten_and_others_are_not() {
    let site = TestSite::new().await;
    signs_in(&site, AT).await;
    let due = async |at| {
        canewright::actions::rounds::due(&site.reader, &site.writer, &site.ids, at)
            .await
            .unwrap();
        site.count("select count(*) from sessions").await
    };
    assert_eq!(due(AT.plus(35 * 3600)).await, 1);
    assert_eq!(due(AT.plus(37 * 3600)).await, 0);
}

/// The secret on the page that offers a second factor.
fn secret_of(page: &str) -> Secret {
    let (_, rest) = page
        .split_once("type this secret there: <span class=\"code long\">")
        .unwrap();
    let text: String = rest
        .split('<')
        .next()
        .unwrap()
        .chars()
        .filter(|c| *c != ' ')
        .collect();
    Secret::parse(&text).unwrap()
}

/// Ruth with a second factor, its secret, and her recovery codes.
async fn with_second_factor(site: &TestSite) -> (Browser, Secret, Vec<String>) {
    let mut ruth = site.browser(site.steward).await;
    let page = ruth.opens("/second-factor").await;
    let secret = secret_of(&page.body);
    let (key, token) = (ruth.hidden("form_key"), ruth.hidden("token"));
    let code = secret.code(AT);
    let wrong = [("code", "000000"), ("passphrase", PASSPHRASE)];
    let answer = ruth
        .sends_keyed("/second-factor", &wrong, &key, &token)
        .await;
    answer.refused(StatusCode::CONFLICT, "not the code of this moment");
    assert_eq!(
        secret_of(&answer.body),
        secret,
        "the secret stays with the form"
    );
    let guess = [
        ("code", code.as_str()),
        ("passphrase", "five mules in a row"),
    ];
    ruth.sends_keyed("/second-factor", &guess, &key, &token)
        .await
        .refused(StatusCode::CONFLICT, "not your present passphrase");
    assert_eq!(site.count("select count(*) from second_factors").await, 0);
    let right = [("code", code.as_str()), ("passphrase", PASSPHRASE)];
    let shown = ruth
        .sends_keyed("/second-factor", &right, &key, &token)
        .await;
    shown.says("Your recovery codes");
    let again = ruth
        .sends_keyed("/second-factor", &right, &key, &token)
        .await;
    let codes = |body: &str| -> Vec<String> {
        body.split("<li class=\"code\">")
            .skip(1)
            .filter_map(|rest| rest.split_once('<'))
            .map(|(code, _)| code.to_owned())
            .collect()
    };
    assert_eq!(
        codes(&shown.body),
        codes(&again.body),
        "sent twice, the same"
    );
    assert_eq!(codes(&shown.body).len(), 10);
    (ruth, secret, codes(&shown.body))
}

/// The passphrase typed at `at`: the page that asks for the code, with what it carries on.
async fn at_the_code(site: &TestSite, at: UtcSecond) -> (Browser, Vec<(&'static str, String)>) {
    let mut ruth = site.stranger_at(at);
    let page = ruth
        .fills(
            "/sign-in",
            &[
                ("sign_in", "ruth"),
                ("passphrase", PASSPHRASE),
                ("next", "/members"),
            ],
        )
        .await;
    assert_eq!(page.status, StatusCode::OK);
    page.says("one of your recovery codes");
    let carried = ["sign_in", "said", "mark", "next"].map(|name| (name, ruth.hidden(name)));
    (ruth, carried.into())
}

async fn types(
    ruth: &mut Browser,
    carried: &[(&'static str, String)],
    code: &str,
) -> crate::site::Answer {
    let mut boxes: Vec<(&str, &str)> = carried.iter().map(|(n, v)| (*n, v.as_str())).collect();
    boxes.push(("code", code));
    ruth.sends("/sign-in/code", &boxes).await
}

#[tokio::test]
async fn with_a_second_factor_the_passphrase_alone_lets_nobody_in() {
    let site = TestSite::new().await;
    let (_, secret, codes) = with_second_factor(&site).await;
    let at = AT.plus(120);
    let (mut ruth, carried) = at_the_code(&site, at).await;
    assert_eq!(ruth.opens("/members").await.status, StatusCode::SEE_OTHER);
    let (mut ruth, _) = at_the_code(&site, at).await;
    types(&mut ruth, &carried, "000000").await.taken();
    // Carried from another browser it opens nothing: each is asked for the passphrase again.
    let (mut ruth, carried) = at_the_code(&site, at).await;
    types(&mut ruth, &carried, "000000").await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "not the code of this moment",
    );
    // The code it was set up with has been used.
    types(&mut ruth, &carried, &secret.code(AT)).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "not the code of this moment",
    );
    let code = secret.code(at);
    assert_eq!(types(&mut ruth, &carried, &code).await.taken(), "/members");
    ruth.opens("/members").await.says("Ruth Bell");
    // Twice it opens nothing.
    let (mut thief, carried) = at_the_code(&site, at).await;
    types(&mut thief, &carried, &code).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "not the code of this moment",
    );
    // A recovery code opens once, however it is written.
    let written = codes[3].to_uppercase().replace('-', " ");
    assert_eq!(
        types(&mut thief, &carried, &written).await.taken(),
        "/members"
    );
    let (mut thief, carried) = at_the_code(&site, at).await;
    types(&mut thief, &carried, &codes[3]).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "not the code of this moment",
    );
    assert_eq!(
        site.count("select count(*) from recovery_codes where used_at is null")
            .await,
        9
    );
}

#[tokio::test]
async fn a_code_is_guessed_at_five_times_and_the_passphrase_must_be_fresh() {
    let site = TestSite::new().await;
    let (_, secret, _) = with_second_factor(&site).await;
    let at = AT.plus(120);
    let (mut ruth, carried) = at_the_code(&site, at).await;
    for _ in 0..5 {
        assert_eq!(
            types(&mut ruth, &carried, "123456").await.status,
            StatusCode::UNPROCESSABLE_ENTITY
        );
    }
    types(&mut ruth, &carried, &secret.code(at))
        .await
        .refused(StatusCode::TOO_MANY_REQUESTS, "Too many tries");
    // Ten minutes after the passphrase was typed, it is asked for again.
    let late = at.plus(600);
    let mut later = site.stranger_at(late);
    later.cookie.clone_from(&ruth.cookie);
    later.opens("/sign-in").await;
    let answer = types(&mut later, &carried, &secret.code(late)).await;
    assert_eq!(answer.taken(), "/sign-in?next=/members");
}

#[tokio::test]
async fn an_invitation_is_no_way_round_the_second_factor() {
    let site = TestSite::new().await;
    let (mut ruth, secret, _) = with_second_factor(&site).await;
    ruth.opens(&format!("/members/{}", site.steward)).await;
    let card = ruth
        .sends(&format!("/members/{}/invite", site.steward), &[])
        .await;
    let (_, rest) = card.body.split_once("http://mill.test").unwrap();
    let link = rest.split('<').next().unwrap().to_owned();
    let mut stranger = site.stranger_at(AT.plus(90));
    let page = stranger
        .fills(
            &link,
            &[("sign_in", "ruth"), ("passphrase", "a long enough one")],
        )
        .await;
    page.says("one of your recovery codes");
    assert_eq!(
        stranger.opens("/members").await.status,
        StatusCode::SEE_OTHER
    );
    let page = stranger
        .fills(
            "/sign-in",
            &[("sign_in", "ruth"), ("passphrase", "a long enough one")],
        )
        .await;
    page.says("one of your recovery codes");
    let carried: Vec<_> = ["sign_in", "said", "mark", "next"]
        .map(|name| (name, stranger.hidden(name)))
        .into();
    types(&mut stranger, &carried, &secret.code(AT.plus(90)))
        .await
        .taken();
}

#[tokio::test]
async fn a_second_factor_is_taken_away_with_the_passphrase_and_by_the_server() {
    use canewright::actions::people::second_factor::taken_away_by_server;
    let site = TestSite::new().await;
    let (mut ruth, secret, _) = with_second_factor(&site).await;
    ruth.opens("/sessions")
        .await
        .says("a code of your authenticator");
    let wrong = [("passphrase", "five mules in a row")];
    ruth.opens("/second-factor")
        .await
        .says("10 recovery codes are left");
    ruth.sends("/second-factor/take-away", &wrong)
        .await
        .refused(StatusCode::CONFLICT, "not your present passphrase");
    ruth.opens("/second-factor").await;
    ruth.sends("/second-factor/take-away", &[("passphrase", PASSPHRASE)])
        .await
        .taken();
    assert_eq!(site.count("select count(*) from recovery_codes").await, 0);
    signs_in(&site, AT).await.opens("/").await.says("Ruth Bell");
    // Set up anew, it is another one.
    let page = ruth.opens("/second-factor").await;
    let newer = secret_of(&page.body);
    assert_ne!(newer, secret);
    let code = newer.code(AT);
    ruth.sends(
        "/second-factor",
        &[("code", &code), ("passphrase", PASSPHRASE)],
    )
    .await
    .says("Your recovery codes");
    assert_eq!(
        taken_away_by_server(&site.writer, AT, "ruth")
            .await
            .unwrap()
            .as_str(),
        "Ruth Bell"
    );
    signs_in(&site, AT).await.opens("/").await.says("Ruth Bell");
    let none = taken_away_by_server(&site.writer, AT, "ruth")
        .await
        .unwrap_err();
    assert!(none.to_string().contains("has no second factor"), "{none}");
}

#[tokio::test]
async fn nothing_typed_at_the_second_factor_is_kept_with_a_form() {
    let site = TestSite::new().await;
    let (_, secret, codes) = with_second_factor(&site).await;
    let kept = site
        .text("select group_concat(key || target || boxes || result) from form_keys")
        .await;
    assert!(
        !kept.contains(&secret.code(AT)) && !kept.contains(PASSPHRASE),
        "{kept}"
    );
    let hashes = site
        .text("select group_concat(code_hash) from recovery_codes")
        .await;
    assert!(codes.iter().all(|code| !hashes.contains(code.as_str())));
}

#[tokio::test]
async fn forms_and_files_are_counted_for_each_member() {
    let site = TestSite::with_season().await;
    let (_, mut amos) = site.person("Amos Reed", Role::Member).await;
    amos.opens("/").await;
    for _ in 0..600 {
        amos.sends("/look", &[("look", "light")]).await.taken();
    }
    let turned_away = amos.sends("/look", &[("look", "light")]).await;
    turned_away.refused(StatusCode::TOO_MANY_REQUESTS, "Please wait 15 minutes");
    // What was turned away is no page: there is nothing in it to send again.
    amos.opens("/").await.says("Amos Reed");
    // The crew's phones send what they kept, however much that is.
    let (_, mut cora) = site.person("Cora Pell", Role::Crew).await;
    cora.opens("/").await;
    for _ in 0..700 {
        cora.sends("/look", &[("look", "light")]).await.taken();
    }
    let (_, mut ruth) = site.person("Pearl Hale", Role::Steward).await;
    let file = "/seasons/2026/ledger.csv";
    for _ in 0..60 {
        assert_eq!(ruth.opens(file).await.status, StatusCode::OK);
    }
    let turned_away = ruth.opens(file).await;
    assert_eq!(turned_away.status, StatusCode::TOO_MANY_REQUESTS);
    assert_eq!(ruth.opens("/ledger").await.status, StatusCode::OK);
}

#[tokio::test]
async fn what_a_page_asks_by_itself_begins_no_cookie() {
    let site = TestSite::new().await;
    let page = site.stranger().opens("/sign-in").await;
    assert_eq!(page.cookies.len(), 1, "a page with a form begins one");
    let clock = site.stranger().opens("/clock").await;
    assert_eq!(clock.status, StatusCode::OK);
    assert!(clock.cookies.is_empty(), "{:?}", clock.cookies);
}
