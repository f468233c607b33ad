//! A member who left and is still owed syrup: said before they are let go, and before a lot gives them jars.

use super::divisions::finished_lot;
use canewright::units::Role;

#[tokio::test]
async fn who_left_and_is_given_jars_of_a_lot_is_named_before_it_is_divided() {
    let mut lot = finished_lot().await;
    let (rufus, _) = lot.site.person("Rufus <i>Gale</i>", Role::Member).await;
    lot.site
        .sql(
            "insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
             select 1, s.id, m.id, 'loss', 3000, 'borne', m.id, 1 from seasons s, members m where m.name like 'Rufus%';
             insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
             select 2, s.id, null, 'loss', -3000, 'borne', m.id, 1 from seasons s, members m where m.name like 'Rufus%'",
        )
        .await;
    let path = lot.path();
    let page = lot.crew.opens(&path).await;
    page.says("no juice in this lot");
    assert!(!page.body.contains("left the co-op"), "{}", page.body);
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let card = format!("/members/{rufus}");
    let settle = format!("{card}/settle");
    ruth.opens(&card)
        .await
        .says("Later lots go on giving jars for the syrup still to come")
        .says(&format!("<a href=\"{settle}\">settled</a>"));
    ruth.sends(&format!("{card}/let-go"), &[("knows", "yes")])
        .await
        .taken();
    let left = "<bdi>Rufus &#60;i&#62;Gale&#60;/i&#62;</bdi> left the co-op on Sat 19 Sep 2026 and is given";
    lot.crew
        .opens(&path)
        .await
        .says(left)
        .says("for syrup still to come from earlier lots; the empty jars are charged.")
        .says(&settle);
    // A member reads nothing of what another is owed.
    let own = lot.amos_opens.opens(&path).await;
    assert!(!own.body.contains("left the co-op"), "{}", own.body);
    lot.divide().await;
    let given = "select count(*) from shares s join members m on m.id = s.member_id where m.name like 'Rufus%' and s.jarred_g > 0";
    assert_eq!(lot.site.count(given).await, 1);
    let page = lot.crew.opens(&path).await;
    assert!(!page.body.contains("left the co-op"), "{}", page.body);
}

#[tokio::test]
async fn who_is_given_jars_for_syrup_carried_reads_that_no_own_juice_was_in_the_lot() {
    let mut lot = finished_lot().await;
    let (_, mut rufus) = lot.site.person("Rufus Gale", Role::Member).await;
    lot.site
        .sql(
            "insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
             select 1, s.id, m.id, 'loss', 3000, 'borne', m.id, 1 from seasons s, members m where m.name like 'Rufus%';
             insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
             select 2, s.id, null, 'loss', -3000, 'borne', m.id, 1 from seasons s, members m where m.name like 'Rufus%'",
        )
        .await;
    lot.divide().await;
    let page = rufus.opens(&format!("/boils/{}", lot.code.as_str())).await;
    page.says("No juice of yours was in it: its jars repay what was carried from earlier lots.");
    for wrong in ["Your juice in it", "Boiled together with"] {
        assert!(!page.body.contains(wrong), "{wrong}: {}", page.body);
    }
    let own = lot
        .amos_opens
        .opens(&format!("/boils/{}", lot.code.as_str()))
        .await;
    own.says("Your juice in it");
}
