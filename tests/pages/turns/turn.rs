use crate::site::{Answer, TestSite};
use axum::http::StatusCode;
use canewright::actions::people::members;
use canewright::actions::turns::press_days;
use canewright::actions::turns::turn::{self, NewPlace, NewTurn};
use canewright::actions::{Act, Stop};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{
    Grams, MemberId, MinuteOfDay, Minutes, PressDate, PressDayId, Role, TurnId, Units,
};
use std::collections::BTreeSet;

const BOOK: &str = "/days/2026-09-19/book";
/// 300 ft of row: 907.2 lb, two hours at 500 lb an hour with the change-over.
const ROW: &[(&str, &str)] = &[("told", "row"), ("amount", "300"), ("start", "09:00")];
/// 83 lb: ten minutes of pressing, ten of change-over.
const TWENTY_MINUTES: &str = "83";

async fn press_day(site: &TestSite) -> PressDayId {
    let id = site
        .text("select id from press_days where date = '2026-09-19'")
        .await;
    PressDayId::parse(&id).unwrap()
}

async fn next_day(site: &TestSite, date: &str, mill: &str) -> PressDayId {
    let season = site.text("select id from seasons").await;
    let day = press_days::NewPressDay {
        date: PressDate::parse(date).unwrap(),
        opens: MinuteOfDay::new(480).unwrap(),
        closes: MinuteOfDay::new(720).unwrap(),
        mill_per_h: Grams::parse(mill, Units::Us).unwrap(),
        changeover: Minutes::new(10),
        note: String::new(),
    };
    let season = canewright::units::SeasonId::parse(&season).unwrap();
    press_days::plan(&site.act(), season, day).await.unwrap()
}

fn new_turn(member: MemberId, start: i64, lb: &str) -> NewTurn {
    NewTurn {
        member,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: AmountTold::Weight(Grams::parse(lb, Units::Us).unwrap()),
        corrected: None,
        sure: false,
    }
}

async fn book(act: &Act, day: PressDayId, member: MemberId, start: i64) -> TurnId {
    turn::book(act, day, new_turn(member, start, TWENTY_MINUTES))
        .await
        .unwrap()
}

fn code(stop: &Stop) -> &'static str {
    match stop {
        Stop::RuleRefusal(refusal) => refusal.code,
        other => panic!("{other:?}"),
    }
}

/// The values of the buttons that take a start.
fn buttons(answer: &Answer) -> Vec<String> {
    answer
        .body
        .split("name=\"start\" value=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap().to_owned())
        .collect()
}

#[tokio::test]
async fn a_member_sees_the_sum_taps_a_start_and_has_the_turn() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let first = browser.opens(BOOK).await;
    first
        .says("How much cane do you expect?")
        .says("07:00 to 17:00");
    assert!(buttons(&first).is_empty() && !first.body.contains("Whose cane"));
    let asked = browser.opens(&format!("{BOOK}?told=row&amount=300")).await;
    asked
        .says("300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb")
        .says("= 108.9 min of pressing; 10 min for the change-over")
        .says("Free starts for a turn of 2 h");
    let starts = buttons(&asked);
    // It is 08:00 there: the first start to come is 08:05, the last that ends by 17:00 is 15:00.
    assert_eq!(starts.first().unwrap(), "08:05");
    assert_eq!(starts.last().unwrap(), "15:00");
    let to = browser.sends(BOOK, ROW).await.taken().to_owned();
    let turn = browser.opens(&to).await;
    turn.says("09:00–11:00")
        .says("300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb")
        .says("Booked: Sat 19 Sep 2026, 09:00–11:00")
        .says("Amos Trout");
    assert_eq!(site.count("select count(*) from booked_minutes").await, 24);
    let (_, mut other) = site.person("Della Moss", Role::Member).await;
    other
        .opens(&to)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    let (_, mut crew) = site.person("Cal Reed", Role::Crew).await;
    crew.opens(&to)
        .await
        .says(&format!("/members/{amos}"))
        .says("Weigh in");
}

#[tokio::test]
async fn the_same_tap_sent_twice_makes_one_turn() {
    let site = TestSite::with_season().await;
    let (_, mut browser) = site.person("Amos Trout", Role::Member).await;
    browser.opens(&format!("{BOOK}?told=row&amount=300")).await;
    let first = browser.sends(BOOK, ROW).await;
    let again = browser.sends(BOOK, ROW).await;
    assert_eq!(first.taken(), again.taken());
    assert_eq!(site.count("select count(*) from turns").await, 1);
}

#[tokio::test]
async fn a_start_taken_meanwhile_comes_back_with_what_was_typed_and_the_nearest_free_ones() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    let (_, mut browser) = site.person("Amos Trout", Role::Member).await;
    browser.opens(&format!("{BOOK}?told=row&amount=300")).await;
    book(&site.act(), day, site.steward, 600).await;
    let answer = browser.sends(BOOK, ROW).await;
    answer
        .refused(StatusCode::CONFLICT, "09:00 is not free for a turn of 2 h")
        .says("The nearest free starts are 10:20, 10:25 and 10:30.")
        .says("value=\"300\"")
        .says("<option value=\"row\" selected>");
    assert_eq!(
        buttons(&answer)[..4],
        ["10:20", "10:25", "10:30", "10:35"].map(str::to_owned)
    );
    assert_eq!(site.count("select count(*) from turns").await, 1);
    let near = [("told", "row"), ("amount", "300"), ("start", "10:20")];
    browser.sends(BOOK, &near).await.taken();
}

#[tokio::test]
async fn an_estimate_that_cannot_be_stores_nothing_and_one_far_off_is_asked_about() {
    let site = TestSite::with_season().await;
    let (_, mut browser) = site.person("Amos Trout", Role::Member).await;
    browser.opens(BOOK).await;
    for (amount, words) in [
        ("0", "more than nothing"),
        ("lots", "is not a number. Please write a number"),
        ("", "Please write a number here."),
    ] {
        let fields = [("told", "row"), ("amount", amount), ("start", "09:00")];
        browser.opens(&format!("{BOOK}?told=row&amount=1")).await;
        browser
            .sends(BOOK, &fields)
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, words);
    }
    let ten_metres = [
        ("told", "row"),
        ("amount", "10 m"),
        ("cane", "9000 kg"),
        ("sure", "yes"),
        ("start", "09:00"),
    ];
    browser
        .sends(BOOK, &ten_metres)
        .await
        .refused(
            StatusCode::CONFLICT,
            "32.8 ft of row would come to about 99.2 lb",
        )
        .says("value=\"9000 kg\"");
    let all_day = [("told", "weight"), ("amount", "5000"), ("start", "09:00")];
    browser.sends(BOOK, &all_day).await.refused(
        StatusCode::CONFLICT,
        "5,000.0 lb would take 10 h 10 min; the mill runs 10 h that day",
    );
    let mut thin = vec![
        ("told", "row"),
        ("amount", "300"),
        ("cane", "200"),
        ("start", "09:00"),
    ];
    browser
        .sends(BOOK, &thin)
        .await
        .refused(StatusCode::CONFLICT, "say that it is so")
        .says("name=\"sure\"");
    assert_eq!(site.count("select count(*) from turns").await, 0);
    thin.push(("sure", "yes"));
    let to = browser.sends(BOOK, &thin).await.taken().to_owned();
    browser
        .opens(&to)
        .await
        .says("= 907.2 lb, corrected to 200.0 lb");
}

#[tokio::test]
async fn reckoning_again_shows_the_corrected_minutes_and_books_nothing() {
    let site = TestSite::with_season().await;
    let (_, mut browser) = site.person("Amos Trout", Role::Member).await;
    browser.opens(&format!("{BOOK}?told=row&amount=300")).await;
    let fields = [
        ("told", "row"),
        ("amount", "300"),
        ("cane", "700"),
        ("again", "yes"),
    ];
    let answer = browser.sends(BOOK, &fields).await;
    assert_eq!(answer.status, StatusCode::OK);
    answer
        .says("corrected to 700.0 lb")
        .says("Free starts for a turn of 1 h 35 min");
    assert_eq!(site.count("select count(*) from turns").await, 0);
}

#[tokio::test]
async fn crew_book_for_anybody_and_members_only_for_themselves() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (cal, mut crew) = site.person("Cal Reed", Role::Crew).await;
    let (amos_text, cal_text) = (amos.to_string(), cal.to_string());
    crew.opens(BOOK).await.says("Amos Trout");
    crew.opens(&format!("{BOOK}?told=row&amount=300&member={amos}"))
        .await;
    let mut fields = ROW.to_vec();
    crew.sends(BOOK, &fields).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please choose the member whose cane it is.",
    );
    fields.push(("member", &amos_text));
    let to = crew.sends(BOOK, &fields).await.taken().to_owned();
    browser
        .opens(&to)
        .await
        .says("09:00–11:00")
        .says("Cal Reed");
    browser.opens(&format!("{BOOK}?told=row&amount=300")).await;
    let for_cal = [
        ("told", "row"),
        ("amount", "300"),
        ("start", "12:00"),
        ("member", &cal_text),
    ];
    browser
        .sends(BOOK, &for_cal)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    members::let_go(&site.act(), amos, false).await.unwrap();
    crew.opens(&format!("{BOOK}?told=row&amount=300")).await;
    fields[2] = ("start", "12:00");
    let mut again = fields.clone();
    again.push(("second", "yes"));
    crew.sends(BOOK, &again)
        .await
        .refused(StatusCode::CONFLICT, "Amos Trout has left the co-op");
    assert_eq!(site.count("select count(*) from turns").await, 1);
}

#[tokio::test]
async fn a_past_start_is_the_crews_and_a_closed_day_is_nobodys() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let own = site.act_as(amos, Role::Member);
    let said = turn::book(&own, day, new_turn(amos, 480, TWENTY_MINUTES))
        .await
        .unwrap_err();
    assert_eq!(code(&said), "start-past");
    book(&site.act(), day, amos, 420).await;
    let begun = site.text("select id from turns").await;
    let begun = TurnId::parse(&begun).unwrap();
    let said = turn::cancel(&own, begun, "rain").await.unwrap_err();
    assert_eq!(code(&said), "begun");
    turn::cancel(&site.act(), begun, "rain").await.unwrap();
    site.sql("update press_days set closed_at = 1").await;
    browser
        .opens(BOOK)
        .await
        .refused(StatusCode::CONFLICT, "is closed and takes no more turns");
    let said = turn::book(&site.act(), day, new_turn(amos, 600, TWENTY_MINUTES))
        .await
        .unwrap_err();
    assert_eq!(code(&said), "day-closed");
}

#[tokio::test]
async fn a_turn_moves_and_its_old_minutes_are_free_for_the_next() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let id = book(&site.act_as(amos, Role::Member), day, amos, 600).await;
    let path = format!("/turns/{id}/move");
    let page = browser.opens(&path).await;
    // Its own minutes do not stand in its way.
    page.says("Sat 19 Sep 2026, 10:00–10:20");
    assert!(buttons(&page).contains(&"10:15".to_owned()));
    let fields = |start| {
        [
            ("day", "2026-09-19"),
            ("version", "1"),
            ("why", "truck is late"),
            ("start", start),
        ]
    };
    browser.sends(&path, &fields("10:15")).await.taken();
    let minutes = "select count(*) from booked_minutes where minute between 615 and 634";
    assert_eq!(site.count(minutes).await, 4);
    assert_eq!(site.count("select count(*) from booked_minutes").await, 4);
    // 9:55 to 10:15 was partly the turn's.
    book(&site.act(), day, site.steward, 595).await;
    browser
        .opens(&format!("/turns/{id}"))
        .await
        .says("Moved to Sat 19 Sep 2026, 10:15–10:35")
        .says("truck is late");
    // Seen before it moved: asked again.
    browser.opens(&path).await;
    browser
        .sends(&path, &fields("11:00"))
        .await
        .refused(
            StatusCode::CONFLICT,
            "was moved while you had the page open",
        )
        .says("value=\"truck is late\"");
    let taken = [("day", "2026-09-19"), ("version", "2"), ("start", "10:00")];
    browser
        .sends(&path, &taken)
        .await
        .refused(StatusCode::CONFLICT, "The nearest free starts are");
    assert_eq!(site.count("select count(*) from turn_events").await, 3);
    let (_, mut other) = site.person("Della Moss", Role::Member).await;
    other
        .opens(&path)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
}

#[tokio::test]
async fn a_turn_moved_to_another_day_takes_that_mills_minutes() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    let slow = next_day(&site, "2026-09-26", "100").await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let act = || site.act_as(amos, Role::Member);
    let id = book(&act(), day, amos, 600).await;
    let path = format!("/turns/{id}/move");
    browser
        .opens(&format!("{path}?day=2026-09-26"))
        .await
        .says("Sat 26 Sep 2026</h2>")
        .says("Free starts for a turn of 1 h");
    let fields = [("day", "2026-09-26"), ("version", "1"), ("start", "08:00")];
    let to = browser.sends(&path, &fields).await.taken().to_owned();
    browser.opens(&to).await.says("08:00–09:00");
    assert_eq!(site.count("select count(*) from booked_minutes").await, 12);
    let long = turn::book(&act(), day, new_turn(amos, 600, "450"))
        .await
        .unwrap();
    let place = NewPlace {
        day: slow,
        start: MinuteOfDay::new(540).unwrap().into(),
        why: String::new(),
        second: true,
        seen: 1,
    };
    let said = turn::move_turn(&act(), long, place).await.unwrap_err();
    assert!(
        matches!(&said, Stop::RuleRefusal(u) if u.at == Some("day") && u.code == "longer-than-day")
    );
}

#[tokio::test]
async fn a_turn_is_cancelled_with_a_why_and_its_minutes_are_free() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let id = book(&site.act_as(amos, Role::Member), day, amos, 600).await;
    let (page, path) = (format!("/turns/{id}"), format!("/turns/{id}/cancel"));
    browser.opens(&page).await;
    browser
        .sends(&path, &[("why", " ")])
        .await
        .refused(StatusCode::CONFLICT, "Please fill in this box.");
    assert_eq!(site.count("select count(*) from booked_minutes").await, 4);
    let (_, mut other) = site.person("Della Moss", Role::Member).await;
    other.opens("/").await;
    other
        .sends(&path, &[("why", "mine now")])
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    browser.sends(&path, &[("why", "hail")]).await.taken();
    browser.sends(&path, &[("why", "hail")]).await.taken();
    browser
        .opens(&page)
        .await
        .says("This turn was cancelled")
        .says("hail");
    assert_eq!(site.count("select count(*) from booked_minutes").await, 0);
    assert_eq!(site.count("select count(*) from turn_events").await, 2);
    book(&site.act(), day, site.steward, 600).await;
}

#[tokio::test]
async fn a_turn_whose_cane_is_weighed_in_stays() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let act = site.act_as(amos, Role::Member);
    let id = book(&act, day, amos, 600).await;
    site.sql(
        "insert into tickets (id, season_id, ticket, press_day_id, member_id, turn_id, stripped, headed,
         clean, frosted, made_by, made_at) select '01920000-0000-7000-8000-00000000abcd', d.season_id, 1, d.id,
         b.member_id, b.id, 1, 1, 1, 0, b.member_id, 1 from turns b join press_days d on d.id = b.press_day_id",
    )
    .await;
    let said = turn::cancel(&site.act(), id, "rain").await.unwrap_err();
    assert_eq!(code(&said), "weighed-in");
    let page = browser.opens(&format!("/turns/{id}")).await;
    page.says("weighed in");
    assert!(!page.body.contains("Cancel the turn"));
    browser
        .opens(&format!("/turns/{id}/move"))
        .await
        .refused(StatusCode::CONFLICT, "the turn stays as it is");
}

/// A thousand at once for forty starts: forty turns, and everybody else is told what is free. A lock
/// held too long is found, too: who waits for it in vain is answered otherwise than “taken”.
#[tokio::test(flavor = "multi_thread", worker_threads = 4)]
async fn a_thousand_racing_for_forty_starts_leave_forty_turns_and_960_clear_answers() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    let mut racers = Vec::new();
    for n in 0..1000 {
        let act = site.act();
        // Ten minutes each from 7:00 to 13:40; the afternoon stays free.
        let turn = new_turn(site.steward, 420 + n % 40 * 10, "0.1");
        racers.push(tokio::spawn(
            async move { turn::book(&act, day, turn).await },
        ));
    }
    let mut booked = BTreeSet::new();
    let mut refused = 0;
    for racer in racers {
        match racer.await.unwrap() {
            Ok(id) => assert!(booked.insert(id)),
            Err(stop) => {
                assert_eq!(code(&stop), "taken");
                let said = stop.to_string();
                let (_, near) = said.split_once("The nearest free starts are ").unwrap();
                assert!(near.len() == "07:00, 07:20 and 07:40.".len(), "{said}");
                refused += 1;
            }
        }
    }
    assert_eq!((booked.len(), refused), (40, 960));
    assert_eq!(site.count("select count(*) from turns").await, 40);
    assert_eq!(site.count("select sum(minutes) from turns").await, 400);
    assert_eq!(site.count("select count(*) from booked_minutes").await, 80);
}

/// What a turn cannot be, by whatever way it is sent: a sentence, and nothing stored.
#[tokio::test]
async fn turns_of_no_length_too_long_past_closed_or_somebody_elses_store_nothing() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (della, _) = site.person("Della Moss", Role::Member).await;
    let own = || site.act_as(amos, Role::Member);
    let said = |turn: NewTurn| {
        let act = own();
        async move { turn::book(&act, day, turn).await.unwrap_err() }
    };
    assert_eq!(code(&said(new_turn(amos, 480, "83")).await), "start-past");
    // 0 minutes, 5,000 minutes (42,000 lb: more than any load), a start off the five minutes.
    let none = NewTurn {
        told: AmountTold::Weight(Grams::ZERO),
        ..new_turn(amos, 600, "83")
    };
    assert_eq!(code(&said(none).await), "no-such-cane");
    let heavy = said(new_turn(amos, 600, "42000")).await;
    assert!(["no-such-cane", "longer-than-day"].contains(&code(&heavy)));
    assert_eq!(
        code(&said(new_turn(amos, 600, "5000")).await),
        "longer-than-day"
    );
    assert_eq!(
        code(&said(new_turn(amos, 603, "83")).await),
        "not-five-minutes"
    );
    assert_eq!(
        code(&said(new_turn(amos, 1010, "83")).await),
        "outside-hours"
    );
    assert!(matches!(
        said(new_turn(della, 600, "83")).await,
        Stop::Missing
    ));
    site.sql("update press_days set closed_at = 1").await;
    assert_eq!(code(&said(new_turn(amos, 600, "83")).await), "day-closed");
    assert_eq!(site.count("select count(*) from turns").await, 0);
    assert_eq!(site.count("select count(*) from turn_events").await, 0);
}

#[tokio::test]
async fn a_full_day_says_so() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    for n in 0..30 {
        book(&site.act(), day, site.steward, 420 + n * 20).await;
    }
    let said = turn::book(&site.act(), day, new_turn(site.steward, 600, "10"))
        .await
        .unwrap_err();
    assert_eq!(code(&said), "no-room");
    let (_, mut browser) = site.person("Amos Trout", Role::Member).await;
    browser
        .opens(&format!("{BOOK}?told=weight&amount=10"))
        .await
        .says("Look at the other press days")
        .says("615 555 0100");
}

/// The schema is the second assertion: not even SQL puts two turns on one minute.
#[tokio::test]
async fn two_turns_cannot_hold_the_same_minute() {
    let site = TestSite::with_season().await;
    let day = press_day(&site).await;
    book(&site.act(), day, site.steward, 600).await;
    book(&site.act(), day, site.steward, 620).await;
    let mut tx = site.writer.begin().await.unwrap();
    let twice = sqlx::raw_sql(
        "insert into booked_minutes (press_day_id, minute, turn_id)
         select press_day_id, 600, id from turns where start_min = 620",
    )
    .execute(&mut *tx)
    .await;
    let said = twice.unwrap_err().to_string();
    assert!(said.contains("UNIQUE constraint failed"), "{said}");
}

#[tokio::test]
async fn a_booking_page_with_a_whole_day_of_starts_stays_below_13_800_bytes() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let page = ruth
        .opens(&format!("{BOOK}?told=row&amount=5&member={}", site.steward))
        .await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    assert!(buttons(&page).len() >= 40);
    assert!(page.body.len() < 13_800, "{} bytes", page.body.len());
}

/// A pan of 24 square feet, so slow that an hour of the mill is many of the pan.
async fn slow_pan(site: &TestSite) {
    use canewright::calc::boil::pan::{Settings, parse_rate};
    use canewright::calc::physics::energy::Fuel;
    use canewright::units::{Millilitres, SquareMetres};
    let gal = |text| Millilitres::parse(text, Units::Us).unwrap();
    let settings = Settings {
        area: SquareMetres::parse("24", Units::Us).unwrap(),
        least: gal("5"),
        most: gal("20"),
        rate_l_m2_h: parse_rate("0.2", Units::Us).unwrap(),
        fuel: Fuel::Wood,
        efficiency_pct: 40.0,
    };
    canewright::actions::boil::pans::add(&site.act(), "Little pan".to_owned(), settings, Units::Us)
        .await
        .unwrap();
}

#[tokio::test]
async fn a_day_the_pan_cannot_boil_is_full_and_every_page_says_it_is_the_pan() {
    let site = TestSite::with_season().await;
    slow_pan(&site).await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    // 400 lb: 20.6 gal of juice, more than a charge: the rest would wait for the pan until it is too old.
    browser
        .opens(&format!("{BOOK}?told=weight&amount=400"))
        .await
        .says("= about 20.6 gal of juice. It settles 2 h, then takes the pan ")
        .says(": 2 charges of 20.0 gal at most");
    let big = [("told", "weight"), ("amount", "700"), ("start", "09:00")];
    browser.sends(BOOK, &big).await.refused(
        StatusCode::CONFLICT,
        "The mill is free at 09:00 on Sat 19 Sep 2026, but the pan could not boil its juice",
    );
    assert_eq!(site.count("select count(*) from turns").await, 0);
    let day = press_day(&site).await;
    let booked = turn::book(
        &site.act_as(amos, Role::Member),
        day,
        new_turn(amos, 540, "380"),
    )
    .await;
    assert!(booked.is_ok(), "{booked:?}");
    // Straight behind it there is nothing; each page names the pan.
    let said = turn::book(&site.act(), day, new_turn(amos, 610, "300"))
        .await
        .unwrap_err();
    assert_eq!(code(&said), "pan-full");
    browser.opens("/days").await.says("the pan is the limit");
    browser
        .opens("/days/2026-09-19")
        .await
        .says("the pan is the limit");
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/days/2026-09-19")
        .await
        .says("the pan is the limit");
    browser
        .opens(&format!("{BOOK}?told=weight&amount=1500"))
        .await
        .says("the pan could not boil its juice before it is held too long: for a turn like this");
    // Out of use, it limits nothing any more.
    site.sql("update pans set retired_at = 1").await;
    turn::book(&site.act(), day, new_turn(amos, 610, "300"))
        .await
        .unwrap();
}

#[tokio::test]
async fn a_second_turn_on_a_day_is_asked_about_when_one_is_moved_there_and_none_is_moved_to_where_it_is()
 {
    let site = TestSite::with_season().await;
    let (day, next) = (
        press_day(&site).await,
        next_day(&site, "2026-09-26", "500").await,
    );
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let act = || site.act_as(amos, Role::Member);
    let id = book(&act(), day, amos, 600).await;
    book(&act(), next, amos, 540).await;
    let path = format!("/turns/{id}/move");
    let own = browser.opens(&path).await;
    assert!(!own.body.contains("value=\"10:00\""), "{}", own.body);
    let stays = [("day", "2026-09-19"), ("version", "1"), ("start", "10:00")];
    browser
        .sends(&path, &stays)
        .await
        .refused(StatusCode::CONFLICT, "The turn is at 10:00 already.");
    browser.opens(&format!("{path}?day=2026-09-26")).await;
    let there = [("day", "2026-09-26"), ("version", "1"), ("start", "08:00")];
    browser
        .sends(&path, &there)
        .await
        .refused(
            StatusCode::CONFLICT,
            "There is a turn on Sat 26 Sep 2026 at 09:00 already.",
        )
        .says("Yes, another turn on that day");
    let meant = [there[0], there[1], there[2], ("second", "yes")];
    browser.sends(&path, &meant).await.taken();
}
