//! Leaves and trash: a sample before and after stripping gives the deduction in the open, or none.

use super::tickets::mill;
use crate::shares::divisions::{SIGNED, finished_lot_under};
use axum::http::StatusCode;
use canewright::calc::Basis;

#[tokio::test]
async fn a_sample_is_noted_on_the_ticket_and_takes_nothing_off_unless_the_rules_say_so() {
    let mut mill = mill().await;
    let ticket = mill.ticket().await;
    let path = format!("{ticket}/sample");
    mill.crew
        .fills(&path, &[("before", "10"), ("after", "12")])
        .await
        .refused(StatusCode::CONFLICT, "Stripped it weighs less than before");
    mill.crew
        .fills(&path, &[("before", "10"), ("after", "4")])
        .await
        .refused(StatusCode::CONFLICT, "More than half of it would be trash")
        .says("name=\"sure\" value=\"10 and 4\"");
    mill.crew
        .fills(&path, &[("before", "10"), ("after", "8.8")])
        .await
        .taken();
    mill.crew
        .opens(&ticket)
        .await
        .says("Sample: 10.0 lb as it came, 8.8 lb stripped: 12.0 of 100 is trash (Cora Pell")
        .says("By the season’s rules nothing is taken off")
        .says("Syrup is divided by dissolved solids: a share does not go by the cane’s weight.");
    // Whose cane it is sees it as well; nobody else may write it.
    mill.member
        .opens(&ticket)
        .await
        .says("12.0 of 100 is trash");
    let forbidden = mill.member.opens(&path).await;
    assert_ne!(forbidden.status, StatusCode::OK);
    // Crossed out, it stands no more; what was written stays in the file.
    mill.crew.fills(&path, &[("none", "yes")]).await.taken();
    mill.crew
        .opens(&ticket)
        .await
        .says("The sample is crossed out (Cora Pell");
    let kept = "select count(*) from trash_samples where before_g = 4536 and after_g = 3992";
    assert_eq!(mill.site.count(kept).await, 2);
}

#[tokio::test]
async fn where_the_rules_take_trash_off_the_clean_cane_counts_in_share_fee_and_statement() {
    let mut lot = finished_lot_under(|rules| {
        rules.terms.basis = Basis::CaneMass;
        rules.terms.trash_off = true;
        rules.terms.second_signature = false;
    })
    .await;
    let ticket = lot
        .site
        .text("select t.id from tickets t join members m on m.id = t.member_id where m.name like 'Amos%'")
        .await;
    let sample = format!("/tickets/{ticket}/sample");
    let boxes = [("before", "10"), ("after", "8.8")];
    lot.crew.fills(&sample, &boxes).await.taken();
    // By hand: 120,000 g × 3,992 ÷ 4,536 = 105,608.47, so 105,608 g count.
    let sum = "120,000 g net × 3,992 g stripped ÷ 4,536 g of the sample = 105,608 g count";
    lot.crew
        .opens(&format!("/tickets/{ticket}"))
        .await
        .says(sum)
        .says("a share goes by the cane that counts");
    let path = lot.path();
    lot.crew.opens(&path).await.says(sum);
    let seen = lot.crew.hidden("seen");
    lot.crew
        .sends(&path, &[("seen", &seen), SIGNED])
        .await
        .taken();
    // By hand: 13,017 g in jars less a toll of 10 % are 11,715.3; × 105,608 ÷ (105,608 + 90,000) = 6,325.05.
    let share = "select s.entitled_g from shares s join members m on m.id = s.member_id where m.name like 'Amos%'";
    assert_eq!(lot.site.count(share).await, 6325);
    lot.amos_opens
        .opens(&format!("/members/{}/statement/2026", lot.amos))
        .await
        .says("By the rules it is taken off: 120,000 g net");
    // What was divided stands.
    let boxes = [("before", "10"), ("after", "9")];
    lot.crew
        .fills(&sample, &boxes)
        .await
        .refused(StatusCode::CONFLICT, "which is divided");
    // And every division worked again comes to the same.
    let mut tx = lot.site.writer.begin().await.unwrap();
    let wrong = "insert into trash_samples select ticket_id, 9, 4536, 4000, 0, by_id, at from trash_samples";
    let refused = sqlx::query(wrong).execute(&mut *tx).await.unwrap_err();
    assert!(refused.to_string().contains("is divided"), "{refused}");
}
