use crate::site::{AT, Browser, TestSite};
use axum::http::StatusCode;
use canewright::actions::Hashing;
use canewright::actions::people::stations;
use canewright::units::{MemberId, Passphrase, Role};

/// A station “Scale house”, signed in by Ruth, in a browser of its own; nobody is picked.
pub async fn station(site: &TestSite) -> Browser {
    let mut tablet = site.browser(site.steward).await;
    let answer = tablet
        .fills("/mill/stations", &[("name", "Scale house")])
        .await;
    assert_eq!(answer.taken(), "/station");
    tablet
}

/// Gives somebody the PIN 2580.
pub async fn with_pin(site: &TestSite, who: MemberId) {
    let pin = Passphrase::pin("2580").unwrap();
    stations::set_pin(&site.act(), &Hashing::new(), who, pin)
        .await
        .unwrap();
}

/// Picks somebody at the station by the PIN 2580.
pub async fn picks(tablet: &mut Browser, who: MemberId) {
    tablet.opens(&format!("/station?who={who}")).await;
    let id = who.to_string();
    let answer = tablet
        .sends("/station", &[("who", &id), ("next", "/"), ("pin", "2580")])
        .await;
    assert_eq!(answer.taken(), "/station");
}

#[tokio::test]
async fn a_ticket_opened_at_the_station_bears_the_name_of_whoever_was_picked_and_the_station() {
    let site = TestSite::with_season().await;
    let (amos, _) = site.person("Amos Trout", Role::Member).await;
    let (cora, mut at_home) = site.person("Cora Pell", Role::Crew).await;
    with_pin(&site, cora).await;
    let mut tablet = station(&site).await;
    picks(&mut tablet, cora).await;
    let scale = site.text("select id from scales").await;
    let whose = format!("walk:{amos}");
    let fields = [
        ("whose", whose.as_str()),
        ("scale", &scale),
        ("gross", "400"),
        ("tare", "100"),
        ("note", ""),
    ];
    let ticket = tablet
        .fills("/days/2026-09-19/tickets/new", &fields)
        .await
        .taken()
        .to_owned();
    let page = tablet.opens(&ticket).await;
    page.says("Cora Pell, Sat 19 Sep 2026 08:00, on Platform (at the station “Scale house”)");
    page.says("<strong><bdi>Cora Pell</bdi></strong> stands here");
    // The same as if she had signed in: she is the one who weighed.
    let by = site
        .text("select m.name from loads l join members m on m.id = l.by_id")
        .await;
    assert_eq!(by, "Cora Pell");
    at_home.opens(&ticket).await.says("Cora Pell");
    assert_eq!(
        site.count("select count(*) from sent_from_station").await,
        1
    );
}

#[tokio::test]
async fn a_wrong_pin_picks_nobody_and_the_sixth_try_waits_however_right_it_is() {
    let site = TestSite::with_season().await;
    let (cora, _) = site.person("Cora Pell", Role::Crew).await;
    with_pin(&site, cora).await;
    let mut tablet = station(&site).await;
    let id = cora.to_string();
    tablet.opens(&format!("/station?who={id}")).await;
    for _ in 0..5 {
        tablet
            .sends("/station", &[("who", &id), ("next", "/"), ("pin", "2581")])
            .await
            .refused(
                StatusCode::UNPROCESSABLE_ENTITY,
                "That is not the PIN of Cora Pell",
            );
        assert!(!tablet.last.contains("2581"), "a PIN is never shown again");
    }
    tablet
        .sends("/station", &[("who", &id), ("next", "/"), ("pin", "2580")])
        .await
        .refused(StatusCode::TOO_MANY_REQUESTS, "Please wait 15 minutes");
    assert_eq!(
        site.count("select count(*) from stations where picked_id is not null")
            .await,
        0
    );
}

#[tokio::test]
async fn a_restart_of_the_mill_gives_no_new_tries_at_a_pin() {
    let site = TestSite::with_season().await;
    let (cora, _) = site.person("Cora Pell", Role::Crew).await;
    with_pin(&site, cora).await;
    let mut tablet = station(&site).await;
    let id = cora.to_string();
    let tries = |pin: &'static str| {
        [
            ("who", id.clone()),
            ("next", "/".to_owned()),
            ("pin", pin.to_owned()),
        ]
    };
    tablet.opens(&format!("/station?who={id}")).await;
    for n in 0..7 {
        // Each is another start of the program on the same file.
        let mut started = site.stranger_at(AT.plus(n * 60));
        started.cookie.clone_from(&tablet.cookie);
        started.opens(&format!("/station?who={id}")).await;
        let sent = tries(if n < 5 { "2581" } else { "2580" });
        let sent: Vec<(&str, &str)> = sent.iter().map(|(k, v)| (*k, v.as_str())).collect();
        let answer = started.sends("/station", &sent).await;
        if n < 5 {
            answer.refused(StatusCode::UNPROCESSABLE_ENTITY, "That is not the PIN");
        } else {
            answer.refused(StatusCode::TOO_MANY_REQUESTS, "Please wait");
        }
    }
    // Fifteen minutes after the first there is a try again, and the right one forgets the wrong ones.
    let mut started = site.stranger_at(AT.plus(15 * 60));
    started.cookie.clone_from(&tablet.cookie);
    started.opens(&format!("/station?who={id}")).await;
    let sent = [("who", id.as_str()), ("next", "/"), ("pin", "2580")];
    started.sends("/station", &sent).await.taken();
    assert_eq!(site.count("select count(*) from pin_tries").await, 0);
}

#[tokio::test]
async fn thirty_wrong_pins_of_several_people_shut_the_station_for_everybody() {
    let site = TestSite::with_season().await;
    let mut tablet = station(&site).await;
    let mut ids = Vec::new();
    for n in 0..7 {
        let (id, _) = site.person(&format!("Hand {n}"), Role::Crew).await;
        with_pin(&site, id).await;
        ids.push(id.to_string());
    }
    tablet.opens(&format!("/station?who={}", ids[0])).await;
    for n in 0..30 {
        let who = &ids[n / 5];
        tablet
            .sends("/station", &[("who", who), ("next", "/"), ("pin", "1")])
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, "That is not the PIN");
    }
    // Nobody has tried for this one yet.
    tablet
        .sends(
            "/station",
            &[("who", &ids[6]), ("next", "/"), ("pin", "2580")],
        )
        .await
        .refused(StatusCode::TOO_MANY_REQUESTS, "Please wait");
}

#[tokio::test]
async fn whoever_is_picked_stays_ten_minutes_without_use_and_no_longer() {
    let site = TestSite::with_season().await;
    let (cora, _) = site.person("Cora Pell", Role::Crew).await;
    with_pin(&site, cora).await;
    let mut tablet = station(&site).await;
    tablet
        .opens("/station")
        .await
        .says("You stay picked for 10 minutes without use.");
    picks(&mut tablet, cora).await;
    let mut later = site.stranger_at(AT.plus(9 * 60 + 59));
    later.cookie.clone_from(&tablet.cookie);
    // The board renews itself: that is no use.
    later.opens("/days/2026-09-19/board").await.says("pressed");
    let mut too_late = site.stranger_at(AT.plus(10 * 60));
    too_late.cookie.clone_from(&tablet.cookie);
    let to = too_late.opens("/days/2026-09-19").await.to;
    assert_eq!(to, "/station?next=/days/2026-09-19");
    // A form that was open meanwhile is not taken in anybody's name.
    too_late.opens(&format!("/station?who={cora}")).await;
    too_late
        .sends("/days/2026-09-19/tickets/new", &[])
        .await
        .refused(StatusCode::UNAUTHORIZED, "Nobody is picked at the station");
}

#[tokio::test]
async fn a_change_of_hands_is_two_taps_and_the_pin_and_leads_back_to_the_page() {
    let site = TestSite::with_season().await;
    let (cora, _) = site.person("Cora Pell", Role::Crew).await;
    let (ida, _) = site.person("Ida Moss", Role::Crew).await;
    for who in [cora, ida] {
        with_pin(&site, who).await;
    }
    let mut tablet = station(&site).await;
    picks(&mut tablet, cora).await;
    // Tap one stands on every page, tap two is a name.
    tablet
        .opens("/days")
        .await
        .says("<a href=\"/station\">Change hands</a>");
    let page = tablet.opens("/station?next=/days").await;
    page.says(&format!("/station?who={ida}&#38;next=/days"));
    let id = ida.to_string();
    tablet
        .opens(&format!("/station?who={ida}&next=/days"))
        .await;
    let answer = tablet
        .sends(
            "/station",
            &[("who", &id), ("next", "/days"), ("pin", "2580")],
        )
        .await;
    assert_eq!(answer.taken(), "/days");
    tablet
        .opens("/days")
        .await
        .says("<strong><bdi>Ida Moss</bdi></strong> stands here");
    tablet.opens("/station").await;
    assert_eq!(tablet.sends("/station/done", &[]).await.taken(), "/station");
    tablet.opens("/station").await.says("nobody is picked");
}

#[tokio::test]
async fn a_station_that_a_steward_signs_out_may_do_nothing_more() {
    let site = TestSite::with_season().await;
    let (cora, mut crew) = site.person("Cora Pell", Role::Crew).await;
    with_pin(&site, cora).await;
    let mut tablet = station(&site).await;
    picks(&mut tablet, cora).await;
    let mut ruth = site.browser(site.steward).await;
    let id = site.text("select id from stations").await;
    let end = format!("/mill/stations/{id}/sign-out");
    crew.opens("/days").await;
    crew.sends(&end, &[])
        .await
        .refused(StatusCode::FORBIDDEN, "for the crew or the stewards");
    ruth.opens("/mill/stations").await.says("Scale house");
    assert_eq!(ruth.sends(&end, &[]).await.taken(), "/mill/stations");
    assert!(
        tablet
            .opens("/days/2026-09-19")
            .await
            .to
            .starts_with("/sign-in"),
        "the tablet is nobody's any more"
    );
    assert_eq!(tablet.opens("/station").await.status, StatusCode::NOT_FOUND);
    ruth.opens("/mill/stations").await;
    ruth.sends(&end, &[("again", "1")])
        .await
        .refused(StatusCode::CONFLICT, "signed out already");
}

#[tokio::test]
async fn signing_a_station_in_signs_the_steward_out_on_that_tablet_and_two_names_are_never_alike() {
    let site = TestSite::new().await;
    let tablet = station(&site).await;
    assert!(tablet.cookie.contains("canewright="));
    assert_eq!(site.count("select count(*) from sessions").await, 0);
    let mut ruth = site.browser(site.steward).await;
    ruth.fills("/mill/stations", &[("name", "Scale house")])
        .await
        .refused(StatusCode::CONFLICT, "is signed in already");
    ruth.sends("/mill/stations", &[("name", " ")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box");
}

#[tokio::test]
async fn a_pin_is_set_by_oneself_or_by_a_steward_for_the_crew_only_and_is_kept_hashed() {
    let site = TestSite::new().await;
    let (cora, mut crew) = site.person("Cora Pell", Role::Crew).await;
    let (ida, _) = site.person("Ida Moss", Role::Crew).await;
    let (amos, mut member) = site.person("Amos Trout", Role::Member).await;
    let of = |id: MemberId| format!("/members/{id}/pin");
    crew.opens(&format!("/members/{cora}"))
        .await
        .says("PIN for the mill’s station");
    crew.fills(&of(cora), &[("pin", "0000")]).await.refused(
        StatusCode::UNPROCESSABLE_ENTITY,
        "one of the first that anybody would try",
    );
    let to = crew.sends(&of(cora), &[("pin", "2580")]).await;
    assert_eq!(to.taken(), format!("/members/{cora}"));
    assert_eq!(crew.opens(&of(ida)).await.status, StatusCode::FORBIDDEN);
    let mut ruth = site.browser(site.steward).await;
    ruth.fills(&of(ida), &[("pin", "8520")]).await.taken();
    member
        .fills(&of(amos), &[("pin", "8520")])
        .await
        .refused(StatusCode::CONFLICT, "Only the crew and the stewards");
    assert_eq!(
        site.count(
            "select count(*) from station_pins where pin_hash like '$argon2id$v=19$m=19456,t=2,p=1$%'"
        )
        .await,
        2
    );
    let typed = site
        .count("select count(*) from form_keys where boxes like '%2580%' or boxes like '%8520%'")
        .await;
    assert_eq!(typed, 0, "a PIN is kept with no form");
}
