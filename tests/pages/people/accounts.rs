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

/// The boxes of the sign-in form.
fn as_ruth(passphrase: &str) -> [(&str, &str); 2] {
    [("sign_in", "ruth"), ("passphrase", passphrase)]
}

#[tokio::test]
async fn of_two_hundred_guesses_sent_at_once_five_are_looked_at() {
    let site = TestSite::new().await;
    // All of one thread: each is sent before the first is answered, since that waits for the hashing.
    let answers = tokio::task::LocalSet::new()
        .run_until(async {
            let mut guesses = tokio::task::JoinSet::new();
            for _ in 0..200 {
                let mut stranger = site.stranger();
                guesses.spawn_local(async move {
                    let answer = stranger.fills("/sign-in", &as_ruth("wrong wrong")).await;
                    answer.status
                });
            }
            guesses.join_all().await
        })
        .await;
    let of = |status: StatusCode| answers.iter().filter(|s| **s == status).count();
    assert_eq!(of(StatusCode::UNPROCESSABLE_ENTITY), 5);
    assert_eq!(of(StatusCode::TOO_MANY_REQUESTS), 195);
}

#[tokio::test]
async fn wrong_guesses_of_others_do_not_keep_somebody_out_of_her_own_telephone() {
    let site = TestSite::new().await;
    let mut ruth = site.stranger();
    ruth.fills("/sign-in", &as_ruth("four mules in a row"))
        .await
        .taken();
    ruth.opens("/").await;
    ruth.sends("/sign-out", &[]).await.taken();
    let mut stranger = site.stranger();
    for _ in 0..6 {
        stranger.fills("/sign-in", &as_ruth("wrong wrong")).await;
    }
    let shut = stranger
        .fills("/sign-in", &as_ruth("four mules in a row"))
        .await;
    assert_eq!(shut.status, StatusCode::TOO_MANY_REQUESTS);
    ruth.fills("/sign-in", &as_ruth("four mules in a row"))
        .await
        .taken();
}

#[tokio::test]
async fn a_stewards_invitation_lets_in_whoever_was_shut_out_for_wrong_guesses() {
    let site = TestSite::new().await;
    let mut steward = site.browser(site.steward).await;
    let mut stranger = site.stranger();
    for _ in 0..6 {
        stranger.fills("/sign-in", &as_ruth("wrong wrong")).await;
    }
    let right = as_ruth("four mules in a row");
    let shut = stranger.fills("/sign-in", &right).await;
    assert_eq!(shut.status, StatusCode::TOO_MANY_REQUESTS);
    let path = format!("/members/{}/invite", site.steward);
    steward.opens(&format!("/members/{}", site.steward)).await;
    let card = steward.sends(&path, &[]).await;
    let link = link_of(&card.body);
    let new = as_ruth("seven crows on a wire");
    let joined = stranger.fills(&link, &new).await;
    assert_eq!(joined.taken(), "/");
    stranger.opens("/").await.says("Ruth");
}

#[tokio::test]
async fn the_present_passphrase_is_guessed_at_no_oftener_than_at_the_door() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    let boxes = |old| [("old", old), ("passphrase", "seven crows on a wire")];
    for _ in 0..5 {
        let answer = ruth.fills("/passphrase", &boxes("wrong wrong")).await;
        answer.refused(StatusCode::CONFLICT, "not your present passphrase");
    }
    let answer = ruth
        .fills("/passphrase", &boxes("four mules in a row"))
        .await;
    answer.refused(StatusCode::TOO_MANY_REQUESTS, "Too many tries");
}

#[tokio::test]
async fn a_passphrase_of_names_that_anybody_would_try_is_refused() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    for easy in [
        "Ruth Bell 1",
        "coldwaterridge",
        "Tolliver2026",
        "baseball1",
        "ruthruthruth",
    ] {
        let answer = ruth
            .fills(
                "/passphrase",
                &[("old", "four mules in a row"), ("passphrase", easy)],
            )
            .await;
        assert_eq!(answer.status, StatusCode::CONFLICT, "{easy}");
        answer.says("one of the first that anybody would try");
    }
    let good = [
        ("old", "four mules in a row"),
        ("passphrase", "Ruth sings to the mules"),
    ];
    ruth.fills("/passphrase", &good).await.taken();
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

/// The invitation's address on a card.
fn link_of(card: &str) -> String {
    let rest = card.split("http://mill.test").nth(1).unwrap();
    rest.split('<').next().unwrap().to_owned()
}

#[tokio::test]
async fn an_invitation_sent_twice_is_one_invitation_on_the_same_card() {
    let site = TestSite::new().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    let (key, token) = (ruth.hidden("form_key"), ruth.hidden("token"));
    let to = format!("/members/{amos}/invite");
    let first = ruth.sends_keyed(&to, &[], &key, &token).await;
    let again = ruth.sends_keyed(&to, &[], &key, &token).await;
    assert_eq!(first.status, StatusCode::OK);
    assert_eq!(again.status, StatusCode::OK);
    let link = link_of(&first.body);
    assert_eq!(link, link_of(&again.body));
    assert_eq!(site.count("select count(*) from invites").await, 1);
    // Nothing stored gives the link away.
    let secret = link.trim_start_matches("/join/").to_owned();
    assert_eq!(
        site.text("select token_hash from invites").await,
        canewright::actions::hash_token(&secret)
    );
    let kept = site
        .text("select group_concat(key || target || boxes || result) from form_keys")
        .await;
    assert!(!kept.contains(&secret));
    // The same key for somebody else is another invitation.
    let others = ruth
        .sends_keyed(&format!("/members/{ida}/invite"), &[], &key, &token)
        .await;
    assert_ne!(link_of(&others.body), link);
    // A new page makes a new one; the old form then does not show a card that opens nothing.
    ruth.opens(&format!("/members/{amos}")).await;
    let newer = ruth.sends(&to, &[]).await;
    assert_ne!(link_of(&newer.body), link);
    ruth.sends_keyed(&to, &[], &key, &token)
        .await
        .refused(StatusCode::CONFLICT, "a newer one was made");
}

#[tokio::test]
async fn joining_sent_twice_makes_one_account_and_lets_in_whoever_knows_its_passphrase() {
    let site = TestSite::new().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    let card = ruth.sends(&format!("/members/{amos}/invite"), &[]).await;
    let link = link_of(&card.body);
    let mut stranger = site.stranger();
    stranger.opens(&link).await;
    let before = stranger.cookie.clone();
    let (key, token) = (stranger.hidden("form_key"), stranger.hidden("token"));
    let mine = [("sign_in", "amos"), ("passphrase", "a long enough one")];
    let first = stranger.sends_keyed(&link, &mine, &key, &token).await;
    assert_eq!(first.taken(), "/");
    let hash = site
        .text("select passphrase_hash from accounts where sign_in = 'amos'")
        .await;
    // The answer was lost: the browser has its old cookie still.
    stranger.cookie.clone_from(&before);
    let again = stranger.sends_keyed(&link, &mine, &key, &token).await;
    assert_eq!(again.taken(), "/");
    stranger.opens("/").await.says("Amos Trout");
    // Another passphrase changes nothing and opens nothing.
    stranger.cookie.clone_from(&before);
    let other = [("sign_in", "amos"), ("passphrase", "quite another one")];
    for _ in 0..5 {
        stranger
            .sends_keyed(&link, &other, &key, &token)
            .await
            .refused(StatusCode::CONFLICT, "with another passphrase");
    }
    stranger
        .sends_keyed(&link, &mine, &key, &token)
        .await
        .refused(StatusCode::TOO_MANY_REQUESTS, "Too many tries");
    // Another name: what was stored is said, and where to go.
    let renamed = [("sign_in", "trout"), ("passphrase", "a long enough one")];
    stranger
        .sends_keyed(&link, &renamed, &key, &token)
        .await
        .refused(
            StatusCode::CONFLICT,
            "stored as sign in “amos” (now “trout”)",
        );
    assert_eq!(site.count("select count(*) from accounts").await, 2);
    assert_eq!(
        site.text("select passphrase_hash from accounts where sign_in = 'amos'")
            .await,
        hash
    );
    let kept = site.text("select group_concat(boxes) from form_keys").await;
    assert!(kept.contains("amos") && !kept.contains("enough"), "{kept}");
}

#[tokio::test]
async fn setting_up_sent_twice_is_one_co_op_and_one_steward_who_is_let_in() {
    let (site, code) = TestSite::before_set_up(AT).await;
    let mut stranger = site.stranger();
    stranger.opens("/set-up").await;
    let before = stranger.cookie.clone();
    let (key, token) = (stranger.hidden("form_key"), stranger.hidden("token"));
    let boxes = |passphrase| {
        [
            ("code", code.as_str()),
            ("coop", "Coldwater Ridge Pressing Co-op"),
            ("place", "Tolliver, TN 37999"),
            ("zone", "America/Chicago"),
            ("units", "us"),
            ("name", "Ruth Bell"),
            ("phone", "615 555 0100"),
            ("sign_in", "ruth"),
            ("passphrase", passphrase),
        ]
    };
    for _ in 0..2 {
        // The first answer is lost: the browser has its old cookie still.
        stranger.cookie.clone_from(&before);
        let mine = boxes("four mules in a row");
        let answer = stranger.sends_keyed("/set-up", &mine, &key, &token).await;
        assert_eq!(answer.taken(), "/");
        stranger.opens("/").await.says("Ruth Bell");
    }
    assert_eq!(site.count("select count(*) from members").await, 1);
    assert_eq!(site.count("select count(*) from accounts").await, 1);
    // Whoever does not know the passphrase is not let in.
    stranger.cookie.clone_from(&before);
    let guess = boxes("five mules in a row");
    let answer = stranger.sends_keyed("/set-up", &guess, &key, &token).await;
    assert_eq!(answer.taken(), "/");
    assert_eq!(stranger.opens("/").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn the_first_steward_needs_no_telephone() {
    let (site, code) = TestSite::before_set_up(AT).await;
    let mut stranger = site.stranger();
    let mine = [
        ("code", code.as_str()),
        ("coop", "Coldwater Ridge Pressing Co-op"),
        ("place", "Tolliver, TN 37999"),
        ("zone", "America/Chicago"),
        ("units", "us"),
        ("name", "Ruth Bell"),
        ("phone", ""),
        ("sign_in", "ruth"),
        ("passphrase", "four mules in a row"),
    ];
    assert_eq!(stranger.fills("/set-up", &mine).await.taken(), "/");
    stranger.opens("/").await.says("Ruth Bell");
    stranger.opens("/mill").await.says("nobody named yet");
    stranger.opens("/members").await.says("Ruth Bell");
}

#[tokio::test]
async fn an_only_steward_who_lost_the_passphrase_is_let_in_by_an_invitation_made_on_the_server() {
    use canewright::actions::people::invite_by_server::invite_by_server;
    let site = TestSite::new().await;
    let invited = invite_by_server(&site.writer, &site.ids, AT, " ruth bell ")
        .await
        .unwrap();
    assert_eq!(invited.name.as_str(), "Ruth Bell");
    let link = format!("/join/{}", invited.token.as_str());
    let mut ruth = site.stranger();
    let boxes = [
        ("sign_in", "ruth"),
        ("passphrase", "seven geese on the pond"),
    ];
    assert_eq!(ruth.fills(&link, &boxes).await.taken(), "/");
    ruth.opens("/mill").await.says("Scales");
    let mut again = site.stranger();
    let old = [("sign_in", "ruth"), ("passphrase", "four mules in a row")];
    again
        .fills("/sign-in", &old)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "do not belong together");
}

#[test]
fn a_command_that_cannot_be_done_says_why_once_and_lists_none_of_the_programs_own_calls() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    let run = |words: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_canewright"));
        command.args(words).arg("--database").arg(&path);
        command.env("RUST_BACKTRACE", "1").output().unwrap()
    };
    assert!(run(&["demo", "--only-make"]).status.success());
    let refused = run(&["invite", "Bess Nobody"]);
    let said = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert_eq!(refused.status.code(), Some(1), "{said}");
    assert_eq!(said.matches("Nobody here is called").count(), 1, "{said}");
    assert!(
        !said.contains("backtrace") && said.lines().count() == 1,
        "{said}"
    );
}

#[tokio::test]
async fn an_invitation_made_on_the_server_is_for_one_member_who_is_there() {
    use canewright::actions::people::invite_by_server::invite_by_server;
    let site = TestSite::new().await;
    let said = async |called: &str| {
        let made = invite_by_server(&site.writer, &site.ids, AT, called).await;
        made.map(|invited| invited.name.to_string())
            .map_err(|stop| stop.to_string())
    };
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    // As it may stand in a file from before names were told apart.
    site.person("Amos Trent", Role::Member).await;
    site.sql("update members set name = 'amos trout' where name = 'Amos Trent'")
        .await;
    let several = said("Amos Trout").await.unwrap_err();
    assert!(several.contains("Amos Trout is number 2"), "{several}");
    assert!(several.contains("amos trout is number 3"), "{several}");
    assert_eq!(said("2").await.unwrap(), "Amos Trout");
    let nobody = said("Nobody At All").await.unwrap_err();
    assert!(nobody.contains("Nobody here is called"), "{nobody}");
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    ruth.sends(&format!("/members/{amos}/let-go"), &[])
        .await
        .taken();
    let gone = said("2").await.unwrap_err();
    assert!(gone.contains("has left the co-op"), "{gone}");
}

#[tokio::test]
async fn the_first_steps_are_ticked_off_until_the_first_statement() {
    use canewright::actions::people::invite_by_server::invite_by_server;
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/")
        .await
        .says("First steps")
        .says("<a href=\"/mill\">Name a scale and a vessel</a>")
        .says("<a href=\"/members\">Invite them</a>")
        .says("<a href=\"/seasons\">Open the season</a>");
    // An invitation of the steward alone, as a server makes one, invites nobody else.
    invite_by_server(&site.writer, &site.ids, AT, "ruth bell")
        .await
        .unwrap();
    ruth.opens("/")
        .await
        .says("<a href=\"/members\">Invite them</a>");
    let (cora, _) = site.person("Cora Webb", Role::Crew).await;
    ruth.opens(&format!("/members/{cora}")).await;
    let invite = format!("/members/{cora}/invite");
    assert!(ruth.sends(&invite, &[]).await.status.is_success());
    ruth.opens("/")
        .await
        .says("<span class=\"tag ok\">done</span> Invite them");
    ruth.opens("/seasons").await;
    ruth.fills("/seasons", &[("year", "2026")]).await.taken();
    let home = ruth.opens("/").await;
    home.says("<span class=\"tag ok\">done</span> Open the season")
        .says("<a href=\"/seasons/2026\">Confirm the rules</a>");
    // A season opened ahead is not the one of today.
    ruth.fills("/seasons", &[("year", "2027")]).await.taken();
    ruth.opens("/seasons/2026").await;
    let confirm = "/seasons/2026/rules/1/confirm";
    let from = [("holds_from", "2026-01-01")];
    ruth.sends(confirm, &from).await.taken();
    ruth.opens("/")
        .await
        .says("<span class=\"tag ok\">done</span> Confirm the rules");
    let (_, mut crew) = site.person("Cora Pell", Role::Crew).await;
    let other = crew.opens("/").await;
    assert!(!other.body.contains("First steps"));
    let lot = crate::shares::divisions::divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    assert!(!ruth.opens("/").await.body.contains("First steps"));
}
