use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::units::Role;

const SCALE: &[(&str, &str)] = &[
    ("scale_name", "Hanging <small>"),
    ("graduation", "1 oz"),
    ("capacity", "50"),
];

const COOP: &[(&str, &str)] = &[
    ("coop", "Coldwater Ridge Sorghum"),
    ("place", "Tolliver, TN 37999"),
    ("zone", "America/New_York"),
    ("units", "metric"),
    ("altitude", "590"),
    ("phone", ""),
];

/// Presses the one-button form of that address on the last page opened.
async fn presses(browser: &mut Browser, action: &str) -> crate::site::Answer {
    let form = browser
        .last
        .split_once(&format!("action=\"{action}\""))
        .unwrap()
        .1
        .to_owned();
    let value = |name: &str| {
        let mark = format!("name=\"{name}\" value=\"");
        let rest = form.split_once(&mark).unwrap().1;
        rest.split('"').next().unwrap().to_owned()
    };
    let (key, token) = (value("form_key"), value("token"));
    let out = value("out");
    browser
        .sends_keyed(action, &[("out", &out)], &key, &token)
        .await
}

#[tokio::test]
async fn a_steward_adds_a_scale_once_and_sees_its_step() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let to = ruth.fills("/mill/scales/new", SCALE).await;
    assert_eq!(to.taken(), "/mill");
    ruth.sends("/mill/scales/new", SCALE).await.taken();
    ruth.opens("/mill")
        .await
        .says("Hanging &#60;small&#62;")
        .says("1 oz")
        .says("0.5 lb");
    assert_eq!(site.count("select count(*) from scales").await, 2);
    ruth.fills("/mill/scales/new", SCALE)
        .await
        .refused(StatusCode::CONFLICT, "There is a scale of that name.")
        .says("value=\"Hanging &#60;small&#62;\"");
}

#[tokio::test]
async fn a_scale_without_a_step_or_lighter_than_its_step_is_refused() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let fill = |step, most| {
        vec![
            ("scale_name", "Hanging"),
            ("graduation", step),
            ("capacity", most),
        ]
    };
    ruth.fills("/mill/scales/new", &fill("half a pound", "50"))
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "is not a number. Please write a number",
        )
        .says("value=\"half a pound\"");
    ruth.fills("/mill/scales/new", &fill("0", "50"))
        .await
        .refused(StatusCode::CONFLICT, "stands on the scale&#39;s plate as d");
    ruth.fills("/mill/scales/new", &fill("1", "0.5"))
        .await
        .refused(StatusCode::CONFLICT, "more than one step of its display");
    assert_eq!(site.count("select count(*) from scales").await, 1);
}

#[tokio::test]
async fn a_steward_adds_a_vessel_and_one_that_holds_nothing_is_refused() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let fill = |name, holds| vec![("vessel_name", name), ("capacity", holds)];
    ruth.fills("/mill/vessels/new", &fill("Cider tank", "60"))
        .await
        .taken();
    ruth.sends("/mill/vessels/new", &fill("Cider tank", "60"))
        .await
        .taken();
    ruth.opens("/mill")
        .await
        .says("Cider tank")
        .says("60.0 gal");
    ruth.fills("/mill/vessels/new", &fill("", "a lot"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box.")
        .says("value=\"a lot\"");
    ruth.fills("/mill/vessels/new", &fill("Sieve", "0"))
        .await
        .refused(StatusCode::CONFLICT, "Please write what the vessel holds.");
    assert_eq!(site.count("select count(*) from vessels").await, 3);
}

#[tokio::test]
async fn a_scale_and_a_vessel_go_out_of_use_and_come_back() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    for (ids, table, name) in [
        ("select id from scales", "scales", "Platform"),
        (
            "select id from vessels where name = 'Blue barrel'",
            "vessels",
            "Blue barrel",
        ),
    ] {
        let action = format!("/mill/{table}/{}/retire", site.text(ids).await);
        ruth.opens("/mill").await;
        assert_eq!(presses(&mut ruth, &action).await.taken(), "/mill");
        ruth.opens("/mill")
            .await
            .says(&format!("Take {name} back into use"));
        presses(&mut ruth, &action).await.taken();
        ruth.opens("/mill")
            .await
            .says(&format!("Take {name} out of use"));
    }
}

#[tokio::test]
async fn the_card_of_the_co_op_is_changed_once_it_is_right() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    let mut wrong = COOP.to_vec();
    wrong.retain(|(name, _)| !["zone", "altitude", "phone"].contains(name));
    wrong.extend([
        ("zone", "Tennessee"),
        ("altitude", "-1200"),
        ("phone", "call me"),
    ]);
    ruth.fills("/mill/co-op", &wrong)
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "time zone of the tz database",
        )
        .says("height above the sea from −300")
        .says("Please write a telephone number");
    let zone = "select zone from coop";
    assert_eq!(site.text(zone).await, "America/Chicago");
    ruth.fills("/mill/co-op", COOP).await.taken();
    ruth.opens("/mill")
        .await
        .says("Coldwater Ridge Sorghum")
        .says("kilograms, litres")
        .says("590 ft")
        .says("nobody named yet");
    assert_eq!(site.text(zone).await, "America/New_York");
}

#[tokio::test]
async fn a_height_that_comes_back_as_it_was_shown_stays_as_it_was_measured() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    let card = |altitude, phone| {
        let mut card = COOP.to_vec();
        card.retain(|(name, _)| !["altitude", "phone"].contains(name));
        card.extend([("altitude", altitude), ("phone", phone)]);
        card
    };
    let height = "select cast(altitude_m as text) from coop";
    ruth.fills("/mill/co-op", &card("289.6 m", ""))
        .await
        .taken();
    assert_eq!(site.text(height).await, "289.6");
    ruth.opens("/mill/co-op").await.says("value=\"950\"");
    ruth.fills("/mill/co-op", &card("950", "615 555 0100"))
        .await
        .taken();
    assert_eq!(site.text(height).await, "289.6");
    let page = ruth.opens("/history?q=615").await;
    page.says("telephone: nothing → “615 555 0100”");
    assert!(!page.body.contains("height above the sea: 289.6"));
    ruth.fills("/mill/co-op", &card("951", "615 555 0100"))
        .await
        .taken();
    ruth.opens("/history?q=height")
        .await
        .says("height above the sea: 289.6 m → 289.8648 m");
}

#[tokio::test]
async fn the_mill_is_for_stewards_only() {
    let site = TestSite::with_season().await;
    let (_, mut crew) = site.person("Cora Webb", Role::Crew).await;
    let scale = site.text("select id from scales").await;
    let vessel = site.text("select min(id) from vessels").await;
    for (path, fields) in [
        ("/mill/scales/new".to_owned(), SCALE),
        ("/mill/co-op".to_owned(), COOP),
        ("/mill/vessels/new".to_owned(), &[][..]),
        (format!("/mill/scales/{scale}/retire"), &[][..]),
        (format!("/mill/vessels/{vessel}/retire"), &[][..]),
    ] {
        crew.opens("/").await;
        crew.sends(&path, fields)
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
    }
    let retired = "select count(*) from scales where retired_at is not null";
    assert_eq!(site.count(retired).await, 0);
    assert_eq!(site.count("select count(*) from scales").await, 1);
}
