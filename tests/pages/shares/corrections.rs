//! Putting a divided boil right: the lot worked in `shares`, with Bess's Brix read wrong, and then a
//! quart counted too many.
//!
//! Bess's juice was 14.00 °Bx, not 12.00: 40,000 g × 14 ÷ 100 = 5,600 g; together 15,800 g. Members'
//! 11,715.3 g × 10,200 ÷ 15,800 = 7,563.041 g and × 5,600 ÷ 15,800 = 4,152.258 g; cut 7,563 + 4,152 +
//! 1,301 = 13,016; the odd gram goes to the mill (.700). Amos 403 g less, Bess 403 g more; the jars
//! stay: Amos −194 − 403 = −597 g, Bess 252 + 403 = 655 g, the mill −58 g.

use crate::season::season_close::{day_over, sound};
use crate::shares::divisions::{Lot, SECRET, SIGNED, act, divided_lot};
use axum::http::StatusCode;
use canewright::actions::Stop;
use canewright::actions::boil::boils_finish::{self, FixedFill};
use canewright::actions::cane::juice::{self, JuiceFix, JuiceMeasure};
use canewright::actions::season::season_losses::{self, NewLoss};
use canewright::actions::shares::hand_overs::{self, JarsOut, NewHandOver};
use canewright::actions::shares::jar_moves::{self, NewMoves};
use canewright::calc::cane::juice::Amount;
use canewright::calc::physics::refractometer::Instrument;
use canewright::calc::shares::jar_places::Became;
use canewright::calc::shares::split::Sharer;
use canewright::store::shares::hand_overs::jars_set_aside;
use canewright::units::{BrixRead, Celsius, Grams, JuiceId, MemberName, Role, Units};

async fn opened(lot: &Lot, why: &str) {
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let page = ruth.opens(&lot.path()).await;
    page.says("Open the boil for a correction");
    let path = format!("/boils/{}/correct", lot.code.as_str());
    let to = ruth.sends(&path, &[("why", why)]).await;
    assert_eq!(to.taken(), lot.path());
}

fn right_brix() -> JuiceFix {
    let read = BrixRead::new(14.0).unwrap();
    JuiceFix {
        pressed_at: None,
        taken: JuiceMeasure {
            amount: Amount::Weight(Grams::new(40_000)),
            sediment: None,
            temp: Celsius::new(24.0).unwrap(),
            instrument: Instrument::Digital,
            readings: vec![read, read],
            sure: true,
        },
        void: false,
        after_all: false,
        why: "12 was written for 14".to_owned(),
        seen: 1,
    }
}

async fn bess_juice(lot: &Lot) -> JuiceId {
    let sql = "select j.id from juices j join tickets d on d.id = j.ticket_id \
               join members m on m.id = d.member_id where m.name = 'Bess Lane'";
    JuiceId::parse(&lot.site.text(sql).await).unwrap()
}

async fn divided_again(lot: &mut Lot) {
    let path = lot.path();
    lot.crew.opens(&path).await.says("Divide again");
    let seen = lot.crew.hidden("seen");
    lot.crew
        .sends(
            &path,
            &[("seen", &seen), ("sure_loose", "yes"), SIGNED, SECRET],
        )
        .await
        .taken();
}

const CARRY: &str = "select sum(l.grams) from ledger l join members m on m.id = l.member_id \
                     where m.name = 'Bess Lane'";

/// The jars that wait, as they are told to the steward, to Amos and on the shelf: 10 were filled, once, and Amos has 6 of them
/// until he fetches them.
async fn jars_agree(lot: &mut Lot) {
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens("/").await.says("10 jars wait");
    lot.crew.opens("/shelf").await.says("10 jars of 3 owners");
    lot.amos_opens
        .opens("/")
        .await
        .says("6 jars wait for you at the mill");
    let path = format!("/members/{}/hand-over", lot.amos);
    lot.crew.opens(&path).await;
    let jar = format!("jar-{}-1360-quart", lot.code.as_str());
    let boxes = [(jar.as_str(), "6"), ("signed_by", "Amos"), ("note", "")];
    lot.crew.sends(&path, &boxes).await.taken();
    ruth.opens("/").await.says("4 jars wait");
    lot.crew.opens("/shelf").await.says("4 jars of 2 owners");
    let home = lot.amos_opens.opens("/").await;
    assert!(!home.body.contains("wait for you at the mill"));
    // What was put right is told with what changed, why and by whom; his jars stayed.
    home.says("was put right and divided again. Your part of it: 17.6 lb before, 16.7 lb now.")
        .says("Why: Bess’s Brix was written down wrong. Divided by ");
    assert!(!home.body.contains("Your jars of it:"), "{}", home.body);
}

#[tokio::test]
async fn a_wrong_brix_is_put_right_in_the_open() {
    let mut lot = divided_lot().await;
    let juice = bess_juice(&lot).await;
    let shut = juice::correct_juice(&act(&lot.site, 0), juice, right_brix()).await;
    assert!(shut.unwrap_err().to_string().contains("opens that lot"));
    opened(&lot, "Bess’s Brix was written down wrong").await;
    // Whoever takes money meanwhile is told.
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens(&format!("/members/{}/payment", lot.bess))
        .await
        .says("is being put right and will be divided again: that may change this.");
    juice::correct_juice(&act(&lot.site, 0), juice, right_brix())
        .await
        .unwrap();
    let path = lot.path();
    lot.crew
        .opens(&path)
        .await
        .says("open for a correction, opened on Sat 19 Sep 2026 08:00 by Ruth Bell: Bess’s Brix")
        .says("7,563.041 g")
        .says("4,152.258 g")
        .says("−597 g");
    divided_again(&mut lot).await;
    jars_agree(&mut lot).await;
    let count = async |sql| lot.site.count(sql).await;
    assert_eq!(count(CARRY).await, 655);
    assert_eq!(count("select sum(grams) from ledger").await, 0);
    assert_eq!(count("select sum(cents) from ledger").await, 2765);
    let added = "select count(*) from ledger l join divisions d on d.id = l.division_id where d.version = 2";
    assert_eq!(count(added).await, 2, "one line each for Amos and Bess");
    // Both versions stay to be read.
    let page = lot.crew.opens(&path).await;
    page.says("because: Bess’s Brix was written down wrong")
        .says("4,152.258 g");
    let old = lot.crew.opens(&format!("{path}?version=1")).await;
    old.says("An earlier version, kept as it was")
        .says("7,966.404 g")
        .says("−194 g");
    assert!(!old.body.contains("Open the boil for a correction"));
    // The statement says who, when, why, and its syrup runs on to the corrected balance.
    let statement = format!("/members/{}/statement/2026", lot.bess);
    lot.crew
        .opens(&statement)
        .await
        .says("version 2, put right because: Bess’s Brix was written down wrong")
        .says("put right in version 2: share: 4,152 g of the 13,017 g in jars; 3,749 g before")
        .says("1.4 lb still to come");
    // Closed again.
    let shut = juice::correct_juice(&act(&lot.site, 0), juice, right_brix()).await;
    assert!(shut.is_err());
}

/// A spill of 150 g was shared out by 10,200 g and 4,800 g of solids: Bess −5 g. Of 15,800 g Bess brought more, as it turned out, and
/// the loss stays where it is.
#[tokio::test]
async fn a_boil_put_right_after_its_seasons_losses_were_shared_out_moves_nothing_of_them_and_says_so()
 {
    let mut lot = divided_lot().await;
    let new = NewLoss {
        what: "spilled",
        lost: Some(Grams::new(150)),
        whole: false,
        why: "a ladle tipped".to_owned(),
    };
    let stands = "Putting this boil right moves nothing of that";
    let path = lot.path();
    season_losses::note_loss(&act(&lot.site, 0), &lot.code, new)
        .await
        .unwrap();
    let mut ruth = lot.site.browser(lot.site.steward).await;
    assert!(!ruth.opens(&path).await.body.contains(stands));
    day_over(&lot).await;
    season_losses::share_loss(&act(&lot.site, 0), &lot.code)
        .await
        .unwrap();
    let losses = "select group_concat(grams) from (select grams from ledger where kind = 'loss' order by number)";
    let before = lot.site.text(losses).await;
    ruth.opens(&path).await.says(stands);
    assert!(!lot.amos_opens.opens(&path).await.body.contains(stands));
    opened(&lot, "Bess’s Brix was written down wrong").await;
    let juice = bess_juice(&lot).await;
    juice::correct_juice(&act(&lot.site, 0), juice, right_brix())
        .await
        .unwrap();
    divided_again(&mut lot).await;
    assert_eq!(lot.site.text(losses).await, before);
    assert_eq!(lot.site.count(CARRY).await, 655 - 5);
    lot.amos_opens.opens(&path).await.says(stands);
    sound(&lot).await;
}

#[tokio::test]
async fn a_quart_counted_too_many_is_never_taken_from_whoever_has_fetched_theirs() {
    let mut lot = divided_lot().await;
    let waiting = {
        let mut snapshot = lot.site.reader.snapshot().await.unwrap();
        jars_set_aside(Some(lot.amos))
            .ask(&mut snapshot)
            .await
            .unwrap()
    };
    let jars = waiting
        .iter()
        .map(|a| JarsOut {
            boil: a.boil_id,
            size_name: a.size_name.clone(),
            net: a.net,
            part: a.part,
            count: a.set_aside,
        })
        .collect();
    let home = NewHandOver {
        jars,
        given_to: MemberName::parse("Amos Trout").unwrap(),
        short: false,
        note: String::new(),
    };
    hand_overs::hand_over(&act(&lot.site, 0), Sharer::Member(lot.amos), home)
        .await
        .unwrap();
    opened(&lot, "eight quarts, not nine").await;
    let fix = |count| FixedFill {
        count,
        net: None,
        why: "counted twice".to_owned(),
        units: Units::Us,
    };
    let number = lot
        .site
        .count("select number from fills where part = 0")
        .await;
    // Fewer than left the mill is refused where it is typed, and what was typed stands.
    let correct = format!("/boils/{}/fills/{number}/correct", lot.code.as_str());
    lot.crew.opens(&correct).await;
    let five = [("count", "5"), ("why", "counted twice, <i>says Cole")];
    lot.crew
        .sends(&correct, &five)
        .await
        .refused(
            StatusCode::CONFLICT,
            "6 × quart of 48 oz of this boil left the shelf, so at least 6 were filled, not 5: Amos &#60;b&#62;Trout&#60;/b&#62; has 6.",
        )
        .says("href=\"#f-count\"")
        .says("value=\"5\"")
        .says("value=\"counted twice, &#60;i&#62;says Cole\"");
    boils_finish::fix_fill(&act(&lot.site, 0), &lot.code, number, fix(8))
        .await
        .unwrap();
    divided_again(&mut lot).await;
    // 11,657 g: the mill 1,166, Amos 7,134, Bess 3,357. At that moment the mill had 194 g in advance
    // and Bess was owed nothing back: the quart is the mill's, which is then owed all its toll.
    let jars = |who: &str| {
        format!(
            "select coalesce(sum(j.count), 0) from share_jars j join latest_divisions d on d.id = j.division_id \
             join shares s on s.division_id = j.division_id and s.place = j.place where s.member_id is {who}"
        )
    };
    let amos = format!("'{}'", lot.amos);
    assert_eq!(counted(&lot, jars("null")).await, 0);
    assert_eq!(counted(&lot, jars(&amos)).await, 6);
    let count = async |sql| lot.site.count(sql).await;
    assert_eq!(count("select sum(grams) from ledger").await, 0);
    let toll = "select sum(grams) from ledger where member_id is null";
    assert_eq!(count(toll).await, 1166);
    // Fees of a jar less: the mill pays none, so nobody's changed.
    assert_eq!(count("select sum(cents) from ledger").await, 2765);
    // Jars of the old version wait nowhere any more.
    let page = lot.crew.opens("/hand-overs").await;
    assert!(!page.body.contains("The mill"), "{}", page.body);
}

async fn counted(lot: &Lot, sql: String) -> i64 {
    let mut snapshot = lot.site.reader.snapshot().await.unwrap();
    sqlx::query_scalar(sqlx::AssertSqlSafe(sql))
        .fetch_one(&mut *snapshot)
        .await
        .unwrap()
}

#[tokio::test]
async fn only_a_steward_opens_a_boil_and_says_why() {
    let mut lot = divided_lot().await;
    let path = format!("/boils/{}/correct", lot.code.as_str());
    lot.crew.opens(&lot.path()).await;
    lot.crew
        .sends(&path, &[("why", "a wrong Brix")])
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let crew = lot.site.act_as(lot.amos, Role::Crew);
    let refused =
        canewright::actions::shares::divisions::open_correction(&crew, &lot.code, "a wrong Brix")
            .await;
    assert!(refused.is_err());
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens(&lot.path()).await;
    let silent = ruth.sends(&path, &[("why", " ")]).await;
    assert_eq!(silent.status, StatusCode::UNPROCESSABLE_ENTITY);
    let count = async |sql| lot.site.count(sql).await;
    assert_eq!(count("select count(*) from corrections").await, 0);
    // Sent twice, opened once.
    ruth.opens(&lot.path()).await;
    ruth.sends(&path, &[("why", "a wrong Brix")]).await.taken();
    ruth.sends(&path, &[("why", "a wrong Brix")]).await.taken();
    assert_eq!(count("select count(*) from corrections").await, 1);
}

/// One of Amos's six quarts broke on the shelf, and that was noted; then somebody takes it off the count of the lot as well.
#[tokio::test]
async fn a_count_below_what_broke_names_what_broke_and_who_wrote_it() {
    let lot = divided_lot().await;
    let (amos, size_name) = (Sharer::Member(lot.amos), "quart".to_owned());
    let boil = {
        let mut snapshot = lot.site.reader.snapshot().await.unwrap();
        let aside = jars_set_aside(Some(lot.amos)).ask(&mut snapshot).await;
        aside.unwrap()[0].boil_id
    };
    let jar = |count| JarsOut {
        boil,
        size_name: size_name.clone(),
        net: Grams::new(1360),
        part: false,
        count,
    };
    for (became, count) in [
        (Became::Broken, 1),
        (Became::Missing, 2),
        (Became::Found, 1),
    ] {
        let new = NewMoves {
            became,
            jars: vec![jar(count)],
            why: "The shelf gave way".to_owned(),
        };
        jar_moves::off_the_shelf(&act(&lot.site, 0), amos, new)
            .await
            .unwrap();
    }
    opened(&lot, "a quart too many").await;
    let number = lot
        .site
        .count("select number from fills where part = 0")
        .await;
    let fix = FixedFill {
        count: 1,
        net: None,
        why: "one broke".to_owned(),
        units: Units::Us,
    };
    let refused = boils_finish::fix_fill(&act(&lot.site, 0), &lot.code, number, fix).await;
    let Err(Stop::RuleRefusal(refused)) = refused else {
        panic!("{refused:?}");
    };
    assert_eq!(refused.at, Some("count"));
    let by = lot
        .site
        .text("select m.name from jar_moves v join members m on m.id = v.by_id")
        .await;
    assert_eq!(
        refused.sentence,
        format!(
            "2 × quart of 48 oz of this boil left the shelf, so at least 2 were filled, not 1: of Amos <b>Trout</b>’s, 1 broke, as {by} wrote on \
             Sat 19 Sep 2026; of Amos <b>Trout</b>’s, 1 is missing, as {by} wrote on Sat 19 Sep 2026. If a receipt was counted wrong, please put \
             that right on its page before. If one that is missing never was, note it as found on the page of that shelf before. If one was \
             noted as broken by mistake, take that back on the page of that shelf before."
        )
    );
}

/// A correction keeps the rules that the lot was divided by: nobody is led to move it to others.
#[tokio::test]
async fn a_lot_open_for_a_correction_is_not_offered_other_rules_and_its_pages_say_why() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    opened(&lot, "Bess’s Brix").await;
    let boil = format!("/boils/{}", lot.code.as_str());
    let rules = format!("{boil}/rules");
    let page = ruth.opens(&boil).await;
    assert!(
        !page.body.contains(&format!("href=\"{rules}\"")),
        "{}",
        page.body
    );
    let page = ruth.opens(&rules).await;
    page.says("open for a correction, which keeps the rules that it was divided by");
    assert!(!page.body.contains("Move the boil"), "{}", page.body);
    // Sent all the same, it is refused once.
    let to_first = [("version", "1"), ("why", "Version 2 was voted for October")];
    ruth.sends(&rules, &to_first)
        .await
        .refused(StatusCode::CONFLICT, "was divided before");
}
