//! The close of the season of the lot worked in `shares`: hours, carried syrup settled, a spill borne by
//! all, the margin going back, other rules tried, statements in one run, files. By hand:
//!
//! Hours: 90 min × $15.00 ÷ 60 = $22.50. Syrup: Bess carries 252 g × 880 ¢ a kg = 221.76 ¢ → $2.22. The
//! margin: $10.00 × 10,200 ÷ 15,000 = $6.80 and × 4,800 ÷ 15,000 = $3.20. A spill of 150 g: the mill’s 10
//! % is 15 g; Amos 135 g × 0.68 = 91.8 g, Bess 43.2 g; cut 15 + 91 + 43 = 149, the odd gram is Amos’s. Borne
//! by solids: 102 g and 48 g. So Amos −10 g, Bess −5 g, the mill +15 g.

use crate::season::big_season::big_season;
use crate::shares::divisions::{Lot, divided_lot, finished_lot};
use crate::site::{Answer, Browser};
use axum::http::StatusCode;
use canewright::facts::shares::verify::verify;
use canewright::facts::shares::whole_books;
use canewright::units::Role;

async fn ruth(lot: &Lot) -> Browser {
    lot.site.browser(lot.site.steward).await
}

async fn season(lot: &Lot) -> String {
    lot.site.text("select id from seasons").await
}

/// A press day as its form is filled in.
pub(super) const ANOTHER_DAY: [(&str, &str); 7] = [
    ("date", "2026-10-03"),
    ("until", ""),
    ("opens", "7:00"),
    ("closes", "17:00"),
    ("mill_per_h", "500"),
    ("changeover", "10"),
    ("note", ""),
];

/// The season is closed and locked by whoever has read who is not settled with.
pub async fn locked(ruth: &mut Browser, why: &str) -> Answer {
    ruth.opens("/seasons/2026/lock").await;
    let seen = ruth.hidden("seen");
    let lock = [
        ("why", why),
        ("seen", seen.as_str()),
        ("knows", "yes"),
        ("step", "lock"),
    ];
    ruth.sends("/seasons/2026/lock", &lock).await
}

/// Asserts that `verify` finds nothing in a lot's books.
pub async fn sound(lot: &Lot) {
    let mut snapshot = lot.site.reader.snapshot().await.unwrap();
    let found = verify(&mut snapshot).await.unwrap();
    assert!(found.differs.is_empty(), "{:?}", found.differs);
}

/// Closes the press day, so that the season may bear its losses.
pub async fn day_over(lot: &Lot) {
    let mut ruth = ruth(lot).await;
    let day = "/days/2026-09-19";
    ruth.opens(day).await;
    ruth.sends(&format!("{day}/close"), &[("to", "closed")])
        .await
        .taken();
}

#[tokio::test]
async fn hours_worked_are_credited_up_to_the_most() {
    let lot = divided_lot().await;
    let (mut ruth, season) = (ruth(&lot).await, season(&lot).await);
    let path = format!("/members/{}/hours", lot.amos);
    let note = |hours| {
        [
            ("hours", hours),
            ("what", "fed the mill"),
            ("season", season.as_str()),
        ]
    };
    ruth.fills(&path, &note("x"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "value=\"fed the mill\"");
    ruth.fills(&path, &note("1:30")).await.taken();
    let credit = "select sum(cents) from ledger where kind = 'hours'";
    assert_eq!(lot.site.count(credit).await, -2250);
    ruth.fills(&path, &note("9")).await.taken();
    // 8:30 were left of ten hours.
    assert_eq!(lot.site.count(credit).await, -15_000);
    ruth.fills(&path, &note("1"))
        .await
        .refused(StatusCode::CONFLICT, "10 hours are credited already");
    ruth.opens("/seasons/2026/close")
        .await
        .says("fed the mill: 540 min worked, 510 min credited")
        .says("credited $150.00 for hours");
    let mut amos = lot.site.browser(lot.amos).await;
    amos.opens(&format!("/members/{}/statement/2026", lot.amos))
        .await
        .says("fed the mill: 90 min worked, 90 min credited × $15.00 ÷ 60, to the nearest cent");
    amos.opens(&path)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    sound(&lot).await;
}

#[tokio::test]
async fn carried_syrup_is_settled_in_money_on_both_sides() {
    let lot = divided_lot().await;
    let (mut ruth, season) = (ruth(&lot).await, season(&lot).await);
    let path = format!("/members/{}/settle", lot.bess);
    let settle = |grams| [("grams", grams), ("season", season.as_str())];
    ruth.opens(&path).await.says("8.9 oz still to come");
    ruth.fills(&path, &settle("500 g"))
        .await
        .refused(StatusCode::CONFLICT, "8.9 oz are carried");
    assert_eq!(
        lot.site
            .count("select count(*) from ledger where kind = 'settled'")
            .await,
        0
    );
    ruth.fills(&path, &settle("52 g")).await.taken();
    ruth.fills(&path, &settle("")).await.taken();
    let bess = "select sum(l.grams) from ledger l join members m on m.id = l.member_id where m.name = 'Bess Lane'";
    assert_eq!(lot.site.count(bess).await, 0);
    // 52 g × 880 ¢ a kg = 45.76 ¢ → 46 ¢, and 200 g = 176 ¢, the mill's to pay.
    let cents = "select sum(cents) from ledger where kind = 'settled' and member_id is not null";
    assert_eq!(lot.site.count(cents).await, -222);
    let both = "select sum(cents) + sum(grams) from ledger where kind = 'settled'";
    assert_eq!(lot.site.count(both).await, 0);
    ruth.opens(&path).await.says("nothing to settle");
    let mut amos = lot.site.browser(lot.amos).await;
    amos.opens(&path)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    sound(&lot).await;
}

#[tokio::test]
async fn money_is_not_offered_for_syrup_where_the_rules_name_no_price() {
    let lot = divided_lot().await;
    lot.site
        .sql("drop trigger season_rules_stand; update season_rules set syrup_mc = 0")
        .await;
    let path = format!("/members/{}/settle", lot.bess);
    let page = ruth(&lot).await.opens(&path).await;
    page.says("The season’s rules name no price of syrup")
        .says(&format!("/members/{}/settle-jars", lot.bess));
    assert!(!page.body.contains("Settle in money"), "{}", page.body);
}

#[tokio::test]
async fn the_margin_goes_back_by_solids_once_and_only_as_promised_beforehand() {
    let mut lot = divided_lot().await;
    let mut ruth = ruth(&lot).await;
    let path = "/seasons/2026/close";
    ruth.opens(&format!("{path}?margin=10"))
        .await
        .says("$6.80")
        .says("$3.20")
        .says("10,200 g");
    let paid = "select sum(cents) from ledger where kind = 'patronage'";
    assert_eq!(
        lot.site
            .count("select count(*) from ledger where kind = 'patronage'")
            .await,
        0
    );
    ruth.sends(path, &[("margin", "")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Nothing was stored yet");
    ruth.opens(&format!("{path}?margin=10")).await;
    // Who presses on a day that is still open has a part of it too.
    ruth.sends(path, &[("margin", "10")])
        .await
        .refused(StatusCode::CONFLICT, "Sat 19 Sep 2026 is not closed yet");
    day_over(&lot).await;
    ruth.opens(&format!("{path}?margin=10")).await;
    ruth.sends(path, &[("margin", "10")]).await.taken();
    ruth.sends(path, &[("margin", "10")]).await.taken();
    assert_eq!(lot.site.count(paid).await, -1000);
    ruth.opens("/days/2026-09-19").await;
    ruth.sends("/days/2026-09-19/close", &[("to", "open")])
        .await
        .refused(StatusCode::CONFLICT, "went back to all who pressed");
    ruth.opens(path)
        .await
        .says("The margin of this season went back");
    ruth.opens("/ledger").await;
    let again = ruth.sends(path, &[("margin", "10")]).await;
    again.refused(StatusCode::CONFLICT, "went back already");
    lot.crew
        .opens(path)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    sound(&lot).await;
}

#[tokio::test]
async fn what_the_rules_did_not_promise_before_the_first_boil_does_not_go_back() {
    let lot = divided_lot().await;
    lot.site
        .sql("drop trigger season_rules_stand; update season_rules set patronage = 0")
        .await;
    let mut ruth = ruth(&lot).await;
    ruth.opens("/seasons/2026/close")
        .await
        .says("did not promise that the margin goes back");
    ruth.opens("/ledger").await;
    ruth.sends("/seasons/2026/close", &[("margin", "10")])
        .await
        .refused(
            StatusCode::CONFLICT,
            "a rule made afterwards does not count",
        );
}

#[tokio::test]
async fn a_spill_is_borne_by_the_season_when_the_rules_say_so() {
    let mut lot = divided_lot().await;
    let mut ruth = ruth(&lot).await;
    let path = format!("/boils/{}/loss", lot.code.as_str());
    let spill = |lost| {
        [
            ("what", "spilled"),
            ("lost", lost),
            ("why", "a ladle tipped"),
        ]
    };
    // How much it can be stands beside the box before anything is sent.
    ruth.opens(&path).await.says(
        "29 lb 1.6 oz came out of the pan and 28 lb 11.2 oz is in jars, so at most 6.5 oz can have been lost.",
    );
    ruth.fills(&path, &spill(""))
        .await
        .refused(StatusCode::CONFLICT, "29 lb 1.6 oz came out of the pan and 28 lb 11.2 oz is in jars, so at most 6.5 oz can have been lost.")
        .says("If jars broke, please note them")
        .says("a ladle tipped");
    ruth.fills(&path, &spill("0.150 kg")).await.taken();
    ruth.opens(&path)
        .await
        .says("5.3 oz of syrup spilled: a ladle tipped")
        .says("Let the season bear it");
    let bear = format!("{path}/bear");
    // Cane may still come today, while the day is not closed.
    let early = ruth.sends(&bear, &[]).await;
    early.refused(StatusCode::CONFLICT, "Sat 19 Sep 2026 is not closed yet");
    // It stands at its button, before what is for a mistake.
    let at = |words| early.body.find(words).unwrap();
    assert!(at("is not closed yet") < at("Let the season bear it"));
    assert!(at("Let the season bear it") < at("Written down by mistake?"));
    assert_eq!(early.body.matches("is not closed yet").count(), 1);
    day_over(&lot).await;
    ruth.opens(&path).await;
    ruth.sends(&bear, &[]).await.taken();
    let moved = async |who: &'static str| lot.site.count(who).await;
    assert_eq!(moved("select sum(l.grams) from ledger l join members m on m.id = l.member_id where l.kind = 'loss' and m.name = 'Bess Lane'").await, -5);
    assert_eq!(
        moved("select sum(grams) from ledger where kind = 'loss' and member_id is null").await,
        15
    );
    assert_eq!(
        moved("select sum(grams) from ledger where kind = 'loss'").await,
        0
    );
    ruth.opens("/ledger").await;
    ruth.sends(&bear, &[])
        .await
        .refused(StatusCode::CONFLICT, "bears this loss already");
    lot.crew
        .opens(&path)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    sound(&lot).await;
}

#[tokio::test]
async fn a_boil_lost_altogether_is_closed_without_jars_and_fees() {
    let mut lot = finished_lot().await;
    let mut ruth = ruth(&lot).await;
    let path = format!("/boils/{}/loss", lot.code.as_str());
    let all = [
        ("what", "scorched"),
        ("whole", "yes"),
        ("why", "the fire was not drawn"),
    ];
    ruth.fills(&path, &all)
        .await
        .refused(StatusCode::CONFLICT, "Jars were filled from this boil");
    lot.site
        .sql(
            "insert into fills select boil_id, number, version + 1, size_name, net_g, 0, part, price_cents, \
             'burnt too', by_id, at, filled_at from fills",
        )
        .await;
    ruth.fills(&path, &all).await.taken();
    ruth.opens(&path)
        .await
        .says("33 lb 14.7 oz of syrup scorched, the whole boil");
    for page in ["/boils", "/days/2026-09-19"] {
        ruth.opens(page).await.says("tag bad\">lost</span>");
    }
    day_over(&lot).await;
    ruth.opens(&path).await;
    ruth.sends(&format!("{path}/bear"), &[]).await.taken();
    let count = async |sql| lot.site.count(sql).await;
    assert_eq!(count("select sum(grams) from ledger").await, 0);
    assert_eq!(count("select sum(cents) from ledger").await, 0);
    assert_eq!(count("select count(*) from closed_boils").await, 1);
    // Toll of 10 %: 1,538.4 g made good to the mill, which brought nothing and bears nothing.
    assert_eq!(
        count("select sum(grams) from ledger where member_id is null").await,
        1538
    );
    lot.crew
        .opens(&lot.path())
        .await
        .says("cannot be divided yet");
    sound(&lot).await;
}

#[tokio::test]
async fn other_rules_are_tried_without_changing_anything() {
    let mut lot = divided_lot().await;
    let mut ruth = ruth(&lot).await;
    ruth.opens("/seasons/2026/what-if?basis=juice_mass&toll=0")
        .await
        .says("7,810 g")
        .says("5,207 g")
        .says("−1,302 g")
        .says("+1,458 g")
        .says("dissolved solids, toll 10 %, as version 2");
    ruth.opens("/seasons/2026/what-if?basis=juice_mass&toll=120")
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "value=\"120\"");
    lot.crew
        .opens("/seasons/2026/what-if")
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    assert_eq!(
        lot.site.count("select sum(entitled_g) from shares").await,
        13_017
    );
}

#[tokio::test]
async fn a_season_goes_into_a_spreadsheet_as_it_stands() {
    let mut lot = divided_lot().await;
    let mut ruth = ruth(&lot).await;
    for (name, rows) in [("shares", 3), ("loads", 2)] {
        let file = ruth.opens(&format!("/seasons/2026/{name}.csv")).await;
        assert_eq!(file.status, StatusCode::OK);
        let header = |h: &str| file.headers[h].to_str().unwrap().to_owned();
        assert_eq!(
            header("content-disposition"),
            format!("attachment; filename=\"{name}-2026.csv\"")
        );
        assert!(header("content-type").starts_with("text/csv"));
        assert!(file.body.ends_with("\r\n") && !file.body.replace("\r\n", "").contains('\n'));
        let mut reader = csv::Reader::from_reader(file.body.as_bytes());
        let records: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(records.len(), rows, "{name}");
    }
    let shares = ruth.opens("/seasons/2026/shares.csv").await.body;
    assert!(
        shares.contains(",10200,10200,0,7966,8160,-194\r\n"),
        "{shares}"
    );
    let ledger = ruth.opens("/seasons/2026/ledger.csv").await.body;
    assert_eq!(
        i64::try_from(ledger.lines().count()).unwrap() - 1,
        lot.site.count("select count(*) from ledger").await
    );
    lot.crew
        .opens("/seasons/2026/shares.csv")
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[tokio::test]
async fn statements_of_all_members_come_in_one_run() {
    let (members, boils) = (40, 24);
    let season = big_season(members, boils).await;
    let mut ruth = season.site.browser(season.site.steward).await;
    let page = ruth.opens("/seasons/2026/statements/print").await;
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(page.body.matches("<article").count(), members);
    page.says("<h1><bdi>Member 039</bdi>: statement 2026");
    let (_, mut crew) = season.site.person("Cora Pell", Role::Crew).await;
    crew.opens("/seasons/2026/statements/print")
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
}

#[test]
fn cells_are_quoted_and_neutralised_as_published() {
    let table = include_str!("../../published/csv_vectors.csv");
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let mut rows = 0;
    for row in reader.records() {
        let row = row.unwrap();
        let real = |t: &str| {
            t.replace("\\n", "\n")
                .replace("\\t", "\t")
                .replace("\\r", "\r")
        };
        let made = canewright::facts::csv::text_cell(&real(&row[0]));
        assert_eq!(made, real(&row[1]), "{}", &row[0]);
        rows += 1;
    }
    assert_eq!(rows, 14);
}

/// The place of a column in a sheet.
fn at(sheet: &str, column: &str) -> usize {
    let head = sheet.lines().next().unwrap().split(',');
    let mut named = head.into_iter().enumerate();
    named.find(|(_, name)| *name == column).unwrap().0
}

#[tokio::test]
async fn the_whole_book_comes_as_one_zip_to_a_steward_with_or_without_the_mark_of_utf_8() {
    let mut lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens("/seasons/2026/close")
        .await
        .says("/books.zip?mark=yes");
    lot.crew
        .opens("/books.zip")
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let file = ruth.opens("/books.zip").await;
    assert_eq!(file.status, StatusCode::OK);
    lot.site
        .sql(
            "update tickets set stripped = 1, stripped_said = 1, headed = 0, headed_said = 1, clean = 0, \
             clean_said = 0, frosted = 0, frosted_said = 0",
        )
        .await;
    let mut snapshot = lot.site.reader.snapshot().await.unwrap();
    let files = whole_books::files(&mut snapshot).await.unwrap();
    let text = |name: &str| &files.iter().find(|f| f.name == name).unwrap().text;
    assert!(text("divisions.csv").contains("Ruth Bell"));
    assert!(text("README.txt").contains("entitled_g:"));
    // What nobody looked at stands empty, as the file of the columns says, and is no “not”.
    let tickets = text("tickets.csv");
    let first = |of: &str| {
        tickets
            .lines()
            .nth(1)
            .unwrap()
            .split(',')
            .nth(at(tickets, of))
            .unwrap()
    };
    let condition = ["stripped", "headed", "clean", "frosted"].map(first);
    assert_eq!(condition, ["1", "0", "", ""]);
    let marked = whole_books::zipped(&files, true).unwrap();
    // Files lie in it as they are.
    let marked = String::from_utf8_lossy(&marked);
    assert!(marked.contains("ledger.csv\u{feff}line,season,"));
    let plain = whole_books::zipped(&files, false).unwrap();
    assert!(String::from_utf8_lossy(&plain).contains("ledger.csvline,season,"));
}
