use crate::site::{Browser, TestSite};
use axum::http::StatusCode;
use canewright::units::{MemberId, Role};

const DAY: &[(&str, &str)] = &[
    ("date", "2026-09-26"),
    ("opens", "7:30 am"),
    ("closes", "5 pm"),
    ("mill_per_h", "450"),
    ("changeover", "15"),
    ("note", "Bring <jars>"),
];

/// The form with some boxes filled in otherwise.
fn with<'a>(other: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let kept = DAY
        .iter()
        .filter(|(name, _)| !other.iter().any(|(n, _)| n == name));
    kept.chain(other).copied().collect()
}

const TODAY: &str = "/days/2026-09-19";
const DAYS: &str = "select count(*) from press_days";

/// A member with a turn from 16:00 to 17:00 on the press day of the fixed clock.
async fn with_turn(site: &TestSite, name: &str) -> (MemberId, Browser) {
    let (id, browser) = site.person(name, Role::Member).await;
    site.sql(
        "insert into turns (id, press_day_id, member_id, start_min, minutes, cane_g, told_as, told_amount, state, made_by, made_at)
         select '01920000-0000-7000-8000-0000000000b1', d.id, m.id, 960, 60, 200000, 'weight', 200000, 'held', m.id, 1789822800
         from press_days d, members m where m.number = 2",
    )
    .await;
    (id, browser)
}

/// That member's ticket: 200 lb of cane, no juice yet.
async fn with_ticket(site: &TestSite) {
    site.sql(
        "insert into tickets (id, season_id, ticket, press_day_id, member_id, turn_id, stripped, headed, clean, frosted, made_by, made_at)
         select '01920000-0000-7000-8000-0000000000d1', d.season_id, 7, d.id, m.id, '01920000-0000-7000-8000-0000000000b1', 1, 1, 1, 0, m.id, 1789822800
         from press_days d, members m where m.number = 2;
         insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, by_id, at)
         select '01920000-0000-7000-8000-0000000000d1', 1, 1, s.id, s.graduation_g, 100000, 9281, m.id, 1789822800
         from scales s, members m where m.number = 2",
    )
    .await;
}

/// Juice of that ticket in the blue barrel, 40 kg of it at 15 °Bx, pressed 4 h 30 min ago.
async fn with_juice(site: &TestSite) {
    site.sql(
        "insert into juices (id, ticket_id, vessel_id, pressed_at, made_by, made_at)
         select '01920000-0000-7000-8000-0000000000e1', '01920000-0000-7000-8000-0000000000d1', v.id, 1789806600, m.id, 1789806600
         from vessels v, members m where m.number = 2 and v.name = 'Blue barrel';
         insert into juice_measures (juice_id, version, amount_kind, amount, sediment, temp_c, instrument, brix_1, brix_2, by_id, at)
         select '01920000-0000-7000-8000-0000000000e1', 1, 'mass', 40000, 0, 20.0, 'plain', 15.0, 15.2, m.id, 1789806600
         from members m where m.number = 2",
    )
    .await;
}

/// A boil lit today, nothing in it yet.
async fn with_boil(site: &TestSite) {
    site.sql(
        "insert into boils (id, lot_code, season_id, rules_id, press_day_id, target_bx, lit_at, cook_id)
         select '01920000-0000-7000-8000-0000000000f1', '26A9ZP', d.season_id, r.id, d.id, 78.0, 1789820000, m.id
         from press_days d, season_rules r, members m where m.number = 2",
    )
    .await;
}

/// 10 kg of that juice poured into that boil.
async fn pour(site: &TestSite) {
    site.sql(
        "insert into draws (boil_id, juice_id, version, amount_g, whole, by_id, at)
         select '01920000-0000-7000-8000-0000000000f1', '01920000-0000-7000-8000-0000000000e1', 1, 10000, 0, m.id, 1789820000
         from members m where m.number = 2",
    )
    .await;
}

/// Presses the button that closes or opens the day on the page just opened.
async fn close(browser: &mut Browser, to: &str) -> crate::site::Answer {
    browser.opens(TODAY).await;
    browser.sends("/days/2026-09-19/close", &[("to", to)]).await
}

#[tokio::test]
async fn a_steward_plans_a_day_once_and_members_see_it() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens("/days/new").await.says("value=\"500\"");
    let to = ruth.sends("/days/new", DAY).await;
    assert_eq!(to.taken(), "/days/2026-09-26");
    ruth.sends("/days/new", DAY).await.taken();
    assert_eq!(site.count(DAYS).await, 2);
    let (_, mut amos) = site.person("Amos Trout", Role::Member).await;
    amos.opens("/days")
        .await
        .says("Sat 26 Sep 2026")
        .says("07:30–17:00")
        .says("9 h 30 min")
        .says("Bring &#60;jars&#62;")
        .says("href=\"/days/2026-09-26/book\"");
    let page = amos.opens("/days/2026-09-26").await;
    page.says("You have no turn on this day")
        .says("href=\"/days/2026-09-26/book\"");
    assert!(!page.body.contains("Light a boil"));
}

#[tokio::test]
async fn a_day_with_wrong_boxes_or_at_a_wrong_time_is_refused() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let wrong = with(&[
        ("date", "26.9.2026"),
        ("opens", "early"),
        ("changeover", "200"),
        ("mill_per_h", "plenty"),
    ]);
    ruth.fills("/days/new", &wrong)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "year-month-day")
        .says("Please write a time of day")
        .says("a whole number from 0 to 120")
        .says("value=\"early\"")
        .says("value=\"5 pm\"");
    for (other, status, said) in [
        (
            ("closes", "7:30"),
            StatusCode::CONFLICT,
            "The mill must stop after it starts.",
        ),
        (
            ("opens", "7:32"),
            StatusCode::CONFLICT,
            "on a full five minutes",
        ),
        (
            ("date", "2026-09-19"),
            StatusCode::CONFLICT,
            "is a press day already",
        ),
        (
            ("date", "2027-09-18"),
            StatusCode::UNPROCESSABLE_ENTITY,
            "The season of 2027 is not open yet",
        ),
    ] {
        ruth.fills("/days/new", &with(&[other]))
            .await
            .refused(status, said);
    }
    assert_eq!(site.count(DAYS).await, 1);
}

#[tokio::test]
async fn a_day_is_not_shortened_over_a_turn() {
    let site = TestSite::with_season().await;
    with_turn(&site, "Amos Trout").await;
    let mut ruth = site.browser(site.steward).await;
    let edit = "/days/2026-09-19/edit";
    ruth.opens(edit).await.says("value=\"17:00\"");
    let hours = |closes, version| with(&[("closes", closes), ("version", version)]);
    ruth.sends(edit, &hours("16:30", "1"))
        .await
        .refused(StatusCode::CONFLICT, "16:00–17:00 Amos Trout")
        .says("value=\"16:30\"");
    assert_eq!(ruth.fills(edit, &hours("17:30", "1")).await.taken(), TODAY);
    ruth.sends(edit, &hours("17:30", "1")).await.taken();
    let kept = site.text("select opens_min || ' ' || closes_min || ' ' || version from press_days");
    assert_eq!(kept.await, "450 1050 2");
    // Somebody who still has the page of before is told.
    ruth.fills(edit, &hours("18:00", "1"))
        .await
        .refused(StatusCode::CONFLICT, "was changed while you had it open");
    assert_eq!(ruth.hidden("version"), "2");
    ruth.fills(edit, &hours("noon", "2")).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "Please write a time of day",
    );
}

#[tokio::test]
async fn a_member_sees_the_own_turn_and_nobody_elses() {
    let site = TestSite::with_season().await;
    let (_, mut amos) = with_turn(&site, "Amos Trout").await;
    amos.opens(TODAY)
        .await
        .says("16:00–17:00")
        .says("440.9 lb of cane expected. Its page says")
        .says("Come a quarter of an hour before")
        .says("/turns/01920000-0000-7000-8000-0000000000b1");
    with_ticket(&site).await;
    let come = amos.opens(TODAY).await;
    come.says("440.9 lb of cane was expected.")
        .says("Ticket 7</a>: 200.0 lb net");
    for over in ["Move or cancel", "Come a quarter"] {
        assert!(!come.body.contains(over), "{over}");
    }
    let (_, mut ida) = site.person("Ida Finch", Role::Member).await;
    let page = ida.opens(TODAY).await;
    // From 08:00 to 17:00, without the hour in which the mill has its cane now: what was planned for it is free.
    page.says("You have no turn on this day")
        .says("<dt>Room left</dt><dd>8 h");
    for hidden in ["Amos", "0000000000b1", "Ticket 7", "440.9"] {
        assert!(!page.body.contains(hidden), "{hidden}");
    }
}

#[tokio::test]
async fn the_crew_sees_who_comes_what_waits_and_what_boils() {
    let site = TestSite::with_season().await;
    with_turn(&site, "Amos <b>Trout").await;
    let (_, mut cora) = site.person("Cora Webb", Role::Crew).await;
    let page = cora.opens(TODAY).await;
    page.says("Amos &#60;b&#62;Trout")
        .says("/days/2026-09-19/tickets/new?turn=01920000-0000-7000-8000-0000000000b1")
        .says("No juice waits.")
        .says("href=\"/days/2026-09-19/boils/new\"")
        .says("Rollers, gears, belts:")
        .says("carbon monoxide");
    assert!(!page.body.contains("Close the day"));
    with_ticket(&site).await;
    cora.opens(TODAY)
        .await
        .says("here: ticket 7")
        .says("weighed, no juice yet")
        .says("200.0 lb");
    with_juice(&site).await;
    cora.opens(TODAY)
        .await
        .says("Blue barrel")
        .says("juice measured")
        .says("88.2 lb")
        .says("4 h 30 min")
        .says("amber: boil next, 30 min to red");
    with_boil(&site).await;
    cora.opens(TODAY).await.says("lit, nothing poured in");
    pour(&site).await;
    cora.opens(TODAY)
        .await
        .says("on the pan, 1 juice")
        .says("/boils/26A9ZP")
        .says("66.1 lb")
        .says("partly poured");
    // All of it poured, by its amount: none is left to wait.
    site.sql(
        "insert into draws (boil_id, juice_id, version, amount_g, whole, why, by_id, at)
         select boil_id, juice_id, 2, 40000, 0, 'all of it', by_id, at from draws",
    )
    .await;
    cora.opens(TODAY).await.says("No juice waits.");
}

#[tokio::test]
async fn juice_left_from_another_day_stands_on_todays_board_and_not_on_a_past_one() {
    let site = TestSite::with_season().await;
    with_turn(&site, "Amos Trout").await;
    with_ticket(&site).await;
    with_juice(&site).await;
    let mut ruth = site.browser(site.steward).await;
    for (date, note) in [("2026-09-12", "a week ago"), ("2026-09-26", "next week")] {
        ruth.fills("/days/new", &with(&[("date", date), ("note", note)]))
            .await
            .taken();
    }
    ruth.opens("/days/2026-09-12").await.says("No juice waits.");
    site.sql(
        "update tickets set press_day_id = (select id from press_days where date = '2026-09-12')",
    )
    .await;
    ruth.opens(TODAY).await.says("pressed Sat 12 Sep 2026");
    ruth.opens("/days/2026-09-12").await.says("Blue barrel");
    ruth.opens("/days/2026-09-26").await.says("No juice waits.");
}

#[tokio::test]
async fn a_day_is_closed_once_its_tickets_are_measured_and_its_boils_divided() {
    let site = TestSite::with_season().await;
    let (_, mut amos) = with_turn(&site, "Amos Trout").await;
    with_ticket(&site).await;
    let mut ruth = site.browser(site.steward).await;
    close(&mut ruth, "closed")
        .await
        .refused(StatusCode::CONFLICT, "ticket 7 without a measured juice");
    with_juice(&site).await;
    with_boil(&site).await;
    pour(&site).await;
    let answer = close(&mut ruth, "closed").await;
    answer
        .refused(StatusCode::CONFLICT, "boil 26A9Z-P not divided")
        .says("juice that is not boiled nor noted as spilt or spoilt (ticket 7 in Blue barrel)");
    assert!(!answer.body.contains("ticket 7 without"));
    site.sql("drop trigger draws_stand; update draws set whole = 1")
        .await;
    site.sql(
        "insert into divisions (id, boil_id, version, basis, toll_bp, jarred_g, syrup_g, brix_20c, after_line, \
             signed_by, by_id, at)
         select '01920000-0000-7000-8000-0000000000a1', b.id, 1, 'solids', 1000, 1500, 1500, 78, 0, 'Dan Moss', b.cook_id, 1789822800 from boils b",
    )
    .await;
    assert_eq!(close(&mut ruth, "closed").await.taken(), TODAY);
    let closed = "select count(*) from press_days where closed_at is not null";
    assert_eq!(site.count(closed).await, 1);
    let page = amos.opens(TODAY).await;
    page.says("closed");
    for gone in ["Book a turn", "Room left", "how late the mill runs"] {
        assert!(!page.body.contains(gone), "{gone}");
    }
    let page = ruth.opens(TODAY).await;
    page.says("This day is closed");
    assert!(!page.body.contains("Light a boil"));
    // Whoever presses an old page's button closes what is closed.
    close(&mut ruth, "closed").await.taken();
    assert_eq!(site.count(closed).await, 1);
    close(&mut ruth, "open").await.taken();
    assert_eq!(site.count(closed).await, 0);
    ruth.opens(TODAY).await;
    ruth.sends("/days/2026-09-19/close", &[("to", "never")])
        .await
        .refused(StatusCode::BAD_REQUEST, "Not understood");
}

#[tokio::test]
async fn crossed_out_tickets_and_empty_boils_do_not_keep_a_day_open() {
    let site = TestSite::with_season().await;
    with_turn(&site, "Amos Trout").await;
    with_ticket(&site).await;
    with_boil(&site).await;
    site.sql(
        "insert into loads (ticket_id, number, version, scale_id, graduation_g, gross_g, tare_g, void, why, by_id, at)
         select ticket_id, number, 2, scale_id, graduation_g, gross_g, tare_g, 1, 'went home', by_id, at from loads",
    )
    .await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(TODAY).await.says("crossed out");
    close(&mut ruth, "closed").await.taken();
}

#[tokio::test]
async fn days_are_planned_changed_and_closed_by_stewards_only() {
    let site = TestSite::with_season().await;
    let (_, mut crew) = site.person("Cora Webb", Role::Crew).await;
    for (path, fields) in [
        ("/days/new", DAY),
        ("/days/2026-09-19/edit", DAY),
        ("/days/2026-09-19/close", &[("to", "closed")][..]),
    ] {
        crew.opens(TODAY).await;
        crew.sends(path, fields)
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
    }
    assert_eq!(site.count(DAYS).await, 1);
    assert_eq!(
        site.text("select version || ' ' || (closed_at is null) from press_days")
            .await,
        "1 1"
    );
}

#[tokio::test]
async fn the_days_of_another_season_are_a_link_away() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    ruth.fills("/seasons", &[("year", "2027")]).await.taken();
    ruth.opens("/days")
        .await
        .says("Sat 19 Sep 2026")
        .says("href=\"/days?season=2027\"");
    ruth.opens("/days?season=2027")
        .await
        .says("No press day is planned yet.");
    for path in [
        "/days?season=1999",
        "/days?season=x",
        "/days/2026-09-20",
        "/days/soon",
    ] {
        assert_eq!(
            ruth.opens(path).await.status,
            StatusCode::NOT_FOUND,
            "{path}"
        );
    }
}

#[tokio::test]
async fn press_days_are_repeated_each_week_until_a_date_all_of_them_or_none() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let day = |date: &'static str, until: &'static str| {
        [
            ("date", date),
            ("until", until),
            ("opens", "7:00"),
            ("closes", "17:00"),
            ("mill_per_h", "500"),
            ("changeover", "10"),
            ("note", ""),
        ]
    };
    // 2026-09-19 stands already; a series that meets it is refused whole.
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &day("2026-09-05", "2026-09-26"))
        .await
        .refused(
            StatusCode::CONFLICT,
            "Sat 19 Sep 2026 is a press day already",
        );
    assert_eq!(site.count("select count(*) from press_days").await, 1);
    for (until, says) in [
        ("2026-09-25", "after the first"),
        ("2027-12-31", "40 weeks"),
    ] {
        ruth.opens("/days/new").await;
        ruth.sends("/days/new", &day("2026-09-26", until))
            .await
            .refused(StatusCode::CONFLICT, says);
    }
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &day("2026-09-26", "2026-10-18"))
        .await
        .taken();
    // 26 Sep, 3, 10 and 17 Oct, and the one before.
    assert_eq!(site.count("select count(*) from press_days").await, 5);
    ruth.opens("/days").await.says("Sat 17 Oct 2026");
}

#[tokio::test]
async fn a_season_runs_past_new_year() {
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let day = |date: &'static str| {
        [
            ("date", date),
            ("until", ""),
            ("opens", "7:00"),
            ("closes", "17:00"),
            ("mill_per_h", "500"),
            ("changeover", "10"),
            ("note", ""),
        ]
    };
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &day("2027-01-09")).await.taken();
    ruth.opens("/days?season=2026").await.says("Sat 9 Jan 2027");
    ruth.opens("/days/2027-01-09")
        .await
        .says("href=\"/seasons\"");
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &day("2027-05-01"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "is not open yet");
    // Once the next season is open, a day of the winter may be of either: it is asked of which.
    ruth.fills("/seasons", &[("year", "2027")]).await.taken();
    ruth.opens("/days/new").await.says("Of the season");
    ruth.sends("/days/new", &day("2027-01-16"))
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "please choose")
        .says("value=\"2027-01-16\"");
    for (date, season) in [("2027-01-16", "2026"), ("2027-01-23", "2027")] {
        let mut said = day(date).to_vec();
        said.push(("season", season));
        ruth.opens("/days/new").await;
        ruth.sends("/days/new", &said).await.taken();
    }
    ruth.opens("/days?season=2026")
        .await
        .says("Sat 9 Jan 2027")
        .says("Sat 16 Jan 2027");
    ruth.opens("/days?season=2027")
        .await
        .says("Sat 23 Jan 2027");
    // From May on there is only one that it can be of.
    ruth.opens("/days/new").await;
    ruth.sends("/days/new", &day("2027-05-01")).await.taken();
}
