use crate::site::TestSite;
use crate::turns::row_yield::pressed;
use axum::http::StatusCode;
use canewright::units::Role;

const PLAN: &str = "/seasons/2026/plan";

#[tokio::test]
async fn the_plan_shows_weeks_hours_and_jars_and_names_nobody() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    browser
        .opens(PLAN)
        .await
        .says("No pan is set up, so only the mill is planned.");
    for (planted, row) in [("2026-05-20", "1000"), ("2026-06-01", "9000")] {
        let fields = [
            ("variety", "Dale"),
            ("planted_on", planted),
            ("row", row),
            ("days", "110"),
        ];
        browser
            .fills(&format!("/members/{amos}/plantings/new"), &fields)
            .await
            .taken();
    }
    let plan = browser.opens(PLAN).await;
    // 10,000 ft at 4.5 kg a metre: 13,716 kg.
    plan.says("30,238.6 lb of cane in all")
        .says("from 2 plantings")
        .says("role=\"img\"")
        .says("<th scope=\"row\">14 Sep</th>")
        .says("the mill is the limit")
        .says("more press days carry it")
        .says("no press day")
        .says("nothing yet");
    assert!(!plan.body.contains("Dale"));
    let other = site.stranger().opens(PLAN).await;
    assert!(other.taken().starts_with("/sign-in?"));
    browser
        .opens("/seasons/2031/plan")
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn with_a_pan_the_plan_says_what_a_larger_one_would_do() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let pan = [
        ("pan_name", "Long pan"),
        ("pan_area", "24"),
        ("least", "40"),
        ("most", "130"),
        ("pan_rate", "1"),
        ("fuel", "red_oak"),
        ("efficiency", "40"),
    ];
    ruth.fills("/mill/pans/new", &pan).await.taken();
    // The mill is made quick, so that the pan is what is short.
    site.sql("update press_days set mill_g_per_h = 5000000")
        .await;
    let fields = [
        ("variety", "Dale"),
        ("planted_on", "2026-06-01"),
        ("row", "6000"),
        ("days", "110"),
    ];
    browser
        .fills(&format!("/members/{amos}/plantings/new"), &fields)
        .await
        .taken();
    browser
        .opens(PLAN)
        .await
        .says("drives off 24.0 gal of water an hour (as it was set up)")
        .says("the pan is the limit")
        .says("times this one, would boil it on the days there are");
}

/// Eight turns of 30 ft of row, each 120 lb on the scale: 4 lb a foot.
#[tokio::test]
async fn after_eight_turns_the_mills_own_figures_are_used_and_a_new_season_starts_from_them() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let fields = [
        ("variety", "Dale"),
        ("planted_on", "2026-06-01"),
        ("row", "100"),
        ("days", "110"),
    ];
    let plantings = format!("/members/{amos}/plantings");
    browser
        .fills(&format!("{plantings}/new"), &fields)
        .await
        .taken();
    for n in 0..8 {
        if n == 7 {
            browser.opens(&plantings).await.says("× 3.0239 lb a foot");
        }
        pressed(&site, amos, n, "120").await;
    }
    browser.opens(&plantings).await.says("× 4.0");
    // 54 of 120 lb are 45.0; twelve minutes for 54.4 kg are 22.0 for 100.
    browser
        .opens(PLAN)
        .await
        .says("45.0 ± 0.0 from 8 turns")
        .says("17.0 ± 0.0 from 8 turns")
        .says("22.0 min ± 0.0 min from 7 turns");
    let mut ruth = site.browser(site.steward).await;
    ruth.fills("/seasons", &[("year", "2027")]).await.taken();
    ruth.opens("/seasons/2027/plan")
        .await
        .says("17.0 ± 0.0 from 8 turns")
        .says("nothing yet");
}
