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

/// What stands in the column named, from the top of the page down.
fn column<'a>(body: &'a str, name: &str) -> Vec<&'a str> {
    let cells = body.split(name).skip(1);
    cells.filter_map(|cell| cell.split('<').next()).collect()
}

#[tokio::test]
async fn a_ledger_leafed_through_shows_every_line_once_and_the_largest_balances_first() {
    let season = big_season(30, 33).await;
    let site = &season.site;
    let mut ruth = site.browser(site.steward).await;
    let listed = "select group_concat(number) from (select number from ledger order by number)";
    let listed = site.text(listed).await;
    let numbers: Vec<String> = listed.split(',').map(str::to_owned).collect();
    assert!(numbers.len() > 120, "{}", numbers.len());
    let line = "data-is=\"Line\">";
    for (order, backwards) in [("latest", true), ("day", false)] {
        let mut seen = Vec::new();
        for skip in (0..numbers.len() + 40).step_by(40) {
            let at = format!("/ledger?season=2026&order={order}&skip={skip}");
            let page = ruth.opens(&at).await;
            seen.extend(column(&page.body, line).into_iter().map(str::to_owned));
        }
        if backwards {
            seen.reverse();
        }
        assert_eq!(seen, numbers, "{order}");
    }
    // What everybody owes is one sum, however many balances stand on the page; a search reads all of them.
    let page = ruth.opens("/ledger?season=2026").await;
    let searched = ruth.opens("/ledger?season=2026&q=2026&order=kind").await;
    page.says("20 of 31 stand here");
    let together = |body: &str| column(body, "data-is=\"Together\">").concat();
    assert!(together(&page.body).contains('$'), "{}", page.body);
    assert_eq!(together(&page.body), together(&searched.body));
    let money = |body: &str| -> Vec<String> {
        let all = column(body, "data-is=\"Over all seasons\">");
        all.into_iter().map(str::to_owned).collect()
    };
    assert_eq!(money(&page.body).len(), 20);
    assert_eq!(money(&page.body)[..5], money(&searched.body)[..5]);
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
