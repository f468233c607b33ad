//! Which cane is in a lot and where its jars are; finding either by what stands on a jar. The lot is the one worked
//! by hand in `divisions`: Amos brought 10,200 g of 15,000 g of solids, Bess 4,800 g: 68 % and 32 %.

use super::divisions::{Lot, divided_lot, finished_lot};
use axum::http::StatusCode;
use canewright::units::LotCode;

fn trace_of(lot: &Lot) -> String {
    format!("/boils/{}/trace", lot.code.as_str())
}

#[tokio::test]
async fn a_lot_names_every_load_in_it_with_its_part_and_whose_its_jars_are() {
    let mut lot = divided_lot().await;
    let path = trace_of(&lot);
    let page = lot.crew.opens(&path).await;
    // Shares by hand in `divisions`: Amos five quarts, Bess three and the part-jar, the mill one.
    for words in [
        "Amos &#60;b&#62;Trout",
        "68.0 %",
        "32.0 %",
        "Load 1",
        "10 jars filled; 10 set aside by the division: 0 handed over, 10 at the mill.",
        "9 × quart of",
        "1 × part-jar of",
        "the mill",
    ] {
        page.says(words);
    }
    assert!(!page.body.contains("not accounted for"), "{}", page.body);
    // Each vessel that its juice stood in leads to the vessel's own trace.
    let vessel = lot
        .site
        .text("select vessel_id from juices j join tickets t on t.id = j.ticket_id where t.ticket = 1")
        .await;
    let vessel = format!("/vessels/{vessel}/trace");
    page.says(&format!("stood in <a href=\"{vessel}\"><bdi>"));
    lot.crew.opens(&vessel).await.says(&lot.code.to_string());
    let ticket = lot
        .site
        .text("select id from tickets where ticket = 1")
        .await;
    let page = lot.crew.opens(&format!("/tickets/{ticket}/trace")).await;
    page.says(&lot.code.to_string()).says("68.0 %");
    let page = lot.crew.opens(&format!("/tickets/{ticket}")).await;
    page.says("Which lots and jars its cane is in");
}

#[tokio::test]
async fn a_second_load_takes_its_part_by_weight_and_a_crossed_out_one_none() {
    let mut lot = finished_lot().await;
    lot.site
        .sql(
            "insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, by_id, at)
            select ticket_id, 2, 1, scale_id, graduation_g, 40000, 0, by_id, at from loads l
              where ticket_id = (select id from tickets where ticket = 1);
            insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, void, by_id, at)
            select ticket_id, 3, 1, scale_id, graduation_g, 90000, 0, 1, by_id, at from loads l
              where number = 1 and ticket_id = (select id from tickets where ticket = 1);",
        )
        .await;
    let path = trace_of(&lot);
    let page = lot.crew.opens(&path).await;
    // 10,200 g × 120 ÷ 160 = 7,650 g: 51 % of 15,000 g; × 40 ÷ 160 = 2,550 g: 17 %.
    page.says("51.0 %").says("17.0 %").says("Load 2");
    assert!(!page.body.contains("Load 3"), "a load that is crossed out");
    page.says("10 jars are at the mill, filled and not divided yet");
}

#[tokio::test]
async fn whatever_stands_on_a_jar_or_ticket_is_found_and_a_slip_of_the_pen_is_forgiven() {
    let mut lot = finished_lot().await;
    let code = lot.code.to_string();
    let typed = code.to_lowercase().replace('-', " ").replace('0', "o");
    let query = serde_urlencoded::to_string([("what", &typed)]).unwrap();
    let answer = lot.crew.opens(&format!("/find?{query}")).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert_eq!(answer.to, trace_of(&lot));
    // One wrong character: the code it may have been is named, as a link.
    let mut wrong: Vec<char> = lot.code.as_str().chars().collect();
    wrong[3] = if wrong[3] == 'Z' { 'Y' } else { 'Z' };
    let wrong: String = wrong.into_iter().collect();
    assert!(
        LotCode::parse(&wrong).is_err(),
        "the check character catches it"
    );
    let page = lot.crew.opens(&format!("/find?what={wrong}")).await;
    page.says("No lot is called")
        .says(&code)
        .says(&trace_of(&lot));
    // A number may be a ticket, a receipt or a member: all are listed.
    let page = lot.crew.opens("/find?what=2").await;
    page.says("Ticket 2, Bess Lane").says("Member 2");
    let page = lot.crew.opens("/find?what=bess").await;
    assert!(page.to.starts_with("/members/"), "{}", page.body);
    let page = lot.crew.opens("/find?what=%3Cscript%3E").await;
    page.says("Nothing here is called “&#60;script&#62;”");
    let page = lot.crew.opens("/find?what=").await;
    assert!(!page.body.contains("Nothing here"), "{}", page.body);
    lot.amos_opens
        .opens("/find?what=2")
        .await
        .refused(StatusCode::FORBIDDEN, "crew");
}

#[tokio::test]
async fn the_trace_goes_on_to_receipts_and_back_to_plantings_and_the_record_prints_one_step_each_way()
 {
    let mut lot = divided_lot().await;
    lot.site
        .sql(
            "insert into plantings (id, season_id, member_id, made_by, made_at)
            select '01920000-0000-7000-8000-0000000000aa', s.id, m.id, m.id, 0 from seasons s, members m
              where m.name like 'Amos%';
            insert into planting_versions (planting_id, version, variety, planted_on, row_m, maturity_days, note, void,
              by_id, at)
            select id, 1, 'M81E', '2026-05-09', 100, 120, '', 0, member_id, 0 from plantings;
            drop trigger additions_closed;
            insert into additions (boil_id, number, what, maker, its_lot, dose, void, why, by_id, at)
            select id, 1, 'enzyme', 'Clear-It', 'A-113', '15 mL', 0, '', cook_id, 0 from boils;",
        )
        .await;
    let path = format!("/members/{}/hand-over", lot.amos);
    lot.crew.opens(&path).await;
    let jar = format!("jar-{}-1360-quart", lot.code.as_str());
    let boxes = [
        (jar.as_str(), "2"),
        ("signed_by", "Nell Ward"),
        ("note", ""),
    ];
    lot.crew.sends(&path, &boxes).await.taken();
    // Whoever leaves stays in the record, with the telephone.
    lot.site
        .sql("update members set left_at = 1 where name like 'Amos%'")
        .await;
    let trace = trace_of(&lot);
    let page = lot.crew.opens(&trace).await;
    page.says("Planted: M81E, Sat 9 May 2026")
        .says("Receipt 1")
        .says("given to Nell Ward")
        .says("2 × quart of");
    let record = format!("/boils/{}/record", lot.code.as_str());
    let page = lot.crew.opens(&record).await;
    page.says("One step back")
        .says("ticket 1, load 1")
        .says("ticket 2, load 1")
        .says("Bess Lane")
        .says("Clear-It")
        .says("A-113")
        .says("264.6 lb")
        .says("One step forward")
        .says("given to Nell Ward")
        .says("2 of 10 jars have left the mill")
        .says("two years at least");
    // The juice of a divided lot leads to the trace as well.
    let juice = lot
        .site
        .text("select id from juices order by made_at limit 1")
        .await;
    let page = lot.crew.opens(&format!("/juices/{juice}")).await;
    page.says("Which lots and jars it is in");
}
