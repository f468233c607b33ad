use crate::boil::boils::{Pan, pan};
use crate::boil::live::set_up_pan;
use axum::http::StatusCode;
use canewright::units::Role;

const PLAN: &str = "/days/2026-09-19/plan";
const BALANCE: &str = "/days/2026-09-19/balance";
const MILL: &str = "/days/2026-09-19/mill";

/// The address behind words on the last page.
fn link(page: &str, words: &str) -> String {
    let before = page.split(&format!("\">{words}<")).next().unwrap();
    let href = before.rsplit("href=\"").next().unwrap();
    href.replace("&#38;", "&").replace("&amp;", "&")
}

#[tokio::test]
async fn without_pan_or_juice_the_plan_says_what_to_do() {
    let mut pan = pan().await;
    pan.crew
        .opens(PLAN)
        .await
        .says("No pan is set up")
        .says("href=\"/mill/pans\"")
        .says("No juice is waiting");
    let (_, mut member) = pan.site.person("Dora Wick", Role::Member).await;
    for path in [PLAN, BALANCE, MILL] {
        member
            .opens(path)
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
        pan.crew
            .opens(&path.replace("09-19", "09-20"))
            .await
            .refused(StatusCode::NOT_FOUND, "Nothing here");
    }
}

#[tokio::test]
async fn a_proposed_boil_says_why_and_opens_the_form_filled_in() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos <b>Trout</b>", Role::Member).await;
    let (bea, _) = pan.site.person("Bea Lund", Role::Member).await;
    pan.juice(amos, 15.0, 30, 0).await;
    pan.juice(bea, 16.5, 60, 1).await;
    set_up_pan(&pan, &[]).await;
    let page = pan.crew.opens(PLAN).await;
    // 77,111 g at 15 and at 16.5 °Bx: 72.80 and 72.36 L, 38.3 gal in a pan of 30 to 130.
    page.says("38.3 gal in a pan that takes 30.0 gal to 130.0 gal, which fills it")
        .says("Amos &#60;b&#62;Trout&#60;/b&#62;")
        .says("1. Light at 08:00")
        .says("Bea Lund, ticket 2 (Steel tank)")
        .says("all 170.0 lb")
        // 24,290 g of solids: 24,913 g of syrup at 80 of 100, 54.9 lb.
        .says("54.9 lb of syrup")
        .says("of red oak, if 40 % of its heat reaches the juice")
        .says("By other kinds: propane")
        .says("4 h left");
    let light = link(&page.body, "Light this one");
    let form = pan.crew.opens(&light).await;
    assert_eq!(
        form.body.matches(" checked><label for=\"j-").count(),
        2,
        "{}",
        form.body
    );
    let ids: Vec<&str> = light
        .split(['?', '&'])
        .filter_map(|p| p.strip_prefix("juice="))
        .collect();
    let fields: Vec<(&str, &str)> = ids.iter().map(|id| ("juice", *id)).collect();
    let path = light.split('?').next().unwrap();
    pan.crew.sends(path, &fields).await.taken();
    pan.crew
        .opens(PLAN)
        .await
        .says("No juice is waiting")
        .says("The fire is free about");
}

#[tokio::test]
async fn a_juice_larger_than_the_pan_is_proposed_in_parts_and_lit_so() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    pan.juice(amos, 15.0, 30, 0).await;
    set_up_pan(&pan, &[("least", "5"), ("most", "10")]).await;
    let page = pan.crew.opens(PLAN).await;
    // 72.8 L in a pan of 37.85: two halves of 36.4 L, 85 lb each.
    page.says("85.0 lb of 170.0 lb").says("2. Light at");
    let light = link(&page.body, "Light this one");
    assert!(light.contains("part="), "{light}");
    let form = pan.crew.opens(&light).await;
    form.says("value=\"85.001\"");
    let id = pan.site.text("select id from juices").await;
    let part = format!("part_{id}");
    let path = light.split('?').next().unwrap().to_owned();
    let sent = |amount| vec![("juice", id.as_str()), (part.as_str(), amount)];
    pan.crew
        .sends(&path, &sent("much"))
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "is not a number. Please write a number",
        )
        .says("value=\"much\"");
    pan.crew
        .sends(&path, &sent("171"))
        .await
        .refused(StatusCode::CONFLICT, "only 170.000 lb is left")
        .says("value=\"171\"");
    assert_eq!(pan.site.count("select count(*) from boils").await, 0);
    pan.crew.sends(&path, &sent("85")).await.taken();
    let grams = "select amount_g from draws where whole = 0";
    assert_eq!(pan.site.count(grams).await, 38_555);
}

#[tokio::test]
async fn who_boils_alone_is_proposed_alone_and_late_juice_is_said_to_be_late() {
    let mut pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let (bea, _) = pan.site.person("Bea Lund", Role::Member).await;
    pan.site
        .sql("update members set pools = 0 where name = 'Amos Trout'")
        .await;
    pan.juice(amos, 15.0, 30, 0).await;
    pan.juice(bea, 16.5, 310, 1).await;
    set_up_pan(&pan, &[]).await;
    let page = pan.crew.opens(PLAN).await;
    page.says("Boiled alone, as asked")
        .says("past its holding time: smell it and test it first")
        .says("less than the pan’s least")
        .says("10 min past");
    assert!(page.body.contains(&format!("alone={amos}")));
}

async fn boiled() -> Pan {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    pan.crew
        .opens(BALANCE)
        .await
        .says("on the fire: 53.6 lb, 100.0 %");
    pan.finish(&boil, &[("skimmed", "2")]).await.taken();
    pan
}

#[tokio::test]
async fn the_sugar_of_a_day_adds_up_as_a_picture_and_a_table() {
    let mut pan = pan().await;
    pan.crew
        .opens(BALANCE)
        .await
        .says("No juice of this day is measured yet")
        .says("No boil is lit yet");
    let mut pan = boiled().await;
    // 53.550 lb of solids in; 43.010 in the syrup (80.3 %); 2 lb of skimmings at 15.75 °Bx are
    // 0.315; the rest is 10.225.
    pan.crew
        .opens(BALANCE)
        .await
        .says("<path class=\"stream syrup\"")
        .says("53.550 lb")
        .says("43.010 lb")
        .says("80.3 %")
        .says("0.315 lb")
        .says("10.225 lb")
        .says("720.0 lb of cane gave 340.0 lb of juice, 47.2 of 100")
        .says("80 of 100 of the solids reach the syrup: the middle of 1 finished boils");
}

#[tokio::test]
async fn one_low_ticket_is_that_cane_and_several_are_the_mill() {
    let mut pan = pan().await;
    pan.crew
        .opens(MILL)
        .await
        .says("No ticket of this day has both");
    let mut minutes = 200;
    for (name, pounds) in [
        ("Ann", "170"),
        ("Ben", "172"),
        ("Cal", "168"),
        ("Dee", "171"),
        ("Eve", "169"),
        ("Fay", "170"),
        ("Gus", "140"),
    ] {
        let (member, _) = pan.site.person(name, Role::Member).await;
        pan.juice_of(member, 15.0, minutes, 0, pounds).await;
        minutes -= 5;
    }
    // 170 of 360 is 47.2; 140 is 38.9.
    pan.crew
        .opens(MILL)
        .await
        .says("Ticket 7 (Gus) gave 38.9 of juice for every 100 of cane, against 47.2")
        .says("that is this cane and not the mill")
        .says("<circle class=\"dot cane\"")
        .says("data-is=\"Against the middle\">−8.3");
    for name in ["Hal", "Ivy", "Jon"] {
        let (member, _) = pan.site.person(name, Role::Member).await;
        pan.juice_of(member, 15.0, minutes, 0, "150").await;
        minutes -= 5;
    }
    pan.crew
        .opens(MILL)
        .await
        .says("that is the mill and not their cane")
        .says("Tickets 7 to 10, of 4 members")
        .says("roller gap");
}
