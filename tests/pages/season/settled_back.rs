//! A settlement in money taken back: both halves, syrup and cents, whichever of the two is named; what an answer to one half left
//! out is told and made up for; and what a locked season lets be taken back. By hand: Bess carries 252 g, 52 g × 880 ¢ a kg = 45.76 ¢
//! → 46 ¢.

use super::season_close::{day_over, locked, sound};
use crate::shares::divisions::{Lot, divided_lot};
use crate::site::Browser;
use axum::http::StatusCode;
use canewright::facts::shares::verify::verify;

const BESS: &str = "select sum(l.grams) from ledger l join members m on m.id = l.member_id where m.name = 'Bess Lane'";
const HER_CENTS: &str = "select sum(l.cents) from ledger l join members m on m.id = l.member_id where m.name = 'Bess Lane'";
const MILLS: &str = "select sum(grams) from ledger where member_id is null";
const MILLS_CENTS: &str = "select sum(cents) from ledger where member_id is null";

/// Grams and cents of Bess and of the mill.
async fn stands(lot: &Lot) -> [i64; 4] {
    let mut all = [0; 4];
    for (sum, sql) in all.iter_mut().zip([BESS, HER_CENTS, MILLS, MILLS_CENTS]) {
        *sum = lot.site.count(sql).await;
    }
    all
}

/// Settles 52 g of hers in money and gives the number of her line.
async fn settled(lot: &Lot, ruth: &mut Browser) -> i64 {
    let season = lot.site.text("select id from seasons").await;
    let path = format!("/members/{}/settle", lot.bess);
    let some = [("grams", "52 g"), ("season", season.as_str())];
    ruth.fills(&path, &some).await.taken();
    lot.site
        .count("select max(number) from ledger where kind = 'settled' and member_id is not null")
        .await
}

async fn take_back(ruth: &mut Browser, number: i64) -> crate::site::Answer {
    let number = number.to_string();
    let fields = [("number", number.as_str()), ("why", "the wrong Bess")];
    ruth.opens("/ledger").await;
    ruth.sends("/ledger", &fields).await
}

#[tokio::test]
async fn a_settlement_in_money_is_taken_back_whole_whichever_half_is_named() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let before = stands(&lot).await;
    for half in [0, 1] {
        let number = settled(&lot, &mut ruth).await;
        let moved = stands(&lot).await;
        assert_eq!(moved[0] - before[0], -52);
        assert_eq!(moved[1] - before[1], -46);
        take_back(&mut ruth, number + half).await.taken();
        assert_eq!(stands(&lot).await, before, "half {half}");
        sound(&lot).await;
        for half in [0, 1] {
            take_back(&mut ruth, number + half)
                .await
                .refused(StatusCode::CONFLICT, "is taken back already");
        }
    }
    assert_eq!(stands(&lot).await, before);
    let mut bess = lot.site.browser(lot.bess).await;
    bess.opens(&format!("/members/{}/statement/2026", lot.bess))
        .await
        .says("8.9 oz still to come")
        .says("the wrong Bess");
}

#[tokio::test]
async fn a_settlement_of_which_half_was_taken_back_is_told_and_made_up_for() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let before = stands(&lot).await;
    let number = settled(&lot, &mut ruth).await;
    // As it was once written: the cents of one half alone.
    lot.site
        .sql(
            "insert into ledger (number, season_id, member_id, kind, cents, says, answers, by_id, at)
            select (select max(number) + 1 from ledger), season_id, member_id, 'answer', -cents, 'takes back', number, by_id, at
            from ledger where kind = 'settled' and member_id is not null",
        )
        .await;
    let told = async || {
        let mut snapshot = lot.site.reader.snapshot().await.unwrap();
        let found = verify(&mut snapshot).await.unwrap().differs.join("\n");
        (found.contains("were taken back in part"), found)
    };
    let (amiss, found) = told().await;
    assert!(amiss, "{found}");
    assert!(
        found.contains(&format!("−52 g and $0.00 of line {number}")),
        "{found}"
    );
    take_back(&mut ruth, number).await.taken();
    assert_eq!(stands(&lot).await, before);
    let (amiss, found) = told().await;
    assert!(!amiss, "{found}");
}

#[tokio::test]
async fn a_locked_season_lets_payments_alone_be_taken_back() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let settled = settled(&lot, &mut ruth).await;
    let season = lot.site.text("select id from seasons").await;
    day_over(&lot).await;
    locked(&mut ruth, "").await.taken();
    let fee = lot
        .site
        .count("select min(number) from ledger where kind = 'cane_fee'")
        .await;
    let before = stands(&lot).await;
    for number in [fee, settled, settled + 1] {
        take_back(&mut ruth, number)
            .await
            .refused(
                StatusCode::CONFLICT,
                "The season of 2026 is closed and locked",
            )
            .says("payments alone are taken back");
    }
    // Whoever goes round the program meets the file itself.
    for kind in ["cane_fee", "settled"] {
        let mut tx = lot.site.writer.begin().await.unwrap();
        let sql = format!(
            "insert into ledger (number, season_id, member_id, kind, cents, says, answers, by_id, at)
            select (select max(number) + 1 from ledger), season_id, member_id, 'answer', -cents, 'back', number, by_id, at
            from ledger where kind = '{kind}' limit 1"
        );
        let refused = sqlx::query(sqlx::AssertSqlSafe(sql))
            .execute(&mut *tx)
            .await;
        let said = refused.unwrap_err().to_string();
        assert!(said.contains("this season is locked"), "{said}");
    }
    assert_eq!(stands(&lot).await, before);
    let paid = [
        ("way", "in"),
        ("cents", "5.00"),
        ("text", "cash"),
        ("season", season.as_str()),
        ("sure", "yes"),
    ];
    let payment = format!("/members/{}/payment", lot.bess);
    ruth.fills(&payment, &paid).await.taken();
    let line = lot.site.count("select max(number) from ledger").await;
    take_back(&mut ruth, line).await.taken();
    assert_eq!(stands(&lot).await, before);
    sound(&lot).await;
}
