//! Every form with a date says just what is wrong with one: it does not exist, it is still to come where something
//! has happened, or it lies in another season. Today is Sat 19 Sep 2026.

use crate::site::{Answer, Browser, TestSite};
use axum::http::StatusCode;

/// What a form's date may be.
#[derive(Clone, Copy)]
enum May {
    /// Something happened on it.
    Past,
    /// It is of the season.
    OfSeason,
    /// Both.
    PastOfSeason,
}

async fn sends(steward: &mut Browser, form: (&str, &str), name: &str, date: &str) -> Answer {
    let (page, to) = form;
    steward.opens(page).await;
    let answer = steward.sends(to, &[(name, date)]).await;
    // What was typed stays in its box, and the box is named in the summary.
    answer
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            &format!("value=\"{date}\""),
        )
        .says(&format!("href=\"#f-{name}\""));
    answer
}

#[tokio::test]
async fn a_date_that_is_not_there_is_to_come_or_of_another_season_is_called_that_on_every_form() {
    use May::{OfSeason, Past, PastOfSeason};
    let site = TestSite::with_season().await;
    let mut steward = site.browser(site.steward).await;
    let ticket = "/days/2026-09-19/tickets/new";
    let payment = format!("/members/{}/payment", site.steward);
    let planting = format!("/members/{}/plantings/new", site.steward);
    let frost = "/days/2026-09-19/turns/frost";
    let forms = [
        ((ticket, ticket), "cut_on", PastOfSeason),
        ((&payment, &payment), "on", Past),
        (("/recalls/new", "/recalls/new"), "day", Past),
        // A planting goes to the season of its year, whichever of the open ones that is.
        ((&planting, &planting), "planted_on", Past),
        (
            ("/seasons/2026/proposal", "/seasons/2026/frost"),
            "early",
            OfSeason,
        ),
        (
            ("/seasons/2026/proposal", "/seasons/2026/frost"),
            "late",
            OfSeason,
        ),
        (
            ("/seasons/2026/proposal", "/seasons/2026/frost-forecast"),
            "night",
            OfSeason,
        ),
        ((frost, frost), "frost_on", Past),
    ];
    for (form, name, may) in forms {
        sends(&mut steward, form, name, "2026-02-30")
            .await
            .says("There is no 30 February 2026. Please look at the calendar again.");
        if matches!(may, Past | PastOfSeason) {
            sends(&mut steward, form, name, "2026-12-24")
                .await
                .says("Thu 24 Dec 2026 is still to come: today is Sat 19 Sep 2026.");
        }
        if matches!(may, OfSeason | PastOfSeason) {
            sends(&mut steward, form, name, "2025-09-12").await.says(
                "Fri 12 Sep 2025 lies in another season, that of 2025; this is the season of 2026.",
            );
        }
    }
}

#[tokio::test]
async fn a_press_day_of_a_season_that_is_not_open_is_refused_beside_its_box() {
    let site = TestSite::with_season().await;
    let mut steward = site.browser(site.steward).await;
    let mut day = vec![
        ("date", "2031-09-13"),
        ("opens", "7:00"),
        ("closes", "15:00"),
        ("mill_per_h", "500"),
        ("changeover", "10"),
        ("note", ""),
    ];
    for (date, words) in [
        ("2031-09-13", "The season of 2031 is not open yet."),
        ("2026-11-31", "There is no 31 November 2026."),
    ] {
        day[0].1 = date;
        steward.opens("/days/new").await;
        steward
            .sends("/days/new", &day)
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, words)
            .says("href=\"#f-date\"");
    }
}
