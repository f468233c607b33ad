use crate::site::TestSite;
use axum::http::StatusCode;
use canewright::units::Role;

/// The first lot of 2026, of a boil on the fire.
const PAGE: &str = "/boils/26000Q/additions";
const STORED: &str = "select count(*) from additions";
const ENZYME: &[(&str, &str)] = &[
    ("what", "enzyme"),
    ("maker", "Clear-It <b>amylase</b>"),
    ("its_lot", "A-113"),
    ("dose", "2½ tsp"),
    ("temp", "160"),
];

async fn with_boil() -> TestSite {
    let site = TestSite::with_season().await;
    site.sql(
        "insert into boils (id, lot_code, season_id, rules_id, press_day_id, target_bx, lit_at, cook_id) \
         select '01920000-0000-7000-8000-0000000000b1', '26000Q', s.id, r.id, p.id, 78.0, 1789822800, m.id \
         from seasons s join season_rules r on r.season_id = s.id join press_days p on p.season_id = s.id \
         join members m on m.role = 'steward'",
    )
    .await;
    site
}

#[tokio::test]
async fn the_crew_note_an_addition_once_and_it_is_listed() {
    let site = with_boil().await;
    let (_, mut ida) = site.person("Ida Pike", Role::Crew).await;
    ida.opens(PAGE)
        .await
        .says("Nothing was added yet.")
        .says("The maker’s sheet rules");
    let first = ida.sends(PAGE, ENZYME).await;
    let again = ida.sends(PAGE, ENZYME).await;
    assert_eq!(first.taken(), again.taken());
    assert_eq!(site.count(STORED).await, 1);
    ida.opens(PAGE)
        .await
        .says("Clear-It &#60;b&#62;amylase&#60;/b&#62;")
        .says("A-113")
        .says("2½ tsp")
        .says("160.0 °F")
        .says("Ida Pike");
}

#[tokio::test]
async fn a_dose_without_a_unit_and_a_pack_without_a_lot_are_refused() {
    let site = with_boil().await;
    let mut ruth = site.browser(site.steward).await;
    let typed = [
        ("what", "enzyme"),
        ("maker", "Clear-It"),
        ("its_lot", ""),
        ("dose", "15"),
        ("temp", "boiling"),
    ];
    ruth.fills(PAGE, &typed)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "a number with its unit")
        .says("Please fill in this box.")
        .says("“boiling” is not a number.")
        .says("value=\"Clear-It\"");
    assert_eq!(site.count(STORED).await, 0);
}

#[tokio::test]
async fn an_addition_is_put_right_or_crossed_out_and_the_first_stays() {
    let site = with_boil().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.fills(PAGE, ENZYME).await.taken();
    let mut right = ENZYME.to_vec();
    right[3].1 = "3 tsp";
    right.push(("replaces", "1"));
    ruth.fills(PAGE, &right)
        .await
        .refused(StatusCode::CONFLICT, "Please write why it is put right.");
    right.push(("why", "misread the spoon"));
    ruth.sends(PAGE, &right).await.taken();
    ruth.opens(PAGE)
        .await
        .says("put right by 2")
        .says("misread the spoon");
    ruth.sends(PAGE, &right)
        .await
        .refused(StatusCode::CONFLICT, "does not count any more");
    let cross = [("void", "yes"), ("replaces", "2"), ("why", "other pan")];
    ruth.fills(PAGE, &cross).await.taken();
    ruth.opens(PAGE).await.says("never went in");
    assert_eq!(site.count(STORED).await, 3);
}

#[tokio::test]
async fn a_divided_boil_takes_no_more_and_the_store_says_so_too() {
    let site = with_boil().await;
    site.sql(
        "insert into divisions (id, boil_id, version, basis, toll_bp, jarred_g, syrup_g, brix_20c, after_line, \
             signed_by, by_id, at) \
         select '01920000-0000-7000-8000-0000000000d1', b.id, 1, 'solids', 0, 1, 1, 78, 0, 'Dan Moss', b.cook_id, 1 from boils b",
    )
    .await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(PAGE).await.says("This boil is divided");
    ruth.sends(PAGE, ENZYME)
        .await
        .refused(StatusCode::CONFLICT, "This boil is divided");
    let mut tx = site.writer.begin().await.unwrap();
    let refused = sqlx::raw_sql(
        "insert into additions (boil_id, number, what, maker, its_lot, dose, by_id, at) \
         select id, 1, 'enzyme', 'x', 'y', '1 mL', cook_id, 1 from boils",
    )
    .execute(&mut *tx)
    .await
    .unwrap_err();
    assert!(refused.to_string().contains("this boil is divided"));
    drop(tx);
    assert_eq!(site.count(STORED).await, 0);
}

#[tokio::test]
async fn members_may_not_note_additions_and_an_unknown_lot_has_no_page() {
    let site = with_boil().await;
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    amos.opens("/").await;
    amos.sends(PAGE, ENZYME)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/boils/26A9ZP/additions")
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    assert_eq!(site.count(STORED).await, 0);
}
