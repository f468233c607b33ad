use crate::people::stations::{picks, station, with_pin};
use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;
use canewright::web::{Who, in_yard, table};

/// A path with its holes filled: an id that is nobody's, a date, a lot that is not there.
fn filled(path: &str) -> String {
    path.replace("{id}", "01920000-0000-7000-8000-00000000ffff")
        .replace("{person}", "01920000-0000-7000-8000-00000000fffe")
        .replace("{token}", "nothing")
        .replace("{name}", "nothing")
        .replace("{date}", "2026-09-19")
        .replace("{year}", "2026")
        .replace("{lot}", "26000-0")
        .replace("{number}", "1")
}

/// OWASP ASVS 5.0.0, 8.2.1: every route with every role. What the table says is what happens, and
/// a route without a role in the table cannot exist.
#[tokio::test]
async fn every_route_lets_in_whom_the_table_says_and_nobody_else() {
    let site = TestSite::new().await;
    let mut people = vec![(None, site.stranger())];
    for role in [Role::Member, Role::Crew, Role::Steward] {
        let (_, browser) = site.person(role.word(), role).await;
        people.push((Some(role), browser));
    }
    for line in table() {
        let least = match line.who {
            Who::Anyone | Who::Probes => None,
            Who::Members => Some(Role::Member),
            Who::Crew => Some(Role::Crew),
            Who::Stewards => Some(Role::Steward),
        };
        let path = filled(line.path);
        for (role, browser) in &mut people {
            let may = *role >= least;
            if line.gets {
                let answer = browser.opens(&path).await;
                let status = answer.status;
                let shut = matches!(status, StatusCode::FORBIDDEN | StatusCode::UNAUTHORIZED)
                    || answer.to.starts_with("/sign-in?");
                assert_eq!(shut, !may, "GET {path} as {role:?}: {status}");
                assert_ne!(
                    status,
                    StatusCode::INTERNAL_SERVER_ERROR,
                    "GET {path} as {role:?}"
                );
            }
            if line.posts && line.who == Who::Probes {
                // Neither a cookie nor a form's token opens it, whoever has them.
                let page = if role.is_none() { "/sign-in" } else { "/" };
                browser.opens(page).await;
                let (key, token) = (browser.hidden("form_key"), browser.hidden("token"));
                let fields = [("celsius", "99")];
                browser
                    .sends_keyed(&path, &fields, &key, &token)
                    .await
                    .refused(StatusCode::UNAUTHORIZED, "this token is not known here");
            } else if line.posts {
                browser.opens("/sign-in").await;
                // A form with a wrong token: whoever may post gets as far as the token check.
                let key = "01920000-0000-7000-8000-00000000eeee";
                let answer = browser.sends_keyed(&path, &[], key, "wrong").await;
                assert!(
                    matches!(
                        answer.status,
                        StatusCode::FORBIDDEN | StatusCode::UNAUTHORIZED
                    ),
                    "POST {path} as {role:?} without a token: {}",
                    answer.status
                );
                let met_the_token_check = answer.body.contains("That form was not taken");
                assert_eq!(
                    met_the_token_check, may,
                    "POST {path} as {role:?}: {}",
                    answer.body
                );
            }
        }
    }
}

/// The mill's own station against every route, with nobody picked and with a steward picked, who may do no
/// more there than the crew.
#[tokio::test]
async fn the_station_opens_the_yard_when_somebody_is_picked_and_no_other_page_ever() {
    let site = TestSite::new().await;
    with_pin(&site, site.steward).await;
    let mut yard = 0;
    for somebody in [false, true] {
        let mut tablet = station(&site).await;
        if somebody {
            picks(&mut tablet, site.steward).await;
        }
        for line in table() {
            let path = filled(line.path);
            let open = matches!(line.who, Who::Anyone | Who::Probes);
            assert!(
                !(in_yard(line.path) && line.who == Who::Stewards),
                "{path} is for stewards"
            );
            let may = open || (in_yard(line.path) && somebody);
            yard += usize::from(in_yard(line.path));
            if line.gets {
                let answer = tablet.opens(&path).await;
                let led_to_pick = answer.to.starts_with("/station?next=");
                let shut = answer.status == StatusCode::FORBIDDEN || led_to_pick;
                assert_eq!(
                    shut, !may,
                    "GET {path}, picked {somebody}: {}",
                    answer.status
                );
                // Home leads to the station as well.
                let asked = in_yard(line.path) || line.path == "/";
                assert_eq!(led_to_pick, !may && asked, "GET {path}, picked {somebody}");
            }
            if line.posts && line.who != Who::Probes {
                let key = "01920000-0000-7000-8000-00000000eeee";
                let answer = tablet.sends_keyed(&path, &[], key, "wrong").await;
                let met_the_token_check = answer.body.contains("That form was not taken");
                assert_eq!(
                    met_the_token_check, may,
                    "POST {path}, picked {somebody}: {}",
                    answer.body
                );
            }
        }
        let mut ruth = site.browser(site.steward).await;
        ruth.opens("/mill/stations").await;
        let id = site
            .text("select id from stations where ended_at is null")
            .await;
        ruth.sends(&format!("/mill/stations/{id}/sign-out"), &[])
            .await
            .taken();
    }
    assert!(yard > 40, "the yard's pages were tried: {yard}");
}

#[tokio::test]
async fn every_answer_carries_the_headers_that_keep_strangers_out() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    for path in ["/", "/members", "/nothing/here", "/health", "/sign-in"] {
        let answer = ruth.opens(path).await;
        let header = |name: &str| {
            answer
                .headers
                .get(name)
                .map(|v| v.to_str().unwrap().to_owned())
                .unwrap_or_default()
        };
        assert!(
            header("content-security-policy").contains("frame-ancestors 'none'"),
            "{path}"
        );
        assert!(
            !header("content-security-policy").contains("unsafe-inline"),
            "{path}"
        );
        assert_eq!(header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(header("referrer-policy"), "same-origin", "{path}");
        assert_eq!(header("cache-control"), "no-store", "{path}");
    }
}

#[tokio::test]
async fn help_says_to_each_role_what_it_does_and_to_stewards_whom_to_ask() {
    let site = TestSite::with_season().await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let (_, mut crew) = site.person("Lena Hart", Role::Crew).await;
    let mut ruth = site.browser(site.steward).await;
    let page = amos.opens("/help").await;
    page.says("Book a turn").says("Keep back from the rollers");
    assert!(!page.body.contains("For the crew"), "{}", page.body);
    let page = crew.opens("/help").await;
    page.says("Never leave a lit pan");
    assert!(!page.body.contains("For stewards"), "{}", page.body);
    ruth.opens("/help")
        .await
        .says("Sample letters")
        .says("Jars are called back")
        .says("Whom to ask")
        .says("Your state’s weights and measures office");
    ruth.opens("/").await.says("href=\"/help\"");
}
