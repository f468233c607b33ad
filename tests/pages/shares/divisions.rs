//! Dividing a boil. The lot of these tests is worked by hand here, and its figures are looked for on
//! the page.
//!
//! Amos: 60,000 g of juice × 17.00 ÷ 100 = 10,200 g of solids. Bess: 40,000 g × 12.00 ÷ 100 = 4,800 g.
//! Together 15,000 g. In jars: 9 × 1,360 g + 777 g = 13,017 g. Toll 10 % = 1,301.7 g; for the members
//! 11,715.3 g, of which Amos has 10,200 ÷ 15,000 = 7,966.404 g and Bess 3,748.896 g. Cut, these are
//! 1,301 + 7,966 + 3,748 = 13,015 g; the two odd grams go to Bess (.896) and the mill (.700). Quarts, to whoever is
//! owed most: Amos 7,966 → 6,606 → 5,246 → 3,886 → 2,526; Bess 3,749 → 2,389; Amos → 1,166; Bess →
//! 1,029; the mill 1,302 → −58; Amos → −194. The part-jar: Bess 1,029 → 252.
//!
//! Fees. Amos: 120 kg × 2.25 ¢ = 270 ¢, 6 jars × 25 ¢ = 150 ¢, up to the least charge of 1,000 ¢: 580 ¢;
//! glass 6 × 85 ¢ = 510 ¢; together $15.10. Bess: 90 kg × 2.25 ¢ = 202.5 ¢ → 203 ¢, 3 × 25 ¢ = 75 ¢,
//! 722 ¢, glass 170 ¢ + 85 ¢; together $12.55.

use crate::site::{AT, Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::boil::boils::{self, NewBoil};
use canewright::actions::boil::boils_finish::{self, NewFills, NewFinish};
use canewright::actions::cane::juice::{self, JuiceMeasure, NewJuice};
use canewright::actions::cane::tickets::{self, CaneOf, NewLoad, NewTicket};
use canewright::actions::people::stations::set_pin;
use canewright::actions::season::seasons;
use canewright::actions::shares::divisions;
use canewright::actions::shares::divisions::Signed;
use canewright::actions::{Act, Hashing, Stop};
use canewright::calc::cane::juice::Amount;
use canewright::calc::cane::tickets::Condition;
use canewright::calc::physics::refractometer::Instrument;
use canewright::store::season::seasons::JarSize;
use canewright::units::{
    BrixRead, Celsius, Cents, Grams, JuiceId, LotCode, MemberId, MilliCents, Passphrase, PressDate,
    PressDayId, Role, ScaleId, SeasonId, Units, VesselId,
};

/// The second person on the form: the steward, by number.
pub const SIGNED: (&str, &str) = ("signed_by", "1");
/// What the steward signs with.
pub const SECRET: (&str, &str) = ("signature", "four mules in a row");

fn signed(by: MemberId) -> Signed<'static> {
    Signed {
        seen: "",
        ticked: &[],
        by: Some(by),
    }
}

pub struct Lot {
    pub site: TestSite,
    pub code: LotCode,
    pub amos: MemberId,
    pub bess: MemberId,
    pub amos_opens: Browser,
    pub crew: Browser,
}

pub fn act(site: &TestSite, seconds: i64) -> Act {
    let mut act = site.act();
    act.at = AT.plus(seconds);
    act
}

/// A member's cane weighed in and its juice measured, two hours ago.
pub async fn pressed(
    site: &TestSite,
    member: MemberId,
    cane: i64,
    juice: i64,
    brix: f64,
) -> JuiceId {
    weighed(site, member, (cane + 18_000, 18_000), juice, brix).await
}

/// A ticket of a member that was not told before, from what the scale showed, gross and tare, in grams; and the day it is for.
pub async fn walk_in(
    site: &TestSite,
    member: MemberId,
    (gross, tare): (i64, i64),
) -> (PressDayId, NewTicket) {
    let scale = ScaleId::parse(&site.text("select id from scales").await).unwrap();
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let ticket = NewTicket {
        number: None,
        whose: CaneOf::WalkIn(member),
        condition: Condition {
            stripped: Some(true),
            headed: Some(true),
            clean: Some(true),
            frosted: Some(false),
        },
        cut_at: None,
        note: String::new(),
        load: NewLoad {
            another: true,
            after_all: false,
            scale,
            gross: Grams::new(gross),
            tare: Grams::new(tare),
            trailer: String::new(),
            sure: true,
            weighed_at: None,
        },
    };
    (day, ticket)
}

/// As [`pressed`], from what the scale showed, gross and tare, in grams.
pub async fn weighed(
    site: &TestSite,
    member: MemberId,
    scale: (i64, i64),
    juice: i64,
    brix: f64,
) -> JuiceId {
    let vessel = site
        .text("select id from vessels where id not in (select vessel_id from juices) order by name")
        .await;
    let (day, ticket) = walk_in(site, member, scale).await;
    let ticket = tickets::open_ticket(&act(site, -7200), day, ticket)
        .await
        .unwrap();
    let read = BrixRead::new(brix).unwrap();
    let new = NewJuice {
        vessel: VesselId::parse(&vessel).unwrap(),
        taken: JuiceMeasure {
            amount: Amount::Weight(Grams::new(juice)),
            sediment: None,
            temp: Celsius::new(24.0).unwrap(),
            instrument: Instrument::Digital,
            readings: vec![read, read],
            sure: true,
        },
        pressed_at: None,
        vessel_empty: false,
        after_all: false,
    };
    juice::record_juice(&act(site, -7000), ticket, new)
        .await
        .unwrap()
}

/// The lot worked above, finished and in jars, not divided.
pub async fn finished_lot() -> Lot {
    finished_lot_under(|_| ()).await
}

/// The same under rules that are otherwise.
pub async fn finished_lot_under(change: impl FnOnce(&mut seasons::NewRules)) -> Lot {
    let site = TestSite::with_season().await;
    let season = SeasonId::parse(&site.text("select id from seasons").await).unwrap();
    let mut rules = seasons::NewRules::defaults();
    rules.toll = canewright::units::BasisPoints::parse("10").unwrap();
    rules.rates_in = Units::Metric;
    rules.cane_rate = MilliCents::new(2250);
    rules.jar_fee = Cents::new(25);
    rules.least = Cents::new(1000);
    rules.hour = Cents::new(1500);
    rules.hours_most = 10;
    rules.syrup_rate = MilliCents::new(880_000);
    rules.loss = canewright::calc::shares::losses::LossRule::Pool;
    rules.patronage = true;
    let jar = |name: &str, net, price| JarSize {
        name: name.to_owned(),
        net: Grams::new(net),
        price: Cents::new(price),
    };
    rules.sizes = vec![jar("quart", 1360, 85), jar("pint", 680, 60)];
    change(&mut rules);
    seasons::change_rules(&act(&site, -9000), season, 1, rules)
        .await
        .unwrap();
    let from = PressDate::parse("2026-09-19").unwrap();
    seasons::confirm(&act(&site, -8900), season, 2, from)
        .await
        .unwrap();
    let (amos, amos_opens) = site.person("Amos <b>Trout</b>", Role::Member).await;
    let (bess, _) = site.person("Bess Lane", Role::Member).await;
    let (_, crew) = site.person("Cora Pell", Role::Crew).await;
    site.sql("update members set named = 0 where name = 'Bess Lane'")
        .await;
    let first = pressed(&site, amos, 120_000, 60_000, 17.0).await;
    let second = pressed(&site, bess, 90_000, 40_000, 12.0).await;
    let day = PressDayId::parse(&site.text("select id from press_days").await).unwrap();
    let boil = NewBoil {
        day,
        solo: None,
        pan: None,
        charge_known: false,
        water_boil: None,
        juices: vec![(first, None), (second, None)],
        lit_at: None,
        tested: false,
        note: String::new(),
        units: Units::Us,
    };
    boils::light(&act(&site, -6900), boil).await.unwrap();
    let lot = LotCode::parse(&site.text("select lot_code from boils").await).unwrap();
    let finish = NewFinish {
        syrup: Grams::new(13_200),
        brix: BrixRead::new(78.0).unwrap(),
        instrument: Instrument::Digital,
        sample: Celsius::new(20.0).unwrap(),
        finish_temp: None,
        skimmed: Grams::ZERO,
        spilt: Grams::ZERO,
        fuel: None,
        fuel_sure: false,
        finished_at: AT.plus(-600),
        thin: false,
        low: true,
        why: String::new(),
        units: Units::Us,
    };
    boils_finish::finish(&act(&site, -500), &lot, finish)
        .await
        .unwrap();
    let fills = NewFills {
        counts: vec![(Grams::new(1360), 9)],
        part: Some(Grams::new(777)),
        filled_at: None,
        units: Units::Us,
    };
    boils_finish::fill(&act(&site, -300), &lot, fills)
        .await
        .unwrap();
    Lot {
        site,
        code: lot,
        amos,
        bess,
        amos_opens,
        crew,
    }
}

/// The same lot, divided by Cora of the crew.
pub async fn divided_lot() -> Lot {
    let mut lot = finished_lot().await;
    lot.divide().await;
    lot
}

impl Lot {
    /// Cora of the crew divides it.
    pub async fn divide(&mut self) {
        let path = self.path();
        self.crew.opens(&path).await;
        let seen = self.crew.hidden("seen");
        self.crew
            .sends(&path, &[("seen", &seen), SIGNED, SECRET])
            .await
            .taken();
    }

    pub fn path(&self) -> String {
        format!("/boils/{}/divide", self.code.as_str())
    }
}

#[tokio::test]
async fn the_proposal_shows_every_sum_before_anything_is_frozen() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    let page = lot.crew.opens(&path).await;
    for words in [
        "60,000 g × 17.00 ÷ 100 = 10,200 g of solids, to the nearest gram",
        "13,017 g × 10 % = 1,301.7 g",
        "13,017 g − 1,301.7 g = 11,715.3 g",
        "7,966.404 g",
        "Cut, they come to 13,015 g; 2 g of the 13,017 g are left",
        "The mill (toll) (0.700 g), Bess Lane (0.896 g)",
        "9 × quart of 1,360 g, 1 × part-jar of 777 g",
        "10,296 g of 15,000 g of solids came out of the pan: 68.6 of 100",
        "−194 g",
        "120.000 kg of cane × 2.25 ¢ per kg = 270 ¢, to the nearest cent",
        "$27.65",
        "Amos &#60;b&#62;Trout",
        "Divide the boil and freeze it",
    ] {
        page.says(words);
    }
    assert_eq!(lot.site.count("select count(*) from divisions").await, 0);
    assert_eq!(lot.site.count("select count(*) from ledger").await, 0);
}

#[tokio::test]
async fn dividing_freezes_shares_jars_and_ledger_once() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    lot.crew.opens(&path).await;
    let seen = lot.crew.hidden("seen");
    let first = lot
        .crew
        .sends(&path, &[("seen", &seen), SIGNED, SECRET])
        .await;
    let again = lot
        .crew
        .sends(&path, &[("seen", &seen), SIGNED, SECRET])
        .await;
    assert_eq!(first.taken(), path);
    assert_eq!(again.taken(), path);
    let count = async |sql| lot.site.count(sql).await;
    assert_eq!(count("select count(*) from divisions").await, 1);
    assert_eq!(count("select sum(entitled_g) from shares").await, 13_017);
    assert_eq!(
        count("select sum(net_g * count) from share_jars").await,
        13_017
    );
    assert_eq!(count("select sum(grams) from ledger").await, 0);
    assert_eq!(count("select sum(cents) from ledger").await, 2765);
    assert_eq!(
        count("select count(*) - max(number) from ledger").await,
        0,
        "numbers run on without gaps"
    );
    let carry = "select carry_g from shares s join members m on m.id = s.member_id where m.name = 'Bess Lane'";
    assert_eq!(count(carry).await, 252);
    // The page stands as it was proposed, with who and when.
    let page = lot.crew.opens(&path).await;
    page.says("Divided on Sat 19 Sep 2026 08:00 by Cora Pell, looked over and signed by Ruth Bell")
        .says("7,966.404 g")
        .says("The mill (toll) (0.700 g), Bess Lane (0.896 g)")
        .says("−194 g")
        .says("$27.65");
    assert!(!page.body.contains("Divide the boil and freeze it"));
}

#[tokio::test]
async fn two_people_sign_a_division() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    lot.crew.opens(&path).await;
    let seen = lot.crew.hidden("seen");
    let unsigned = lot.crew.sends(&path, &[("seen", &seen)]).await;
    assert_eq!(unsigned.status, StatusCode::UNPROCESSABLE_ENTITY);
    let x = [("seen", seen.as_str()), SIGNED, ("signature", "x")];
    lot.crew.sends(&path, &x).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "neither the passphrase nor the PIN of Ruth Bell",
    );
    let nobody = [("seen", seen.as_str()), ("signed_by", "77"), SECRET];
    lot.crew.sends(&path, &nobody).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "choose who looked the figures over",
    );
    // The steward divides and signs herself.
    let mut ruth = lot.site.browser(lot.site.steward).await;
    ruth.opens(&path).await;
    let own = [("seen", seen.as_str()), SIGNED, SECRET];
    ruth.sends(&path, &own)
        .await
        .refused(StatusCode::CONFLICT, "You divide this boil yourself");
    assert_eq!(lot.site.count("select count(*) from divisions").await, 0);
    let page = lot.crew.sends(&path, &own).await;
    page.taken();
    let by_ruth = "select count(*) from divisions d join members m on m.id = d.signed_by_id \
        where d.signed_by = 'Ruth Bell' and m.number = 1";
    assert_eq!(lot.site.count(by_ruth).await, 1);
    let forms = "select count(*) from form_keys where boxes like '%mules%'";
    assert_eq!(lot.site.count(forms).await, 0);
}

#[tokio::test]
async fn where_nobody_else_can_sign_the_page_says_what_makes_it_possible() {
    let lot = finished_lot().await;
    let mut ruth = lot.site.browser(lot.site.steward).await;
    let page = ruth.opens(&lot.path()).await;
    page.says("nobody but you has an account or a PIN yet")
        .says("<a href=\"/members\">Invite somebody</a>")
        .says("<a href=\"/seasons\">make a version of the season’s rules</a>");
    assert!(!page.body.contains("Please choose"), "{}", page.body);
    assert!(
        !page.body.contains("<button class=\"do\">Divide"),
        "{}",
        page.body
    );
    let sql = "delete from sessions; delete from accounts";
    lot.site.sql(sql).await;
    let (_, mut dan) = lot.site.person("Dan Moss", Role::Crew).await;
    dan.opens(&lot.path())
        .await
        .says("Please ask a steward to invite somebody");
}

#[tokio::test]
async fn a_pin_of_the_station_signs_and_a_sixth_wrong_guess_waits() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    let (dan, _) = lot.site.person("Dan Moss", Role::Crew).await;
    let pin = Passphrase::pin("2580").unwrap();
    set_pin(&lot.site.act(), &Hashing::new(), dan, pin)
        .await
        .unwrap();
    let number = lot
        .site
        .text("select cast(number as text) from members where name = 'Dan Moss'");
    let number = number.await;
    lot.crew.opens(&path).await.says("Dan Moss");
    let seen = lot.crew.hidden("seen");
    let sent = |pin| {
        [
            ("seen", seen.as_str()),
            ("signed_by", number.as_str()),
            ("signature", pin),
        ]
    };
    for _ in 0..4 {
        lot.crew
            .sends(&path, &sent("1111"))
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, "nor the PIN of Dan Moss");
    }
    lot.crew.sends(&path, &sent("2580")).await.taken();
    lot.crew
        .opens(&path)
        .await
        .says("looked over and signed by Dan Moss");
    for _ in 0..5 {
        lot.crew.sends(&path, &sent("1111")).await;
    }
    let sixth = lot.crew.sends(&path, &sent("1111")).await;
    assert_eq!(sixth.status, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn where_the_members_voted_to_do_without_no_signature_is_asked_or_printed() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    lot.site
        .sql("drop trigger season_rules_stand; update season_rules set second_signature = 0")
        .await;
    let page = lot.crew.opens(&path).await;
    page.says("do without a second signature");
    assert!(!page.body.contains("signed_by"));
    let seen = lot.crew.hidden("seen");
    lot.crew.sends(&path, &[("seen", &seen)]).await.taken();
    let page = lot.crew.opens(&path).await;
    page.says("by Cora Pell. These figures");
    assert!(!page.body.contains("signed by"));
}

#[tokio::test]
async fn a_second_division_is_refused_with_when_and_by_whom() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    let mut other = lot.site.browser(lot.site.steward).await;
    other.opens(&path).await;
    let seen = other.hidden("seen");
    lot.crew.opens(&path).await;
    lot.crew
        .sends(&path, &[("seen", &seen), SIGNED, SECRET])
        .await
        .taken();
    other
        .sends(&path, &[("seen", &seen), SIGNED, SECRET])
        .await
        .refused(
            StatusCode::CONFLICT,
            "was divided on Sat 19 Sep 2026 08:00 by Cora Pell",
        );
    assert_eq!(lot.site.count("select count(*) from divisions").await, 1);
}

#[tokio::test]
async fn figures_that_changed_meanwhile_are_shown_before_they_are_frozen() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    lot.crew.opens(&path).await;
    let seen = lot.crew.hidden("seen");
    let fills = NewFills {
        counts: Vec::new(),
        part: Some(Grams::new(100)),
        filled_at: None,
        units: Units::Us,
    };
    boils_finish::fill(&lot.site.act(), &lot.code, fills)
        .await
        .unwrap();
    lot.crew
        .sends(&path, &[("seen", &seen), SIGNED, SECRET])
        .await
        .refused(StatusCode::CONFLICT, "changed while you had this page open")
        .says("13,117 g");
    assert_eq!(lot.site.count("select count(*) from divisions").await, 0);
    let seen = lot.crew.hidden("seen");
    lot.crew
        .sends(&path, &[("seen", &seen), SIGNED, SECRET])
        .await
        .taken();
}

#[tokio::test]
async fn thin_syrup_waits_for_its_tick() {
    let mut lot = finished_lot().await;
    let finish = NewFinish {
        syrup: Grams::new(13_200),
        brix: BrixRead::new(73.0).unwrap(),
        instrument: Instrument::Digital,
        sample: Celsius::new(20.0).unwrap(),
        finish_temp: None,
        skimmed: Grams::ZERO,
        spilt: Grams::ZERO,
        fuel: None,
        fuel_sure: false,
        finished_at: AT.plus(-600),
        thin: true,
        low: true,
        why: "read again".to_owned(),
        units: Units::Us,
    };
    boils_finish::finish(&lot.site.act(), &lot.code, finish)
        .await
        .unwrap();
    let path = lot.path();
    lot.crew.opens(&path).await.says("21 CFR 168.160");
    let seen = lot.crew.hidden("seen");
    lot.crew
        .sends(&path, &[("seen", &seen), SIGNED, SECRET])
        .await
        .refused(StatusCode::CONFLICT, "look at this once more");
    assert_eq!(lot.site.count("select count(*) from divisions").await, 0);
    let ticked = [
        ("seen", seen.as_str()),
        ("sure_thin", "yes"),
        SIGNED,
        SECRET,
    ];
    lot.crew.sends(&path, &ticked).await.taken();
}

#[tokio::test]
async fn what_cannot_be_divided_yet_says_why() {
    let mut lot = finished_lot().await;
    lot.site
        .sql(
            "insert into fills select boil_id, number, version + 1, size_name, net_g, 0, part, price_cents, \
             'broken', by_id, at, filled_at from fills",
        )
        .await;
    let path = lot.path();
    lot.crew
        .opens(&path)
        .await
        .says("cannot be divided yet. Nothing is in jars yet.");
    let refused = divisions::divide(&lot.site.act(), &lot.code, signed(lot.amos)).await;
    assert!(matches!(refused, Err(Stop::RuleRefusal(refusal)) if refusal.code == "nothing-jarred"));
}

#[tokio::test]
async fn a_member_sees_the_lot_their_juice_is_in_without_names_that_are_not_to_be_shown() {
    let mut lot = divided_lot().await;
    let path = lot.path();
    let page = lot.amos_opens.opens(&path).await;
    page.says("another member (1)")
        .says("3,749 g")
        .says("6 empty jars (quart) × $0.85");
    assert!(!page.body.contains("Bess"), "{}", page.body);
    // Others' fees are theirs.
    assert!(!page.body.contains("$7.22"), "{}", page.body);
    let (_, mut other) = lot.site.person("Dan Moss", Role::Member).await;
    other
        .opens(&path)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn a_member_may_not_divide() {
    let mut lot = finished_lot().await;
    let path = lot.path();
    lot.amos_opens.opens("/").await;
    lot.amos_opens
        .sends(&path, &[("seen", "x"), SIGNED, SECRET])
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    let act = lot.site.act_as(lot.amos, Role::Member);
    let refused = divisions::divide(&act, &lot.code, signed(lot.amos)).await;
    assert!(matches!(refused, Err(Stop::Missing)));
    assert_eq!(lot.site.count("select count(*) from divisions").await, 0);
}

#[tokio::test]
async fn what_is_divided_handed_over_and_written_down_refuses_to_be_changed() {
    let lot = divided_lot().await;
    for sql in [
        "update divisions set toll_bp = 0",
        "update shares set carry_g = carry_g",
        "delete from share_jars",
        "update ledger set cents = 0",
        "delete from ledger",
    ] {
        let mut tx = lot.site.writer.begin().await.unwrap();
        let refused = sqlx::query(sql).execute(&mut *tx).await.unwrap_err();
        assert!(refused.to_string().contains("a "), "{sql}: {refused}");
        drop(tx);
    }
    assert_eq!(lot.site.count("select sum(cents) from ledger").await, 2765);
}
