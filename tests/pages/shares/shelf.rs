//! Jars counted after a division, on the lot worked by hand in `divisions`: nine quarts of 1,360 g and a part-jar of 777 g: six
//! quarts are Amos's, two and the part-jar Bess's, one the mill's.

use super::divisions::{Lot, divided_lot, finished_lot_under};
use axum::http::StatusCode;
use canewright::actions::shares::hand_overs::JarsOut;
use canewright::actions::shares::jar_moves::{self, NewMoves};
use canewright::actions::shares::ledger;
use canewright::calc::shares::jar_places::Became;
use canewright::calc::shares::split::Sharer;
use canewright::facts::shares::verify::verify;
use canewright::store::shares::hand_overs::jars_set_aside;

/// Hands so many quarts over to Amos.
async fn to_amos(lot: &mut Lot, count: &str) {
    let path = format!("/members/{}/hand-over", lot.amos);
    lot.crew.opens(&path).await;
    let jar = format!("jar-{}-1360-quart", lot.code.as_str());
    let boxes = [(jar.as_str(), count), ("signed_by", "Amos"), ("note", "")];
    lot.crew.sends(&path, &boxes).await.taken();
}

async fn sound(lot: &Lot) {
    let mut snapshot = lot.site.reader.snapshot().await.unwrap();
    let found = verify(&mut snapshot).await.unwrap();
    assert!(found.differs.is_empty(), "{:?}", found.differs);
}

#[tokio::test]
async fn jars_come_back_from_a_receipt_and_stand_on_the_shelf_again() {
    let mut lot = divided_lot().await;
    to_amos(&mut lot, "4").await;
    lot.crew
        .opens("/hand-overs/1")
        .await
        .says("Jars come back, or were counted wrong");
    let back = "/hand-overs/1/back";
    lot.crew
        .opens(back)
        .await
        .says("4 on the receipt and not back yet");
    // Nothing chosen, no reason, more than left: each is said, and nothing is stored.
    lot.crew
        .sends(back, &[("count-0", "1"), ("why", "")])
        .await
        .refused(
            StatusCode::UNPROCESSABLE_ENTITY,
            "Please choose what happened.",
        )
        .says("value=\"1\"");
    let five = [
        ("became", "returned"),
        ("count-0", "5"),
        ("why", "Too many"),
    ];
    lot.crew.fills(back, &five).await.refused(
        StatusCode::CONFLICT,
        "4 × quart of 48 oz can be meant, not 5",
    );
    let none = [("became", "returned"), ("count-0", ""), ("why", "Too many")];
    lot.crew
        .fills(back, &none)
        .await
        .refused(StatusCode::CONFLICT, "at least one");
    // The shelf's own words do not pass here.
    let broken = [("became", "broken"), ("count-0", "1"), ("why", "It fell")];
    lot.crew.fills(back, &broken).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please choose what happened.",
    );
    let one = [
        ("became", "returned"),
        ("count-0", "1"),
        ("why", "<i>Too</i> many for now"),
    ];
    let to = lot.crew.fills(back, &one).await;
    assert_eq!(to.taken(), "/hand-overs/1");
    let miscounted = [
        ("became", "miscounted"),
        ("count-0", "1"),
        ("why", "Only three went"),
    ];
    lot.crew.fills(back, &miscounted).await.taken();
    let receipt = lot.amos_opens.opens("/hand-overs/1").await;
    receipt
        .says("What came back")
        .says("brought back. &#60;i&#62;Too")
        .says("never left: the receipt was counted wrong. Only three went")
        .says("4 jars are still waiting at the mill.")
        .says(
            "Without what came back or never left</th><td class=\"n\" data-is=\"Jars\">2</td>\
             <td class=\"n\" data-is=\"Syrup\">6 lb</td>",
        );
    let trace = format!("/boils/{}/trace", lot.code.as_str());
    lot.crew
        .opens(&trace)
        .await
        .says("10 jars filled; 10 set aside by the division: 2 handed over, 8 at the mill.")
        .says("1 jar was brought back once.")
        .says("2 of them came back");
    // They can be handed over again.
    to_amos(&mut lot, "4").await;
    sound(&lot).await;
}

#[tokio::test]
async fn a_jar_that_breaks_on_the_mills_shelf_is_made_good_by_the_mill_and_a_missing_one_until_it_is_found()
 {
    let mut lot = divided_lot().await;
    let shelf = format!("/members/{}/shelf", lot.amos);
    let page = lot.crew.opens("/shelf").await;
    page.says("10 jars of 3 owners")
        .says(&shelf)
        .says("6 jars, 18 lb");
    lot.crew.opens(&shelf).await.says("6 on the shelf");
    let grams =
        "select coalesce(sum(grams), 0) from ledger where kind = 'loss' and member_id is not null";
    let broken = [
        ("became", "broken"),
        ("count-0", "1"),
        ("why", "The shelf gave way"),
    ];
    let paid = "select coalesce(sum(cents), 0) from ledger l join members m on m.id = l.member_id where m.name like 'Amos%' \
         and kind = 'jar_price'";
    let before = lot.site.count(paid).await;
    lot.crew.fills(&shelf, &broken).await.taken();
    assert_eq!(lot.site.count(grams).await, 1360);
    // The glass that broke was paid for: the next one is not paid for a second time.
    let each = before / 6;
    assert!(each > 0);
    assert_eq!(lot.site.count(paid).await, before - each);
    let missing = [
        ("became", "missing"),
        ("count-0", "2"),
        ("why", "Counted twice"),
    ];
    lot.crew.fills(&shelf, &missing).await.taken();
    assert_eq!(lot.site.count(grams).await, 3 * 1360);
    let found = [
        ("became", "found"),
        ("count-0", "3"),
        ("why", "Behind the crates"),
    ];
    lot.crew.fills(&shelf, &found).await.refused(
        StatusCode::CONFLICT,
        "2 noted as missing, 1 as broken. So 2 can be found again, not 3",
    );
    let found = [
        ("became", "found"),
        ("count-0", "1"),
        ("why", "Behind the crates"),
    ];
    lot.crew.fills(&shelf, &found).await.taken();
    assert_eq!(lot.site.count(grams).await, 2 * 1360);
    assert_eq!(lot.site.count(paid).await, before - 2 * each);
    assert_eq!(lot.site.count("select sum(grams) from ledger").await, 0);
    let trace = format!("/boils/{}/trace", lot.code.as_str());
    let page = lot.crew.opens(&trace).await;
    page.says("0 handed over, 1 broken, 8 at the mill.")
        .says("1 jar is not accounted for.")
        .says("broken on the shelf. The shelf gave way");
    // A recall has them exactly: four of Amos's six are on the shelf.
    lot.crew.opens("/recalls/new").await;
    let boxes = [
        ("drill", "drill"),
        ("kind", "lot"),
        ("which", lot.code.as_str()),
        ("day", ""),
        ("why", "Practice"),
    ];
    let recall = lot
        .crew
        .sends("/recalls/new", &boxes)
        .await
        .taken()
        .to_owned();
    for (place, jars) in [("broken", 1), ("unaccounted", 1), ("shelf", 8)] {
        let sql = match place {
            "broken" => "select sum(count) from recall_jars where place = 'broken'",
            "unaccounted" => "select sum(count) from recall_jars where place = 'unaccounted'",
            _ => "select sum(count) from recall_jars where place = 'shelf'",
        };
        assert_eq!(lot.site.count(sql).await, jars, "{place}");
    }
    lot.crew
        .opens(&recall)
        .await
        .says("broken")
        .says("not accounted for");
    let statement = format!("/members/{}/statement/2026", lot.amos);
    lot.amos_opens
        .opens(&statement)
        .await
        .says("on the mill’s shelf: made good")
        .says("1 empty jar (quart) of lot")
        .says("broken on the mill’s shelf: credited, 1 × $")
        .says("On the mill’s shelf: 1 quart (3 lb) broken, 1 quart (3 lb) missing.");
    sound(&lot).await;
}

#[tokio::test]
async fn a_jar_that_broke_at_the_mill_is_no_loss_of_a_lot_that_the_season_bears() {
    let mut lot = divided_lot().await;
    let shelf = format!("/members/{}/shelf", lot.amos);
    lot.crew.opens(&shelf).await;
    for (became, count) in [("broken", "1"), ("missing", "3"), ("found", "1")] {
        let boxes = [
            ("became", became),
            ("count-0", count),
            ("why", "Looked again"),
        ];
        lot.crew.fills(&shelf, &boxes).await.taken();
    }
    let season = format!("/members/{}/season/2026", lot.amos);
    let page = lot.amos_opens.opens(&season).await;
    page.says("9 lb more was set aside for you in jars that broke on the mill’s shelf or are missing there.");
    assert!(!page.body.contains("Because the season bears"));
    let statement = format!("/members/{}/statement/2026", lot.amos);
    let page = lot.amos_opens.opens(&statement).await;
    page.says("found again: not made good any more");
    assert!(!page.body.contains("You gave up"));
}

#[tokio::test]
async fn a_jar_noted_as_broken_by_mistake_is_taken_back_with_its_syrup_and_its_glass() {
    let mut lot = divided_lot().await;
    let shelf = format!("/members/{}/shelf", lot.amos);
    let paid = "select coalesce(sum(cents), 0) from ledger where kind = 'jar_price'";
    let before = lot.site.count(paid).await;
    lot.crew
        .opens(&shelf)
        .await
        .says("Not broken: it was noted as broken by mistake");
    for (became, count, why) in [
        ("broken", "2", "The shelf gave way"),
        ("not-broken", "1", "Only one fell"),
        ("missing", "1", "Not there"),
    ] {
        let boxes = [("became", became), ("count-0", count), ("why", why)];
        lot.crew.fills(&shelf, &boxes).await.taken();
    }
    let says = "select count(*) from ledger where says like '%noted as broken by mistake: %'";
    assert_eq!(lot.site.count(says).await, 3);
    let trace = format!("/boils/{}/trace", lot.code.as_str());
    lot.crew
        .opens(&trace)
        .await
        .says("0 handed over, 1 broken, 8 at the mill.")
        .says("1 jar is not accounted for.");
    let statement = format!("/members/{}/statement/2026", lot.amos);
    lot.amos_opens
        .opens(&statement)
        .await
        .says("On the mill’s shelf: 1 quart (3 lb) broken, 1 quart (3 lb) missing.");
    for became in ["found", "not-broken"] {
        let one = [
            ("became", became),
            ("count-0", "1"),
            ("why", "All are there"),
        ];
        lot.crew.fills(&shelf, &one).await.taken();
    }
    assert_eq!(lot.site.count(paid).await, before);
    let syrup =
        "select coalesce(sum(grams), 0) from ledger where kind = 'loss' and member_id is not null";
    assert_eq!(lot.site.count(syrup).await, 0);
    lot.crew.opens(&shelf).await.says("6 on the shelf");
    sound(&lot).await;
}

/// The glass of the missing jar was taken back, that of the broken one stands credited: whoever is there again says which it was, and
/// each is charged what was credited for itself.
#[tokio::test]
async fn who_finds_a_jar_says_whether_it_was_missing_or_noted_as_broken() {
    let mut lot = divided_lot().await;
    let shelf = format!("/members/{}/shelf", lot.amos);
    let paid = "select coalesce(sum(cents), 0) from ledger where cents <> 0";
    let before = lot.site.count(paid).await;
    lot.crew.opens(&shelf).await;
    let one = |became| {
        [
            ("became", became),
            ("count-0", "1"),
            ("why", "Counted anew"),
        ]
    };
    lot.crew.fills(&shelf, &one("missing")).await.taken();
    let glass = "select max(number) from ledger where kind = 'jar_price'";
    let credit = lot.site.count(glass).await;
    lot.crew.fills(&shelf, &one("broken")).await.taken();
    let why = "The glass was no good".to_owned();
    ledger::answer(&lot.site.act(), credit, why).await.unwrap();
    let credited = lot.site.count(paid).await;
    assert!(credited < before);
    lot.crew
        .opens(&shelf)
        .await
        .says("4 on the shelf; 1 missing, 1 broken");
    let two = [
        ("became", "not-broken"),
        ("count-0", "2"),
        ("why", "Both are there"),
    ];
    lot.crew
        .fills(&shelf, &two)
        .await
        .refused(
            StatusCode::CONFLICT,
            "1 noted as missing, 1 as broken. So 1 can have been noted as broken by mistake, not 2",
        )
        .says("for the others, please choose “Found again: it was noted as missing”");
    // The missing one is found: its credit was taken back, and what was credited for the broken one is not its own.
    lot.crew.fills(&shelf, &one("found")).await.taken();
    assert_eq!(lot.site.count(paid).await, credited);
    lot.crew
        .opens(&shelf)
        .await
        .says("5 on the shelf; 1 broken")
        .says("found again. Counted anew");
    // None is missing any more, and one that broke can be there again only as noted by mistake.
    lot.crew.fills(&shelf, &one("found")).await.refused(
        StatusCode::CONFLICT,
        "0 noted as missing, 1 as broken. So 0 can be found again, not 1",
    );
    lot.crew.fills(&shelf, &one("not-broken")).await.taken();
    assert_eq!(lot.site.count(paid).await, before);
    let page = lot.crew.opens(&shelf).await;
    page.says("6 on the shelf")
        .says("not broken: noted as broken by mistake. Counted anew");
    assert!(!page.body.contains("on the shelf;"), "{}", page.body);
    // Each line about those jars, and what took one back, stands under the lot of the jars.
    let mut steward = lot.site.browser(lot.site.steward).await;
    let book = steward.opens("/seasons/2026/ledger.csv").await.body;
    let mut book = csv::Reader::from_reader(book.as_bytes());
    let heads = book.headers().unwrap().clone();
    let at = |head: &str| heads.iter().position(|h| h == head).unwrap();
    let (mut of_jars, mut taken_back) = (0, 0);
    for row in book.records().map(Result::unwrap) {
        let (of_jar, answer) = (
            !row[at("jar_move")].is_empty(),
            &row[at("kind")] == "answer",
        );
        of_jars += i32::from(of_jar);
        taken_back += i32::from(answer);
        assert!(
            !(of_jar || answer) || &row[at("lot")] == lot.code.as_str(),
            "{row:?}"
        );
    }
    assert_eq!((of_jars, taken_back), (11, 1));
    let page = steward.opens("/ledger").await.body;
    let glass = page
        .split("<tr")
        .find(|row| row.contains("1 empty jar (quart)"));
    assert!(
        glass
            .unwrap()
            .contains(&format!("<span class=\"code\">{}</span>", lot.code)),
        "{glass:?}"
    );
    let mut snapshot = lot.site.reader.snapshot().await.unwrap();
    let files = canewright::facts::shares::whole_books::files(&mut snapshot)
        .await
        .unwrap();
    let whole = files.iter().find(|file| file.name == "ledger.csv").unwrap();
    assert_eq!(
        whole.text.lines().next(),
        Some(heads.iter().collect::<Vec<_>>().join(",").as_str())
    );
    let moves = files
        .iter()
        .find(|file| file.name == "jar_moves.csv")
        .unwrap();
    assert_eq!(moves.text.matches(",found,1,").count(), 1);
    assert_eq!(moves.text.matches(",found,0,").count(), 1);
    drop(snapshot);
    sound(&lot).await;
}

#[tokio::test]
async fn where_the_rules_say_so_whose_jar_it_is_bears_it_and_the_ledger_says_that() {
    let mut lot = finished_lot_under(|rules| rules.terms.mill_mends = Some(false)).await;
    lot.divide().await;
    let shelf = format!("/members/{}/shelf", lot.amos);
    lot.crew.opens(&shelf).await;
    let broken = [
        ("became", "broken"),
        ("count-0", "1"),
        ("why", "The shelf gave way"),
    ];
    lot.crew.sends(&shelf, &broken).await.taken();
    let sql = "select count(*) from ledger where kind = 'loss' and grams = 0 and says like '%borne by whose it is'";
    assert_eq!(lot.site.count(sql).await, 1);
    // The mill's own jar: nobody is owed anything for it.
    lot.crew.opens("/members/mill/shelf").await.says("The mill");
    lot.crew.sends("/members/mill/shelf", &broken).await.taken();
    assert_eq!(
        lot.site
            .count("select count(*) from ledger where kind = 'loss'")
            .await,
        1
    );
    lot.crew.opens("/shelf").await.says("8 jars of 2 owners");
    sound(&lot).await;
}

#[tokio::test]
async fn what_a_lot_is_like_is_written_beside_it_and_a_later_look_stands_beside_the_first() {
    let mut lot = divided_lot().await;
    let path = format!("/boils/{}/looks", lot.code.as_str());
    lot.crew
        .opens(&path)
        .await
        .says("Colour, by the co-op’s own card");
    lot.crew
        .sends(&path, &[("colour", ""), ("taste", ""), ("ph", "")])
        .await
        .refused(StatusCode::CONFLICT, "at least one of these boxes");
    let wrong = [
        ("colour", "amber 3"),
        ("taste", ""),
        ("ph", "15"),
        ("brix", "x"),
    ];
    lot.crew
        .fills(&path, &wrong)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "pH goes from 0 to 14")
        .says("value=\"amber 3\"");
    let first = [
        ("colour", "amber 3"),
        ("taste", "<i>mild</i>"),
        ("ph", "4.9"),
        ("brix", "78.2"),
    ];
    let to = lot.crew.fills(&path, &first).await.taken().to_owned();
    lot.crew
        .fills(&path, &[("colour", ""), ("taste", "a little burnt")])
        .await
        .taken();
    lot.crew
        .opens(&to)
        .await
        .says("78.2 °Bx as read; juice pH 4.9; colour amber 3; taste: &#60;i&#62;mild")
        .says("taste: a little burnt");
    sound(&lot).await;
}

#[tokio::test]
async fn a_look_picks_its_colour_from_the_coops_own_card_and_what_was_written_with_one_stands() {
    let mut lot = divided_lot().await;
    let path = format!("/boils/{}/looks", lot.code.as_str());
    // Before there is a card, its colour is written in words.
    let words = [("colour", "like honey"), ("taste", "")];
    lot.crew.fills(&path, &words).await.taken();
    let card = "/mill/colours";
    lot.crew
        .opens(card)
        .await
        .refused(StatusCode::FORBIDDEN, "");
    let mut steward = lot.site.browser(lot.site.steward).await;
    for (name, shade) in [("straw", "#E2C26B"), ("amber <2>", "#b06a18")] {
        let sent = [("colour_name", name), ("shade", shade)];
        steward.fills(card, &sent).await.taken();
    }
    steward
        .opens(card)
        .await
        .says("amber &#60;2&#62;")
        .says("fill=\"#e2c26b\"");
    for (name, shade, status, says) in [
        (
            "Straw",
            "#000000",
            StatusCode::CONFLICT,
            "There is a colour",
        ),
        ("", "#000000", StatusCode::UNPROCESSABLE_ENTITY, "fill in"),
        (
            "dark",
            "brown",
            StatusCode::UNPROCESSABLE_ENTITY,
            "six digits",
        ),
        (
            "dark",
            "#12345",
            StatusCode::UNPROCESSABLE_ENTITY,
            "six digits",
        ),
    ] {
        let sent = [("colour_name", name), ("shade", shade)];
        steward.fills(card, &sent).await.refused(status, says);
    }
    lot.crew
        .opens(&path)
        .await
        .says("value=\"amber &#60;2&#62;\"")
        .says("not looked at");
    let own = [("colour", "like honey"), ("taste", "mild")];
    lot.crew
        .fills(&path, &own)
        .await
        .refused(StatusCode::CONFLICT, "choose a colour of the card");
    let picked = [("colour", "straw"), ("taste", "")];
    let to = lot.crew.fills(&path, &picked).await.taken().to_owned();
    // Out of use: what was written stands, and nobody picks it any more.
    steward.opens(card).await;
    steward.sends("/mill/colours/1/retire", &[]).await.taken();
    steward.opens(card).await.says("Take straw back into use");
    lot.crew
        .opens(&to)
        .await
        .says("colour straw")
        .says("colour like honey");
    let page = lot.crew.opens(&path).await;
    assert!(!page.body.contains("value=\"straw\""), "{}", page.body);
    sound(&lot).await;
}

#[tokio::test]
async fn a_vessels_juices_are_followed_into_their_lots_and_a_tickets_loads_too() {
    let mut lot = divided_lot().await;
    let vessel = lot
        .site
        .text("select vessel_id from juices order by id limit 1")
        .await;
    let ticket = lot
        .site
        .text("select id from tickets where ticket = 1")
        .await;
    let code = lot.code.to_string();
    let page = lot.crew.opens(&format!("/vessels/{vessel}/trace")).await;
    page.says("<svg")
        .says(&format!(">Lot {code}</text>"))
        .says(">1 Amos")
        .says("Find every jar: drill or recall");
    let page = lot.crew.opens(&format!("/tickets/{ticket}/trace")).await;
    page.says("<svg")
        .says(">Load 1</text>")
        .says(&format!(">Lot {code}</text>"));
    let mut steward = lot.site.browser(lot.site.steward).await;
    steward
        .opens("/mill")
        .await
        .says(&format!("/vessels/{vessel}/trace"));
}

#[tokio::test]
async fn glass_that_was_not_credited_is_not_charged_when_its_jar_is_found() {
    let mut lot = divided_lot().await;
    let shelf = format!("/members/{}/shelf", lot.amos);
    let paid = "select coalesce(sum(cents), 0) from ledger l join members m on m.id = l.member_id where m.name like 'Amos%'";
    let before = lot.site.count(paid).await;
    let one = |became| {
        [
            ("became", became),
            ("count-0", "1"),
            ("why", "Counted anew"),
        ]
    };
    lot.crew.fills(&shelf, &one("missing")).await.taken();
    let credit = lot
        .site
        .count("select max(number) from ledger where kind = 'jar_price'")
        .await;
    let why = "The glass was no good".to_owned();
    ledger::answer(&lot.site.act(), credit, why).await.unwrap();
    assert_eq!(lot.site.count(paid).await, before);
    lot.crew.fills(&shelf, &one("found")).await.taken();
    assert_eq!(lot.site.count(paid).await, before);
}

/// Bess has a quart and a part-jar of the same size and lot: the lines of the ledger call both empty jars "(quart)".
#[tokio::test]
async fn a_found_jar_is_charged_by_what_was_credited_for_its_own_kind() {
    let lot = divided_lot().await;
    let aside = {
        let mut snapshot = lot.site.reader.snapshot().await.unwrap();
        let aside = jars_set_aside(Some(lot.bess)).ask(&mut snapshot).await;
        aside.unwrap()
    };
    let moves = async |became, part| {
        let row = aside.iter().find(|row| row.part == part).unwrap();
        let jar = JarsOut {
            boil: row.boil_id,
            size_name: row.size_name.clone(),
            net: row.net,
            part,
            count: 1,
        };
        let new = NewMoves {
            became,
            jars: vec![jar],
            why: "Counted anew".to_owned(),
        };
        let whose = Sharer::Member(lot.bess);
        jar_moves::off_the_shelf(&lot.site.act(), whose, new)
            .await
            .unwrap();
    };
    let paid = "select coalesce(sum(cents), 0) from ledger l join members m on m.id = l.member_id where m.name like 'Bess%'";
    let before = lot.site.count(paid).await;
    moves(Became::Missing, false).await;
    let credit = lot
        .site
        .count("select max(number) from ledger where kind = 'jar_price'")
        .await;
    moves(Became::Missing, true).await;
    let credited = before - lot.site.count(paid).await;
    assert!(credited > 0);
    let why = "The glass was no good".to_owned();
    ledger::answer(&lot.site.act(), credit, why).await.unwrap();
    let after = lot.site.count(paid).await;
    // The quart is found: its credit was taken back, and what was credited for the part-jar is not its own.
    moves(Became::Found, false).await;
    assert_eq!(lot.site.count(paid).await, after);
    moves(Became::Found, true).await;
    assert_eq!(lot.site.count(paid).await, before);
    // Every line about those jars names the entry that it is for, and the whole book says it.
    let unnamed = "select count(*) from ledger where jar_move is null and (says like '%on the mill’s shelf%' or says like '%found again%')";
    assert_eq!(lot.site.count(unnamed).await, 0);
    assert_eq!(
        lot.site
            .count("select count(distinct jar_move) from ledger")
            .await,
        4
    );
    sound(&lot).await;
}
