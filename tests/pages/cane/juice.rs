use crate::cane::tickets::{Mill, mill};
use crate::site::Answer;
use axum::http::StatusCode;
use canewright::units::Role;

/// 170 lb of juice at 68 °F, read twice.
const JUICE: [(&str, &str); 8] = [
    ("kind", "mass"),
    ("amount", "170"),
    ("temp", "68"),
    ("instrument", "self"),
    ("brix_1", "15.4"),
    ("brix_2", "15.6"),
    ("sediment", ""),
    ("pressed", ""),
];

/// The fields of a juice with some of them otherwise.
fn with<'a>(other: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut fields: Vec<(&str, &str)> = JUICE
        .into_iter()
        .filter(|(name, _)| other.iter().all(|(o, _)| o != name))
        .collect();
    fields.extend_from_slice(other);
    fields
}

async fn vessel(mill: &Mill) -> String {
    mill.site
        .text("select id from vessels where name = 'Blue barrel'")
        .await
}

/// 170 lb of juice in the blue barrel, with some boxes otherwise.
pub async fn measure(mill: &mut Mill, ticket: &str, other: &[(&str, &str)]) -> Answer {
    let vessel = vessel(mill).await;
    let mut fields = with(other);
    if other.iter().all(|(name, _)| *name != "vessel") {
        fields.push(("vessel", &vessel));
    }
    mill.crew
        .fills(&format!("{ticket}/juice/new"), &fields)
        .await
}

#[tokio::test]
async fn weighed_juice_is_brought_to_dissolved_solids_and_stands_on_the_ticket() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let juice = measure(&mut mill, &ticket, &[]).await.taken().to_owned();
    // 170 lb = 77,111 g; × 15.50 / 100 = 11,952 g, and 170 × 0.155 = 26.35 lb; 170 / 360 = 47.2 per 100.
    mill.crew
        .opens(&juice)
        .await
        .says("77,111 g × 15.50 ÷ 100 = 11,952 g of solids, to the nearest gram.")
        .says("Brix read 15.40 and 15.60, mean 15.500; 15.500 = 15.50 °Bx at 20 °C")
        .says("(self-compensating (ATC), juice at 68.0 °F)")
        .says(">47.2</span> by weight <span class=\"tag ok\">good")
        .says("47.2 that day (1 ticket)")
        .says("fresh, 5 h left");
    mill.member
        .opens(&ticket)
        .await
        .says("Blue barrel")
        .says("15.50 °Bx")
        .says("100 × 170.0 lb juice ÷ 360.0 lb cane = 47.2");
    mill.member.opens(&juice).await.says("11,952 g");
    let (_, mut other) = mill.site.person("Bea Lund", Role::Member).await;
    other
        .opens(&juice)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    let new = format!("{ticket}/juice/new");
    for path in [&new, &format!("{juice}/correct")] {
        mill.member
            .opens(path)
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
    }
}

#[tokio::test]
async fn gauged_juice_is_corrected_for_temperature_and_loses_its_sediment() {
    let mut mill = mill().await;
    let whose = format!("walk:{}", mill.amos);
    let early = mill
        .weigh(&whose, "400.5", "40.5", &[("weighed", "3:00")])
        .await;
    let ticket = early.taken().to_owned();
    let gauged = [
        ("kind", "volume"),
        ("amount", "20"),
        ("temp", "77"),
        ("instrument", "plain"),
        ("sediment", "0.5"),
        ("pressed", "3:30"),
    ];
    let juice = measure(&mut mill, &ticket, &gauged).await;
    let page = mill.crew.opens(juice.taken()).await;
    // 15.5 °Bx read at 25 °C is corrected by 0.37 to 0.39 in the printed tables.
    page.says("mean 15.500; 15.500 + 0.3")
        .says("75,708 mL at 77.0 °F ×")
        .says("of sediment (1,893 mL) =")
        .says("boil it next, 30 min left");
}

#[tokio::test]
async fn a_brix_of_160_or_eighteen_is_refused_beside_its_box() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let wrong = [("brix_1", "160"), ("brix_2", "eighteen"), ("temp", "hot")];
    measure(&mut mill, &ticket, &wrong)
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please write a Brix from 0 to 95",
        )
        .says("“eighteen” is not a number")
        .says("“hot” is not a number")
        .says("value=\"160\"")
        .says("value=\"eighteen\"");
    assert_eq!(mill.site.count("select count(*) from juices").await, 0);
}

#[tokio::test]
async fn readings_that_differ_ask_for_a_third_and_the_middle_one_counts() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let page = mill.crew.opens(&format!("{ticket}/juice/new")).await;
    assert!(!page.body.contains("f-brix_3"));
    measure(&mut mill, &ticket, &[("brix_2", "16.4")])
        .await
        .refused(StatusCode::CONFLICT, "take a third reading")
        .says("id=\"f-brix_3\"")
        .says("value=\"16.4\"");
    let three = [("brix_2", "16.4"), ("brix_3", "15.7")];
    let juice = measure(&mut mill, &ticket, &three).await;
    mill.crew
        .opens(juice.taken())
        .await
        .says("counted 15.700; 15.700 = 15.70 °Bx at 20 °C");
}

#[tokio::test]
async fn unlikely_juice_is_asked_about_and_impossible_juice_refused() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    measure(
        &mut mill,
        &ticket,
        &[("amount", "361"), ("sure", "361 and 68 and 15.4 and 15.6")],
    )
    .await
    .refused(StatusCode::CONFLICT, "of juice from 100 of cane");
    measure(&mut mill, &ticket, &[("amount", "300")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "That makes 83 of juice from 100 of cane",
        )
        .says("Yes, it is so: 300 and 68 and 15.4 and 15.6");
    measure(&mut mill, &ticket, &[("brix_1", "31"), ("brix_2", "31")])
        .await
        .refused(StatusCode::CONFLICT, "more than fresh juice has");
    let gauged = [("kind", "volume"), ("amount", "60")];
    measure(&mut mill, &ticket, &gauged)
        .await
        .refused(StatusCode::CONFLICT, "of juice from 100 of cane");
    measure(&mut mill, &ticket, &[("pressed", "8:01")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "is still to come");
    measure(&mut mill, &ticket, &[("sediment", "170")])
        .await
        .refused(StatusCode::CONFLICT, "less than all the juice");
    let thin = [
        ("brix_1", "9.8"),
        ("brix_2", "9.8"),
        ("amount", "300"),
        ("sure", "300 and 68 and 9.8 and 9.8"),
    ];
    let juice = measure(&mut mill, &ticket, &thin).await;
    mill.crew
        .opens(juice.taken())
        .await
        .says("is below the season’s floor");
}

#[tokio::test]
async fn a_temperature_unlike_the_days_other_juices_is_asked_about() {
    let mut mill = mill().await;
    let mut tickets = vec![mill.ticket().await];
    for name in ["Bea Lund", "Cora Pine", "Dan Holt"] {
        let (who, _) = mill.site.person(name, Role::Member).await;
        let walks = format!("walk:{who}");
        let weighed = mill.weigh(&walks, "400.5", "40.5", &[]).await;
        tickets.push(weighed.taken().to_owned());
    }
    let empty = ("vessel_empty", "yes");
    for ticket in &tickets[..3] {
        measure(&mut mill, ticket, &[empty]).await.taken();
    }
    // The others were read at 68 °F.
    let hot = [empty, ("temp", "95"), ("instrument", "plain")];
    measure(&mut mill, &tickets[3], &hot)
        .await
        .refused(
            StatusCode::CONFLICT,
            "last juices were read at about 68.0 °F, this one at 95.0 °F",
        )
        .says("Yes, it is so: 170 and 95 and 15.4 and 15.6");
    let sure = [
        hot[0],
        hot[1],
        hot[2],
        ("sure", "170 and 95 and 15.4 and 15.6"),
    ];
    measure(&mut mill, &tickets[3], &sure).await.taken();
}

#[tokio::test]
async fn the_same_juice_measured_a_moment_later_in_another_vessel_is_asked_about() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    measure(&mut mill, &ticket, &[("amount", "60")])
        .await
        .taken();
    mill.site
        .sql(
            "insert into vessels (id, name, capacity_ml) \
             values ('01920000-0000-7000-8000-0000000000b1', 'Red barrel', 200000)",
        )
        .await;
    let red = ("vessel", "01920000-0000-7000-8000-0000000000b1");
    measure(&mut mill, &ticket, &[red, ("amount", "61")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "Cora Pell measured 60.0 lb of 15.50 °Bx of this ticket in Blue barrel",
        )
        .says("Yes, it is so: 61 and 68 and 15.4 and 15.6");
    let more = [red, ("amount", "80")];
    measure(&mut mill, &ticket, &more).await.taken();
}

#[tokio::test]
async fn two_members_juice_is_not_put_into_one_vessel_unless_it_stands_empty() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let first = measure(&mut mill, &ticket, &[]).await.taken().to_owned();
    measure(&mut mill, &ticket, &[])
        .await
        .refused(StatusCode::CONFLICT, "was measured already");
    let (bea, _) = mill.site.person("Bea Lund", Role::Member).await;
    let second = mill
        .weigh(&format!("walk:{bea}"), "400.5", "40.5", &[])
        .await
        .taken()
        .to_owned();
    measure(&mut mill, &second, &[]).await.refused(
        StatusCode::CONFLICT,
        "Blue barrel still holds 170.0 lb of Amos Trout’s juice (ticket 1)",
    );
    measure(&mut mill, &second, &[("vessel_empty", "yes")])
        .await
        .taken();
    mill.crew.opens(&first).await.says("Left in the vessel");
    assert_eq!(mill.site.count("select count(*) from juices").await, 2);
}

#[tokio::test]
async fn a_corrected_juice_shows_every_version_and_sent_twice_it_is_corrected_once() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let juice = measure(&mut mill, &ticket, &[]).await.taken().to_owned();
    let fix = format!("{juice}/correct");
    let fields = with(&[("amount", "160"), ("seen", "1"), ("why", "foam <counted>")]);
    mill.crew
        .fills(&fix, &with(&[("seen", "1"), ("why", "")]))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box.");
    mill.crew.fills(&fix, &fields).await.taken();
    mill.crew.sends(&fix, &fields).await.taken();
    assert_eq!(
        mill.site.count("select count(*) from juice_measures").await,
        2
    );
    mill.member
        .opens(&juice)
        .await
        .says("<s>170.0 lb</s>")
        .says("foam &#60;counted&#62;")
        .says("corrected by Cora Pell")
        .says("72,575 g × 15.50");
    let gone = with(&[("seen", "2"), ("why", "sour"), ("void", "yes")]);
    mill.crew.fills(&fix, &gone).await.taken();
    mill.crew
        .opens(&ticket)
        .await
        .says("<s>160.0 lb</s>")
        .says("never was");
    // An empty vessel takes the next member's juice without asking.
    let (bea, _) = mill.site.person("Bea Lund", Role::Member).await;
    let second = mill
        .weigh(&format!("walk:{bea}"), "400.5", "40.5", &[])
        .await
        .taken()
        .to_owned();
    measure(&mut mill, &second, &[]).await.taken();
}

#[tokio::test]
async fn under_a_divided_boil_neither_cane_nor_juice_is_rewritten() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let juice = measure(&mut mill, &ticket, &[]).await.taken().to_owned();
    mill.site
        .sql(
            "insert into boils (id, lot_code, season_id, rules_id, press_day_id, target_bx, lit_at, cook_id) \
             select '01920000-0000-7000-8000-0000000000b7', '26262-A1', p.season_id, r.id, p.id, 78, 0, r.made_by from press_days p, season_rules r;
             insert into draws (boil_id, juice_id, version, amount_g, whole, by_id, at) \
             select '01920000-0000-7000-8000-0000000000b7', j.id, 1, 1000, 1, j.made_by, 0 from juices j;",
        )
        .await;
    mill.crew.opens(&juice).await.says("all in the pan");
    let fix = format!("{juice}/correct");
    let gone = with(&[("seen", "1"), ("why", "sour"), ("void", "yes")]);
    mill.crew
        .fills(&fix, &gone)
        .await
        .refused(StatusCode::CONFLICT, "Take it out of the boil first");
    mill.site
        .sql(
            "insert into divisions (id, boil_id, version, basis, toll_bp, jarred_g, syrup_g, brix_20c, after_line, \
             signed_by, by_id, at) \
             select '01920000-0000-7000-8000-0000000000d7', '01920000-0000-7000-8000-0000000000b7', 1, 'solids', 0, 1, 1, 78, 0, 'Dan Moss', made_by, 0 from season_rules",
        )
        .await;
    let more = with(&[("amount", "180"), ("seen", "1"), ("why", "misread")]);
    mill.crew
        .fills(&fix, &more)
        .await
        .refused(StatusCode::CONFLICT, "is in lot 26262-A1, which is divided");
    let scale = mill.site.text("select id from scales").await;
    let load = [
        ("scale", scale.as_str()),
        ("gross", "420.5"),
        ("tare", "40.5"),
        ("seen", "1"),
        ("why", "misread"),
    ];
    mill.crew
        .fills(&format!("{ticket}/loads/1/correct"), &load)
        .await
        .refused(StatusCode::CONFLICT, "which is divided");
    mill.crew
        .opens(&ticket)
        .await
        .says("its weights and readings can no longer be changed");
}

#[tokio::test]
async fn a_corrected_weighing_still_covers_the_juice() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    measure(&mut mill, &ticket, &[]).await.taken();
    let scale = mill.site.text("select id from scales").await;
    let load = [
        ("scale", scale.as_str()),
        ("gross", "200.5"),
        ("tare", "40.5"),
        ("seen", "1"),
        ("why", "misread"),
    ];
    mill.crew
        .fills(&format!("{ticket}/loads/1/correct"), &load)
        .await
        .refused(
            StatusCode::CONFLICT,
            "would have 160.0 lb of cane, less than the 170.0 lb of juice",
        );
    assert_eq!(mill.site.count("select count(*) from loads").await, 1);
}
