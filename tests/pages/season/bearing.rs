//! What the season bears of lost boils and when, and what a lot repays: each said on its page.

use super::season_close::{ANOTHER_DAY, day_over, locked, sound};
use crate::shares::divisions::{Lot, act, divided_lot, finished_lot, finished_lot_under, walk_in};
use crate::site::{AT, Answer, Browser};
use axum::http::StatusCode;
use canewright::actions::Stop;
use canewright::actions::boil::boils::{self as boils_actions, NewBoil};
use canewright::actions::cane::tickets;
use canewright::actions::season::season_losses::{self, NewLoss};
use canewright::actions::turns::offers_together::{self, NewOffer};
use canewright::actions::turns::possible_days::{self, NewPossibleDays};
use canewright::actions::turns::press_days::NewPressDay;
use canewright::facts::shares::verify::verify;
use canewright::store::boil::boils;
use canewright::units::{ClockTyped, Grams, MinuteOfDay, Minutes, PressDate, SeasonId, Units};

/// Asserts that words do not stand on a page.
#[track_caller]
pub fn lacks(page: &Answer, words: &str) {
    assert!(!page.body.contains(words), "“{words}” is on the page");
}

pub(super) const SPILL: [(&str, &str); 3] = [
    ("what", "spilled"),
    ("lost", "0.150 kg"),
    ("why", "a ladle tipped"),
];

#[tokio::test]
async fn a_loss_is_taken_back_with_who_and_why_until_the_season_bears_it_at_its_close() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = format!("/boils/{}/loss", lot.code.as_str());
    let back = format!("{path}/back");
    ruth.fills(&path, &SPILL).await.taken();
    ruth.opens(&path).await.says("Take the loss back");
    ruth.sends(&back, &[("why_back", "")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "f-why_back");
    let why = [("why_back", "it was in the other pan")];
    ruth.sends(&back, &why).await.taken();
    ruth.opens(&path)
        .await
        .says("5.3 oz of syrup spilled: a ladle tipped")
        .says("Taken back by Ruth Bell on")
        .says("it was in the other pan")
        .says("Write the loss down");
    ruth.sends(&back, &why)
        .await
        .refused(StatusCode::CONFLICT, "nothing to take back");
    lacks(&ruth.opens("/seasons/2026/close").await, "Lost boils");
    ruth.fills(&path, &SPILL).await.taken();
    ruth.opens("/seasons/2026/close")
        .await
        .says("Lost boils")
        .says("which the season is to bear: not shared out yet");
    ruth.opens(&path)
        .await
        .says("From then on no cane is taken in this season any more");
    day_over(&lot).await;
    ruth.opens("/days/2026-09-19")
        .await
        .says("A steward can open it again.")
        .says("Open the day again");
    borne_before_the_lock(&lot, &mut ruth, &path).await;
    let shut = ruth.opens("/days/2026-09-19").await;
    shut.says("It is not opened again: the losses of its season were shared out");
    lacks(&shut, "Open the day again");
    lacks(&shut, "A steward can open it again");
    let sum = "select sum(grams) from ledger where kind = 'loss'";
    assert_eq!(lot.site.count(sum).await, 0);
    ruth.opens("/seasons/2026/lock").await;
    let lift = [("why", "a load was left out"), ("step", "lift")];
    ruth.sends("/seasons/2026/lock", &lift).await.taken();
    ruth.opens(&path)
        .await
        .says("it was shared out over all who pressed");
    ruth.sends(&back, &why)
        .await
        .refused(StatusCode::CONFLICT, "bears this loss already");
    // Nobody presses any more in a season whose losses are shared out.
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &ANOTHER_DAY)
        .await
        .refused(StatusCode::CONFLICT, "were shared out over all who pressed")
        .says("is of no other season")
        .says("Please open that season first.");
    ruth.opens("/seasons").await;
    ruth.sends("/seasons", &[("year", "2027")]).await.taken();
    ruth.opens("/days/new").await;
    let answer = ruth.sends("/days/new", &ANOTHER_DAY).await;
    let page = answer.refused(
        StatusCode::CONFLICT,
        "cane that still comes is pressed on a day of the season of 2027",
    );
    lacks(page, "Please open");
    ruth.opens("/days/2026-09-19").await;
    ruth.sends("/days/2026-09-19/close", &[("to", "open")])
        .await
        .refused(StatusCode::CONFLICT, "were shared out over all who pressed");
    let open = "select count(*) from press_days where closed_at is null";
    assert_eq!(lot.site.count(open).await, 0);
    a_possible_day_is_not_planned(&lot).await;
    assert_eq!(lot.site.count("select count(*) from press_days").await, 1);
    sound(&lot).await;
}

/// The season is not locked before it bears the loss; who gives what is looked at first, and then it stands.
async fn borne_before_the_lock(lot: &Lot, ruth: &mut Browser, path: &str) {
    let moved = "select coalesce(sum(abs(grams)), 0) from ledger where kind = 'loss'";
    let page = ruth.opens("/seasons/2026/lock").await;
    page.says(&format!("href=\"{path}\""))
        .says("the season is to bear its loss");
    locked(ruth, "")
        .await
        .refused(StatusCode::CONFLICT, "still to bear what was lost of")
        .says("the season is to bear its loss");
    assert_eq!(lot.site.count(moved).await, 0);
    // By hand as for the close: 15, 92 and 43 g are made good, 102 and 48 g borne. Bess carried 252 g, and then 247 g.
    let page = ruth.opens(path).await;
    for words in [
        "data-is=\"Made good\">0.5 oz<",
        "data-is=\"Made good\">3.2 oz<",
        "data-is=\"Made good\">1.5 oz<",
        "data-is=\"Gives up\">3.6 oz<",
        "data-is=\"Gives up\">1.7 oz<",
        "data-is=\"Before\">8.9 oz still to come<",
        "data-is=\"After\">8.7 oz still to come<",
    ] {
        page.says(words);
    }
    assert_eq!(lot.site.count(moved).await, 0);
    ruth.sends(&format!("{path}/bear"), &[]).await.taken();
    assert_eq!(lot.site.count(moved).await, 15 + 92 + 43 + 102 + 48);
    let bess = "select sum(l.grams) from ledger l join members m on m.id = l.member_id where m.name = 'Bess Lane'";
    assert_eq!(lot.site.count(bess).await, 247);
    locked(ruth, "").await.taken();
}

/// The steward offers turns on a day that was only possible: that would plan it.
async fn a_possible_day_is_not_planned(lot: &Lot) {
    let date = PressDate::parse("2026-10-03").unwrap();
    let season = lot.site.text("select id from seasons").await;
    let season = SeasonId::parse(&season).unwrap();
    let first = NewPressDay {
        date,
        opens: MinuteOfDay::new(420).unwrap(),
        closes: MinuteOfDay::new(1020).unwrap(),
        mill_per_h: Grams::new(230_000),
        changeover: Minutes::new(10),
        note: String::new(),
    };
    let days = NewPossibleDays {
        first,
        until: date,
        weekdays: [true; 7],
    };
    possible_days::add(&lot.site.act(), season, days)
        .await
        .unwrap();
    let turn = NewOffer {
        date,
        member: lot.amos,
        start: ClockTyped::parse("9:00").unwrap(),
        cane: Grams::new(200_000),
        plantings: vec![],
        planted: "cane".to_owned(),
    };
    let refused = offers_together::offer(&lot.site.act(), season, vec![turn]).await;
    assert!(
        matches!(&refused, Err(Stop::RuleRefusal(refusal)) if refusal.code == "losses-borne"),
        "{refused:?}"
    );
}

#[tokio::test]
async fn a_boil_that_was_not_lost_after_all_is_open_again() {
    let lot = finished_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    lot.site
        .sql(
            "insert into fills select boil_id, number, version + 1, size_name, net_g, 0, part, price_cents, \
             'burnt too', by_id, at, filled_at from fills",
        )
        .await;
    let path = format!("/boils/{}/loss", lot.code.as_str());
    let all = [("what", "scorched"), ("whole", "yes"), ("why", "burnt")];
    ruth.fills(&path, &all).await.taken();
    let closed = "select count(*) from closed_boils";
    assert_eq!(lot.site.count(closed).await, 1);
    ruth.opens("/boils").await.says("tag bad\">lost</span>");
    ruth.opens(&path).await;
    let why = [("why_back", "the other pan was meant")];
    ruth.sends(&format!("{path}/back"), &why).await.taken();
    assert_eq!(lot.site.count(closed).await, 0);
    lacks(&ruth.opens("/boils").await, "tag bad\">lost</span>");
    // Lost after all, two hours later: it is closed since then, and not since what was taken back.
    let act = act(&lot.site, 7_200);
    let new = NewLoss {
        what: "scorched",
        lost: None,
        whole: true,
        why: "it was burnt after all".to_owned(),
    };
    season_losses::note_loss(&act, &lot.code, new)
        .await
        .unwrap();
    let at = "select at from closed_boils";
    assert_eq!(lot.site.count(at).await, AT.get() + 7_200);
    let mut snapshot = lot.site.reader.snapshot().await.unwrap();
    let boil = boils::find(&lot.code)
        .ask(&mut snapshot)
        .await
        .unwrap()
        .unwrap();
    assert_eq!(boil.divided_at, Some(AT.plus(7_200)));
    drop(snapshot);
    sound(&lot).await;
}

#[tokio::test]
async fn what_a_lot_repays_is_voted_and_said_and_a_version_before_the_rule_claims_no_vote() {
    let mut lot = finished_lot_under(|rules| rules.lots_repay_pct = Some(20)).await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    lot.crew
        .opens(&lot.path())
        .await
        .says("at most 20 of 100 of this lot")
        .says("and the mill beyond its own share, in whole jars. What is over stays carried.")
        .says("pay only for the empty jars. Repaid here: 0 g");
    // A member with juice in it reads the same of a lot that is divided.
    let mut divided = divided_lot().await;
    let path = divided.path();
    let page = divided.amos_opens.opens(&path).await;
    page.says("pay only for the empty jars. Repaid here: 0 g");
    let page = ruth.opens("/seasons/2026").await;
    page.says("at most 20 of 100")
        .says("is made good by the mill");
    lacks(&page, "not voted");
    ruth.opens("/seasons/2026/rules")
        .await
        .says("name=\"lots_repay\"");
    lot.site
        .sql(
            "insert into rules_not_voted select id, 'mill_mends' from season_rules; drop trigger season_rules_stand; \
             update season_rules set lots_repay_pct = null",
        )
        .await;
    let page = ruth.opens("/seasons/2026").await;
    page.says("not voted: there was no such rule then");
    lacks(&page, "is made good by the mill");
    let refused = [("lots_repay", "101")];
    ruth.opens("/seasons/2026/rules").await;
    ruth.sends("/seasons/2026/rules", &refused)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "from 0 to 100 percent");
}

#[tokio::test]
async fn what_the_mill_is_owed_from_before_is_repaid_no_more_than_was_voted_and_the_page_says_so() {
    let mut lot = finished_lot_under(|rules| rules.lots_repay_pct = Some(0)).await;
    // The mill paid for what was lost, so that syrup is owed to it now.
    lot.site
        .sql(
            "insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
             select 1, s.id, m.id, 'loss', -11725, 'borne', m.id, 1 from seasons s, members m where m.name = 'Ruth Bell';
             insert into ledger (number, season_id, member_id, kind, grams, says, by_id, at)
             select 2, s.id, null, 'loss', 11725, 'borne', m.id, 1 from seasons s, members m where m.name = 'Ruth Bell'",
        )
        .await;
    let page = lot.crew.opens(&lot.path()).await;
    page.says("no jar of this lot repays members without juice in it, and the mill no more than its own share")
        .says("The mill is owed 11,725 g from earlier lots: beyond its own share its jars hold 58 g of that.");
    lot.divide().await;
    let jars = "select jarred_g from shares where member_id is null";
    assert_eq!(lot.site.count(jars).await, 1360);
    let carry = "select carry_g from shares where member_id is null";
    assert_eq!(lot.site.count(carry).await, 11_725 + 1_302 - 1_360);
    let ways = "select way from divisions";
    assert_eq!(lot.site.count(ways).await, 3);
    let mut snapshot = lot.site.reader.snapshot().await.unwrap();
    let found = verify(&mut snapshot).await.unwrap();
    let own = found.differs.iter().filter(|d| !d.contains("by hand"));
    assert_eq!(own.collect::<Vec<_>>(), Vec::<&String>::new());
    drop(snapshot);
    // A member reads the rule, and not what the mill is owed.
    let path = lot.path();
    let page = lot.amos_opens.opens(&path).await;
    page.says("and the mill no more than its own share");
    lacks(&page, "The mill is owed");
}

#[tokio::test]
async fn the_next_season_votes_what_the_rules_before_it_did_without_a_vote() {
    let lot = finished_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    lot.site
        .sql(
            "insert into rules_not_voted select id, 'mill_mends' from season_rules; drop trigger season_rules_stand; \
             update season_rules set lots_repay_pct = null",
        )
        .await;
    ruth.opens("/seasons").await;
    ruth.sends("/seasons", &[("year", "2027")]).await.taken();
    let page = ruth.opens("/seasons/2027").await;
    page.says("is made good by the mill")
        .says("all that is owed to them");
    lacks(&page, "not voted: there was no such rule then");
    let voted = "select r.lots_repay_pct from season_rules r join seasons s on s.id = r.season_id where s.year = 2027";
    assert_eq!(lot.site.count(voted).await, 100);
}

#[tokio::test]
async fn syrup_that_is_owed_is_settled_in_jars_of_a_lot_on_a_receipt_and_owed_again_when_they_come_back()
 {
    let mut lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let season = lot.site.text("select id from seasons").await;
    let (money, jars) = (
        format!("/members/{}/settle", lot.bess),
        format!("/members/{}/settle-jars", lot.bess),
    );
    let quart = format!("jar-{}-1360-quart", lot.code.as_str());
    let out = |count| {
        [
            (quart.as_str(), count),
            ("signed_by", "Bess Lane"),
            ("season", season.as_str()),
        ]
    };
    ruth.opens(&money).await.says(&jars);
    ruth.opens(&format!("/members/{}/settle-jars", lot.site.steward))
        .await
        .says("there is nothing to settle in jars");
    let nobody = format!("/members/{}/settle-jars", lot.site.steward);
    ruth.sends(&nobody, &out("1"))
        .await
        .refused(StatusCode::CONFLICT, "No syrup is owed to Ruth Bell");
    ruth.opens(&jars).await.says("8.9 oz still to come");
    // 252 g are owed: no quart of 1,360 g goes out for them.
    ruth.sends(&jars, &out("1")).await.refused(
        StatusCode::CONFLICT,
        "8.9 oz are owed to Bess Lane, and these jars hold 3 lb",
    );
    // A quart of hers breaks on the shelf and the mill makes it good: 1,612 g are owed.
    let shelf = format!("/members/{}/shelf", lot.bess);
    lot.crew.opens(&shelf).await;
    let broken = [("became", "broken"), ("count-0", "1"), ("why", "it fell")];
    lot.crew.sends(&shelf, &broken).await.taken();
    ruth.opens(&jars).await;
    let to = ruth.sends(&jars, &out("1")).await.taken().to_owned();
    let to = to.split('?').next().unwrap().to_owned();
    ruth.opens(&to)
        .await
        .says("<bdi>Bess Lane</bdi>, to settle what was owed")
        .says("quart of 48 oz");
    ruth.opens("/hand-overs")
        .await
        .says("<bdi>Bess Lane</bdi>, to settle what was owed");
    let bess = "select sum(l.grams) from ledger l join members m on m.id = l.member_id where m.name = 'Bess Lane'";
    assert_eq!(lot.site.count(bess).await, 252);
    let both = "select sum(grams) from ledger where kind = 'settled'";
    assert_eq!(lot.site.count(both).await, 0);
    let mills = "select sum(count) from jars_gone where member_id is null";
    assert_eq!(lot.site.count(mills).await, 1);
    let mut she = lot.site.browser(lot.bess).await;
    she.opens(&to).await.says("to settle what was owed");
    she.opens(&jars)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let mut amos = lot.site.browser(lot.amos).await;
    assert_eq!(amos.opens(&to).await.status, StatusCode::NOT_FOUND);
    sound(&lot).await;
    let back = format!("{to}/back");
    lot.crew.opens(&back).await;
    let came = [
        ("became", "returned"),
        ("count-0", "1"),
        ("why", "too dark"),
    ];
    // The season is locked by now, and no other is open: a season must be, as the syrup is owed again.
    day_over(&lot).await;
    locked(&mut ruth, "").await.taken();
    lot.crew.opens(&back).await;
    lot.crew
        .sends(&back, &came)
        .await
        .refused(StatusCode::CONFLICT, "Every season is closed and locked");
    assert_eq!(lot.site.count(bess).await, 252);
    ruth.opens("/seasons").await;
    ruth.sends("/seasons", &[("year", "2027")]).await.taken();
    lot.crew.opens(&back).await;
    lot.crew.sends(&back, &came).await.taken();
    assert_eq!(lot.site.count(bess).await, 252 + 1360);
    let in_2027 =
        "select count(*) from ledger l join seasons s on s.id = l.season_id where s.year = 2027";
    assert_eq!(lot.site.count(in_2027).await, 2);
    assert_eq!(lot.site.count(both).await, 0);
    assert_eq!(lot.site.count(mills).await, 0);
    sound(&lot).await;
}

/// A day that is past and open takes cane that is typed in later: its loss is not shared out before it is closed.
#[tokio::test]
async fn a_loss_is_not_shared_out_while_a_past_day_is_open_and_no_cane_comes_after_it() {
    let lot = divided_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let path = format!("/boils/{}/loss", lot.code.as_str());
    ruth.fills(&path, &SPILL).await.taken();
    let tomorrow = || act(&lot.site, 86_400);
    let refused = season_losses::share_loss(&tomorrow(), &lot.code).await;
    assert!(
        matches!(&refused, Err(Stop::RuleRefusal(refusal)) if refusal.code == "days-to-come"
            && refusal.sentence.contains("Sat 19 Sep 2026 is not closed yet")),
        "{refused:?}"
    );
    ruth.opens("/seasons/2026/lock")
        .await
        .says("Sat 19 Sep 2026: a press day that is not closed");
    day_over(&lot).await;
    season_losses::share_loss(&tomorrow(), &lot.code)
        .await
        .unwrap();
    ruth.opens(&path)
        .await
        .says("data-is=\"Made good\">3.2 oz<")
        .says("data-is=\"Gave up\">3.6 oz<");
    // A file of an older program, in which it could be shared out while a day was open.
    lot.site.sql("update press_days set closed_at = null").await;
    let (day, ticket) = walk_in(&lot.site, lot.amos, (300_000, 18_000)).await;
    let none = NewBoil {
        day,
        solo: None,
        pan: None,
        charge_known: false,
        water_boil: None,
        juices: vec![],
        lit_at: None,
        tested: false,
        note: String::new(),
        units: Units::Us,
    };
    let told = tickets::open_ticket(&act(&lot.site, 0), day, ticket).await;
    let lit = boils_actions::light(&act(&lot.site, 0), none).await;
    for refused in [told.map(drop), lit.map(drop)] {
        assert!(
            matches!(&refused, Err(Stop::RuleRefusal(refusal)) if refusal.code == "losses-borne"),
            "{refused:?}"
        );
    }
}
