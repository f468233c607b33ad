//! Turns moved together: a delay, another day, frost. What is shown is what is done; nobody is dropped;
//! everybody concerned is told.

use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::turns::press_days;
use canewright::actions::turns::turn::{self, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{
    Grams, MemberId, MinuteOfDay, Minutes, PressDate, PressDayId, Role, SeasonId, TurnId, Units,
};

const LATER: &str = "/days/2026-09-19/turns/later";
const OTHER: &str = "/days/2026-09-19/turns/other-day";
const FROST: &str = "/days/2026-09-19/turns/frost";

async fn day_of(site: &TestSite, date: &'static str) -> PressDayId {
    let sql = match date {
        "2026-09-19" => "select id from press_days where date = '2026-09-19'",
        "2026-09-20" => "select id from press_days where date = '2026-09-20'",
        _ => "select id from press_days where date = '2026-09-26'",
    };
    PressDayId::parse(&site.text(sql).await).unwrap()
}

/// A day from 08:00 that closes at that minute.
pub async fn another_day(site: &TestSite, date: &str, closes: i64) {
    let season = site.text("select id from seasons").await;
    let day = press_days::NewPressDay {
        date: PressDate::parse(date).unwrap(),
        opens: MinuteOfDay::new(480).unwrap(),
        closes: MinuteOfDay::new(closes).unwrap(),
        mill_per_h: Grams::parse("500", Units::Us).unwrap(),
        changeover: Minutes::new(10),
        note: String::new(),
    };
    let season = SeasonId::parse(&season).unwrap();
    press_days::plan(&site.act(), season, day).await.unwrap();
}

/// A turn; 415 lb take an hour, 83 lb twenty minutes.
async fn turn(site: &TestSite, date: &'static str, who: MemberId, start: i64, lb: &str) -> TurnId {
    let new = NewTurn {
        member: who,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: AmountTold::Weight(Grams::parse(lb, Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    // The member books, and so is told nothing of that.
    let own = site.act_as(who, Role::Member);
    turn::book(&own, day_of(site, date).await, new)
        .await
        .unwrap()
}

async fn starts(site: &TestSite) -> String {
    site.text(
        "select group_concat(line, ' ') from (select m.name || '@' || d.date || '/' || b.start_min as line
         from turns b join members m on m.id = b.member_id join press_days d on d.id = b.press_day_id
         where b.state = 'held' order by d.date, b.start_min)",
    )
    .await
}

pub struct Mill {
    pub site: TestSite,
    pub steward: Browser,
    pub people: Vec<(MemberId, Browser)>,
}

/// Amos at 09:00 for an hour, Bess at 10:00 for an hour, Cole at 11:30 for an hour.
pub async fn mill() -> Mill {
    let site = TestSite::with_season().await;
    let mut people = Vec::new();
    for (name, start) in [("Amos", 540), ("Bess", 600), ("Cole", 690)] {
        let (id, browser) = site.person(name, Role::Member).await;
        turn(&site, "2026-09-19", id, start, "415").await;
        people.push((id, browser));
    }
    let steward = site.browser(site.steward).await;
    Mill {
        site,
        steward,
        people,
    }
}

/// The form filled in and looked at, then done as it was shown.
pub async fn does(browser: &mut Browser, path: &str, fields: &[(&str, &str)]) -> String {
    browser.opens(path).await;
    let shown = browser.sends(path, fields).await;
    assert_eq!(shown.status, StatusCode::OK, "{}", shown.body);
    let seen = browser.hidden("seen");
    let mut all = fields.to_vec();
    all.extend([("seen", seen.as_str()), ("do", "yes")]);
    browser.sends(path, &all).await.taken().to_owned()
}

#[tokio::test]
async fn a_delay_moves_turns_as_far_as_they_must_says_why_and_tells_everybody() {
    let mut mill = mill().await;
    let path = LATER;
    let fields = [
        ("from", "10:00"),
        ("minutes", "45"),
        ("why", "a belt broke"),
    ];
    mill.steward
        .opens("/days/2026-09-19")
        .await
        .says("The mill stands: put turns off");
    mill.steward.opens(path).await.says("The mill stands from");
    let shown = mill.steward.sends(path, &fields).await;
    assert_eq!(shown.status, StatusCode::OK);
    // 10:00 + 45 min; Cole's gap takes up the rest but a quarter of an hour.
    shown
        .says("2 turns would move.")
        .says("Sat 19 Sep 2026, 10:45–11:45")
        .says("Sat 19 Sep 2026, 11:45–12:45")
        .says("value=\"a belt broke\"");
    assert_eq!(
        starts(&mill.site).await,
        "Amos@2026-09-19/540 Bess@2026-09-19/600 Cole@2026-09-19/690"
    );
    let to = does(&mut mill.steward, path, &fields).await;
    assert_eq!(
        starts(&mill.site).await,
        "Amos@2026-09-19/540 Bess@2026-09-19/645 Cole@2026-09-19/705"
    );
    assert_eq!(
        mill.site.count("select count(*) from booked_minutes").await,
        36
    );
    mill.steward
        .opens(&to)
        .await
        .says("Turns of Sat 19 Sep 2026 put off")
        .says("Why: a belt broke")
        .says("href=\"tel:")
        .says("href=\"sms:")
        .says("Your turn on Sat 19 Sep 2026 at 10:00 is moved to Sat 19 Sep 2026, 10:45–11:45. Why: a belt broke.")
        .says("not told yet");
    // Called: ticked off here, and gone from the calls to make.
    let notice = mill
        .site
        .text(
            "select n.id from notices n join members m on m.id = n.member_id where m.name = 'Bess'",
        )
        .await;
    let change = mill.site.text("select id from day_changes").await;
    mill.steward.opens("/calls").await.says("Bess").says("Cole");
    mill.steward.opens(&to).await;
    let back = mill
        .steward
        .sends(
            &format!("/calls/{notice}/told"),
            &[("change", change.as_str())],
        )
        .await;
    assert_eq!(back.taken(), to);
    mill.steward
        .opens(&to)
        .await
        .says("Not told after all: Bess");
    // Everybody sees why and by whom: in the turn's history, on the day's page, on the home page.
    let bess = &mut mill.people[1].1;
    let turn = mill
        .site
        .text("select b.id from turns b join members m on m.id = b.member_id where m.name = 'Bess'")
        .await;
    bess.opens(&format!("/turns/{turn}"))
        .await
        .says("Moved to Sat 19 Sep 2026, 10:45–11:45")
        .says("Put off by 45 min: a belt broke");
    let day = bess.opens("/days/2026-09-19").await;
    day.says("2 turns of Sat 19 Sep 2026 put off")
        .says("Why: a belt broke");
    assert!(!day.body.contains("/changes/") && !day.body.contains("Cole"));
    bess.opens(&to).await.refused(StatusCode::FORBIDDEN, "");
    assert_eq!(
        mill.site
            .count("select count(*) from notices where kind = 'moved' and change_id is not null")
            .await,
        2
    );
}

#[tokio::test]
async fn the_same_sending_twice_moves_once_and_a_day_that_changed_is_shown_again() {
    let mut mill = mill().await;
    let fields = [
        ("from", "10:00"),
        ("minutes", "45"),
        ("why", "a belt broke"),
    ];
    mill.steward.opens(LATER).await;
    mill.steward.sends(LATER, &fields).await;
    let seen = mill.steward.hidden("seen");
    let mut all = fields.to_vec();
    all.extend([("seen", seen.as_str()), ("do", "yes")]);
    // Somebody books meanwhile.
    let (dora, _) = mill.site.person("Dora", Role::Member).await;
    turn(&mill.site, "2026-09-19", dora, 750, "415").await;
    mill.steward
        .sends(LATER, &all)
        .await
        .refused(
            StatusCode::CONFLICT,
            "The day was changed while you had the page open",
        )
        .says("3 turns would move.");
    assert_eq!(mill.site.count("select count(*) from day_changes").await, 0);
    let seen = mill.steward.hidden("seen");
    let mut all = fields.to_vec();
    all.extend([("seen", seen.as_str()), ("do", "yes")]);
    let first = mill.steward.sends(LATER, &all).await.taken().to_owned();
    let again = mill.steward.sends(LATER, &all).await.taken().to_owned();
    assert_eq!(first, again);
    assert_eq!(mill.site.count("select count(*) from day_changes").await, 1);
    assert_eq!(
        starts(&mill.site).await,
        "Amos@2026-09-19/540 Bess@2026-09-19/645 Cole@2026-09-19/705 Dora@2026-09-19/765"
    );
}

#[tokio::test]
async fn a_day_that_is_moved_loses_nobody_and_who_finds_no_room_heads_the_next_list() {
    let mut mill = mill().await;
    another_day(&mill.site, "2026-09-20", 620).await;
    let fields = [
        ("to", "2026-09-20"),
        ("close", "yes"),
        ("why", "rain all day"),
    ];
    mill.steward.opens(OTHER).await.says("Sun 20 Sep 2026");
    // From 08:00 to 10:20 there is room for two, and no later day for the third.
    mill.steward
        .sends(OTHER, &fields)
        .await
        .refused(StatusCode::CONFLICT, "no later press day is planned");
    another_day(&mill.site, "2026-09-26", 720).await;
    mill.steward.opens(OTHER).await;
    mill.steward
        .sends(OTHER, &fields)
        .await
        .says("3 turns would move. One finds no room and goes to the head of the waiting list of Sat 26 Sep 2026.")
        .says("Sun 20 Sep 2026, 08:00–09:00")
        .says("Sun 20 Sep 2026, 09:00–10:00");
    does(&mut mill.steward, OTHER, &fields).await;
    assert_eq!(
        starts(&mill.site).await,
        "Amos@2026-09-20/480 Bess@2026-09-20/540"
    );
    assert_eq!(
        mill.site
            .count(
                "select count(*) from waiting w join members m on m.id = w.member_id
                 join press_days d on d.id = w.press_day_id
                 where m.name = 'Cole' and d.date = '2026-09-26' and w.from_turn_id is not null"
            )
            .await,
        1
    );
    assert_eq!(
        mill.site
            .count("select count(*) from press_days where date = '2026-09-19' and closed_at is not null")
            .await,
        1
    );
    let words =
        "select words from notices n join members m on m.id = n.member_id where m.name = 'Cole'";
    let words = mill.site.text(words).await;
    assert!(
        words.contains("head of the waiting list of Sat 26 Sep 2026")
            && words.contains("rain all day"),
        "{words}"
    );
}

#[tokio::test]
async fn killed_cane_goes_first_also_from_a_later_day_and_the_others_follow_in_order() {
    let mut mill = mill().await;
    another_day(&mill.site, "2026-09-20", 720).await;
    let (dora, _) = mill.site.person("Dora", Role::Member).await;
    let killed = turn(&mill.site, "2026-09-20", dora, 600, "415").await;
    let cole = mill
        .site
        .text("select b.id from turns b join members m on m.id = b.member_id where m.name = 'Cole'")
        .await;
    let base = [
        ("frost_on", "2026-09-18"),
        ("frost_at", "23:00"),
        ("from", "8:00"),
        ("why", "25 °F on Friday night"),
    ];
    mill.steward
        .opens(FROST)
        .await
        .says("pressed within 48 hours")
        .says("Dora, Sun 20 Sep 2026 10:00–11:00");
    mill.steward
        .sends(FROST, &base)
        .await
        .refused(StatusCode::CONFLICT, "Please tick whose cane was killed.")
        .says("value=\"25 °F on Friday night\"");
    let (one, two) = (format!("killed-{killed}"), format!("killed-{cole}"));
    let mut fields = base.to_vec();
    fields.extend([(one.as_str(), "yes"), (two.as_str(), "yes")]);
    // It is 08:00: Cole, booked for this day, before Dora of the next; then Amos and Bess.
    let shown = mill.steward.sends(FROST, &fields).await;
    shown.says("4 turns would move.").says("killed</span>");
    does(&mut mill.steward, FROST, &fields).await;
    assert_eq!(
        starts(&mill.site).await,
        "Cole@2026-09-19/480 Dora@2026-09-19/540 Amos@2026-09-19/600 Bess@2026-09-19/660"
    );
    let why = mill
        .site
        .text(
            "select e.why from turn_events e join turns b on b.id = e.turn_id
             join members m on m.id = b.member_id where m.name = 'Bess' and e.what = 'moved'",
        )
        .await;
    assert_eq!(why, "Killed cane first: 25 °F on Friday night");
    // Three days earlier, it would be too late for it; that is said, and left to the steward.
    let mut late = fields.clone();
    late[0] = ("frost_on", "2026-09-16");
    mill.steward.opens(FROST).await;
    let moved = mill.steward.sends(FROST, &late).await;
    moved.refused(StatusCode::CONFLICT, "No turn would move");
    let (eve, _) = mill.site.person("Eve", Role::Member).await;
    let killed = turn(&mill.site, "2026-09-20", eve, 600, "415").await;
    let name = format!("killed-{killed}");
    let mut late = base.to_vec();
    late[0] = ("frost_on", "2026-09-16");
    late.push((name.as_str(), "yes"));
    mill.steward.opens(FROST).await;
    mill.steward
        .sends(FROST, &late)
        .await
        .says("would begin later than 48 h after the frost")
        .says("killed, too late");
}

#[tokio::test]
async fn what_makes_no_sense_is_said_beside_its_box_and_nothing_is_stored() {
    let mut mill = mill().await;
    for (from, minutes, why, said) in [
        (
            "10:00",
            "0",
            "x",
            "Please write a delay from 5 to 600 minutes.",
        ),
        (
            "10:00",
            "5000",
            "x",
            "Please write a delay from 5 to 600 minutes.",
        ),
        ("10:00", "soon", "x", "is not a number"),
        ("noonish", "30", "x", "Please write a time of day"),
        ("10:00", "30", "", "Please fill in this box."),
        (
            "18:00",
            "30",
            "x",
            "The mill runs from 07:00 to 17:00 that day.",
        ),
    ] {
        mill.steward.opens(LATER).await;
        let answer = mill
            .steward
            .sends(LATER, &[("from", from), ("minutes", minutes), ("why", why)])
            .await;
        assert!(
            [StatusCode::CONFLICT, StatusCode::UNPROCESSABLE_ENTITY].contains(&answer.status),
            "{from} {minutes}: {}",
            answer.status
        );
        answer
            .says(said)
            .says(&format!("value=\"{from}\""))
            .says(&format!("value=\"{minutes}\""));
    }
    for (to, said) in [
        ("2026-09-21", "is no press day"),
        ("2026-09-19", "another press day"),
    ] {
        mill.steward.opens(OTHER).await;
        mill.steward
            .sends(OTHER, &[("to", to), ("why", "rain")])
            .await
            .refused(StatusCode::CONFLICT, said);
    }
    mill.steward.opens(FROST).await;
    mill.steward
        .sends(
            FROST,
            &[
                ("frost_on", "2026-09-19"),
                ("frost_at", "23:00"),
                ("from", "9:00"),
                ("why", "x"),
            ],
        )
        .await
        .refused(StatusCode::CONFLICT, "That is still to come.");
    assert_eq!(mill.site.count("select count(*) from day_changes").await, 0);
    mill.steward
        .opens("/days/2026-09-19/turns/sideways")
        .await
        .refused(StatusCode::NOT_FOUND, "");
}

#[tokio::test]
async fn nobody_is_put_into_a_standstill_until_the_mill_runs_again() {
    let mut mill = mill().await;
    let later = [
        ("from", "14:00"),
        ("minutes", "120"),
        ("why", "the engine is at the smith"),
    ];
    mill.steward.opens(LATER).await;
    mill.steward
        .sends(LATER, &later)
        .await
        .says("No turn would move. The mill stands 14:00–16:00");
    let to = does(&mut mill.steward, LATER, &later).await;
    let (_, mut dora) = mill.site.person("Dora", Role::Member).await;
    let book = "/days/2026-09-19/book";
    let wants = [("told", "weight"), ("amount", "415"), ("start", "14:30")];
    dora.opens(&format!("{book}?told=weight&amount=415")).await;
    dora.sends(book, &wants)
        .await
        .refused(StatusCode::CONFLICT, "14:30 is not free")
        .says("The nearest free starts are 12:55, 13:00 and 16:00.");
    // A second delay puts nobody into the first.
    let second = [
        ("from", "11:30"),
        ("minutes", "90"),
        ("why", "a belt broke"),
    ];
    does(&mut mill.steward, LATER, &second).await;
    assert_eq!(
        starts(&mill.site).await,
        "Amos@2026-09-19/540 Bess@2026-09-19/600 Cole@2026-09-19/780"
    );
    mill.steward
        .opens(&to)
        .await
        .says("The mill stands 14:00–16:00.")
        .says("No turn had to move.");
    let again = format!("{to}/runs-again");
    dora.opens("/").await;
    dora.sends(&again, &[])
        .await
        .refused(StatusCode::FORBIDDEN, "");
    mill.steward.opens(&to).await;
    let first = mill.steward.sends(&again, &[]).await.taken().to_owned();
    assert_eq!(mill.steward.sends(&again, &[]).await.taken(), first);
    mill.steward
        .opens(&to)
        .await
        .says("At 08:00 it was noted that it does not stand after all.");
    dora.opens(&format!("{book}?told=weight&amount=415")).await;
    dora.sends(book, &wants).await.taken();
}

#[tokio::test]
async fn a_day_brought_forward_puts_nobody_into_the_past_nor_on_the_list_of_the_day_that_closes() {
    let site = TestSite::with_season().await;
    another_day(&site, "2026-09-20", 1020).await;
    another_day(&site, "2026-09-26", 720).await;
    // It is 08:00 on the 19th: free again are 08:00 to 10:00 and, of three turns of an hour, room for two.
    let mut people = Vec::new();
    for (name, start) in [("Amos", 480), ("Bess", 540), ("Cole", 600)] {
        let (id, browser) = site.person(name, Role::Member).await;
        turn(&site, "2026-09-20", id, start, "415").await;
        people.push((id, browser));
    }
    let (dora, _) = site.person("Dora", Role::Member).await;
    turn(&site, "2026-09-19", dora, 600, "3400").await;
    let mut steward = site.browser(site.steward).await;
    let path = "/days/2026-09-20/turns/other-day";
    let fields = [
        ("to", "2026-09-19"),
        ("close", "yes"),
        ("why", "storm on Sunday"),
    ];
    steward.opens(path).await;
    steward
        .sends(path, &fields)
        .await
        .says("Sat 19 Sep 2026, 08:00–09:00")
        .says("Sat 19 Sep 2026, 09:00–10:00")
        .says("to the head of the waiting list of Sat 26 Sep 2026");
    // Without closing, whoever finds no room keeps the turn of the day that stays.
    let open = [fields[0], fields[2]];
    steward
        .sends(path, &open)
        .await
        .says("2 turns would move. There is no room for Cole (Sun 20 Sep 2026): they keep the turns they have.");
    // What was shown for the day that stays open is not done for the day that closes.
    let seen = steward.hidden("seen");
    let mut other = fields.to_vec();
    other.extend([("seen", seen.as_str()), ("do", "yes")]);
    steward.sends(path, &other).await.refused(
        StatusCode::CONFLICT,
        "The day was changed while you had the page open",
    );
    let seen = steward.hidden("seen");
    let mut all = fields.to_vec();
    all.extend([("seen", seen.as_str()), ("do", "yes")]);
    let first = steward.sends(path, &all).await.taken().to_owned();
    // The day is closed by now: sent twice it leads to the same page all the same.
    assert_eq!(steward.sends(path, &all).await.taken(), first);
    assert_eq!(
        starts(&site).await,
        "Amos@2026-09-19/480 Bess@2026-09-19/540 Dora@2026-09-19/600"
    );
    let on_lists = "select count(*) from waiting w join press_days d on d.id = w.press_day_id
        where d.date = '2026-09-26' and d.closed_at is null";
    assert_eq!(site.count(on_lists).await, 1);
}

/// "Close the day" is ticked as the form opens. Amos's cane is on the scale already, so that day cannot be closed: the others move all
/// the same, and the page says what keeps it open.
#[tokio::test]
async fn a_day_with_cane_at_the_mill_stays_open_when_its_turns_move_and_the_page_says_why() {
    let mut mill = mill().await;
    another_day(&mill.site, "2026-09-20", 1080).await;
    mill.site
        .sql(
            "insert into tickets (id, season_id, ticket, press_day_id, member_id, turn_id, stripped, headed, clean, frosted, made_by, made_at)
             select '01920000-0000-7000-8000-0000000000aa', d.season_id, 1, t.press_day_id, t.member_id, t.id, 1, 1, 1, 0, t.member_id, 1
             from turns t join members m on m.id = t.member_id join press_days d on d.id = t.press_day_id where m.name = 'Amos';
             insert into scales (id, name, graduation_g, capacity_g)
             values ('01920000-0000-7000-8000-0000000000ab', 'Old beam', 500, 1000000);
             insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, by_id, at)
             select id, 1, 1, '01920000-0000-7000-8000-0000000000ab', 500, 200000, 10000, member_id, 1 from tickets",
        )
        .await;
    let fields = [
        ("to", "2026-09-20"),
        ("close", "yes"),
        ("why", "rain all day"),
    ];
    mill.steward
        .opens(OTHER)
        .await
        .says("name=\"close\" value=\"yes\" checked");
    mill.steward
        .sends(OTHER, &fields)
        .await
        .says("2 turns would move.")
        .says("stays open, since it is not done yet: ticket 1 without a measured juice. Close it on its own page once it is.");
    does(&mut mill.steward, OTHER, &fields).await;
    assert_eq!(
        starts(&mill.site).await,
        "Amos@2026-09-19/540 Bess@2026-09-20/600 Cole@2026-09-20/690"
    );
    let open = "select count(*) from press_days where closed_at is null";
    assert_eq!(mill.site.count(open).await, 2);
}
