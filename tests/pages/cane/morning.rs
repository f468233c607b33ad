use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::facts::boil::season_boils::SeasonBoils;
use canewright::units::{PressDayId, Role, SeasonId};

const MORNING: &str = "/days/2026-09-19/morning";
const STORED: &str = "select count(*) from opening_checks";

#[tokio::test]
async fn checks_are_noted_in_parts_by_whom_and_the_water_boil_sets_the_finish() {
    let site = TestSite::before_the_morning().await;
    let (_, mut ida) = site.person("Ida <b>Pike</b>", Role::Crew).await;
    // Nothing read: the height (180 m) says where water boils, 99.4 °C.
    ida.opens(MORNING)
        .await
        .says("Boiling water was not read yet")
        .says("it should boil at 210.9 °F")
        .says("missing");
    let scale = site.text("select id from scales").await;
    let first = ida
        .sends(
            MORNING,
            &[
                ("scale", &scale),
                ("known", "50"),
                ("reading", "50.5"),
                ("water_boil", "210.2"),
                ("done_guards", "yes"),
                ("waive_extinguisher", "yes"),
                ("note_extinguisher", "at the shop for filling; hose laid"),
            ],
        )
        .await;
    assert_eq!(first.taken(), MORNING);
    assert_eq!(site.count(STORED).await, 4);
    let page = ida.opens(MORNING).await;
    page.says("Platform: Shows 50.5 lb for 50.0 lb; it may be out by 0.5 lb there.")
        .says("Water boils at 210.2 °F")
        .says("at the shop for filling; hose laid")
        .says("Ida &#60;b&#62;Pike&#60;/b&#62;")
        .says("Water boiled at 210.2 °F that day")
        .says("waived");
    // 78 °Bx with K = 1.10 boils some 15 to 17 °F above water (trade notes, table B: 15.2 for pure
    // sugar), so the finish lies between 225 and 228 °F that day.
    let (_, rest) = page.body.split_once("class=\"big\">").unwrap();
    let finish: f64 = rest.split(' ').next().unwrap().parse().unwrap();
    assert!((225.0..228.0).contains(&finish), "{finish}");
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let mut snapshot = site.reader.snapshot().await.unwrap();
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    let boils = SeasonBoils::read(&mut snapshot, season).await.unwrap();
    let water = boils.water_of_day(day).unwrap();
    assert!((water.fahrenheit() - 210.2).abs() < 1e-9);
}

#[tokio::test]
async fn faults_are_all_shown_and_nothing_is_kept() {
    let site = TestSite::before_the_morning().await;
    let mut ruth = site.browser(site.steward).await;
    let answer = ruth
        .fills(
            MORNING,
            &[
                ("known", "50"),
                ("reading", ""),
                ("refractometer", "fifteen"),
                ("water_boil", "150"),
                ("done_guards", "yes"),
                ("waive_guards", "yes"),
                ("waive_pan", "yes"),
                ("note_engine", "looked at it"),
            ],
        )
        .await;
    answer
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please choose the scale.")
        .says("Please write a number here.")
        .says("“fifteen” is not a number.")
        .says("Water boils between 80 and 103 °C")
        .says("Please either do it or waive it, not both.")
        .says("Please write why it is waived.")
        .says("A remark alone is not kept.")
        .says("value=\"fifteen\"")
        .says("value=\"looked at it\"");
    assert_eq!(site.count(STORED).await, 0);
    ruth.fills(MORNING, &[])
        .await
        .refused(StatusCode::CONFLICT, "Nothing is filled in yet.");
}

#[tokio::test]
async fn a_figure_in_doubt_is_asked_about_and_kept_when_it_is_so() {
    let site = TestSite::before_the_morning().await;
    let mut ruth = site.browser(site.steward).await;
    let scale = site.text("select id from scales").await;
    let mut typed = vec![
        ("scale", scale.as_str()),
        ("known", "50"),
        ("reading", "52"),
        ("refractometer", "-0.5"),
        ("water_boil", "206"),
    ];
    ruth.fills(MORNING, &typed)
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "The scale shows 2.0 lb more than the check weight",
        )
        .says("It shows −0.5 °Bx in clean water instead of 0.")
        .says("206.0 °F is far from the 210.9 °F expected at 591 ft.")
        .says("I have read it again: it is so");
    assert_eq!(site.count(STORED).await, 0);
    typed.extend([
        ("sure_weight", "yes"),
        ("sure_refractometer", "yes"),
        ("sure_water_boil", "yes"),
    ]);
    ruth.sends(MORNING, &typed).await.taken();
    ruth.opens(MORNING).await.says("done, in doubt");
    let sure = "select count(*) from opening_checks where sure = 1 and outcome = 'done'";
    assert_eq!(site.count(sure).await, 3);
}

#[tokio::test]
async fn a_later_check_counts_and_the_earlier_stays() {
    let site = TestSite::before_the_morning().await;
    let mut ruth = site.browser(site.steward).await;
    for water in ["210", "211"] {
        ruth.fills(MORNING, &[("water_boil", water)]).await.taken();
    }
    let again = ruth.sends(MORNING, &[("water_boil", "211")]).await;
    assert_eq!(again.taken(), MORNING);
    assert_eq!(site.count(STORED).await, 2);
    ruth.opens(MORNING)
        .await
        .says("Water boiled at 211.0 °F that day")
        .says("Water boils at 210.0 °F");
    let mut tx = site.writer.begin().await.unwrap();
    for sql in [
        "update opening_checks set figure = 99",
        "delete from opening_checks",
    ] {
        let refused = sqlx::raw_sql(sql).execute(&mut *tx).await.unwrap_err();
        assert!(refused.to_string().contains("opening check"), "{refused}");
    }
}

#[tokio::test]
async fn a_closed_day_takes_no_checks_and_a_day_that_is_not_planned_has_no_page() {
    let site = TestSite::before_the_morning().await;
    site.sql("update press_days set closed_at = 1").await;
    let mut ruth = site.browser(site.steward).await;
    ruth.fills(MORNING, &[("done_pan", "yes")])
        .await
        .refused(StatusCode::CONFLICT, "This press day is closed.");
    ruth.opens("/days/2026-09-20/morning")
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    assert_eq!(site.count(STORED).await, 0);
}

#[tokio::test]
async fn members_may_not_open_or_note_the_morning() {
    let site = TestSite::before_the_morning().await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    amos.opens("/").await;
    amos.sends(MORNING, &[("done_pan", "yes")])
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    assert_eq!(site.count(STORED).await, 0);
}

#[tokio::test]
async fn the_first_ticket_waits_for_the_morning_and_says_what_is_missing() {
    const TICKET: &str = "/days/2026-09-19/tickets/new";
    let site = TestSite::before_the_morning().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let (whose, scale) = (
        format!("walk:{amos}"),
        site.text("select id from scales").await,
    );
    let load = [
        ("whose", whose.as_str()),
        ("scale", scale.as_str()),
        ("gross", "187.5"),
        ("tare", "40.5"),
    ];
    ruth.opens(MORNING)
        .await
        .says("Before the first ticket of the day");
    ruth.sends(MORNING, &[("done_guards", "yes")]).await.taken();
    ruth.opens(TICKET).await.says(MORNING);
    ruth.sends(TICKET, &load)
        .await
        .refused(StatusCode::CONFLICT, "engine outdoors, pan clean, drinking")
        .says("value=\"187.5\"");
    assert_eq!(site.count("select count(*) from tickets").await, 0);
    site.morning_done().await;
    ruth.opens(MORNING)
        .await
        .says("Every check is done or waived");
    ruth.fills(TICKET, &load).await.taken();
    assert_eq!(site.count("select count(*) from tickets").await, 1);
}
