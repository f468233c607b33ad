//! The pan of a boil, the fuel burnt under it and what was spilt.

use crate::boil::boils::{Pan, pan};
use crate::boil::live::set_up_pan;
use axum::http::StatusCode;
use canewright::units::{JuiceId, Role};

const NEW: &str = "/days/2026-09-19/boils/new";
const PLAN: &str = "/days/2026-09-19/plan";
/// 5 to 25 gal, on propane; the flat pan takes 30 to 130 and burns red oak.
const KETTLE: &[(&str, &str)] = &[
    ("pan_name", "Kettle"),
    ("pan_area", "6"),
    ("least", "5"),
    ("most", "25"),
    ("fuel", "propane"),
];

/// Two juices of 170 lb, 38.3 gal together, and a third.
async fn two_pans() -> (Pan, [JuiceId; 3]) {
    let pan = pan().await;
    let (amos, _) = pan.site.person("Amos Trout", Role::Member).await;
    let (bea, _) = pan.site.person("Bea Lund", Role::Member).await;
    let juices = [
        pan.juice(amos, 15.0, 30, 0).await,
        pan.juice(bea, 16.5, 60, 1).await,
        pan.juice(bea, 15.0, 20, 0).await,
    ];
    set_up_pan(&pan, &[]).await;
    set_up_pan(&pan, KETTLE).await;
    (pan, juices)
}

async fn pan_named(pan: &Pan, name: &'static str) -> String {
    match name {
        "Kettle" => {
            pan.site
                .text("select id from pans where name = 'Kettle'")
                .await
        }
        _ => {
            pan.site
                .text("select id from pans where name = 'Flat pan'")
                .await
        }
    }
}

const IN_PAN: &str = "select p.name from boils b join pans p on p.id = b.pan_id order by b.lit_at desc, \
                      b.id desc limit 1";

#[tokio::test]
async fn a_boil_is_lit_in_the_pan_chosen_else_in_the_smallest_that_takes_it() {
    let mut alone = pan().await;
    let (amos, _) = alone.site.person("Amos Trout", Role::Member).await;
    let juice = alone.juice(amos, 15.0, 30, 0).await;
    let form = alone.crew.opens(NEW).await;
    assert!(!form.body.contains("name=\"pan\""), "{}", form.body);
    alone.light(&[juice], &[]).await.taken();
    let none = "select count(*) from boils where pan_id is null";
    assert_eq!(alone.site.count(none).await, 1);

    let (mut pan, [first, second, third]) = two_pans().await;
    pan.crew
        .opens(NEW)
        .await
        .says("The smallest that takes what goes in")
        .says("Kettle: 5.0 gal to 25.0 gal, propane");
    let big = pan.light(&[first, second], &[]).await.taken().to_owned();
    assert_eq!(pan.site.text(IN_PAN).await, "Flat pan");
    pan.crew
        .opens(&big)
        .await
        .says("<dt>Pan</dt><dd>Flat pan</dd>");
    // Sent twice: one boil.
    let kettle = pan_named(&pan, "Kettle").await;
    let chosen = [("pan", kettle.as_str())];
    let small = pan.light(&[third], &chosen).await.taken().to_owned();
    let id = third.to_string();
    let again = [("juice", id.as_str()), ("pan", kettle.as_str())];
    assert_eq!(pan.crew.sends(NEW, &again).await.taken(), small);
    assert_eq!(pan.site.count("select count(*) from boils").await, 2);
    assert_eq!(pan.site.text(IN_PAN).await, "Kettle");
    // Taken out of use, it is still the pan of its boil.
    pan.site
        .sql("update pans set retired_at = 1 where name = 'Kettle'")
        .await;
    pan.crew
        .opens(&small)
        .await
        .says("<dt>Pan</dt><dd>Kettle</dd>");
}

#[tokio::test]
async fn a_pan_that_is_none_or_out_of_use_is_not_lit_and_what_was_typed_stays() {
    let (mut pan, [first, ..]) = two_pans().await;
    pan.light(&[first], &[("pan", "the old one"), ("note", "first fire")])
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please choose a pan from the list.",
        )
        .says("value=\"first fire\"");
    let nobody = "01920000-0000-7000-8000-000000000000";
    pan.light(&[first], &[("pan", nobody)])
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    let kettle = pan_named(&pan, "Kettle").await;
    pan.site
        .sql("update pans set retired_at = 1 where name = 'Kettle'")
        .await;
    let form = pan.crew.opens(NEW).await;
    assert!(!form.body.contains("Kettle"), "{}", form.body);
    pan.light(&[first], &[("pan", &kettle)])
        .await
        .refused(StatusCode::CONFLICT, "Kettle is out of use");
    assert_eq!(pan.site.count("select count(*) from boils").await, 0);
    let (_, mut member) = pan.site.person("Dora Wick", Role::Member).await;
    member
        .opens(NEW)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[tokio::test]
async fn a_charge_that_does_not_fit_its_pan_waits_for_its_tick() {
    let (mut pan, [first, second, third]) = two_pans().await;
    let kettle = pan_named(&pan, "Kettle").await;
    let flat = pan_named(&pan, "Flat pan").await;
    // 77,111 g at 15 °Bx are 72.8 L, 19.2 gal.
    pan.light(&[first], &[("pan", &flat)])
        .await
        .refused(
            StatusCode::CONFLICT,
            "19.2 gal of juice is less than the 30.0 gal that Flat pan is lit under",
        )
        .says(&format!("value=\"{flat}\" checked"))
        .says("Known: it is boiled so all the same");
    pan.light(&[first, second], &[("pan", &kettle)])
        .await
        .refused(
            StatusCode::CONFLICT,
            "more than the 25.0 gal that Kettle takes",
        );
    assert_eq!(pan.site.count("select count(*) from boils").await, 0);
    assert_eq!(pan.site.count("select count(*) from draws").await, 0);
    let known = [("pan", flat.as_str()), ("charge_known", "yes")];
    pan.light(&[first], &known).await.taken();
    // Only a part of a juice is weighed as that part: 20 of 170 lb are 2.3 gal.
    let part = format!("part_{third}");
    pan.light(&[third], &[("pan", &kettle), (&part, "20")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "2.3 gal of juice is less than the 5.0 gal",
        );
}

#[tokio::test]
async fn the_plan_lights_in_the_pan_it_was_made_for() {
    let (mut pan, _) = two_pans().await;
    let kettle = pan_named(&pan, "Kettle").await;
    let page = pan.crew.opens(&format!("{PLAN}?pan={kettle}")).await;
    page.says("50 % of its heat reaches the juice (the pan’s own guess");
    let before = page.body.split("\">Light this one<").next().unwrap();
    let href = before.rsplit("href=\"").next().unwrap();
    let href = href.replace("&#38;", "&").replace("&amp;", "&");
    assert!(href.contains(&format!("pan={kettle}")), "{href}");
    pan.crew
        .opens(&href)
        .await
        .says(&format!("value=\"{kettle}\" checked"));
}

#[tokio::test]
async fn fuel_that_cannot_be_is_refused_and_far_too_much_is_questioned() {
    let mut pan = pan().await;
    set_up_pan(&pan, &[]).await;
    let (boil, _, mut member) = pan.pooled().await;
    pan.crew
        .opens(&boil)
        .await
        .says("Fuel burnt, if measured: red oak, cord")
        .says("128 cubic feet stacked");
    let burnt = |text| [("fuel_kind", "red_oak"), ("fuel_burnt", text)];
    pan.finish(&boil, &burnt("a heap"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "“a heap” is not a number")
        .says("value=\"a heap\"");
    // 325 MJ, worked apart: 123.2 kg of steam × 2,259 kJ, 154.2 kg × 3.79 kJ × 79.4 K, and 1. A
    // hundredth of a cord of red oak (25.9 million Btu, University of Kentucky) holds 273.
    pan.finish(&boil, &burnt("0.01"))
        .await
        .refused(
            StatusCode::CONFLICT,
            "119 of 100 would have reached the juice",
        )
        .says("value=\"0.01\"");
    pan.finish(&boil, &burnt("1"))
        .await
        .refused(
            StatusCode::CONFLICT,
            "Only 1.2 of 100 of the heat in 1 cord of red oak",
        )
        .says("I looked again: that much was burnt");
    let other = [("fuel_kind", "propane"), ("fuel_burnt", "9")];
    pan.finish(&boil, &other)
        .await
        .refused(StatusCode::CONFLICT, "Flat pan burns red oak");
    pan.finish(&boil, &[("spilt", "some"), ("fuel_burnt", "")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please write");
    pan.finish(&boil, &[("spilt", "20")]).await.refused(
        StatusCode::CONFLICT,
        "55.000 lb of syrup and 20.000 lb spilt",
    );
    assert_eq!(pan.site.count("select count(*) from finishes").await, 0);
    member.opens(&boil).await;
    member
        .sends(&format!("{boil}/finish"), &burnt("0.03"))
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let looked = [
        ("fuel_kind", "red_oak"),
        ("fuel_burnt", "1"),
        ("fuel_sure", "yes"),
    ];
    pan.finish(&boil, &looked).await.taken();
    // So little is no efficiency: it is kept, and teaches nothing.
    pan.crew.opens(&boil).await.says("1 of 100 of its heat");
    let juice = pan.site.text("select member_id from tickets limit 1").await;
    let juice = pan
        .juice(
            canewright::units::MemberId::parse(&juice).unwrap(),
            15.0,
            9,
            0,
        )
        .await;
    let next = pan.light(&[juice], &[("charge_known", "yes")]).await;
    let next = next.taken().to_owned();
    pan.crew.opens(&next).await.says("the pan’s own guess");
}

#[tokio::test]
async fn fuel_measured_teaches_the_pan_and_what_was_spilt_is_counted() {
    let mut pan = pan().await;
    set_up_pan(&pan, &[]).await;
    let (boil, amos, _) = pan.pooled().await;
    let told = [
        ("fuel_kind", "red_oak"),
        ("fuel_burnt", "0.03"),
        ("spilt", "2"),
        ("syrup", "53"),
        ("finish_brix", "78.2"),
        ("sample", "68"),
        ("instrument", "self"),
        ("finish_temp", "227"),
        ("finished_at", "8:00"),
    ];
    pan.finish(&boil, &told).await.taken();
    pan.crew
        .sends(&format!("{boil}/finish"), &told)
        .await
        .taken();
    assert_eq!(pan.site.count("select count(*) from finishes").await, 1);
    // 325 of 820 MJ. 53 lb are 24,040 g and hold 18,799 g; 2 lb are 907 g and hold 709, 1.563 lb.
    // Of 24,290 g that leaves 4,782, 10.543 lb.
    pan.crew
        .opens(&boil)
        .await
        .says("0.03 cord of red oak; 40 of 100 of its heat reached the juice")
        .says("1.563 lb of dissolved solids")
        .says("10.543 lb: in scum")
        .says("name=\"fuel_burnt\" inputmode=\"decimal\" autocomplete=\"off\" value=\"0.03\"");
    pan.crew
        .opens("/days/2026-09-19/balance")
        .await
        .says("Spilt or scorched, as told")
        .says("<path class=\"stream out\"")
        .says("1.563 lb")
        .says("80 of 100 of the solids reach the syrup");
    let more = pan.juice(amos, 15.0, 9, 0).await;
    pan.crew
        .opens(PLAN)
        .await
        .says("40 % of its heat reaches the juice (learned from 1 boil: 40 %)");
    let next = pan.light(&[more], &[("charge_known", "yes")]).await;
    let next = next.taken().to_owned();
    pan.crew
        .opens(&next)
        .await
        .says("of the heat of red oak reach the juice in Flat pan: learned from 1 boil: 40 %");
    // Put right, it is learned anew.
    let right = [
        ("fuel_kind", "red_oak"),
        ("fuel_burnt", "1/25"),
        ("finish_why", "weighed again"),
    ];
    pan.finish(&boil, &right).await.taken();
    pan.crew
        .opens(&next)
        .await
        .says("learned from 1 boil: 30 %");
}

#[tokio::test]
async fn a_boil_from_before_pans_were_kept_is_reckoned_in_the_one_that_takes_it() {
    let mut pan = pan().await;
    let (boil, ..) = pan.pooled().await;
    pan.finish(&boil, &[("fuel_burnt", "0.03")]).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "No pan is set up, so nobody knows what burns",
    );
    let page = pan.crew.opens(&boil).await;
    page.says("none is set up");
    assert!(!page.body.contains("fuel_burnt"), "{}", page.body);
    set_up_pan(&pan, &[]).await;
    pan.crew
        .opens(&boil)
        .await
        .says("not written down; taken as Flat pan");
    let told = [("fuel_kind", "red_oak"), ("fuel_burnt", "0.03")];
    pan.finish(&boil, &told).await.taken();
    pan.crew.opens(&boil).await.says("40 of 100 of its heat");
}
