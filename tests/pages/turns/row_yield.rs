//! What turns teach is used by the next: cane of a row for the estimate of a turn, juice for room,
//! pace beside the mill's rate.

use crate::season::big_season::tickets as many_tickets;
use crate::site::{AT, Browser, TestSite};
use canewright::actions::cane::juice::{self, JuiceMeasure, NewJuice};
use canewright::actions::cane::tickets::{self, CaneOf, NewLoad, NewTicket};
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::cane::juice::Amount;
use canewright::calc::cane::tickets::Condition;
use canewright::calc::physics::refractometer::Instrument;
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{
    BrixRead, Celsius, Grams, MemberId, Metres, MinuteOfDay, PressDayId, Role, ScaleId, Units,
    VesselId,
};

const BOOK: &str = "/days/2026-09-19/book";
const ASK: &str = "/days/2026-09-19/book?told=row&amount=100";
const BY_RULES: &str = "100 ft of row × 3.0239 lb a foot (the season’s rules) = 302.4 lb";

/// A turn of 30 ft of row, booked, weighed in at so many pounds, and pressed to 45 % of juice of
/// 17 °Bx; `n` counts them through the day, twelve minutes apart.
pub async fn pressed(site: &TestSite, member: MemberId, n: i64, cane_lb: &str) {
    let day = PressDayId::parse(&site.text("select id from press_days order by date").await);
    let scale = ScaleId::parse(&site.text("select id from scales").await).unwrap();
    let vessel = VesselId::parse(&site.text("select id from vessels").await).unwrap();
    let cane = Grams::parse(cane_lb, Units::Us).unwrap();
    let turn = NewTurn {
        member,
        start: MinuteOfDay::new(420 + 25 * n).unwrap().into(),
        told: AmountTold::Row(Metres::parse("30", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    let turn = turn::book(&site.act(), day.unwrap(), turn).await.unwrap();
    let ticket = NewTicket {
        number: None,
        whose: CaneOf::Turn(turn),
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
            gross: cane,
            tare: Grams::ZERO,
            trailer: String::new(),
            sure: true,
            weighed_at: Some(AT.plus(60 * (12 * n - 190))),
        },
    };
    let ticket = tickets::open_ticket(&site.act(), day.unwrap(), ticket)
        .await
        .unwrap();
    let reading = BrixRead::new(17.0).unwrap();
    let juice = NewJuice {
        vessel,
        taken: JuiceMeasure {
            amount: Amount::Weight(Grams::new(cane.get() * 45 / 100)),
            sediment: None,
            temp: Celsius::new(20.0).unwrap(),
            instrument: Instrument::SelfCompensating,
            readings: vec![reading, reading],
            sure: true,
        },
        pressed_at: Some(AT.plus(60 * (12 * n - 160))),
        vessel_empty: true,
        after_all: false,
    };
    juice::record_juice(&site.act(), ticket, juice)
        .await
        .unwrap();
}

/// Books 100 ft of row by hand and tells the page of the turn.
async fn books(browser: &mut Browser, start: &str) -> String {
    let fields = [
        ("told", "row"),
        ("amount", "100"),
        ("start", start),
        ("second", "yes"),
    ];
    browser.fills(BOOK, &fields).await.taken().to_owned()
}

#[tokio::test]
async fn a_turn_is_reckoned_with_the_rules_until_eight_have_taught_the_row_and_keeps_its_sum() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    // 110, 120 and 130 lb of 30 ft: 3.67, 4 and 4.33 lb a foot, mostly.
    for (n, cane) in (0..7).zip(["110", "120", "130"].into_iter().cycle()) {
        pressed(&site, amos, n, cane).await;
    }
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/seasons/2026/rules")
        .await
        .says("Used until 8 turns booked by row have taught the mill’s own.");
    browser.opens(ASK).await.says(BY_RULES);
    let by_rules = books(&mut browser, "13:00").await;
    pressed(&site, amos, 7, "120").await;
    let learned = "× 4.0000 lb a foot (learned from 8 turns, mostly 3.";
    browser.opens(ASK).await.says(learned).says(") = 400.0 lb");
    // 400 lb at 500 an hour and the change-over: an hour.
    let by_turns = books(&mut browser, "14:00").await;
    // Most are heavy after six more: another figure is learned, and the next estimate takes it.
    for n in 8..14 {
        pressed(&site, amos, n, "130").await;
    }
    browser.opens(ASK).await.says("(learned from 14 turns");
    assert!(!browser.last.contains("× 4.0000"));
    browser.opens(&by_rules).await.says(BY_RULES);
    browser
        .opens(&by_turns)
        .await
        .says("100 ft of row × 4.0000 lb a foot (as learned when it was booked) = 400.0 lb")
        .says("14:00–15:00");
    // Moved, it keeps its cane and the figure.
    let to = [("day", "2026-09-19"), ("version", "1"), ("start", "16:00")];
    browser
        .fills(&format!("{by_turns}/move"), &to)
        .await
        .taken();
    browser
        .opens(&by_turns)
        .await
        .says("× 4.0000 lb a foot (as learned when it was booked) = 400.0 lb")
        .says("16:00–17:00");
    // The member's estimate of what is planted says the same as a turn would.
    let planting = [
        ("variety", "Dale"),
        ("planted_on", "2026-06-01"),
        ("row", "100"),
        ("days", "110"),
    ];
    let plantings = format!("/members/{amos}/plantings");
    browser
        .fills(&format!("{plantings}/new"), &planting)
        .await
        .taken();
    browser
        .opens(&plantings)
        .await
        .says("(learned from 14 turns");
}

#[tokio::test]
async fn only_a_turn_told_by_row_keeps_a_figure() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    for n in 0..8 {
        pressed(&site, amos, n, "120").await;
    }
    let kept = "select count(*) from turns where row_kg_per_m is not null";
    // The eight were booked before anything was learned.
    assert_eq!(site.count(kept).await, 0);
    for (told, amount, start) in [
        ("weight", "100", "11:00"),
        ("stalks", "100", "12:00"),
        ("row", "100", "13:00"),
    ] {
        let fields = [
            ("told", told),
            ("amount", amount),
            ("start", start),
            ("second", "yes"),
        ];
        browser.fills(BOOK, &fields).await.taken();
    }
    assert_eq!(site.count(kept).await, 1);
    let kept =
        "select count(*) from turns where start_min = 780 and abs(row_kg_per_m - 5.95264) < 1e-4";
    assert_eq!(site.count(kept).await, 1);
}

#[tokio::test]
async fn a_new_season_starts_from_the_last_for_estimates_room_and_pace() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let mut ruth = site.browser(site.steward).await;
    let pan = [
        ("pan_name", "Long pan"),
        ("pan_area", "24"),
        ("least", "40"),
        ("most", "130"),
        ("pan_rate", "1"),
        ("fuel", "red_oak"),
        ("efficiency", "40"),
    ];
    ruth.fills("/mill/pans/new", &pan).await.taken();
    // Each small juice stands in a vessel of its own until the pan is lit.
    for n in 1..=9 {
        let tub = [("vessel_name", &*format!("Tub {n}")), ("capacity", "20")];
        ruth.fills("/mill/vessels/new", &tub).await.taken();
    }
    ruth.fills("/seasons", &[("year", "2027")]).await.taken();
    let day = [
        ("date", "2027-09-18"),
        ("opens", "7:00"),
        ("closes", "17:00"),
        ("mill_per_h", "500"),
        ("changeover", "10"),
    ];
    ruth.fills("/days/new", &day).await.taken();
    let next = "/days/2027-09-18/book?told=row&amount=100";
    browser
        .opens(next)
        .await
        .says("(the season’s rules) = ")
        .says("% (the season’s rules) = about ");
    for n in 0..9 {
        assert!(!ruth.opens("/days/new").await.body.contains("learned from"));
        pressed(&site, amos, n, "120").await;
    }
    // Twelve minutes for 120 lb: 600 lb an hour, of eight gaps between nine turns.
    let pace = "So far: about 600 lb an hour, change-over included (learned from 8 turns).";
    browser
        .opens(next)
        .await
        .says("100 ft of row × 4.0000 lb a foot (learned from 9 turns) = 400.0 lb")
        .says("× 45.0 % (learned from 9 turns) = about ");
    ruth.opens("/days/new").await.says(pace);
    ruth.opens("/days/2027-09-18/edit").await.says(pace);
    ruth.fills("/days/2026-09-19/edit", &[("opens", "noon?")])
        .await
        .says(pace);
}

#[tokio::test]
async fn a_season_of_300_tickets_is_learned_from() {
    let site = TestSite::with_season().await;
    many_tickets(&site, 300).await;
    let (_, mut browser) = site.person("Amos Trout", Role::Member).await;
    let season = site.text("select id from seasons").await;
    let season = canewright::units::SeasonId::parse(&season).unwrap();
    let mut snapshot = site.reader.snapshot().await.unwrap();
    let habit = canewright::facts::turns::turn_habit::of_season(&mut snapshot, season)
        .await
        .unwrap();
    assert_eq!(habit.row_kg_per_m.unwrap().boils, 300);
    assert_eq!(habit.juice_pct.unwrap().boils, 300);
    for path in [ASK, "/days", "/days/2026-09-19"] {
        assert!(browser.opens(path).await.status.is_success());
    }
}

#[tokio::test]
async fn what_was_told_of_a_turn_stands_so_that_what_turns_teach_may_be_kept() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    pressed(&site, amos, 0, "100").await;
    for other in ["told_amount = told_amount + 1", "told_as = 'stalks'"] {
        let mut tx = site.writer.begin().await.unwrap();
        let sql = format!("update turns set {other}");
        let refused = sqlx::query(sqlx::AssertSqlSafe(sql))
            .execute(&mut *tx)
            .await;
        let said = refused.unwrap_err().to_string();
        assert!(said.contains("what was told of a turn stands"), "{said}");
    }
    // What else is said of a turn may change.
    site.sql("update turns set no_show_at = null").await;
}
