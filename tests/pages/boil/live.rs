use crate::boil::boils::{Pan, pan};
use crate::site::{AT, Browser};
use axum::http::StatusCode;
use canewright::actions::Act;
use canewright::actions::boil::boils::{self, NewBoil, NewReading};
use canewright::calc::boil::fire::on_fire::QUIETED;
use canewright::calc::physics::elevation::{Factor, rise};
use canewright::units::{
    BrixAt20C, BrixRead, Celsius, FormKey, JuiceId, LotCode, MemberId, Role, Units, UtcSecond,
};

#[path = "draw_off.rs"]
mod draw_off;

const FLAT_PAN: &[(&str, &str)] = &[
    ("pan_name", "Flat pan"),
    ("pan_area", "24"),
    ("least", "30"),
    ("most", "130"),
    ("pan_rate", "1.0"),
    ("fuel", "red_oak"),
    ("efficiency", ""),
];

/// Sets a pan up: 24 sq ft that drive off 1 gal a sq ft an hour, 90.85 kg.
pub async fn set_up_pan(pan: &Pan, other: &[(&str, &str)]) {
    let mut ruth = pan.site.browser(pan.site.steward).await;
    let mut fields: Vec<(&str, &str)> = FLAT_PAN
        .iter()
        .copied()
        .filter(|(name, _)| other.iter().all(|(o, _)| o != name))
        .collect();
    fields.extend_from_slice(other);
    ruth.fills("/mill/pans/new", &fields).await.taken();
}

/// The steward's hand, so many minutes before the page is looked at.
fn act(pan: &Pan, minutes_ago: i64) -> Act {
    let at = AT.plus(-60 * minutes_ago);
    Act {
        at,
        form: FormKey::new(pan.site.ids.next(at)).into(),
        ..pan.site.act()
    }
}

/// A boil under way, lit so many minutes ago: 154,222 g of juice with 24,290 g of solids in it.
pub struct Watched {
    pub pan: Pan,
    lot: LotCode,
    pub page: String,
    amos: MemberId,
    pub member: Browser,
}

pub async fn lit(minutes_ago: i64) -> Watched {
    let pan = pan().await;
    let (amos, member) = pan.site.person("Amos Trout", Role::Member).await;
    let (bea, _) = pan.site.person("Bea Lund", Role::Member).await;
    let juices: Vec<JuiceId> = vec![
        pan.juice(amos, 15.0, 200, 0).await,
        pan.juice(bea, 16.5, 200, 1).await,
    ];
    let new = NewBoil {
        day: pan.day,
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
    boils::light(&act(&pan, minutes_ago), new).await.unwrap();
    let lot = LotCode::nth(2026, 1).unwrap();
    Watched {
        page: format!("/boils/{}", lot.as_str()),
        pan,
        lot,
        amos,
        member,
    }
}

impl Watched {
    pub async fn read(&self, minutes_ago: i64, temp: Option<Celsius>, brix: Option<f64>) {
        let new = NewReading {
            read_at: AT.plus(-60 * minutes_ago),
            temp,
            brix: brix.map(|b| BrixRead::new(b).unwrap()),
            note: String::new(),
            replaces: None,
            units: Units::Us,
        };
        boils::read(&act(&self.pan, minutes_ago), &self.lot, new)
            .await
            .unwrap();
    }

    /// A remark alone, so many minutes ago.
    pub async fn remarks(&self, minutes_ago: i64, note: &str) {
        let new = NewReading {
            read_at: AT.plus(-60 * minutes_ago),
            temp: None,
            brix: None,
            note: note.to_owned(),
            replaces: None,
            units: Units::Us,
        };
        boils::read(&act(&self.pan, minutes_ago), &self.lot, new)
            .await
            .unwrap();
    }

    /// Readings every ten minutes of a boil that came to the boil 70 minutes ago and drives off
    /// 90.85 kg an hour: 1.514 kg a minute out of 154.222 kg.
    async fn boils_for(&self, minutes: i64) {
        self.read(80, Celsius::new(70.0).ok(), None).await;
        for after in (0..=minutes).step_by(10) {
            self.at_boil(after, 70 - after).await;
        }
    }

    /// What the thermometer shows so many minutes after it came to the boil, read so many minutes ago.
    pub async fn at_boil(&self, after: i64, minutes_ago: i64) {
        let water = Celsius::parse("211", Units::Us).unwrap();
        #[expect(clippy::cast_precision_loss, reason = "minutes of one boil")]
        let left_kg = 154.222 - 1.514 * after as f64;
        let brix = BrixAt20C::new(100.0 * 24.290 / left_kg).unwrap();
        let above = rise(brix, water, Factor::DEFAULT).get();
        let temp = Celsius::new(water.get() + above).unwrap();
        self.read(minutes_ago, Some(temp), None).await;
    }

    pub async fn shows(&mut self) -> crate::site::Answer {
        self.pan.crew.opens(&self.page).await
    }

    async fn readings(&self) -> i64 {
        let count = "select count(*) from boil_readings";
        self.pan.site.count(count).await
    }
}

#[tokio::test]
async fn without_a_pan_the_page_says_what_to_set_up_and_the_finish_stands_all_the_same() {
    let mut boil = lit(20).await;
    boil.shows()
        .await
        .says("Draw off at</dt><dd class=\"big\">227.2 °F<")
        .says("see that a pan is set up")
        .says("href=\"/mill/pans\"")
        .says("<svg");
}

#[tokio::test]
async fn before_it_boils_and_just_after_nothing_is_promised() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.shows()
        .await
        .says("No reading since 06:20:")
        .says("<strong>Draw the fire, then check");
    boil.read(80, Celsius::new(70.0).ok(), None).await;
    boil.read(2, Celsius::parse("211.2", Units::Us).ok(), None)
        .await;
    boil.shows().await.says("Too early to tell");
}

#[tokio::test]
async fn a_boil_on_its_way_says_where_it_is_and_when_it_is_done() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.boils_for(60).await;
    boil.read(5, None, Some(43.5)).await;
    // By the same sums: 24.29 of 55.81 kg is 43.5 °Bx five minutes ago; 31.14 kg at 78 °Bx are left
    // after 81.3 minutes of boiling, 11 from the moment of the page, 8:00.
    let page = boil.shows().await;
    page.says("now about")
        .says("four times in five between")
        .says("done about 08:1")
        .says("<polyline")
        .says("Factor K 1.10: the default")
        .says("Flat pan drives off 1.00 gal/sq ft/h, as set up")
        .says("aria-labelledby=\"chart-title chart-words\"")
        .says("The target is 227.2 °F ±");
    let (_, rest) = page.body.split_once("now about ").unwrap();
    let brix: f64 = rest.split(' ').next().unwrap().parse().unwrap();
    // Five minutes on: 24.29 of 48.2 kg.
    assert!((brix - 50.4).abs() < 4.0, "{brix}");
    page.says("of syrup (")
        .says("By other kinds")
        .says("from lighting the fire");
}

#[tokio::test]
async fn the_refractometer_calls_past_and_water_is_named_after_two_drops_off_the_fire() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.boils_for(60).await;
    let page = boil.page.clone();
    boil.read(5, None, Some(72.0)).await;
    boil.read(4, None, Some(74.5)).await;
    let near = boil.shows().await;
    assert!(!near.body.contains("Too early") && !near.body.contains("On its way"));
    boil.read(2, None, Some(81.0)).await;
    boil.shows()
        .await
        .says("One drop says it is past")
        .says("Draw the fire");
    boil.read(1, None, Some(81.2)).await;
    let twice = boil.shows().await;
    twice.says("Two drops say it is past");
    assert!(!twice.body.contains("clean hot water"));
    let drawn = [
        ("remark", "drawn"),
        ("temp", ""),
        ("brix", ""),
        ("note", ""),
    ];
    boil.pan.sends(&page, "readings", &drawn).await.taken();
    // 24.29 kg of solids: at 78 °Bx 31.141 kg, at 81.1 29.951: 1.190 kg of water is 2.6 lb.
    boil.shows()
        .await
        .says("from 81.1 back to 78 °Bx takes about 2.6 lb of clean hot water")
        .says("stand back");
}

#[tokio::test]
async fn a_figure_that_nobody_would_expect_is_read_back_before_it_counts() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.boils_for(60).await;
    boil.read(1, Celsius::parse("214", Units::Us).ok(), Some(45.0))
        .await;
    let page = boil.page.clone();
    let before = boil.readings().await;
    let typed = [("temp", "245.0"), ("brix", ""), ("note", "")];
    boil.pan
        .sends(&page, "readings", &typed)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "245.0, really?")
        .says("name=\"sure\" value=\"245.0\"");
    assert_eq!(boil.readings().await, before);
    // Two at once are confirmed by one answer.
    let both = [("temp", "245.0"), ("brix", "12.0"), ("note", "")];
    boil.pan
        .sends(&page, "readings", &both)
        .await
        .refused(StatusCode::UNPROCESSABLE_ENTITY, "245.0 and 12.0, really?");
    let sure = [both[0], both[1], both[2], ("sure", "245.0 and 12.0")];
    boil.pan.sends(&page, "readings", &sure).await.taken();
    assert_eq!(boil.readings().await, before + 1);
}

#[tokio::test]
async fn whoever_quiets_the_alarm_is_named_until_the_next_reading() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.boils_for(60).await;
    let page = boil.page.clone();
    let quiet = [
        ("remark", "quiet"),
        ("temp", ""),
        ("brix", ""),
        ("note", ""),
    ];
    boil.pan.sends(&page, "readings", &quiet).await.taken();
    boil.shows()
        .await
        .says("Quieted by")
        .says("data-quiet=\"yes\"");
}

#[tokio::test]
async fn a_graver_call_ends_a_quieting_and_the_same_call_does_not() {
    // Quieted four minutes ago and nothing read since. It is at 78 °Bx 81.3 minutes after it came to the boil, so
    // in these minutes the call changes from on its way to check.
    let (mut kept, mut ended) = (0, 0);
    for came_ago in [40, 60, 64, 68, 72, 76, 80] {
        let mut boil = lit(came_ago + 30).await;
        set_up_pan(&boil.pan, &[]).await;
        for ago in (6..=came_ago).rev().step_by(4) {
            boil.at_boil(came_ago - ago, ago).await;
        }
        let quieted = NewReading {
            read_at: AT.plus(-60 * 4),
            temp: None,
            brix: None,
            note: QUIETED.to_owned(),
            replaces: None,
            units: Units::Us,
        };
        boils::read(&act(&boil.pan, 4), &boil.lot, quieted)
            .await
            .unwrap();
        let page = boil.shows().await;
        if page.body.contains("Quieted by") {
            kept += 1;
        } else {
            ended += 1;
            assert!(came_ago > 50, "{came_ago}");
            page.says("refractometer");
        }
    }
    assert!(kept > 0 && ended > 0, "{kept} kept, {ended} ended");
}

#[tokio::test]
async fn one_mistyped_reading_is_left_out_and_named() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.boils_for(40).await;
    boil.read(20, Celsius::parse("235", Units::Us).ok(), None)
        .await;
    boil.read(10, Celsius::parse("213", Units::Us).ok(), None)
        .await;
    boil.shows()
        .await
        .says("The reading of 07:40 does not fit the others")
        .says("class=\"dot doubtful\"");
}

#[tokio::test]
async fn the_figures_come_by_themselves_for_those_who_may_see_the_boil() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.boils_for(60).await;
    let live = format!("{}/live", boil.page);
    let page = boil.shows().await;
    page.says(&format!("data-from=\"{live}\""))
        .says("/static/live-")
        .says("Renew the figures");
    let script = page.body.split("<script src=\"").nth(1).unwrap();
    let script = script.split('"').next().unwrap().to_owned();
    let served = boil.pan.crew.opens(&script).await;
    served.says("setInterval");
    assert_eq!(
        served.headers["content-type"],
        "text/javascript; charset=utf-8"
    );
    let part = boil.pan.crew.opens(&live).await;
    part.says("Draw off at").says("Time to go");
    assert!(!part.body.contains("<html") && !part.body.contains("<form"));
    boil.member
        .opens(&live)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    assert!(boil.amos.to_string().len() > 8);
    let (_, mut dora) = boil.pan.site.person("Dora Wick", Role::Member).await;
    dora.opens(&live)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    boil.pan
        .crew
        .opens("/boils/nothing/live")
        .await
        .refused(StatusCode::NOT_FOUND, "Nothing here");
    let page = boil.page.clone();
    boil.pan.finish(&page, &[]).await.taken();
    boil.pan
        .crew
        .opens(&live)
        .await
        .says("This boil is finished");
}

#[tokio::test]
async fn a_drop_is_asked_for_beside_the_time_of_the_next_reading_until_one_says_where_the_pan_is() {
    const ASKED: &str = "Next reading by 08:07, with the refractometer";
    const WHY: &str = "Nobody has learned this mill’s factor K yet";
    let mut boil = lit(52).await;
    set_up_pan(&boil.pan, &[]).await;
    for after in [0, 10, 20, 30] {
        boil.at_boil(after, 32 - after).await;
    }
    let page = boil.shows().await;
    page.says(ASKED).says(WHY);
    // The keys of a reading come first: a wet hand finds them without scrolling.
    let place = |words: &str| page.body.find(words).unwrap();
    assert!(place(ASKED) < place("One tap") && place("One tap") < place(WHY));
    // At 37.4 °Bx a minute ago there is nothing that another drop would tell.
    let mut boil = lit(80).await;
    set_up_pan(&boil.pan, &[]).await;
    for after in [0, 10, 20, 30, 40, 50] {
        boil.at_boil(after, 60 - after).await;
    }
    boil.read(1, None, Some(37.4)).await;
    let page = boil.shows().await;
    page.says("Next reading by");
    assert!(!page.body.contains(", with the refractometer"));
    assert!(!page.body.contains(WHY), "{}", page.body);
}

#[tokio::test]
async fn plus_and_minus_count_without_storing_and_keep_what_was_typed() {
    let mut boil = lit(100).await;
    let page = boil.page.clone();
    boil.read(30, Celsius::parse("213", Units::Us).ok(), Some(31.0))
        .await;
    let typed = [
        ("step", "temp+"),
        ("temp", "217,4"),
        ("brix", ""),
        ("note", "skimmed <b>twice</b>"),
    ];
    let answer = boil.pan.sends(&page, "readings", &typed).await;
    assert_eq!(answer.status, StatusCode::OK);
    answer
        .says("value=\"217.9\"")
        .says("skimmed &#60;b&#62;twice&#60;/b&#62;")
        .says("placeholder=\"213.0\"");
    let empty = [("step", "brix-"), ("temp", ""), ("brix", "")];
    boil.pan
        .sends(&page, "readings", &empty)
        .await
        .says("value=\"30.5\"");
    let wrong = [("step", "temp-"), ("temp", "hot"), ("note", "kept")];
    boil.pan
        .sends(&page, "readings", &wrong)
        .await
        .says("“hot” is not a number")
        .says("value=\"hot\"")
        .says("value=\"kept\"");
    assert_eq!(boil.readings().await, 1);
}

#[tokio::test]
async fn one_tap_notes_a_reading_of_this_moment_once() {
    let mut boil = lit(100).await;
    let page = boil.page.clone();
    boil.read(30, Celsius::parse("213", Units::Us).ok(), None)
        .await;
    boil.shows()
        .await
        .says("name=\"tap\" value=\"213.0\"")
        .says("name=\"tap\" value=\"214.5\"");
    let tap = [("tap", "214.0"), ("temp", ""), ("brix", "")];
    boil.pan.sends(&page, "readings", &tap).await.taken();
    let again = format!("{page}/readings");
    boil.pan.crew.sends(&again, &tap).await.taken();
    assert_eq!(boil.readings().await, 2);
    let at = "select count(*) from boil_readings where read_at = 1789822800 and temp_c > 101";
    assert_eq!(UtcSecond::new(1_789_822_800), AT);
    assert_eq!(boil.pan.site.count(at).await, 1);
    let odd = [("tap", "330"), ("temp", ""), ("brix", "")];
    boil.pan
        .sends(&page, "readings", &odd)
        .await
        .refused(StatusCode::CONFLICT, "No open pan shows 330.0 °F");
    boil.member.opens(&page).await;
    boil.member
        .sends(&again, &tap)
        .await
        .refused(StatusCode::FORBIDDEN, "Not for your role");
    assert_eq!(boil.readings().await, 2);
}

#[tokio::test]
async fn a_finished_boil_teaches_k_the_rate_and_the_recovery() {
    let mut boil = lit(100).await;
    set_up_pan(&boil.pan, &[]).await;
    boil.boils_for(60).await;
    let page = boil.page.clone();
    boil.pan.finish(&page, &[]).await.taken();
    let juice = boil.pan.juice(boil.amos, 15.0, 30, 0).await;
    let next = boil
        .pan
        .light(&[juice], &[("charge_known", "yes")])
        .await
        .taken()
        .to_owned();
    // 227 °F is 16.0 °F (8.89 °C) above water; pure sugar at 78.2 °Bx boils 8.33 °C above (physics
    // reference: 8.22 at 78): K 1.07. 123.2 kg of water in 75 minutes from 2.23 m² are 44.2 L a m²
    // an hour, 1.08 gal a sq ft. 55 lb × 78.2 % of 53.55 lb: 80 of 100.
    boil.pan
        .crew
        .opens(&next)
        .await
        .says("Factor K 1.07: the middle of 1 finished boil of this season")
        .says("Flat pan drives off 1.08 gal/sq ft/h: the middle of 1 finished boil")
        .says("80 of 100 of the solids reach the syrup: the middle of 1 finished boil");
}
