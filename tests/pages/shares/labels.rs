use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::units::{LotCode, Role};

/// The first lot code of the year.
fn lot() -> LotCode {
    LotCode::nth(2026, 1).unwrap()
}

/// Four growers' juices in one boil: Amos and Zeb agreed to be named, Cora did not, Dora's juice was
/// taken out again. Two corrected fills of pint jars, one crossed out, and a part-jar.
async fn boiled(finish_bx: &'static str) -> (TestSite, String) {
    let site = TestSite::with_season().await;
    for name in ["Zeb Ashe", "Amos <b>Trout</b>", "Cora Lane", "Dora Pike"] {
        site.person(name, Role::Member).await;
    }
    site.sql(
        "update members set named = 0 where name like 'Cora%';
        insert into tickets (id, season_id, ticket, press_day_id, member_id, stripped, headed,
          clean, frosted, made_by, made_at)
        select 'd' || m.number, (select id from seasons), m.number, (select id from press_days), m.id,
          1, 1, 1, 0, m.id, 0 from members m where m.number > 1;
        insert into juices (id, ticket_id, vessel_id, pressed_at, made_by, made_at)
        select 'j' || d.ticket, d.id, (select min(id) from vessels), 0, d.member_id, 0
          from tickets d;",
    )
    .await;
    let text = lot().as_str().to_owned();
    let mut tx = site.writer.begin().await.unwrap();
    sqlx::query(
        "insert into boils (id, lot_code, season_id, rules_id, press_day_id, target_bx, lit_at, cook_id)
        select '01920000-0000-7000-8000-0000000000b1', ?1, s.id, r.id, p.id, 78, 0, r.made_by
        from seasons s, season_rules r, press_days p",
    )
    .bind(&text)
    .execute(&mut *tx)
    .await
    .unwrap();
    tx.commit().await.unwrap();
    site.sql(
        "insert into draws (boil_id, juice_id, version, amount_g, whole, by_id, at)
        select '01920000-0000-7000-8000-0000000000b1', id, 1, 40000, 0, made_by, 0 from juices;
        insert into draws (boil_id, juice_id, version, amount_g, whole, by_id, at)
        select '01920000-0000-7000-8000-0000000000b1', id, 2, 0, 0, made_by, 0 from juices where id = 'j5';
        insert into fills (boil_id, number, version, size_name, net_g, count, part, price_cents,
          by_id, at)
        select '01920000-0000-7000-8000-0000000000b1', column1, column2, column3, column4, column5, column6, 0,
          (select min(id) from members), 0
        from (values (1, 1, 'Pint', 680, 99, 0), (1, 2, 'Pint', 680, 30, 0),
          (2, 1, 'Pint', 680, 4, 0), (3, 1, 'Quart', 1361, 5, 0), (3, 2, 'Quart', 1361, 0, 0),
          (4, 1, 'Pint', 312, 1, 1));",
    )
    .await;
    let mut tx = site.writer.begin().await.unwrap();
    for (version, brix) in [(1, "81"), (2, finish_bx)] {
        sqlx::query(
            "insert into finishes (boil_id, version, syrup_g, brix, instrument, sample_c, brix_20c,
            finished_at, by_id, at)
            select '01920000-0000-7000-8000-0000000000b1', ?1, 25000, ?2, 'self', 20, ?2, 0, min(id), 0 from members",
        )
        .bind(version)
        .bind(brix.parse::<f64>().unwrap())
        .execute(&mut *tx)
        .await
        .unwrap();
    }
    tx.commit().await.unwrap();
    (site, text)
}

async fn crew(site: &TestSite) -> Browser {
    site.person("Otis Crew", Role::Crew).await.1
}

/// The sheet's address with one box after another changed.
fn sheet(lot: &str, changes: &[(&str, &str)]) -> String {
    let mut boxes = vec![
        ("jar", "680"),
        ("count", ""),
        ("sheet", "letter-30"),
        ("start", "1"),
        ("shape", "round"),
        ("high", "4"),
        ("wide", "3"),
    ];
    for change in changes {
        boxes.retain(|(name, _)| name != &change.0);
        boxes.push(*change);
    }
    let query = serde_urlencoded::to_string(boxes).unwrap();
    format!("/boils/{lot}/labels/sheet?{query}")
}

#[tokio::test]
async fn the_page_offers_what_was_filled_and_the_sheets_by_their_dimensions() {
    let (site, lot) = boiled("78.4").await;
    let mut otis = crew(&site).await;
    let page = otis.opens(&format!("/boils/{lot}/labels")).await;
    page.says("Pint: 24 oz net, 34 filled")
        .says("part-jar: 11 oz net, 1 filled")
        .says("30 on US Letter, 66.7 × 25.4 mm")
        .says("State law may ask for more lines");
    assert!(!page.body.contains("Quart"), "a fill that was crossed out");
}

#[tokio::test]
async fn a_sheet_has_a_label_for_each_jar_and_says_all_that_a_label_must() {
    let (site, lot) = boiled("78.4").await;
    let mut otis = crew(&site).await;
    let page = otis.opens(&sheet(&lot, &[])).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    page.says(">Sorghum syrup</text>")
        .says(&LotCode::parse(&lot).unwrap().to_string())
        .says("Coldwater Ridge Pressing Co-op,")
        .says("TN 37999")
        .says("Sat 19 Sep 2026")
        .says("Print at 100 %")
        .says("100 mm long")
        .says("class=\"paper letter\"");
    let net: Vec<&str> = page.body.split("<text ").skip(1).collect();
    let net = net.iter().find(|t| t.contains("Net Wt")).unwrap();
    assert!(net.contains(">Net Wt 24 oz (1 lb 8 oz) 680 g</text>"));
    // A round body of 4 × 3 in has 15.1 in²: 1/8 in on the small letter o, half of the face's size.
    assert!(net.contains("font-size=\"6.4\""), "{net}");
    let labels = |body: &str| body.matches("<use ").count();
    let pages = |body: &str| body.matches("class=\"paper ").count();
    assert_eq!((labels(&page.body), pages(&page.body)), (34, 2));
    assert!(!page.body.contains("<rect"), "no outline unless asked for");
    assert!(
        !page.body.contains("home-produced"),
        "no sentence that only a state can give"
    );

    let later = sheet(&lot, &[("count", "3"), ("start", "30"), ("outline", "yes")]);
    let page = otis.opens(&later).await;
    assert_eq!((labels(&page.body), pages(&page.body)), (3, 2));
    // The thirtieth place of this sheet: third column, tenth row.
    page.says("<use href=\"#label\" x=\"144.4625\" y=\"241.3\"/>")
        .says("<rect");
}

#[tokio::test]
async fn each_size_and_a_part_jar_print_their_own_net_weight_on_either_paper() {
    let (site, lot) = boiled("78.4").await;
    let mut otis = crew(&site).await;
    let part = sheet(&lot, &[("jar", "312-part"), ("sheet", "a4-8")]);
    let page = otis.opens(&part).await;
    page.says("Net Wt 11 oz 311 g")
        .says("class=\"paper a4\"")
        .says("width=\"210mm\" height=\"297mm\"");
    assert_eq!(page.body.matches("<use ").count(), 1);
    // A panel of 26 in² asks for 3/16 in: too much for the small labels, not for the large.
    let flat = [("shape", "flat"), ("high", "130 mm"), ("wide", "130 mm")];
    otis.opens(&sheet(&lot, &flat)).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please choose a sheet of larger labels",
    );
    let mut large = flat.to_vec();
    large.push(("sheet", "letter-10"));
    let page = otis.opens(&sheet(&lot, &large)).await;
    assert_eq!(page.status, StatusCode::OK);
    page.says("font-size=\"9.6\"");
}

#[tokio::test]
async fn a_bad_box_gets_its_message_and_keeps_what_was_typed() {
    let (site, lot) = boiled("78.4").await;
    let mut otis = crew(&site).await;
    let bad = [
        ("jar", "500"),
        ("count", "many"),
        ("start", "31"),
        ("high", "tall"),
    ];
    let page = otis.opens(&sheet(&lot, &bad)).await;
    page.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please choose one of the sizes that were filled.",
    )
    .says("“many” is not a number")
    .says("Please write a whole number from 1 to 30.")
    .says("value=\"many\"")
    .says("value=\"tall\"");
    assert!(!page.body.contains("<use "));
}

#[tokio::test]
async fn syrup_below_74_percent_gets_no_label_with_the_name() {
    let (site, lot) = boiled("73.9").await;
    let mut otis = crew(&site).await;
    let page = otis.opens(&format!("/boils/{lot}/labels")).await;
    page.says("at least 74 % dissolved solids");
    assert!(!page.body.contains("Show the sheet"));
    let page = otis.opens(&sheet(&lot, &[])).await;
    page.refused(StatusCode::CONFLICT, "at least 74 % dissolved solids");
    assert!(!page.body.contains("<use "));
}

#[tokio::test]
async fn a_member_prints_no_labels_and_an_unknown_lot_has_none() {
    let (site, lot) = boiled("78.4").await;
    let (_, mut member) = site.person("Maud Member", Role::Member).await;
    for path in [format!("/boils/{lot}/labels"), sheet(&lot, &[])] {
        member
            .opens(&path)
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
    }
    let mut otis = crew(&site).await;
    let other = LotCode::nth(2026, 2).unwrap();
    for unknown in [other.as_str(), "nonsense"] {
        otis.opens(&format!("/boils/{unknown}/labels"))
            .await
            .refused(StatusCode::NOT_FOUND, "Nothing here");
    }
}

#[tokio::test]
async fn the_public_page_names_who_agreed_and_nobody_else() {
    let (site, lot) = boiled("78.4").await;
    let mut stranger = site.stranger();
    let page = stranger.opens(&format!("/L/{lot}")).await;
    assert_eq!(page.status, StatusCode::OK);
    page.says(&LotCode::parse(&lot).unwrap().to_string())
        .says("Sat 19 Sep 2026")
        .says("Net Wt 24 oz (1 lb 8 oz) 680 g")
        .says("Net Wt 11 oz 311 g")
        .says("Coldwater Ridge Pressing Co-op, Tolliver, TN 37999")
        .says("What the lot code means");
    let amos = page.body.find("Amos &#60;b&#62;Trout").unwrap();
    let zeb = page.body.find("Zeb Ashe").unwrap();
    assert!(amos < zeb, "in alphabetical order");
    for other in ["Cora", "Dora", "Ruth", "555 0101", "78.4", "40000", "88"] {
        // What the page says; the foot has the form's token, which is any letters and digits.
        let main = page.body.split("<main").nth(1).unwrap();
        let main = main.split("</main>").next().unwrap();
        assert!(
            !main.contains(other),
            "{other} is nobody’s business: {main}"
        );
    }
}

#[tokio::test]
async fn a_lot_code_is_found_however_it_is_typed() {
    let (site, lot) = boiled("78.4").await;
    let mut stranger = site.stranger();
    let small = lot.to_lowercase().replace('0', "o");
    let there = stranger.opens(&format!("/l/{small}")).await;
    assert_eq!(there.status, StatusCode::PERMANENT_REDIRECT);
    assert_eq!(there.to, format!("/L/{lot}"));
    let hyphened = LotCode::parse(&lot).unwrap().to_string().to_lowercase();
    stranger
        .opens(&format!("/L/{hyphened}"))
        .await
        .says("What the lot code means");
    let other = LotCode::nth(2026, 2).unwrap();
    for path in [
        format!("/L/{}", other.as_str()),
        "/L/26A9Z-Z".to_owned(),
        "/L/nonsense".to_owned(),
    ] {
        stranger
            .opens(&path)
            .await
            .refused(StatusCode::NOT_FOUND, "Nothing here");
    }
}

#[tokio::test]
async fn an_unknown_a_malformed_and_a_withheld_code_get_the_same_answer() {
    let (site, lot) = boiled("78.4").await;
    let mut stranger = site.stranger();
    let other = LotCode::nth(2026, 2).unwrap();
    // A lot of which no jar is filled is withheld.
    site.sql("drop trigger fills_stay; delete from fills").await;
    let mut answers = Vec::new();
    for path in [
        format!("/L/{lot}"),
        format!("/L/{}", other.as_str()),
        "/L/26A9Z-Z".to_owned(),
        "/L/26A".to_owned(),
        format!("/L/{}", "26".repeat(20)),
        "/L/%3Cscript%3E".to_owned(),
    ] {
        let answer = stranger.opens(&path).await;
        answer.refused(StatusCode::NOT_FOUND, "Nothing here");
        answers.push(answer.body);
    }
    answers.dedup();
    assert_eq!(answers.len(), 1, "{answers:?}");
    let there = stranger.opens("/l/nonsense").await;
    assert_eq!(there.to, "/L/nonsense");
}

#[tokio::test]
async fn codes_are_not_found_by_trying_and_the_crew_are_led_inside() {
    let (site, lot) = boiled("78.4").await;
    let mut stranger = site.stranger();
    for _ in 0..40 {
        stranger
            .opens(&format!("/L/{lot}"))
            .await
            .says("keep the jar with its label");
    }
    let page = stranger.opens(&format!("/L/{lot}")).await;
    assert_eq!(page.status, StatusCode::TOO_MANY_REQUESTS, "{}", page.body);
    assert_eq!(page.headers.get("x-robots-tag").unwrap(), "noindex");
    let mut otis = crew(&site).await;
    let inside = otis.opens(&format!("/L/{lot}")).await;
    assert_eq!(inside.to, format!("/boils/{lot}/trace"));
    otis.opens(&format!("/L/{lot}?public=yes"))
        .await
        .says("keep the jar with its label");
    let (_, mut amos) = site.person("Amos Reed", Role::Member).await;
    let page = amos.opens(&format!("/L/{lot}")).await;
    assert_eq!(
        page.status,
        StatusCode::TOO_MANY_REQUESTS,
        "a member is the public"
    );
}

#[tokio::test]
async fn an_invitation_carries_its_address_as_a_qr_code() {
    let site = TestSite::new().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    let card = ruth.sends(&format!("/members/{amos}/invite"), &[]).await;
    let link = card.body.split("class=\"code\">").nth(1).unwrap();
    let link = link.split('<').next().unwrap();
    let drawn = canewright::calc::paper::qr::Qr::of(link).unwrap();
    card.says(&drawn.path);
}
