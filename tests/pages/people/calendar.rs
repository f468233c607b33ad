use crate::site::{AT, Browser, TestSite};
use crate::turns::queue;
use axum::http::{StatusCode, header};
use canewright::actions::turns::turn::{self, NewPlace, NewTurn};
use canewright::calc::turns::turn_cane::AmountTold;
use canewright::units::{Grams, MemberId, MinuteOfDay, PressDayId, Role, TurnId, Units, UtcSecond};
use std::path::Path;

async fn day(site: &TestSite) -> PressDayId {
    PressDayId::parse(&site.text("select id from press_days").await).unwrap()
}

async fn book(site: &TestSite, member: MemberId, start: i64) -> TurnId {
    let new = NewTurn {
        member,
        start: MinuteOfDay::new(start).unwrap().into(),
        told: AmountTold::Weight(Grams::parse("83", Units::Us).unwrap()),
        corrected: None,
        sure: false,
    };
    turn::book(&site.act(), day(site).await, new).await.unwrap()
}

async fn shift(site: &TestSite, id: TurnId, start: i64, seen: i64) {
    let to = NewPlace {
        day: day(site).await,
        start: MinuteOfDay::new(start).unwrap().into(),
        why: "rain".to_owned(),
        second: false,
        seen,
    };
    turn::move_turn(&site.act(), id, to).await.unwrap();
}

/// Makes an address and gives its path.
async fn address(browser: &mut Browser, whose: &str) -> String {
    let page = browser.fills("/calendar", &[("whose", whose)]).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.body);
    page.says("is shown once");
    let (_, rest) = page
        .body
        .split_once("http://mill.test/calendar/")
        .expect("the address");
    format!("/calendar/{}", rest.split('<').next().unwrap())
}

#[tokio::test]
async fn a_feed_shows_the_own_turns_as_they_stand_and_cancellations_for_a_month() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (ida, _) = site.person("Ida Finch", Role::Member).await;
    let kept = book(&site, amos, 600).await;
    let given_up = book(&site, amos, 700).await;
    let others = book(&site, ida, 800).await;
    shift(&site, kept, 640, 1).await;
    turn::cancel(&site.act(), given_up, "rain").await.unwrap();
    let path = address(&mut browser, "own").await;
    let mut phone = site.stranger();
    let feed = phone.opens(&path).await;
    assert_eq!(feed.status, StatusCode::OK);
    // 10:40 in Chicago is 15:40 in UTC; twenty minutes.
    feed.says("METHOD:PUBLISH\r\n")
        .says(&format!("UID:{kept}\r\n"))
        .says(
            "SEQUENCE:1\r\nDTSTART:20260919T154000Z\r\nDTEND:20260919T160000Z\r\nSTATUS:CONFIRMED",
        )
        .says(&format!("UID:{given_up}\r\n"))
        .says(
            "STATUS:CANCELLED\r\nSUMMARY:Cancelled: Press turn\\, Coldwater Ridge Pressing Co-op",
        );
    assert!(!feed.body.contains(&others.to_string()) && !feed.body.contains("Ida"));
    let head = |name: header::HeaderName| feed.headers[name].to_str().unwrap().to_owned();
    assert_eq!(
        head(header::CONTENT_TYPE),
        "text/calendar; charset=utf-8; method=PUBLISH"
    );
    assert_eq!(head(header::CACHE_CONTROL), "no-store");
    // A month later the cancelled one is gone, the other stays.
    let later = UtcSecond::new(AT.get() + 31 * 86_400);
    let feed = site.stranger_at(later).opens(&path).await;
    feed.says(&kept.to_string());
    assert!(!feed.body.contains(&given_up.to_string()));
}

#[tokio::test]
async fn a_turn_whose_cane_is_weighed_in_calls_nobody_and_is_sent_anew_to_calendars() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let turn = queue::book(&site, amos, 420).await;
    let path = address(&mut browser, "own").await;
    let file = format!("/turns/{turn}/ics");
    let called = "330.0 lb of cane to expect\\; 50 min at the mill.";
    let mut phone = site.stranger();
    // Calendar programs fold long lines.
    let unfolded = |body: &str| body.replace("\r\n ", "");
    let text = unfolded(&phone.opens(&path).await.body);
    for said in ["SEQUENCE:0\r\n", "SUMMARY:Press turn\\, Coldwater", called] {
        assert!(text.contains(said), "{said}: {text}");
    }
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    queue::weigh_in(&mut crew, &site, &turn, "7:05").await;
    for page in [
        phone.opens(&path).await,
        browser.opens(&file).await,
        crew.opens(&file).await,
    ] {
        let text = unfolded(&page.body);
        assert!(
            text.contains("SEQUENCE:1\r\nDTSTART:20260919T120000Z"),
            "{text}"
        );
        assert!(
            text.contains("SUMMARY:Cane weighed in: Press turn"),
            "{text}"
        );
        assert!(
            text.contains("The cane of this turn is weighed in."),
            "{text}"
        );
        for gone in ["to expect", "at the mill.", "Your turn is about"] {
            assert!(!text.contains(gone), "{gone}: {text}");
        }
    }
}

#[tokio::test]
async fn a_calendar_speaks_in_the_units_and_on_the_clock_of_whose_it_is() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let turn = book(&site, amos, 780).await;
    let path = address(&mut browser, "own").await;
    let own = format!("/turns/{turn}/ics");
    let mut phone = site.stranger();
    phone.opens(&path).await.says("83.0 lb of cane");
    site.sql("update members set units = 'metric', clock = 12 where name = 'Amos Trout'")
        .await;
    // The mill runs, so that the entry says about when the turn begins.
    let runs = UtcSecond::new(AT.get() + 4 * 3600);
    let feed = site.stranger_at(runs).opens(&path).await;
    feed.says("37.6 kg of cane");
    let told = feed.body.replace("\r\n ", "");
    assert!(
        told.contains("1:00\u{a0}pm") && !told.contains("13:00"),
        "{told}"
    );
    browser.opens(&own).await.says("37.6 kg of cane");
}

#[tokio::test]
async fn a_program_that_has_the_feed_already_is_told_so() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let turn = book(&site, amos, 600).await;
    let path = address(&mut browser, "own").await;
    let mut phone = site.stranger();
    let first = phone.opens(&path).await;
    let tag = first.headers[header::ETAG].to_str().unwrap().to_owned();
    for known in [tag.as_str(), &format!("\"other\", {tag}"), "*"] {
        let again = phone
            .opens_with(&path, &[(header::IF_NONE_MATCH, known)])
            .await;
        assert_eq!(again.status, StatusCode::NOT_MODIFIED, "{known}");
        assert!(again.body.is_empty());
        assert_eq!(again.headers[header::ETAG].to_str().unwrap(), tag);
    }
    shift(&site, turn, 640, 1).await;
    let moved = phone
        .opens_with(&path, &[(header::IF_NONE_MATCH, &tag)])
        .await;
    assert_eq!(moved.status, StatusCode::OK);
    assert_ne!(moved.headers[header::ETAG].to_str().unwrap(), tag);
}

#[tokio::test]
async fn an_address_is_secret_kept_by_hash_and_ends_when_revoked_replaced_or_its_member_left() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let first = address(&mut browser, "own").await;
    let token = first.trim_start_matches("/calendar/").replace(".ics", "");
    // 32 letters of 32: 160 bits.
    assert_eq!(token.len(), 32);
    assert_eq!(
        site.text("select token_hash from feeds").await,
        canewright::actions::hash_token(&token)
    );
    let page = browser.opens("/calendar").await;
    page.says("is not shown again");
    assert!(!page.body.contains(&token) && !page.body.contains("crew’s"));
    let second = address(&mut browser, "own").await;
    let mut phone = site.stranger();
    assert_eq!(phone.opens(&first).await.status, StatusCode::NOT_FOUND);
    assert_eq!(phone.opens(&second).await.status, StatusCode::OK);
    browser.opens("/calendar").await;
    browser
        .sends("/calendar/revoke", &[("whose", "own")])
        .await
        .taken();
    browser
        .sends("/calendar/revoke", &[("whose", "own")])
        .await
        .taken();
    assert_eq!(phone.opens(&second).await.status, StatusCode::NOT_FOUND);
    let third = address(&mut browser, "own").await;
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&format!("/members/{amos}")).await;
    ruth.sends(&format!("/members/{amos}/let-go"), &[])
        .await
        .taken();
    for path in [
        third.as_str(),
        "/calendar/0123456789abcdefghjkmnpqrstvwxyz.ics",
        "/calendar/x",
    ] {
        assert_eq!(phone.opens(path).await.status, StatusCode::NOT_FOUND);
    }
}

#[tokio::test]
async fn an_address_asked_for_twice_by_one_form_is_one_address_and_each_calendar_has_its_own_form()
{
    let site = TestSite::with_season().await;
    let mut ruth = site.browser(site.steward).await;
    let page = ruth.opens("/calendar").await;
    let forms: Vec<&str> = page.body.split("<form ").skip(1).collect();
    let hidden = |form: &str, name: &str| {
        let rest = form
            .split_once(&format!("name=\"{name}\" value=\""))
            .unwrap()
            .1;
        rest.split('"').next().unwrap().to_owned()
    };
    let form_of = |whose: &str| {
        let mark = format!("name=\"whose\" value=\"{whose}\"");
        let form = forms.iter().find(|form| form.contains(&mark)).unwrap();
        (hidden(form, "form_key"), hidden(form, "token"))
    };
    let shown = |body: &str| {
        let rest = body.split_once("http://mill.test/calendar/").unwrap().1;
        rest.split('<').next().unwrap().to_owned()
    };
    let (own, crew) = (form_of("own"), form_of("crew"));
    assert_ne!(own.0, crew.0);
    let mut addresses = Vec::new();
    for (whose, (key, token)) in [
        ("own", &own),
        ("own", &own),
        ("crew", &crew),
        ("crew", &crew),
    ] {
        let answer = ruth
            .sends_keyed("/calendar", &[("whose", whose)], key, token)
            .await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
        addresses.push(shown(&answer.body));
    }
    assert_eq!(addresses[0], addresses[1]);
    assert_eq!(addresses[2], addresses[3]);
    assert_ne!(addresses[0], addresses[2]);
    assert_eq!(site.count("select count(*) from feeds").await, 2);
    let kept = site
        .text("select group_concat(key || target || boxes || result) from form_keys")
        .await;
    assert!(!kept.contains(addresses[0].trim_end_matches(".ics")));
    // Revoked meanwhile: the old form does not show an address that answers nothing.
    ruth.sends_keyed("/calendar/revoke", &[("whose", "own")], &own.0, &own.1)
        .await
        .taken();
    ruth.sends_keyed("/calendar", &[("whose", "own")], &own.0, &own.1)
        .await
        .refused(StatusCode::CONFLICT, "was revoked");
}

#[tokio::test]
async fn the_crews_address_is_made_by_stewards_only() {
    let site = TestSite::with_season().await;
    let (_, mut crew) = site.person("Delia Crow", Role::Crew).await;
    crew.fills("/calendar", &[("whose", "crew")])
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    crew.opens("/calendar").await;
    crew.sends("/calendar", &[("whose", "all")])
        .await
        .refused(StatusCode::BAD_REQUEST, "Not understood");
    assert_eq!(site.count("select count(*) from feeds").await, 0);
}

#[tokio::test]
async fn one_turn_is_had_as_a_file_by_its_member_and_the_crew() {
    let site = TestSite::with_season().await;
    let (amos, mut browser) = site.person("Amos Trout", Role::Member).await;
    let (_, mut other) = site.person("Ida Finch", Role::Member).await;
    let turn = book(&site, amos, 600).await;
    let path = format!("/turns/{turn}/ics");
    let file = browser.opens(&path).await;
    file.says("SUMMARY:Press turn\\, Coldwater");
    let saved_as = file.headers[header::CONTENT_DISPOSITION].to_str().unwrap();
    assert_eq!(saved_as, "attachment; filename=\"turn-2026-09-19.ics\"");
    other
        .opens(&path)
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    let mut ruth = site.browser(site.steward).await;
    ruth.opens(&path).await.says("SUMMARY:Press turn: Amos\r\n");
}

/// Writes the crew's feed and what it must say, for the reference programs that read calendars.
#[tokio::test]
async fn the_crews_feed_is_written_for_other_programs_to_read() {
    let site = TestSite::with_season().await;
    site.sql("update coop set place = 'Tolliver, Tennessee; up the long gravel road past the second mailbox — façade €5 \\ gate'")
        .await;
    let mut expected = Vec::new();
    // Start (minutes after local midnight), moves, and whether given up; 83 lb take 20 minutes.
    for (n, (name, start, moves, cancelled)) in [
        ("Amos Trout", 480, 0, false),
        ("Zoë, “Zo” Brown", 520, 2, false),
        ("Ñandú;Ltd", 600, 1, true),
        ("Back\\slash", 660, 0, true),
        ("李 小龍", 700, 0, false),
    ]
    .into_iter()
    .enumerate()
    {
        let (member, _) = site.person(name, Role::Member).await;
        let turn = book(&site, member, start).await;
        for nth in 0..moves {
            shift(&site, turn, start + 5 * (nth + 1), nth + 1).await;
        }
        if cancelled {
            turn::cancel(&site.act(), turn, "rain").await.unwrap();
        }
        // Midnight in Chicago on 2026-09-19 is 05:00 UTC: eight hours before 08:00.
        let begin = AT.get() - 8 * 3600 + (start + 5 * moves) * 60;
        let first = name.split(' ').next().unwrap();
        let called = if cancelled { "Cancelled: " } else { "" };
        expected.push(serde_json::json!({
            "n": n, "uid": turn.to_string(), "start": begin, "end": begin + 20 * 60,
            "sequence": moves + i64::from(cancelled),
            "status": if cancelled { "CANCELLED" } else { "CONFIRMED" },
            "summary": format!("{called}Press turn: {first}"),
            "location": site.text("select place from coop").await,
        }));
    }
    let mut ruth = site.browser(site.steward).await;
    let path = address(&mut ruth, "crew").await;
    let feed = site.stranger().opens(&path).await;
    assert_eq!(feed.status, StatusCode::OK);
    assert_eq!(feed.body.matches("BEGIN:VEVENT").count(), expected.len());
    for line in feed.body.split("\r\n") {
        assert!(line.len() <= 75 && !line.contains('\n'), "{line}");
    }
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("calendar");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("crew.ics"), &feed.body).unwrap();
    let text = serde_json::to_string_pretty(&expected).unwrap();
    std::fs::write(folder.join("crew.json"), text).unwrap();
}

#[tokio::test]
async fn the_crews_address_ends_with_the_right_of_the_steward_who_made_it_and_names_no_telephone() {
    let site = TestSite::with_season().await;
    let (_, mut sam) = site.person("Sam Hart", Role::Steward).await;
    sam.opens("/calendar").await;
    let made = sam.sends("/calendar", &[("whose", "crew")]).await;
    let (_, rest) = made.body.split_once("http://mill.test/calendar/").unwrap();
    let address = format!("/calendar/{}", rest.split('<').next().unwrap());
    let mut phone = site.stranger();
    let feed = phone.opens(&address).await;
    assert_eq!(feed.status, StatusCode::OK);
    assert!(!feed.body.contains("615"), "{}", feed.body);
    site.sql("update members set role = 'crew' where name = 'Sam Hart'")
        .await;
    assert_eq!(phone.opens(&address).await.status, StatusCode::NOT_FOUND);
}
