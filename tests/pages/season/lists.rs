//! Long lists: searched, in an order, a part at a time.

use super::big_season::{big_season, tickets};
use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

#[tokio::test]
async fn boils_and_lots_are_found_by_lot_day_and_stage_and_shown_thirty_at_a_time() {
    let season = big_season(6, 33).await;
    let mut ruth = season.site.browser(season.site.steward).await;
    let page = ruth.opens("/boils").await;
    page.says("1 to 30 of 33")
        .says("/boils?year=2026&#38;q=&#38;order=latest&#38;skip=30");
    assert_eq!(page.body.matches("<th scope=\"row\">").count(), 30);
    let rest = ruth.opens("/boils?year=2026&q=&order=lot&skip=30").await;
    rest.says("31 to 33 of 33").says("Those before");
    assert_eq!(rest.body.matches("<th scope=\"row\">").count(), 3);
    let code = season.lots[4].as_str().to_lowercase();
    let one = ruth.opens(&format!("/boils?q={code}+DIVIDED")).await;
    one.says(&season.lots[4].to_string());
    assert_eq!(one.body.matches("<th scope=\"row\">").count(), 1);
    ruth.opens("/boils?q=%3Cscript%3E")
        .await
        .says("No boil is found.")
        .says("value=\"&#60;script&#62;\"");
    ruth.opens("/boils?year=1066")
        .await
        .refused(StatusCode::NOT_FOUND, "");
    // The ledger: by member, by day, by kind, and each balance found by its name.
    let page = ruth.opens("/ledger").await;
    page.says("1 to 40 of").says("By kind");
    let page = ruth
        .opens("/ledger?season=2026&q=member+000&order=kind")
        .await;
    page.says("Member 000");
    ruth.opens("/ledger?season=2026&q=%3Cscript%3E")
        .await
        .says("No such lines.");
    let fees = ruth
        .opens("/ledger?season=2026&q=jar+fee+member+000&order=day")
        .await;
    assert!(!fees.body.contains("syrup entitled"), "{}", fees.body);
}

#[tokio::test]
async fn tickets_are_found_by_name_number_and_state_and_sorted_by_what_they_weigh() {
    let site = TestSite::with_season().await;
    tickets(&site, 90).await;
    let (_, mut crew) = site.person("Lena Hart", Role::Crew).await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    let page = crew.opens("/tickets").await;
    page.says("Tickets of 2026").says("1 to 40 of 90");
    assert_eq!(page.body.matches("<th scope=\"row\">").count(), 40);
    // Ticket n weighs 2 × (30,000 + n) g: the last is the heaviest.
    let page = crew.opens("/tickets?order=cane").await;
    let first = page.body.split("<th scope=\"row\">").nth(1).unwrap();
    assert!(first.contains(">90</a>"), "{first}");
    let page = crew.opens("/tickets?order=number&q=ruth+pressed").await;
    page.says("1 to 40 of 90").says("Ruth Bell");
    crew.opens("/tickets?q=waits")
        .await
        .says("No ticket is found.");
    crew.opens("/boils").await.says("/tickets?year=2026");
    amos.opens("/tickets")
        .await
        .refused(StatusCode::FORBIDDEN, "crew");
}
