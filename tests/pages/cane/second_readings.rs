use super::juice::measure;
use super::tickets::{Mill, mill};
use crate::shares::divisions::finished_lot;
use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::actions::season::seasons;
use canewright::calc::cane::second_reading::drawn;
use canewright::units::{PressDate, Role, SeasonId, TicketId};

fn day() -> PressDate {
    PressDate::parse("2026-09-19").unwrap()
}

/// Votes that one ticket in so many is read again, so many that the ticket of that id is drawn, or is not.
async fn vote(site: &TestSite, ticket: &str, is_drawn: bool) -> i64 {
    let ticket = TicketId::parse(ticket.trim_start_matches("/tickets/")).unwrap();
    let one_in = (2..=100)
        .find(|one_in| drawn(day(), ticket, *one_in) == is_drawn)
        .expect("some number from 2 to 100 divides the lot");
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    let mut rules = seasons::NewRules::defaults();
    rules.read_again_one_in = one_in;
    seasons::change_rules(&site.act(), season, 1, rules)
        .await
        .unwrap();
    seasons::confirm(&site.act(), season, 2, day())
        .await
        .unwrap();
    one_in
}

const READ: [(&str, &str); 4] = [
    ("instrument", "self"),
    ("temp", "68"),
    ("brix", "15.0"),
    ("note", ""),
];

/// A juice that Cora measured at 15.4 and 15.6, of a ticket that is drawn or not: ticket, juice, one in how many.
async fn measured(mill: &mut Mill, is_drawn: bool) -> (String, String, i64) {
    let ticket = mill.ticket().await;
    let juice = measure(mill, &ticket, &[]).await.taken().to_owned();
    let one_in = vote(&mill.site, &ticket, is_drawn).await;
    (ticket, juice, one_in)
}

#[tokio::test]
async fn a_ticket_drawn_by_lot_is_read_again_by_a_second_person_and_both_readings_stand() {
    let mut mill = mill().await;
    let (ticket, juice, one_in) = measured(&mut mill, true).await;
    let waits = format!("One ticket in {one_in} is drawn by lot to be read again.");
    mill.crew
        .opens(&ticket)
        .await
        .says(&waits)
        .says("waits for a second person");
    let again = format!("{juice}/again");
    let (_, mut dan) = mill.site.person("Dan Roe", Role::Crew).await;
    dan.opens(&juice).await.says(&waits).says("Read it again");
    let form = dan.opens(&again).await;
    // Nobody reads after what was read first.
    assert!(!form.body.contains("15.4") && !form.body.contains("15.5"));
    dan.fills(
        &again,
        &[
            ("instrument", "self"),
            ("temp", "68"),
            ("brix", "sweet"),
            ("note", ""),
        ],
    )
    .await
    .refused(StatusCode::UNPROCESSABLE_ENTITY, "id=\"p-brix\"")
    .says("value=\"sweet\"");
    assert_eq!(dan.fills(&again, &READ).await.taken(), juice);
    // Mean of 15.4 and 15.6 less 15.0 is 0.50; 77,111 g × 0.155 = 11,952 g as before.
    let page = dan.opens(&juice).await;
    page.says(
        "read again by Dan Roe 15.00 (self-compensating (ATC), 68.0 °F) = 15.00 °Bx at 20 °C, 0.50 less: they \
         agree; the first counts",
    )
    .says("= 11,952 g of solids");
    assert!(!page.body.contains("Read it again"));
    mill.crew.opens(&ticket).await.says("and was read again");
}

#[tokio::test]
async fn who_measured_a_juice_does_not_read_it_again() {
    let mut mill = mill().await;
    let (_, juice, _) = measured(&mut mill, true).await;
    let page = mill.crew.opens(&juice).await;
    assert!(!page.body.contains("Read it again"));
    mill.crew
        .fills(&format!("{juice}/again"), &READ)
        .await
        .refused(StatusCode::CONFLICT, "You measured this juice")
        .says("value=\"15.0\"");
    let kept = mill
        .site
        .count("select count(*) from second_readings")
        .await;
    assert_eq!(kept, 0);
}

#[tokio::test]
async fn a_ticket_that_was_not_drawn_takes_no_second_reading() {
    let mut mill = mill().await;
    let (ticket, juice, _) = measured(&mut mill, false).await;
    let (_, mut dan) = mill.site.person("Dan Roe", Role::Crew).await;
    let page = dan.opens(&ticket).await;
    assert!(!page.body.contains("drawn by lot"));
    dan.fills(&format!("{juice}/again"), &READ)
        .await
        .refused(StatusCode::CONFLICT, "was not drawn to be read again");
}

#[tokio::test]
async fn one_ticket_in_eight_is_voted_in_the_rules_and_one_in_one_is_refused() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/seasons/2026").await.says("no ticket");
    ruth.fills(
        "/seasons/2026/rules",
        &crate::season::seasons::with(&[("read_again", "1")]),
    )
    .await
    .refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "one ticket in how many, from 2 to 100",
    );
    ruth.fills(
        "/seasons/2026/rules",
        &crate::season::seasons::with(&[("read_again", "8")]),
    )
    .await
    .taken();
    ruth.opens("/seasons/2026")
        .await
        .says("one ticket in 8, drawn by lot");
}

#[tokio::test]
async fn a_second_reading_stands_on_the_divisions_page_and_on_the_statement() {
    let lot = finished_lot().await;
    lot.site
        .sql(
            "insert into second_readings (juice_id, number, brix, temp_c, instrument, by_id, at) \
             select j.id, 1, 16.4, 20, 'self', m.id, 0 from juices j join tickets t on t.id = j.ticket_id \
             join members a on a.id = t.member_id, members m where a.name like 'Amos%' and m.name = 'Cora Pell'",
        )
        .await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let said = "read again by Cora Pell 16.40 (self-compensating (ATC), 68.0 °F) = 16.40 °Bx at 20 °C, 0.60 less: \
                they do not agree; the first counts";
    ruth.opens(&format!("/boils/{}/divide", lot.code))
        .await
        .says(said);
    ruth.opens(&format!("/members/{}/statement/2026", lot.amos))
        .await
        .says(said);
}
