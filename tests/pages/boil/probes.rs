use crate::boil::boils::{Pan, pan};
use crate::boil::live::set_up_pan;
use crate::site::{AT, Answer, Browser};
use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use canewright::actions::Act;
use canewright::actions::boil::boils::{self, NewBoil, NewReading};
use canewright::calc::boil::fire::on_fire::{By, Reading};
use canewright::calc::boil::probes::MOVED_C;
use canewright::facts::boil::boils::Boil;
use canewright::store::boil::boils as boil_store;
use canewright::units::{BrixRead, Celsius, FormKey, LotCode, MemberId, Role, Units, UtcSecond};
use http_body_util::BodyExt;
use tower::ServiceExt;

#[path = "probe_doubts.rs"]
mod doubts;

const SEND: &str = "/probe/readings";
const KETTLE: &[(&str, &str)] = &[("pan_name", "Kettle"), ("least", "5"), ("most", "25")];

/// A mill with a flat pan, a kettle, and a probe in the flat pan.
struct Mill {
    pan: Pan,
    ruth: Browser,
    token: String,
    probe: String,
    member: MemberId,
}

/// Lets a probe into a pan; gives its token.
async fn make_token(pan: &Pan, ruth: &mut Browser, of: &'static str) -> String {
    let id = pan.site.text(of).await;
    let form = format!("/mill/pans/{id}/probes/new");
    let answer = ruth.fills(&form, &[("probe_name", "by the spout")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    shown_token(&answer)
}

fn shown_token(answer: &Answer) -> String {
    let (_, rest) = answer.body.split_once("<p class=\"code\">").unwrap();
    let token = rest.split('<').next().unwrap().to_owned();
    assert_eq!(token.len(), 32, "{token}");
    token
}

const FLAT: &str = "select id from pans where name = 'Flat pan'";

async fn mill() -> Mill {
    let pan = pan().await;
    set_up_pan(&pan, &[]).await;
    set_up_pan(&pan, KETTLE).await;
    let (member, _) = pan.site.person("Amos Trout", Role::Member).await;
    let mut ruth = pan.site.browser(pan.site.steward).await;
    let token = make_token(&pan, &mut ruth, FLAT).await;
    let probe = pan.site.text("select id from probes").await;
    Mill {
        probe: format!("/mill/probes/{probe}"),
        pan,
        ruth,
        token,
        member,
    }
}

impl Mill {
    /// Lights a boil in the flat pan so many seconds ago; gives its page.
    async fn light(&self, seconds_ago: i64) -> String {
        let at = AT.plus(-seconds_ago);
        let juices = [
            self.pan.juice(self.member, 15.0, 200, 0).await,
            self.pan.juice(self.member, 16.5, 200, 1).await,
        ];
        let new = NewBoil {
            day: self.pan.day,
            solo: None,
            pan: None,
            charge_known: false,
            water_boil: Some(Celsius::parse("211", Units::Us).unwrap()),
            juices: juices.into_iter().map(|j| (j, None)).collect(),
            lit_at: None,
            tested: true,
            note: String::new(),
            units: Units::Us,
        };
        let act = Act {
            at,
            form: FormKey::new(self.pan.site.ids.next(at)).into(),
            ..self.pan.site.act()
        };
        boils::light(&act, new).await.unwrap();
        let lot = self.pan.site.text("select lot_code from boils").await;
        format!("/boils/{lot}")
    }

    /// Sends as a probe would: with a token and nothing else of a browser's.
    async fn sends(&self, token: &str, body: impl Into<Body>) -> Answer {
        let request = Request::builder()
            .method(Method::POST)
            .uri(SEND)
            .header(header::HOST, "mill.test")
            .header(header::AUTHORIZATION, format!("Bearer {token}"))
            .body(body.into())
            .unwrap();
        self.asks(request).await
    }

    async fn asks(&self, request: Request<Body>) -> Answer {
        let response = self.pan.site.router.clone().oneshot(request).await.unwrap();
        let (status, headers) = (response.status(), response.headers().clone());
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        assert!(!headers.contains_key(header::SET_COOKIE));
        assert_eq!(headers["content-type"], "text/plain; charset=utf-8");
        Answer {
            status,
            to: String::new(),
            body: String::from_utf8(bytes.to_vec()).unwrap(),
            cookies: Vec::new(),
            headers,
        }
    }

    /// Sends what is taken, and says what the answer is.
    async fn says(&self, body: &str) -> String {
        let answer = self.sends(&self.token, body.to_owned()).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
        answer.body
    }

    async fn kept(&self) -> i64 {
        let count = "select count(*) from probe_readings";
        self.pan.site.count(count).await
    }

    /// Ruth's browser so many seconds later.
    fn later(&self, seconds: i64) -> Browser {
        let mut browser = self.pan.site.stranger_at(AT.plus(seconds));
        browser.cookie.clone_from(&self.ruth.cookie);
        browser
    }
}

#[tokio::test]
async fn a_steward_lets_a_probe_in_and_its_token_is_shown_once() {
    let mut mill = mill().await;
    // Only the hash is kept, and no page shows the token again.
    let hash = "select token_hash from probes";
    assert_ne!(mill.pan.site.text(hash).await, mill.token);
    assert_eq!(mill.pan.site.text(hash).await.len(), 64);
    for page in ["/mill/pans", &mill.probe.clone()] {
        let answer = mill.ruth.opens(page).await;
        answer
            .says("by the spout")
            .says("was never heard")
            .says("Revoke its token");
        assert!(!answer.body.contains(&mill.token), "{page}");
    }
    // The same form sent twice makes one probe, and the second answer has no token.
    let id = mill
        .pan
        .site
        .text("select id from pans where name = 'Kettle'")
        .await;
    let form = format!("/mill/pans/{id}/probes/new");
    let name = [("probe_name", "Dial <b>2</b>")];
    let first = mill.ruth.fills(&form, &name).await;
    let (key, token) = {
        mill.ruth.opens(&form).await;
        (mill.ruth.hidden("form_key"), mill.ruth.hidden("token"))
    };
    assert_eq!(first.status, StatusCode::OK);
    let second = [("probe_name", "Dial 3")];
    let made = mill.ruth.sends_keyed(&form, &second, &key, &token).await;
    shown_token(&made);
    let again = mill.ruth.sends_keyed(&form, &second, &key, &token).await;
    assert!(again.taken().starts_with("/mill/probes/"));
    assert_eq!(mill.pan.site.count("select count(*) from probes").await, 3);
    mill.ruth
        .fills(&form, &second)
        .await
        .refused(StatusCode::CONFLICT, "There is a probe called");
    mill.ruth
        .fills(&form, &[("probe_name", " ")])
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "Please fill in this box");
}

#[tokio::test]
async fn crew_see_a_probe_but_neither_let_one_in_nor_change_it() {
    let mut mill = mill().await;
    let id = mill.pan.site.text(FLAT).await;
    let crew = &mut mill.pan.crew;
    let pans = crew.opens("/mill/pans").await;
    pans.says("by the spout");
    assert!(!pans.body.contains("Revoke") && !pans.body.contains("probes/new"));
    let page = crew.opens(&mill.probe).await;
    page.says("was never heard");
    assert!(!page.body.contains("It stands in boiling water"));
    for path in [
        format!("/mill/pans/{id}/probes/new"),
        format!("{}/revoke", mill.probe),
        format!("{}/boiling-water", mill.probe),
    ] {
        crew.opens("/mill/pans").await;
        crew.sends(&path, &[("probe_name", "x")])
            .await
            .refused(StatusCode::FORBIDDEN, "Not for your role");
    }
    assert_eq!(mill.pan.site.count("select count(*) from probes").await, 1);
}

#[tokio::test]
async fn json_forms_and_batches_are_taken_while_a_boil_is_lit_and_the_page_shows_them_live() {
    let mut mill = mill().await;
    let page = mill.light(600).await;
    assert_eq!(
        mill.says(r#"{"celsius": 99.0, "age_s": 90}"#).await,
        "taken 1\n"
    );
    assert_eq!(mill.says("celsius=99.4&age_s=75").await, "taken 1\n");
    let batch = r#"{"readings":[{"celsius":108.0,"age_s":12},{"celsius":99.5,"age_s":60},
        {"celsius":99.6,"age_s":50},{"celsius":88,"age_s":601}]}"#;
    assert_eq!(
        mill.says(batch).await,
        "taken 3; not kept 1: no boil was lit in Flat pan then\n"
    );
    // 99.6 ten seconds after 99.5 says nothing new.
    let kept = "select group_concat(celsius || '@' || (1789822800 - at), ' ') from
                (select * from probe_readings order by at)";
    assert_eq!(
        mill.pan.site.text(kept).await,
        "99.0@90 99.4@75 99.5@60 108.0@12"
    );
    // 108.0 °C are 226.4 °F.
    for address in [page.clone(), format!("{page}/live")] {
        mill.pan
            .crew
            .opens(&address)
            .await
            .says("Probe by the spout: 226.4 °F, 12 s ago")
            .says("Its offset is not learned");
    }
    mill.pan
        .crew
        .opens(&page)
        .await
        .says("Probe by the spout: 4 readings, the last 226.4 °F at 07:59")
        .says("Nobody noted one yet; what the probe sent stands below.");
    let mut later = mill.later(1_500);
    later
        .opens(&page)
        .await
        .says("Probe by the spout has not spoken since 07:59 (226.4 °F then)");
    later
        .opens("/mill/pans")
        .await
        .says("has not spoken since 07:59");
}

#[tokio::test]
async fn without_its_token_nothing_is_taken_whatever_else_is_sent() {
    let mut mill = mill().await;
    mill.light(600).await;
    let body = || Body::from("celsius=99");
    for token in ["", "0123456789abcdefghjkmnpqrstvwxyz", "é"] {
        let answer = mill.sends(token, body()).await;
        answer.refused(StatusCode::UNAUTHORIZED, "this token is not known here");
        assert_eq!(answer.headers["www-authenticate"], "Bearer");
    }
    // A steward's cookie and a form of the site open nothing here; nor does another word before the token.
    mill.ruth.opens("/mill/pans").await;
    let with_cookie = mill.ruth.sends(SEND, &[("celsius", "99")]).await;
    with_cookie.refused(StatusCode::UNAUTHORIZED, "not taken");
    let basic = Request::builder()
        .method(Method::POST)
        .uri(SEND)
        .header(header::AUTHORIZATION, format!("Basic {}", mill.token))
        .body(body())
        .unwrap();
    mill.asks(basic)
        .await
        .refused(StatusCode::UNAUTHORIZED, "not taken");
    assert_eq!(mill.kept().await, 0);
    // Revoked by a tap, it is not taken any more.
    assert_eq!(mill.says("celsius=99").await, "taken 1\n");
    mill.ruth.opens("/mill/pans").await;
    let revoke = format!("{}/revoke", mill.probe);
    mill.ruth.sends(&revoke, &[]).await.taken();
    mill.sends(&mill.token, body())
        .await
        .refused(StatusCode::UNAUTHORIZED, "was revoked");
    assert_eq!(mill.kept().await, 1);
    mill.ruth.opens("/mill/pans").await.says("revoked");
    mill.ruth
        .opens(&mill.probe)
        .await
        .says("Nothing is taken from it any more");
}

#[tokio::test]
async fn a_probe_writes_for_its_own_pan_only_and_only_while_a_boil_is_lit_in_it() {
    let mut mill = mill().await;
    assert_eq!(
        mill.says("celsius=99").await,
        "not kept: no boil is lit in Flat pan\n"
    );
    let kettle = "select id from pans where name = 'Kettle'";
    let other = make_token(&mill.pan, &mut mill.ruth, kettle).await;
    let page = mill.light(600).await;
    let answer = mill.sends(&other, "celsius=99").await;
    answer.refused(StatusCode::OK, "not kept: no boil is lit in Kettle");
    assert_eq!(mill.kept().await, 0);
    // Heard it was, all the same; the boil's page shows only the probe of its own pan.
    mill.ruth
        .opens("/mill/pans")
        .await
        .says("210.2 °F, 0 s ago");
    assert_eq!(mill.says("celsius=98").await, "taken 1\n");
    let shown = mill.ruth.opens(&page).await;
    shown.says("Probe by the spout: 208.4 °F, 0 s ago");
    assert_eq!(shown.body.matches("Probe by the spout:").count(), 2);
    // After the finish, what was read before it is still taken, and nothing of later.
    mill.pan
        .finish(&page, &[("finished_at", "7:58")])
        .await
        .taken();
    let late = r#"{"readings":[{"celsius":97,"age_s":300},{"celsius":90,"age_s":1}]}"#;
    assert_eq!(
        mill.says(late).await,
        "taken 1; not kept 1: no boil was lit in Flat pan then\n"
    );
    let shown = mill.ruth.opens(&page).await;
    shown.says("Probe by the spout: 2 readings, the last");
    assert!(!shown.body.contains("s ago"));
}

#[tokio::test]
async fn what_is_sent_twice_is_kept_once() {
    let mill = mill().await;
    mill.light(600).await;
    let batch = |shift: i64| {
        let readings: Vec<String> = (0..40_i64)
            .map(|n| {
                let tenths = 990 + 2 * n;
                let age = 500 - 12 * n + shift;
                format!(
                    "{{\"celsius\":{}.{},\"age_s\":{age}}}",
                    tenths / 10,
                    tenths % 10
                )
            })
            .collect();
        format!("{{\"readings\":[{}]}}", readings.join(","))
    };
    assert_eq!(mill.says(&batch(0)).await, "taken 40\n");
    let kept = mill.kept().await;
    assert!((20..=40).contains(&kept), "{kept}");
    // The answer was lost, so it comes again, and once more with ages rounded the other way.
    for shift in [0, 1, -1] {
        assert_eq!(mill.says(&batch(shift)).await, "taken 40\n");
    }
    assert_eq!(mill.kept().await, kept);
    // The same instant with another figure: the first stays.
    assert_eq!(mill.says("celsius=120&age_s=500").await, "taken 1\n");
    assert_eq!(mill.kept().await, kept);
}

#[tokio::test]
async fn a_probe_that_sends_too_often_waits_and_no_other_with_it() {
    let mut mill = mill().await;
    let kettle = "select id from pans where name = 'Kettle'";
    let other = make_token(&mill.pan, &mut mill.ruth, kettle).await;
    for _ in 0..30 {
        mill.says("celsius=99").await;
    }
    let answer = mill.sends(&mill.token, "celsius=99").await;
    answer.refused(StatusCode::TOO_MANY_REQUESTS, "Wait 60 seconds");
    assert_eq!(answer.headers["retry-after"], "60");
    let answer = mill.sends(&other, "celsius=99").await;
    assert_eq!(answer.status, StatusCode::OK);
    // Whoever guesses tokens is slowed down as well, and keeps nobody from signing in.
    for _ in 0..30 {
        mill.sends("guess", "celsius=99")
            .await
            .refused(StatusCode::UNAUTHORIZED, "not taken");
    }
    mill.sends("guess", "celsius=99")
        .await
        .refused(StatusCode::TOO_MANY_REQUESTS, "too often");
    let answer = mill.sends(&other, "celsius=99").await;
    assert_eq!(answer.status, StatusCode::OK);
    let mut stranger = mill.pan.site.stranger();
    let wrong = [("sign_in", "ruth"), ("passphrase", "not this one at all")];
    let answer = stranger.fills("/sign-in", &wrong).await;
    assert_ne!(answer.status, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn what_is_no_reading_is_said_in_plain_words() {
    let mill = mill().await;
    mill.light(600).await;
    let answer = |body: String| mill.sends(&mill.token, body);
    for body in [
        "",
        "{}",
        "celsius=hot",
        "{\"celsius\": 1e999}",
        "\u{0}\u{1}",
    ] {
        answer(body.to_owned()).await.refused(
            StatusCode::BAD_REQUEST,
            "not understood. Send {\"celsius\": 108.4}",
        );
    }
    for (body, words) in [
        ("celsius=950", "950 is not a temperature from -40 to 200 °C"),
        ("celsius=NaN", "NaN is not a temperature"),
        (
            "celsius=99&age_s=-5",
            "-5 is not an age from 0 to 43200 seconds",
        ),
    ] {
        answer(body.to_owned())
            .await
            .refused(StatusCode::UNPROCESSABLE_ENTITY, words);
    }
    answer("celsius=99&".repeat(1001))
        .await
        .refused(StatusCode::PAYLOAD_TOO_LARGE, "at most 1000 readings");
    answer(" ".repeat(70_000))
        .await
        .refused(StatusCode::PAYLOAD_TOO_LARGE, "too much at once");
    assert_eq!(mill.kept().await, 0);
    // One broken figure does not hold up the others.
    assert_eq!(
        mill.says(r#"{"readings":[{"celsius":-127},{"celsius":99}]}"#)
            .await,
        "taken 1; left out 1: -127 is not a temperature from -40 to 200 °C\n"
    );
}

#[tokio::test]
async fn in_boiling_water_the_offset_is_learned_and_taken_off_from_then_on() {
    let mut mill = mill().await;
    let water = format!("{}/boiling-water", mill.probe);
    // Nothing was heard: nobody knows what it shows.
    mill.ruth.opens(&mill.probe).await;
    mill.ruth
        .sends(&water, &[])
        .await
        .refused(StatusCode::CONFLICT, "has not spoken for 60 seconds");
    // Nobody read boiling water that morning: at 180 m it boils at 99.4 °C, 210.9 °F (US Standard
    // Atmosphere 1976 and IAPWS-IF97).
    mill.says("celsius=92").await;
    mill.ruth.opens(&mill.probe).await.says("197.6 °F, 0 s ago");
    mill.ruth
        .sends(&water, &[])
        .await
        .refused(StatusCode::CONFLICT, "water boils at 210.9 °F today");
    let mut later = mill.later(30);
    let probe = mill.pan.site.text("select id from probes").await;
    let take = async |seconds: i64, celsius: f64| {
        let id = canewright::units::ProbeId::parse(&probe).unwrap();
        let read = canewright::calc::boil::probes::TempAt {
            at: AT.plus(seconds),
            temp: Celsius::new(celsius).unwrap(),
        };
        let writer = &mill.pan.site.writer;
        canewright::actions::boil::probes::take(writer, AT.plus(seconds), id, &[read])
            .await
            .unwrap();
    };
    take(20, 99.9).await;
    later.opens(&mill.probe).await;
    later.sends(&water, &[]).await.taken();
    later
        .opens(&mill.probe)
        .await
        .says("In boiling water it showed 0.9 °F more than the 210.9 °F where water boiled")
        .says("(by the mill’s height)")
        .says("210.9 °F, 10 s ago");
    later.opens("/mill/pans").await.says("+0.9 °F");
    // Its readings of a boil come with the offset taken off; what is kept is as it was sent.
    let page = mill.light(0).await;
    take(25, 108.5).await;
    later
        .opens(&page)
        .await
        .says("Probe by the spout: 226.4 °F, 5 s ago");
    let raw = "select celsius || '' from probe_readings";
    assert_eq!(mill.pan.site.text(raw).await, "108.5");
    // While a boil is lit, what it shows is syrup.
    later.opens(&mill.probe).await;
    later
        .sends(&water, &[])
        .await
        .refused(StatusCode::CONFLICT, "A boil is lit in Flat pan");
    assert_eq!(
        mill.pan
            .site
            .count("select count(*) from probe_offsets")
            .await,
        1
    );
}

#[tokio::test]
async fn readings_of_a_probe_and_of_a_hand_are_told_apart() {
    let mut mill = mill().await;
    let page = mill.light(600).await;
    mill.says("celsius=99&age_s=100").await;
    let alone = mill.pan.crew.opens(&page).await;
    alone
        .says("Nobody noted one yet; what the probe sent stands below")
        .says(" Probe: 210.2 °F at ");
    assert!(!alone.body.contains("No reading yet") && !alone.body.contains("0 readings"));
    let lot = LotCode::nth(2026, 1).unwrap();
    assert!(page.ends_with(lot.as_str()));
    let by_hand = NewReading {
        read_at: AT.plus(-60),
        temp: Celsius::new(99.5).ok(),
        brix: BrixRead::new(21.0).ok(),
        note: String::new(),
        replaces: None,
        units: Units::Us,
    };
    boils::read(&mill.pan.site.act(), &lot, by_hand)
        .await
        .unwrap();
    mill.says("celsius=100&age_s=20").await;
    let mut db = mill.pan.site.reader.snapshot().await.unwrap();
    let all = readings(&mut db, &lot).await;
    let told: Vec<(By, bool)> = all.iter().map(|r| (r.by, r.brix.is_some())).collect();
    assert_eq!(
        told,
        [(By::Probe, false), (By::Hand, true), (By::Probe, false)]
    );
    assert_eq!(
        mill.pan
            .site
            .count("select count(*) from boil_readings")
            .await,
        1
    );
}

/// All readings of a boil, as its watch takes them.
async fn readings(db: &mut canewright::store::Conn, lot: &LotCode) -> Vec<Reading> {
    let row = boil_store::find(lot).ask(db).await.unwrap().unwrap();
    Boil::read(db, row).await.unwrap().readings_for_watch()
}

/// A simulated probe: heating to the boil, then rising ever faster as an open pan does, read every five
/// seconds for an hour with a little unrest, sent in batches after outages of ten minutes.
#[tokio::test]
async fn a_whole_boil_of_a_simulated_probe_is_thinned_and_still_tells_its_curve() {
    let mill = mill().await;
    mill.light(3600).await;
    let shows = |s: i64| {
        #[expect(clippy::cast_precision_loss, reason = "an hour")]
        let s = s as f64;
        let heated = 99.4 - 75.0 * (-s / 300.0).exp();
        let risen = 0.6 * (s / 3600.0) + 10.0 * (s / 3600.0).powi(6);
        heated + risen + 0.05 * (s / 7.0).sin()
    };
    for from in (0..3600).step_by(600) {
        let readings: Vec<String> = (from..from + 600)
            .step_by(5)
            .map(|s| format!("{{\"celsius\":{:.2},\"age_s\":{}}}", shows(s), 3600 - s))
            .collect();
        let body = format!("{{\"readings\":[{}]}}", readings.join(","));
        assert_eq!(mill.says(&body).await, "taken 120\n");
    }
    let mut db = mill.pan.site.reader.snapshot().await.unwrap();
    let lot = LotCode::parse(&mill.pan.site.text("select lot_code from boils").await).unwrap();
    let kept: Vec<(UtcSecond, Celsius)> = readings(&mut db, &lot)
        .await
        .iter()
        .filter_map(|r| Some((r.at, r.temp?)))
        .collect();
    assert!((240..480).contains(&kept.len()), "{} of 720", kept.len());
    let lit = AT.plus(-3600);
    for s in (0..3600).step_by(5) {
        let at: UtcSecond = lit.plus(s);
        let near = kept.iter().any(|(t, temp)| {
            (t.get() - at.get()).abs() < 15 && (temp.get() - shows(s)).abs() < MOVED_C + 0.01
        });
        assert!(near, "nothing tells of second {s}");
    }
}
