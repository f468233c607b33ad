use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

const PAN: &[(&str, &str)] = &[
    ("pan_name", "Flat <b>pan</b>"),
    ("pan_area", "24"),
    ("least", "40"),
    ("most", "130"),
    ("pan_rate", "1.0"),
    ("fuel", "red_oak"),
    ("efficiency", ""),
];

#[tokio::test]
async fn a_steward_adds_a_pan_and_the_crew_see_it() {
    let site = TestSite::new().await;
    let (_, mut crew) = site.person("Ida Pike", Role::Crew).await;
    crew.opens("/mill/pans").await.says("There is no pan yet");
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/mill/pans/new")
        .await
        .says("value=\"1.00\"")
        .says("1.0 gallon of water a square foot an hour");
    let first = ruth.sends("/mill/pans/new", PAN).await;
    let again = ruth.sends("/mill/pans/new", PAN).await;
    assert_eq!(first.taken(), again.taken());
    assert_eq!(site.count("select count(*) from pans").await, 1);
    // 24 sq ft are 2.2297 m² (NIST Handbook 44, Appendix C); wood's guess is 40 %.
    let kept = "select count(*) from pans where abs(area_m2 - 2.22967) < 1e-4 \
                and abs(rate_l_per_m2_h - 40.7458) < 1e-3 and efficiency_pct = 40 and most_ml = 492104";
    assert_eq!(site.count(kept).await, 1);
    crew.opens("/mill/pans")
        .await
        .says("Flat &#60;b&#62;pan&#60;/b&#62;")
        .says("24.0 sq ft")
        .says("24.0 gal an hour")
        .says("red oak, 40 %");
}

#[tokio::test]
async fn a_pan_with_faults_shows_them_all_and_keeps_what_was_typed() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    let typed = [
        ("pan_name", ""),
        ("pan_area", "big"),
        ("least", "40"),
        ("most", "130"),
        ("pan_rate", "one"),
        ("fuel", "coal"),
        ("efficiency", "35"),
    ];
    ruth.fills("/mill/pans/new", &typed)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box.")
        .says("Please choose what burns")
        .says("value=\"big\"")
        .says("value=\"35\"");
    let mut swapped = PAN.to_vec();
    swapped[2].1 = "130";
    swapped[3].1 = "40";
    ruth.fills("/mill/pans/new", &swapped).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "must not be below the least",
    );
    assert_eq!(site.count("select count(*) from pans").await, 0);
}

#[tokio::test]
async fn a_retired_pans_name_may_be_used_again_but_not_twice_at_once() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.fills("/mill/pans/new", PAN).await.taken();
    ruth.fills("/mill/pans/new", PAN)
        .await
        .refused(StatusCode::CONFLICT, "There is a pan in use called");
    let id = site.text("select id from pans").await;
    let retire = format!("/mill/pans/{id}/retire");
    ruth.opens("/mill/pans").await.says("Take out of use");
    ruth.sends(&retire, &[]).await.taken();
    ruth.opens("/mill/pans").await.says("out of use");
    ruth.fills("/mill/pans/new", PAN).await.taken();
    ruth.opens("/mill/pans").await;
    // Pressed on a page opened before: it is out of use, and stays so.
    ruth.sends(&retire, &[("out", "yes")]).await.taken();
    let out = "select count(*) from pans where retired_at is not null";
    assert_eq!(site.count(out).await, 1);
    ruth.opens("/mill/pans").await;
    ruth.sends(&retire, &[("out", "no")])
        .await
        .refused(StatusCode::CONFLICT, "There is a pan in use called");
    assert_eq!(
        site.count("select count(*) from pans where retired_at is null")
            .await,
        1
    );
}

#[tokio::test]
async fn crew_may_not_add_a_pan() {
    let site = TestSite::new().await;
    let (_, mut crew) = site.person("Ida Pike", Role::Crew).await;
    crew.opens("/mill/pans").await;
    crew.sends("/mill/pans/new", PAN)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    assert_eq!(site.count("select count(*) from pans").await, 0);
}
