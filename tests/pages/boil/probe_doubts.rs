//! A probe that hangs wrong, beside what is read by hand.

use super::*;
use canewright::calc::physics::elevation::{Factor, rise};
use canewright::units::BrixAt20C;

/// What a sound thermometer shows so many seconds ago in a boil lit 80 minutes ago that came to the boil 60 minutes ago and
/// loses 1.514 kg a minute of 154.222 kg with 24.29 kg of solids.
fn pan_shows(seconds_ago: i64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "an hour")]
    let boiled = 60.0 - seconds_ago as f64 / 60.0;
    let water = Celsius::parse("211", Units::Us).unwrap();
    if boiled < 0.0 {
        return water.get() + 3.0 * boiled;
    }
    let brix = BrixAt20C::new(2429.0 / (154.222 - 1.514 * boiled)).unwrap();
    water.get() + rise(brix, water, Factor::DEFAULT).get()
}

impl Mill {
    /// Sends what a probe shows in the last 78 minutes, every 20 seconds.
    async fn sends_all(&self, shows: impl Fn(i64) -> f64) {
        let ages: Vec<i64> = (1..=234).rev().map(|n| 20 * n).collect();
        for some in ages.chunks(100) {
            let read: Vec<String> = some
                .iter()
                .map(|age| format!("{{\"celsius\":{:.2},\"age_s\":{age}}}", shows(*age)))
                .collect();
            let body = format!("{{\"readings\":[{}]}}", read.join(","));
            self.says(&body).await;
        }
    }

    /// Notes by hand what a sound thermometer shows.
    async fn reads(&self, page: &str, minutes_ago: i64) {
        let lot = LotCode::parse(page.trim_start_matches("/boils/")).unwrap();
        let new = NewReading {
            read_at: AT.plus(-60 * minutes_ago),
            temp: Celsius::new(pan_shows(60 * minutes_ago)).ok(),
            brix: None,
            note: String::new(),
            replaces: None,
            units: Units::Us,
        };
        let act = Act {
            form: FormKey::new(self.pan.site.ids.next(AT)).into(),
            ..self.pan.site.act()
        };
        boils::read(&act, &lot, new).await.unwrap();
    }
}

/// °Bx that the page believes.
fn now_about(page: &str) -> f64 {
    let (_, rest) = page.split_once("now about ").unwrap();
    rest.split(' ').next().unwrap().parse().unwrap()
}

#[tokio::test]
async fn a_probe_that_is_off_is_said_and_does_not_outvote_the_thermometer() {
    // What the readings by hand alone say.
    let mut alone = mill().await;
    let page = alone.light(80 * 60).await;
    for minutes_ago in [40, 20, 8, 1] {
        alone.reads(&page, minutes_ago).await;
    }
    let by_hand = now_about(&alone.pan.crew.opens(&page).await.body);
    for off in [3.0, -3.0] {
        let mut mill = mill().await;
        let page = mill.light(80 * 60).await;
        mill.sends_all(|ago| pan_shows(ago) + off).await;
        for minutes_ago in [40, 20, 8, 1] {
            mill.reads(&page, minutes_ago).await;
        }
        let shown = mill.pan.crew.opens(&page).await;
        let way = if off > 0.0 { "more" } else { "less" };
        shown.says(&format!(
            "°F {way} than the thermometer at 07:59. The figures here go by the thermometer. Hold the probe"
        ));
        let brix = now_about(&shown.body);
        assert!(
            (brix - by_hand).abs() < 4.0,
            "{off}: {brix}, by hand {by_hand}"
        );
        assert!(!shown.body.contains("does not fit"), "{}", shown.body);
    }
}

#[tokio::test]
async fn a_probe_lifted_into_the_steam_hides_neither_the_hand_readings_nor_the_time() {
    // Since twenty minutes: less than the 99.44 °C (211 °F) of boiling water.
    let steam = |ago: i64| if ago > 1200 { pan_shows(ago) } else { 99.0 };
    let mut mill = mill().await;
    let page = mill.light(80 * 60).await;
    mill.sends_all(steam).await;
    let shown = mill.pan.crew.opens(&page).await;
    shown
        .says("a pan that boils grows no colder")
        .says("No reading since 07:39");
    for minutes_ago in [40, 25, 8, 4, 1] {
        mill.reads(&page, minutes_ago).await;
    }
    let shown = mill.pan.crew.opens(&page).await;
    let brix = now_about(&shown.body);
    assert!((brix - 38.3).abs() < 5.0, "{brix}");
    assert!(!shown.body.contains("The reading of"), "{}", shown.body);
}

#[tokio::test]
async fn beside_a_probe_nobody_is_told_to_read_every_quarter_of_an_hour() {
    let mut mill = mill().await;
    let page = mill.light(80 * 60).await;
    mill.sends_all(pan_shows).await;
    let shown = mill.pan.crew.opens(&page).await;
    shown.says("Next reading by");
    assert!(
        !shown.body.contains("every quarter of an hour"),
        "{}",
        shown.body
    );
}

impl Mill {
    /// Notes by hand a temperature that was read back and confirmed.
    async fn confirms(&self, page: &str, seconds_ago: i64, temp: f64) {
        let lot = LotCode::parse(page.trim_start_matches("/boils/")).unwrap();
        let new = NewReading {
            read_at: AT.plus(-seconds_ago),
            temp: Celsius::new(temp).ok(),
            brix: None,
            note: canewright::calc::boil::fire::on_fire::with_confirmed(""),
            replaces: None,
            units: Units::Us,
        };
        let act = Act {
            form: FormKey::new(self.pan.site.ids.next(AT)).into(),
            ..self.pan.site.act()
        };
        boils::read(&act, &lot, new).await.unwrap();
    }
}

#[tokio::test]
async fn one_confirmed_low_temperature_mutes_no_probe_that_agreed_before() {
    let mut mill = mill().await;
    let page = mill.light(80 * 60).await;
    mill.sends_all(pan_shows).await;
    for minutes_ago in [40, 20, 8] {
        mill.reads(&page, minutes_ago).await;
    }
    let believed = now_about(&mill.pan.crew.opens(&page).await.body);
    // Its bulb is out of the syrup, twice.
    for seconds_ago in [80, 40] {
        mill.confirms(&page, seconds_ago, 98.6).await;
        let shown = mill.pan.crew.opens(&page).await;
        shown.says("see whether its bulb is in the syrup");
        assert!(
            !shown
                .body
                .contains("The figures here go by the thermometer"),
            "{}",
            shown.body
        );
        let brix = now_about(&shown.body);
        assert!((brix - believed).abs() < 4.0, "{brix}, before {believed}");
    }
}

#[tokio::test]
async fn a_probe_at_its_finish_says_so_and_is_called_on_every_page() {
    let mut mill = mill().await;
    let page = mill.light(80 * 60).await;
    // It says the finish from the last minute on; the pan is far from it, and the thermometer says so.
    let high = |ago: i64| if ago > 60 { pan_shows(ago) } else { 110.0 };
    mill.sends_all(high).await;
    for minutes_ago in [40, 20, 8] {
        mill.reads(&page, minutes_ago).await;
    }
    mill.confirms(&page, 20, pan_shows(20)).await;
    let lot = page.trim_start_matches("/boils/").to_owned();
    let shown = mill.pan.crew.opens(&page).await;
    shown
        .says("as at the finish. Read the pan by hand now.")
        .says("Check with the refractometer")
        .says("more than the thermometer");
    for other in ["/", "/boils", "/days/2026-09-19"] {
        let shown = mill.pan.crew.opens(other).await;
        assert!(shown.body.contains(&lot), "{other}");
        shown.says("Check with the refractometer");
    }
}

/// A pan that goes 1.35 times as fast: at 63 °Bx 3½ minutes ago, at 77 °Bx now.
fn fast_pan_shows(seconds_ago: i64) -> f64 {
    pan_shows(3600 - (3600 - seconds_ago) * 135 / 100)
}

#[tokio::test]
async fn a_probe_that_sticks_near_the_end_counts_for_nothing_and_the_call_goes_on_by_time() {
    let mut mill = mill().await;
    let page = mill.light(80 * 60).await;
    mill.sends_all(|ago| fast_pan_shows(ago.max(210))).await;
    mill.pan
        .crew
        .opens(&page)
        .await
        .says("The probe has stood at")
        .says("and counts for nothing since. Read the pan by hand now")
        .says("No reading since 07:56: it may be near its target, please read it.")
        .says("Check with the refractometer");
    let shown = mill.later(8 * 60).opens(&page).await;
    shown
        .says("No reading since 07:56")
        .says("draw the fire and read it");
    // One that goes on as the pan does is believed.
    let mut mill = self::mill().await;
    let page = mill.light(80 * 60).await;
    mill.sends_all(fast_pan_shows).await;
    let shown = mill.pan.crew.opens(&page).await;
    assert!(
        !shown.body.contains("The probe has stood"),
        "{}",
        shown.body
    );
}
