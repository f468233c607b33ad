//! Everything reckoned again from what was measured: a sound season comes out as it was frozen, and
//! each kind of tampering is found. Tampering goes round the triggers, as nobody in the program can.

use crate::season::big_season::big_season;
use crate::shares::divisions::divided_lot;
use crate::site::TestSite;
use canewright::facts::shares::verify::{Verified, verify};
use sqlx::{Connection, SqliteConnection};

async fn verified(site: &TestSite) -> Verified {
    let mut snapshot = site.reader.snapshot().await.unwrap();
    verify(&mut snapshot).await.unwrap()
}

#[tokio::test]
async fn what_was_tampered_with_is_named() {
    let lot = divided_lot().await;
    let sound = verified(&lot.site).await;
    assert_eq!((sound.boils, sound.balances), (1, 3));
    assert!(sound.differs.is_empty(), "{:?}", sound.differs);
    let found = async |sql: &'static str| {
        lot.site.sql(sql).await;
        verified(&lot.site).await.differs.join("\n")
    };
    let fee = found(
        "drop trigger ledger_stand; update ledger set cents = cents + 1 where kind = 'cane_fee' and cents = 270",
    )
    .await;
    assert!(
        fee.contains("fee for cane: $2.70 by its division, $2.71 in the ledger")
            && fee.contains("member ")
            && !fee.contains("cane_fee"),
        "{fee}"
    );
    let books =
        found("update ledger set grams = grams + 5 where kind = 'entitled' and member_id is null")
            .await;
    assert!(
        books.contains("all balances of syrup together are 5 g, not 0"),
        "{books}"
    );
    assert!(
        books.contains("the mill: −58 g of syrup carried by the divisions and what was settled, −53 g by the ledger"),
        "{books}"
    );
    let share = found(
        "drop trigger shares_stand; update shares set entitled_g = entitled_g + 3, carry_g = carry_g + 3 \
         where member_id is null",
    )
    .await;
    assert!(
        share.contains("the mill, share: 1,302 g worked out again, 1,305 g in the division"),
        "{share}"
    );
    let brix = found("drop trigger juice_measures_stand; update juice_measures set brix_1 = 14, brix_2 = 14 where brix_1 = 12").await;
    assert!(
        brix.contains("brought: 5,600 g worked out again, 4,800 g in the division"),
        "{brix}"
    );
}

/// Of the nine quarts six are Amos's, two Bess's, one the mill's.
#[tokio::test]
async fn jars_given_to_somebody_else_filled_by_hand_or_gone_are_told_in_words() {
    let lot = divided_lot().await;
    let found = async |sql: &'static str| {
        lot.site.sql(sql).await;
        verified(&lot.site).await.differs.join("\n")
    };
    let moved = found(
        "drop trigger share_jars_stand; update share_jars set count = count + case count when 6 then -1 else 1 end where count in (2, 6)",
    )
    .await;
    for says in [
        "in jars set aside: 6 × quart of 1,360 g worked out again, in jars set aside: 5 × quart of 1,360 g in the division",
        "(Amos <b>Trout</b>)",
        "(Bess Lane)",
    ] {
        assert!(moved.contains(says), "{says}: {moved}");
    }
    let filled = found(
        "update share_jars set count = count - case count when 5 then -1 else 1 end where count in (3, 5); \
         drop trigger fills_stand; update fills set count = 8 where part = 0",
    )
    .await;
    assert!(
        filled.contains("jars filled: 8 × quart of 1,360 g, 1 × part-jar of 777 g; set aside: 9 × quart of 1,360 g, 1 × part-jar of 777 g"),
        "{filled}"
    );
    let way = found(
        "update fills set count = 9 where part = 0; drop trigger divisions_stand; update divisions set way = 1; \
         drop trigger season_rules_stand; update season_rules set lots_repay_pct = 0",
    )
    .await;
    for says in [
        "division 1 of lot 26000-Q was changed",
        "version 2 of the rules of the season of 2026 was changed",
    ] {
        assert!(way.contains(says), "{says}: {way}");
    }
}

#[tokio::test]
async fn a_season_of_sixty_boils_is_reckoned_again() {
    let boils = 60;
    let season = big_season(60, boils).await;
    let found = verified(&season.site).await;
    assert_eq!(found.boils, boils);
    assert_eq!(season.lots.len(), boils);
    assert!(found.differs.is_empty(), "{:?}", found.differs);
    let exchanged = season.site.count("select count(*) from share_wishes").await;
    assert!(exchanged > 0, "wishes are frozen with the shares");
}

#[tokio::test]
async fn the_command_says_what_differs_and_ends_with_1() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("demo.db");
    let run = |words: &[&str]| {
        std::process::Command::new(env!("CARGO_BIN_EXE_canewright"))
            .args(words)
            .arg("--database")
            .arg(&path)
            .output()
            .unwrap()
    };
    assert!(run(&["demo", "--only-make"]).status.success());
    let sound = run(&["verify"]);
    let said = String::from_utf8_lossy(&sound.stdout).into_owned();
    assert!(sound.status.success(), "{said}");
    assert!(said.contains("everything is as it was frozen"), "{said}");
    assert!(
        said.contains("Not looked over, since no figure rests on it: what a probe sent"),
        "{said}"
    );
    let mut conn = SqliteConnection::connect(&format!("sqlite:{}", path.display()))
        .await
        .unwrap();
    sqlx::raw_sql(
        "drop trigger ledger_stand; update ledger set cents = cents + 100 where kind = 'cane_fee'",
    )
    .execute(&mut conn)
    .await
    .unwrap();
    conn.close().await.unwrap();
    let found = run(&["verify"]);
    let said = String::from_utf8_lossy(&found.stdout).into_owned();
    assert_eq!(found.status.code(), Some(1), "{said}");
    assert!(said.contains("fee for cane: $"), "{said}");
    assert_eq!(run(&["verify", "x"]).status.code(), Some(2));
}
