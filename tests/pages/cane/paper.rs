//! What was written on paper, keyed in row after row.

use super::tickets::mill;
use crate::site::{Answer, Browser};
use axum::http::StatusCode;
use canewright::units::Role;

const LOADS: &str = "/days/2026-09-19/paper/loads";
const JUICE: &str = "/days/2026-09-19/paper/juice";

/// The key of a row as the last page has it.
fn key(browser: &Browser, row: usize) -> String {
    browser.hidden(&format!("r{row}-key"))
}

/// Sends rows of boxes, each under its own key, as a browser does.
async fn sends(browser: &mut Browser, path: &str, rows: &[Vec<(&str, &str)>]) -> Answer {
    let mut boxes: Vec<(String, String)> = Vec::new();
    for (n, row) in rows.iter().enumerate() {
        let mark = format!("r{}-", n + 1);
        boxes.push((format!("{mark}key"), key(browser, n + 1)));
        for (name, value) in row {
            boxes.push((format!("{mark}{name}"), (*value).to_owned()));
        }
    }
    let boxes: Vec<(&str, &str)> = boxes
        .iter()
        .map(|(name, value)| (name.as_str(), value.as_str()))
        .collect();
    browser.sends(path, &boxes).await
}

#[tokio::test]
async fn who_weighed_and_who_typed_it_in_are_two_people_and_two_times_on_page_statement_and_export()
{
    let mut mill = mill().await;
    let (ida, _) = mill.site.person("Ida Moss", Role::Crew).await;
    let (ida, amos) = (ida.to_string(), mill.amos.to_string());
    let scale = mill.site.text("select id from scales").await;
    let whose = format!("walk:{amos}");
    mill.crew.opens(LOADS).await.says("Row 6");
    let row = vec![
        ("number", "41"),
        ("whose", whose.as_str()),
        ("scale", &scale),
        ("gross", "400.5"),
        ("tare", "40.5"),
        ("weighed", "7:10"),
        ("by", &ida),
    ];
    let answer = sends(&mut mill.crew, LOADS, &[row]).await;
    assert_eq!(answer.taken(), format!("{LOADS}?done=1"));
    mill.crew
        .opens(&answer.to)
        .await
        .says("One row is in the book.");
    let id = mill
        .site
        .text("select id from tickets where ticket = 41")
        .await;
    let page = mill.crew.opens(&format!("/tickets/{id}")).await;
    page.says(
        "Ida Moss, Sat 19 Sep 2026 07:10, on Platform (on paper; typed in by Cora Pell, Sat 19 Sep 2026 08:00)",
    )
    .says("<dt>Opened by</dt><dd>Ida Moss, Sat 19 Sep 2026 07:10 (on paper; typed in by Cora Pell, Sat 19 Sep 2026 08:00)");
    mill.member
        .opens(&format!("/members/{amos}/statement/2026"))
        .await
        .says("by Ida Moss (on paper; typed in by Cora Pell, Sat 19 Sep 2026 08:00)");
    let mut ruth = mill.site.browser(mill.site.steward).await;
    let export = ruth.opens("/seasons/2026/loads.csv").await;
    let line = export.body.lines().find(|l| l.starts_with("41,")).unwrap();
    assert!(
        line.contains("Ida Moss,2026-09-19,07:10,Cora Pell,"),
        "{line}"
    );
}

#[tokio::test]
async fn a_row_that_is_wrong_keeps_what_was_typed_and_holds_up_no_other_and_the_same_twice_is_done_once()
 {
    let mut mill = mill().await;
    let (ida, _) = mill.site.person("Ida Moss", Role::Crew).await;
    let ida = ida.to_string();
    let scale = mill.site.text("select id from scales").await;
    let whose = format!("walk:{}", mill.amos);
    mill.crew.opens(LOADS).await;
    let row = |gross: &'static str, weighed: &'static str| {
        vec![
            ("whose", whose.as_str()),
            ("scale", scale.as_str()),
            ("gross", gross),
            ("tare", "40.5"),
            ("weighed", weighed),
            ("note", "wet <cane>"),
            ("by", ida.as_str()),
        ]
    };
    let before = mill.crew.last.clone();
    let rows = [row("400.5", "7:10"), row("many", "7:40"), row("300.5", "")];
    let answer = sends(&mut mill.crew, LOADS, &rows).await;
    answer
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "In the book:")
        .says("id=\"p-r2-gross\"")
        .says("value=\"many\"")
        .says("value=\"wet &#60;cane&#62;\"")
        .says("id=\"p-r3-weighed\"")
        .says("value=\"300.5\"")
        .says("These rows are not in the book yet.")
        .says("<li>Row 2: <a href=\"#f-r2-gross\">");
    // The cursor stands in the first box that is wrong, and in no other.
    let focused: Vec<&str> = answer.body.split(" autofocus").collect();
    assert_eq!(focused.len(), 2);
    let tag = focused[0].rsplit('<').next().unwrap();
    assert!(tag.contains("id=\"f-r2-gross\""), "{tag}");
    assert_eq!(mill.site.count("select count(*) from tickets").await, 1);
    // Sent again from the page as it was: the first row is not written a second time.
    mill.crew.last = before;
    sends(&mut mill.crew, LOADS, &rows).await;
    assert_eq!(mill.site.count("select count(*) from tickets").await, 1);
    assert_eq!(mill.site.count("select count(*) from typed_in").await, 1);
    // Nobody named: refused beside the box.
    mill.crew.opens(LOADS).await;
    let mut nobody = row("410.5", "7:50");
    nobody.pop();
    sends(&mut mill.crew, LOADS, &[nobody]).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please choose who wrote it on the paper.",
    );
    mill.member
        .opens(LOADS)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[tokio::test]
async fn juice_on_paper_bears_who_measured_and_another_load_goes_onto_the_ticket_in_the_book() {
    let mut mill = mill().await;
    let (ida, _) = mill.site.person("Ida Moss", Role::Crew).await;
    let ida = ida.to_string();
    let ticket = mill.ticket().await;
    let id = ticket.trim_start_matches("/tickets/").to_owned();
    let scale = mill.site.text("select id from scales").await;
    let more = format!("ticket:{id}");
    mill.crew.opens(LOADS).await;
    let load = vec![
        ("whose", more.as_str()),
        ("scale", &scale),
        ("gross", "200.5"),
        ("tare", "40.5"),
        ("weighed", "7:30"),
        ("by", &ida),
    ];
    sends(&mut mill.crew, LOADS, &[load]).await.taken();
    mill.crew.opens(&ticket).await.says("520.0 lb");
    let vessel = mill.site.text("select id from vessels order by name").await;
    mill.crew.opens(JUICE).await;
    let juice = vec![
        ("ticket", id.as_str()),
        ("vessel", &vessel),
        ("kind", "mass"),
        ("amount", "200"),
        ("temp", "70"),
        ("instrument", "self"),
        ("brix_1", "15.5"),
        ("brix_2", "15.5"),
        ("pressed", "7:50"),
        ("by", &ida),
    ];
    sends(&mut mill.crew, JUICE, &[juice]).await.taken();
    let found = mill.site.text("select id from juices").await;
    mill.crew.opens(&format!("/juices/{found}")).await.says(
        "Ida Moss, Sat 19 Sep 2026 07:50 (on paper; typed in by Cora Pell, Sat 19 Sep 2026 08:00)",
    );
}

#[tokio::test]
async fn a_row_of_a_ticket_that_went_home_is_asked_about_in_a_box_that_no_other_page_has() {
    let mut mill = mill().await;
    let (ida, _) = mill.site.person("Ida Moss", Role::Crew).await;
    let ida = ida.to_string();
    let ticket = mill.ticket().await;
    let id = ticket.trim_start_matches("/tickets/").to_owned();
    let end = format!("{ticket}/unpressed");
    let went = [("went", "home for feed")];
    mill.crew.fills(&end, &went).await.taken();
    let vessel = mill.site.text("select id from vessels order by name").await;
    let scale = mill.site.text("select id from scales").await;
    let more = format!("ticket:{id}");
    let juice = vec![
        ("ticket", id.as_str()),
        ("vessel", &vessel),
        ("kind", "mass"),
        ("amount", "170"),
        ("temp", "70"),
        ("instrument", "self"),
        ("brix_1", "15.5"),
        ("brix_2", "15.5"),
        ("pressed", "8:00"),
        ("by", &ida),
    ];
    let load = vec![
        ("whose", more.as_str()),
        ("scale", &scale),
        ("gross", "200.5"),
        ("tare", "40.5"),
        ("weighed", "7:30"),
        ("by", &ida),
    ];
    for (path, row) in [(LOADS, load), (JUICE, juice)] {
        let blank = mill.crew.opens(path).await;
        assert!(!blank.body.contains("after all"), "{path}");
        let answer = sends(&mut mill.crew, path, std::slice::from_ref(&row)).await;
        answer
            .refused(
                StatusCode::UNPROCESSABLE_ENTITY,
                "closed this ticket as gone home unpressed",
            )
            .says("name=\"r1-after_all\"");
        let mut said = row;
        said.push(("after_all", "yes"));
        sends(&mut mill.crew, path, &[said]).await.taken();
        let page = mill.crew.opens(&ticket).await;
        assert!(!page.body.contains("Went home unpressed"), "{path}");
        // Closed again for the next sheet, as long as it has no juice.
        if path == LOADS {
            mill.crew.fills(&end, &went).await.taken();
        }
    }
    assert_eq!(mill.site.count("select count(*) from juices").await, 1);
}

#[tokio::test]
async fn readings_on_paper_bear_who_read_and_who_typed_them_in() {
    let mut pan = crate::boil::boils::pan().await;
    let (boil, ..) = pan.pooled().await;
    let (ida, _) = pan.site.person("Ida Moss", Role::Crew).await;
    let (ida, lot) = (ida.to_string(), boil.trim_start_matches("/boils/"));
    let path = "/days/2026-09-19/paper/readings";
    pan.crew.opens(path).await;
    let reading = |temp: &'static str, at: &'static str| {
        vec![
            ("lot", lot),
            ("temp", temp),
            ("read_at", at),
            ("by", ida.as_str()),
        ]
    };
    let rows = [reading("217.4", "8:00"), reading("nine", "8:00")];
    sends(&mut pan.crew, path, &rows)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "In the book:")
        .says("id=\"p-r2-temp\"");
    let page = pan.crew.opens(&boil).await;
    page.says("217.4 °F")
        .says("Ida Moss (on paper; typed in by");
}

#[tokio::test]
async fn a_hand_over_on_paper_has_its_true_time_and_both_names_on_the_receipt() {
    let mut lot = crate::shares::divisions::divided_lot().await;
    let (ida, _) = lot.site.person("Ida Moss", Role::Crew).await;
    let ida = ida.to_string();
    let form = lot
        .crew
        .opens(&format!("/members/{}/hand-over", lot.amos))
        .await;
    let (_, rest) = form.body.split_once("name=\"jar-").unwrap();
    let jars = format!("{} jar-{}", lot.amos, rest.split('"').next().unwrap());
    let path = "/hand-overs/paper";
    lot.crew.opens(path).await.says("6 waiting");
    let row = |count: &'static str, at: &'static str| {
        vec![
            ("jars", jars.as_str()),
            ("count", count),
            ("signed_by", "Mrs Trout"),
            ("on", "2026-09-19"),
            ("at", at),
            ("by", ida.as_str()),
        ]
    };
    // Nine are not there, and half past nine is still to come.
    let rows = [row("2", "7:45"), row("9", "7:50"), row("1", "9:30")];
    sends(&mut lot.crew, path, &rows)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "are waiting, not 9")
        .says("That is still to come")
        .says("value=\"9\"");
    let receipt = lot.crew.opens("/hand-overs/1").await;
    receipt
        .says("Sat 19 Sep 2026 07:45")
        .says("Ida Moss (on paper; typed in by");
    let given = "select sum(count) from hand_over_jars";
    assert_eq!(lot.site.count(given).await, 2);
}

#[tokio::test]
async fn a_boil_its_finish_and_its_jars_on_paper_bear_who_did_it_when_and_who_typed_it_in() {
    let mut pan = crate::boil::boils::pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let (ida, _) = pan.site.person("Ida Moss", Role::Crew).await;
    let ida = ida.to_string();
    let juice = pan.juice(amos, 15.0, 60, 0).await;
    pan.light(&[juice], &[("by", ida.as_str())]).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please write the time that stands on the paper.",
    );
    let boil = pan
        .light(&[juice], &[("by", ida.as_str()), ("lit_at", "7:10")])
        .await;
    let boil = boil.taken().to_owned();
    let lot = boil.trim_start_matches("/boils/");
    pan.crew
        .opens(&boil)
        .await
        .says("<dt>Cook</dt><dd>Ida Moss (on paper; typed in by Cora Pell, Sat 19 Sep 2026 08:00)")
        .says("Sat 19 Sep 2026 07:10");

    let finishes = "/days/2026-09-19/paper/finishes";
    pan.crew.opens(finishes).await.says(lot);
    let finish = |at: &'static str| {
        vec![
            ("lot", lot),
            ("finished_at", at),
            ("syrup", "27.5"),
            ("finish_brix", "78.2"),
            ("sample", "68"),
            ("instrument", "self"),
            ("finish_temp", "227"),
            ("by", ida.as_str()),
        ]
    };
    // Without its time it waits; so does one before the fire.
    let rows = [finish(""), finish("7:05")];
    sends(&mut pan.crew, finishes, &rows)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "before this boil was lit")
        .says("id=\"p-r1-finished_at\"");
    pan.crew.opens(finishes).await;
    let done = sends(&mut pan.crew, finishes, &[finish("7:40")]).await;
    assert_eq!(done.taken(), format!("{finishes}?done=1"));
    pan.crew
        .opens(&boil)
        .await
        .says("<dt>Measured by</dt><dd>Ida Moss (on paper; typed in by Cora Pell, Sat 19 Sep 2026 08:00)")
        .says("Sat 19 Sep 2026 07:40");
    assert!(!pan.crew.opens(finishes).await.body.contains(lot));

    let jars = "/days/2026-09-19/paper/jars";
    pan.crew.opens(jars).await.says(lot);
    let fill = |count: &'static str, at: &'static str| {
        vec![
            ("lot", lot),
            ("filled_at", at),
            ("size", "1247"),
            ("count", count),
            ("by", ida.as_str()),
        ]
    };
    let rows = [
        fill("4", "7:50"),
        fill("900", "7:50"),
        fill("1", "7:30"),
        fill("1", "9:30"),
    ];
    sends(&mut pan.crew, jars, &rows)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "In the book:")
        .says("more than the 27.500 lb of syrup")
        .says("id=\"p-r2-count\"")
        .says("before the syrup was drawn off")
        .says("That time is still to come");
    assert_eq!(pan.site.count("select count(*) from fills").await, 1);
    pan.crew.opens(&boil).await.says(
        "Ida Moss, Sat 19 Sep 2026 07:50 (on paper; typed in by Cora Pell, Sat 19 Sep 2026 08:00)",
    );
    // Corrected, it names who did that; the time of filling stands in the book.
    let fix = [("count", "3"), ("why", "one broke")];
    pan.crew
        .fills(&format!("{boil}/fills/1/correct"), &fix)
        .await
        .taken();
    pan.crew
        .opens(&boil)
        .await
        .says("Cora Pell, Sat 19 Sep 2026 08:00");
    let then = "select count(distinct filled_at) from fills where filled_at = at - 600";
    assert_eq!(pan.site.count(then).await, 1);
    assert_eq!(pan.site.count("select count(*) from typed_in").await, 3);
}
