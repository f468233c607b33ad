use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::units::Role;

/// The form of a new version, as a steward who reads pounds fills it in.
const RULES: &[(&str, &str)] = &[
    ("seen", "1"),
    ("basis", "juice_mass"),
    ("toll", "12,5"),
    ("rates_in", "us"),
    ("cane_fee", "1"),
    ("juice_fee", "0"),
    ("jar_fee", "0.25"),
    ("least", "5"),
    ("boil_fee", "0"),
    ("hour", "0"),
    ("hours_most", "0"),
    ("syrup_price", "0"),
    ("loss", "own"),
    ("lots_repay", "25 %"),
    ("target_bx", "78.5"),
    ("floor_bx", "12"),
    ("hold_amber", "240"),
    ("hold_red", "300"),
    ("cane_days", "4"),
    ("yield_amber", "45"),
    ("yield_red", "38"),
    ("recovery", "80"),
    ("juice_pct", "45"),
    ("row", "3"),
    ("stalk", "1 lb"),
    ("cutoff", "24"),
    ("offer", "90"),
    ("weigh_day", "110"),
    ("weigh_person", "22"),
    ("weigh_short", "5"),
    ("weigh_wait", "2"),
    ("weigh_move", "2"),
    ("weigh_step", "5"),
    ("weigh_edge", "4"),
    ("weigh_early", "1.4"),
    ("weigh_late", "2,5"),
    ("weigh_frost", "60"),
    ("size_1", "pint"),
    ("net_1", "22"),
    ("price_1", "1.20"),
    ("size_3", "quart <tall>"),
    ("net_3", "2 lb 12 oz"),
    ("price_3", "1.60"),
    ("note", "Voted 14 to 3"),
];

/// The form with some boxes filled in otherwise.
pub fn with<'a>(other: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let kept = RULES
        .iter()
        .filter(|(name, _)| !other.iter().any(|(n, _)| n == name));
    kept.chain(other).copied().collect()
}

/// Confirms the second version, from that day on.
async fn confirm(steward: &mut Browser, from: &str) {
    let path = "/seasons/2026/rules/2/confirm";
    steward.opens("/seasons/2026").await;
    steward.sends(path, &[("holds_from", from)]).await.taken();
}

#[tokio::test]
async fn what_a_false_figure_would_bring_is_said_where_the_basis_is_chosen() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/seasons/2026/rules")
        .await
        .says("10 % of water poured in pays its owner 6.5 % more")
        .says("15 °Bx count for 12 % more");
}

const VERSIONS: &str = "select count(*) from season_rules";

#[tokio::test]
async fn a_new_version_of_the_rules_says_what_it_changed_and_any_member_may_read_it() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let to = ruth.fills("/seasons/2026/rules", RULES).await;
    assert_eq!(to.taken(), "/seasons/2026");
    confirm(&mut ruth, "2026-09-19").await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    amos.opens("/seasons/2026")
        .await
        .says("Version 2</strong> is in force")
        .says("by Ruth Bell")
        .says("Syrup is divided by juice weight")
        .says("First the mill keeps 12.5 %")
        .says("1 ¢ per lb of cane, and $0.25 per jar filled. The least is $5.00")
        .says("quart &#60;tall&#62; 44 oz, jar $1.60; pint 22 oz, jar $1.20")
        .says("Toll, of the syrup: 10 % → 12.5 %")
        .says("Voted 14 to 3")
        .says("21 CFR 168.130")
        .says("Four eyes: whoever did not do the sums")
        .says("(common practice)");
    let kept = site.text(
        "select toll_bp || ' ' || cane_mc || ' ' || stalk_g || ' ' || basis from season_rules where number = 2",
    );
    assert_eq!(kept.await, "1250 1000 454 juice_mass");
    amos.opens("/seasons").await.says("version 2");
}

#[tokio::test]
async fn the_form_comes_filled_in_from_the_version_in_force_and_unchanged_changes_nothing() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let page = ruth.opens("/seasons/2026/rules").await;
    page.says("name=\"toll\" inputmode=\"decimal\" autocomplete=\"off\" value=\"10\"")
        .says("value=\"22\"");
    // Every box as it came, read out of the page.
    let mut boxes: Vec<(String, String)> = Vec::new();
    for (name, _) in RULES {
        let mark = format!("name=\"{name}\"");
        let Some((_, rest)) = page.body.split_once(&mark) else {
            panic!("no box {name}");
        };
        let tag = rest.split('>').next().unwrap();
        let value = tag.split_once("value=\"").map_or("", |(_, v)| v);
        boxes.push((
            (*name).to_owned(),
            value.split('"').next().unwrap().to_owned(),
        ));
    }
    boxes.retain(|(name, _)| {
        !["basis", "rates_in", "loss", "size_3", "net_3", "price_3"].contains(&name.as_str())
    });
    let mut fields: Vec<(&str, &str)> = boxes
        .iter()
        .map(|(n, v)| (n.as_str(), v.as_str()))
        .collect();
    fields.extend([
        ("basis", "solids"),
        ("rates_in", "us"),
        ("loss", "own"),
        ("size_2", "pint"),
        ("net_2", "21.98"),
        ("price_2", "1.20"),
        ("second_signature", "yes"),
        ("mill_mends", "yes"),
    ]);
    ruth.sends("/seasons/2026/rules", &fields).await.taken();
    ruth.opens("/seasons/2026")
        .await
        .says("Nothing in the figures.");
    // Nor does a figure shown to three decimals come to another one.
    let figures = "select count(distinct row_kg_per_m) from season_rules";
    assert_eq!(site.count(figures).await, 1);
}

#[tokio::test]
async fn rules_out_of_range_are_refused_beside_their_boxes_and_nothing_is_kept() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let wrong = with(&[
        ("toll", "100.5"),
        ("target_bx", "59"),
        ("hold_red", "200"),
        ("yield_red", "46"),
        ("recovery", "about 80"),
        ("net_1", "0"),
        ("price_3", ""),
        ("basis", "points"),
    ]);
    ruth.fills("/seasons/2026/rules", &wrong)
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please write a percentage from 0 to 100",
        )
        .says("Please write a finish target from 60 to 90")
        .says("Red comes after amber. Please write 240 minutes or more")
        .says("A yield is amber first")
        .says("“about 80” is not a number")
        .says("Please write a net weight from 50 g")
        .says("Row 3 is only half filled in")
        .says("Please choose what the syrup is divided by")
        .says("value=\"100.5\"")
        .says("value=\"quart &#60;tall&#62;\"");
    assert_eq!(site.count(VERSIONS).await, 1);
    let none = with(&[
        ("size_1", ""),
        ("net_1", ""),
        ("price_1", ""),
        ("size_3", ""),
        ("net_3", ""),
        ("price_3", " "),
    ]);
    ruth.fills("/seasons/2026/rules", &none).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please name at least one size of jar.",
    );
    assert_eq!(site.count(VERSIONS).await, 1);
}

#[tokio::test]
async fn two_stewards_changing_the_rules_are_told_and_the_second_may_insist() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let mut ida = site.person("Ida Finch", Role::Steward).await.1;
    ruth.fills("/seasons/2026/rules", RULES).await.taken();
    // The same form again is the same version.
    ruth.sends("/seasons/2026/rules", RULES).await.taken();
    assert_eq!(site.count(VERSIONS).await, 2);
    ida.fills("/seasons/2026/rules", RULES).await.refused(
        StatusCode::CONFLICT,
        "Version 2 of the rules was made while you had this open",
    );
    assert_eq!(ida.hidden("seen"), "2");
    ida.sends("/seasons/2026/rules", &with(&[("seen", "2")]))
        .await
        .taken();
    assert_eq!(site.count(VERSIONS).await, 3);
}

#[tokio::test]
async fn a_typing_error_mended_does_not_hide_that_the_rules_were_changed_meanwhile() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let mut ida = site.person("Ida Finch", Role::Steward).await.1;
    ida.opens("/seasons/2026/rules").await;
    ruth.fills("/seasons/2026/rules", RULES).await.taken();
    let amiss = with(&[("toll", "a tenth")]);
    ida.sends("/seasons/2026/rules", &amiss)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "a tenth");
    assert_eq!(ida.hidden("seen"), "1");
    ida.sends("/seasons/2026/rules", RULES).await.refused(
        StatusCode::CONFLICT,
        "Version 2 of the rules was made while you had this open",
    );
    assert_eq!(site.count(VERSIONS).await, 2);
}

#[tokio::test]
async fn the_next_season_starts_as_the_last_one_ended() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.fills("/seasons/2026/rules", RULES).await.taken();
    confirm(&mut ruth, "2026-09-19").await;
    ruth.opens("/seasons").await.says("value=\"2027\"");
    let to = ruth.sends("/seasons", &[("year", "2027")]).await;
    assert_eq!(to.taken(), "/seasons/2027");
    let again = ruth.sends("/seasons", &[("year", "2027")]).await;
    assert_eq!(again.taken(), "/seasons/2027");
    ruth.opens("/seasons/2027")
        .await
        .says("Version 1</strong>")
        .says("First the mill keeps 12.5 %")
        .says("As the season of 2026 ended.");
    assert_eq!(site.count("select count(*) from seasons").await, 2);
    for (year, status, said) in [
        (
            "2027",
            StatusCode::CONFLICT,
            "The season of 2027 is open already.",
        ),
        (
            "2028",
            StatusCode::CONFLICT,
            "Please write a year from 2000 to 2027",
        ),
        (
            "soon",
            StatusCode::UNPROCESSABLE_ENTITY,
            "“soon” is not a number",
        ),
    ] {
        ruth.fills("/seasons", &[("year", year)])
            .await
            .refused(status, said)
            .says(&format!("value=\"{year}\""));
    }
    // A year that has passed is a slip, or said to be right: a season that was opened stays.
    let page = ruth.opens("/seasons").await;
    assert!(!page.body.contains("The year is right"), "{}", page.body);
    ruth.sends("/seasons", &[("year", "2024")])
        .await
        .refused(StatusCode::CONFLICT, "2024 has passed, this is 2026")
        .says("value=\"2024\"")
        .says("The year is right: the season of a year that has passed is opened");
    assert_eq!(site.count("select count(*) from seasons").await, 2);
    let sure = [("year", "2024"), ("sure", "yes")];
    ruth.sends("/seasons", &sure).await.taken();
    assert_eq!(site.count("select count(*) from seasons").await, 3);
}

#[tokio::test]
async fn the_first_season_starts_from_the_defaults() {
    let site = TestSite::new().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/seasons").await.says("No season is open yet.");
    ruth.sends("/seasons", &[("year", "2026")]).await.taken();
    ruth.opens("/seasons/2026")
        .await
        .says("The mill keeps no syrup.")
        .says("Pressing costs no money");
}

#[tokio::test]
async fn only_stewards_open_seasons_and_change_rules() {
    let site = TestSite::with_season().await;
    let (_, mut crew) = site.person("Cora Webb", Role::Crew).await;
    let page = crew.opens("/seasons").await;
    assert!(!page.body.contains("Open the season"));
    let not_yours = "Not for your role";
    crew.sends("/seasons", &[("year", "2027")])
        .await
        .refused(StatusCode::FORBIDDEN, not_yours);
    crew.opens("/seasons").await;
    crew.sends("/seasons/2026/rules", RULES)
        .await
        .refused(StatusCode::FORBIDDEN, not_yours);
    assert_eq!(site.count(VERSIONS).await, 1);
    for path in ["/seasons/2025", "/seasons/next"] {
        assert_eq!(crew.opens(path).await.status, StatusCode::NOT_FOUND);
    }
}
