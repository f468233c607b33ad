//! What stands beside the pan while a boil is on the fire: where it is, when it will be done, what
//! to do; as a part of the boil's page and, for renewing it, by itself.

use super::chart::{ChartView, chart};
use super::draw_off::{degrees, draw_off};
use super::learned::learned;
use super::warnings::{clock, more, urgent};
use crate::calc::boil::fire::belief_at::BeliefAt;
use crate::calc::boil::fire::call::{self, Call};
use crate::calc::boil::fire::on_fire::{By, Done, FireSaid, QUIETED, Reading, Spread};
use crate::calc::boil::fire::said::{Weight, late_words, weight};
use crate::calc::boil::fire::thickness::is_thickest;
use crate::calc::boil::fire::watch::Watch;
use crate::calc::boil::pan;
use crate::calc::boil::sums::Stage as Step;
use crate::facts::boil::boils::Boil;
use crate::units::{Celsius, Minutes, Units, UtcSecond, Zone};
use crate::web::boil::boil_of_path::boil_of_path;
use crate::web::boil::probes::live::{ProbesOfPage, of_page};
use crate::web::error::PageError;
use crate::web::paths;
use crate::web::request::PageRequest;
use crate::web::session::{Me, Visit};
use crate::web::{Page, page};
use askama::Template;
use axum::extract::Path;
use std::fmt::Write as _;

/// The figures, as text ready to print.
#[derive(Default)]
pub(super) struct Figures {
    /// Whether the boil is finished, so that there is nothing to watch.
    pub over: bool,
    pub worked: String,
    /// What is said just now, and how it is set off.
    pub call: &'static str,
    pub weight: &'static str,
    /// The same of the call by itself, be the next reading overdue or not.
    pub own_call: &'static str,
    pub own_weight: &'static str,
    /// What is said instead once that reading is long overdue: of a call that is calm, and of one that is not.
    pub late: [&'static str; 2],
    pub advice: &'static str,
    /// What cannot wait, in a sentence: a figure that stands alone, a probe that shows the end.
    pub urgent: Vec<String>,
    /// What else the cook should know.
    pub more: Vec<String>,
    /// Temperatures around the one expected at this moment, each a reading at one tap.
    pub keys: Vec<String>,
    /// What the thermometer should show as time goes on without a new reading: see [`expects`].
    pub expects: String,
    /// Keys are set around no more than this, in the degrees that are read.
    pub most: String,
    /// Whether it is asked what becomes of the fire.
    pub asks_fire: bool,
    pub brix: String,
    pub brix_out: String,
    pub to_go: String,
    pub to_go_out: String,
    /// When it should be done, a UTC second; nought: that is not told.
    pub finish_at: i64,
    pub facts: Vec<(&'static str, String)>,
    pub learned: Vec<String>,
    pub chart: Option<ChartView>,
    pub pans: &'static str,
    /// The finish temperature, as it is read, by what is believed of this boil.
    pub draw_off: String,
    /// The range it lies in, where that is wide.
    pub draw_off_out: String,
    /// That it is not what the mill learned.
    pub draw_off_why: String,
    /// When the next reading is due, in words and as a UTC second.
    pub next: String,
    pub next_at: i64,
    /// How long after the last reading the next one is due, seconds.
    pub every: i64,
    /// The finish temperature as a plain number in the degrees that are read.
    pub mark: String,
    /// What will be shown as time goes on without a new reading, for when the network is gone: see [`ahead`].
    pub ahead: String,
    /// The server's clock, a UTC second: a phone's may be wrong.
    pub now: i64,
    /// Name of who quieted the alarm, in words; empty: nobody.
    pub quieted: String,
}

/// The figures by themselves, for `live.js`.
#[derive(Template)]
#[template(path = "boil/boils/live.html")]
struct LivePage {
    live: Figures,
    probes: ProbesOfPage,
}

/// `GET /boils/{lot}/live`
pub(crate) async fn live(mut request: PageRequest, Path(lot): Path<String>) -> Page {
    let row = boil_of_path(&mut request.db, &lot).await?;
    let boil = Boil::read(&mut request.db, row).await?;
    page(&LivePage {
        live: figures(&boil, &request.visit)?,
        probes: probes(&boil, &request.visit, &request.me)?,
    })
}

/// What the page shows of the boil's probes.
pub(super) fn probes(boil: &Boil, visit: &Visit, me: &Me) -> Result<ProbesOfPage, PageError> {
    of_page(&boil.probes, boil.row.stage() == Step::Lit, visit, me)
}

/// All figures of the page at this moment, from one look at what is believed.
pub(super) fn figures(boil: &Boil, visit: &Visit) -> Result<Figures, PageError> {
    let zone = visit.zone()?;
    if boil.row.stage() != Step::Lit {
        return Ok(Figures {
            over: true,
            ..Figures::default()
        });
    }
    let Some(mut watch) = boil.watch() else {
        let off = draw_off(boil, None, visit.units());
        return Ok(Figures {
            worked: format!("At {}.", clock(zone, visit.at)),
            call: "Nothing to tell yet",
            own_call: "Nothing to tell yet",
            advice: "Pour in the juice, and see that a pan is set up: its surface says how fast \
                     water goes, and so when this boil will be done.",
            pans: paths::PANS,
            chart: chart(boil, None, (&[], &off), visit)?,
            draw_off: off.temp.show(visit.units()),
            keys: keys(&around_the_last(boil), off.temp, visit.units()),
            now: visit.at.get(),
            ..Figures::default()
        });
    };
    let looked = watch.look(visit.at);
    let readings = boil.readings_for_watch();
    let of = *watch.boil();
    let off = draw_off(boil, Some(&looked), visit.units());
    let mut out = Figures {
        worked: worked(&readings, &looked, zone),
        call: looked.said.words(),
        weight: word(looked.said.weight),
        own_call: looked.call.words(),
        own_weight: word(weight(looked.call)),
        late: [Call::Going, Call::Check].map(late_words),
        advice: advice(&looked),
        urgent: urgent(boil, &looked, visit)?,
        more: more(&of, &looked, &readings, visit)?,
        keys: keys(&looked.temp_expected, off.temp, visit.units()),
        asks_fire: asks_fire(&looked, &readings),
        quieted: quieted(boil, &mut watch, &looked, zone),
        learned: learned(boil, &of, visit.units()),
        chart: chart(boil, Some(&looked), (&readings, &off), visit)?,
        draw_off: off.temp.show(visit.units()),
        mark: off.temp.typed(visit.units()),
        draw_off_out: off.range,
        draw_off_why: off.why,
        now: visit.at.get(),
        ahead: ahead(&mut watch, visit.at),
        expects: expects(&mut watch, &looked, off.temp, visit.units()),
        most: format!("{:.1}", degrees(most(off.temp), visit.units())),
        ..Figures::default()
    };
    next_reading(&mut out, &looked, zone);
    estimate(&mut out, &looked, visit.units());
    time_to_go(&mut out, &looked, zone);
    Ok(out)
}

/// How far ahead calls are worked out for a phone left beside the pan without network, minutes.
const AHEAD_MIN: i64 = 90;

/// The calls that time alone will bring, as JSON: each a UTC second from which it holds, how it is set off, and
/// its words. Without a new reading the belief goes on by itself, so the page can call without the mill.
fn ahead(watch: &mut Watch, at: UtcSecond) -> String {
    let mut steps: Vec<(i64, &str, &str)> = Vec::new();
    for minute in 1..=AHEAD_MIN {
        let then = at.plus(60 * minute);
        let call = watch.call_at(then);
        let step = (word(weight(call)), call.words());
        if steps
            .last()
            .is_none_or(|&(_, loud, words)| (loud, words) != step)
        {
            steps.push((then.get(), step.0, step.1));
        }
    }
    serde_json::to_string(&steps).unwrap_or_default()
}

/// How strongly something is shown: as nothing, a note or an alarm.
const fn word(weight: Weight) -> &'static str {
    match weight {
        Weight::Calm => "",
        Weight::Note => "note",
        Weight::Alarm => "alarm",
    }
}

/// What the thermometer should show from now on, every few minutes, in the degrees that are read, for keys that go with it.
/// Nothing once the fire is drawn.
fn expects(watch: &mut Watch, looked: &BeliefAt, draw_off: Celsius, units: Units) -> String {
    if looked.drawn_at.is_some() {
        return String::new();
    }
    let all = watch.expects(looked.at).into_iter();
    let shown: Vec<String> = all
        .map(|celsius| format!("{:.1}", degrees(celsius.min(most(draw_off)), units)))
        .collect();
    shown.join(" ")
}

fn advice(looked: &BeliefAt) -> &'static str {
    match looked.call {
        Call::Drawn => call::once_drawn(&looked.chances),
        call => call.advice(),
    }
}

/// When the next reading is due, by the clock; what is overdue says so, and what that means. Nothing is due once the
/// fire is drawn.
fn next_reading(out: &mut Figures, looked: &BeliefAt, zone: &Zone) {
    if looked.drawn_at.is_some() {
        return;
    }
    out.next_at = looked.next_reading.get();
    if let Some(last) = looked.last_reading {
        out.every = looked.next_reading.get() - last.get();
    }
    let by = clock(zone, looked.next_reading);
    let with = if looked.asks_drop() {
        ", with the refractometer"
    } else {
        ""
    };
    out.next = if let Some(since) = looked.silent_since {
        call::silence(&clock(zone, since), looked.call)
    } else if looked.next_reading > looked.at {
        format!("Next reading by {by}{with}")
    } else {
        format!("Read it now{with}: due at {by}")
    };
}

fn estimate(out: &mut Figures, of: &BeliefAt, units: Units) {
    if of.chances.boiling < 0.5 {
        return;
    }
    let low = format!("{:.1}", of.brix.low);
    out.brix = format!("{:.1} °Bx", of.brix.middle);
    out.brix_out = if is_thickest(of.brix.low) {
        "hard candy; thicker is not reckoned".to_owned()
    } else if is_thickest(of.brix.high) {
        format!("{low} or more, nine times in ten")
    } else {
        format!("{low} to {:.1}, four times in five", of.brix.high)
    };
    if is_thickest(of.brix.middle) {
        "94 °Bx or more".clone_into(&mut out.brix);
    }
    out.facts = vec![
        ("Water driven off", of.evaporated.show(units)),
        ("Still to drive off", of.water_left.show(units)),
    ];
    if of.drawn_at.is_none() {
        let rate = pan::rate(of.rate_l_m2_h.middle.max(0.0), units);
        out.facts.push(("The pan drives off", rate));
    }
}

fn time_to_go(out: &mut Figures, of: &BeliefAt, zone: &Zone) {
    if let Some(at) = of.drawn_at {
        "The fire is drawn".clone_into(&mut out.to_go);
        out.to_go_out = format!("at {}", clock(zone, at));
        return;
    }
    let Some(finish) = of.finish else {
        let words = match of.call {
            _ if of.said.late => "Now: read it",
            Call::Heating => "Not at the boil yet",
            Call::Drawn | Call::TooEarly | Call::Going => "Too early to tell",
            Call::Check => "Soon: read it",
            Call::There | Call::Past | Call::Candy => "Now: read it",
        };
        words.clone_into(&mut out.to_go);
        return;
    };
    out.finish_at = finish.finish.get();
    let left = finish.finish.minutes_since(of.at);
    out.to_go = if left > 0 {
        Minutes::new(left).show()
    } else {
        "Due: read it".to_owned()
    };
    let (earliest, latest) = (clock(zone, finish.earliest), clock(zone, finish.latest));
    out.to_go_out = format!("done about {}", clock(zone, finish.finish));
    if earliest != latest {
        let _ = write!(
            out.to_go_out,
            "; four times in five between {earliest} and {latest}"
        );
    }
}

/// Near the end the finish hangs on whether the fire is let down: asked until it is said, and again after a quarter of an hour.
fn asks_fire(looked: &BeliefAt, readings: &[Reading]) -> bool {
    const AGAIN_MIN: i64 = 15;
    let told = |r: &&Reading| {
        matches!(
            r.done,
            Some(Done::Fire(FireSaid::LetDown | FireSaid::Stays))
        )
    };
    let said = readings.iter().rev().find(told);
    matches!(looked.call, Call::Check | Call::There)
        && said.is_none_or(|r| looked.at.minutes_since(r.at) >= AGAIN_MIN)
}

fn worked(readings: &[Reading], looked: &BeliefAt, zone: &Zone) -> String {
    let read = |r: &Reading| r.temp.is_some() || r.brix.is_some();
    let by_hand = readings.iter().filter(|r| r.by == By::Hand).count();
    let used = readings
        .iter()
        .enumerate()
        .filter(|(n, r)| r.by == By::Hand && read(r) && !looked.doubtful.contains(n))
        .count();
    if used == 0 && by_hand < readings.len() {
        return format!("At {}, from what the probe sent.", clock(zone, looked.at));
    }
    let plural = if used == 1 { "reading" } else { "readings" };
    let probe = if by_hand < readings.len() {
        " by hand and what the probe sent"
    } else {
        ""
    };
    format!(
        "At {}, from {used} {plural}{probe}.",
        clock(zone, looked.at)
    )
}

/// Number of keys around the temperature expected; from one to the next it is half a degree to two degrees,
/// in the unit that is read.
const KEYS: u32 = 6;
const KEY_STEP: f64 = 0.5;
const KEY_STEP_MOST: f64 = 2.0;

/// What may be read next where nothing can be forecast: from what was read last, or from boiling water, on.
fn around_the_last(boil: &Boil) -> Spread {
    let last = boil.readings.iter().rev().find_map(|r| r.temp);
    let middle = last.unwrap_or(boil.day.target.water).get();
    Spread {
        low: middle,
        middle,
        high: middle,
    }
}

/// The keys are never set around more than this beyond where it is drawn off, °C.
const KEYS_BEYOND_C: f64 = 3.0;

/// What the middle of the keys is at most, °C.
fn most(draw_off: Celsius) -> f64 {
    draw_off.get() + KEYS_BEYOND_C
}

/// Temperatures from the least to the most that is expected at this moment, in the degrees that are read, none
/// far beyond the finish.
fn keys(expected: &Spread, draw_off: Celsius, units: Units) -> Vec<String> {
    let degrees = |celsius| degrees(celsius, units);
    let (low, high) = (degrees(expected.low), degrees(expected.high));
    let halves = ((high - low) / (f64::from(KEYS - 1) * KEY_STEP))
        .ceil()
        .max(1.0);
    let step = (halves * KEY_STEP).min(KEY_STEP_MOST);
    let middle = degrees(expected.middle.min(most(draw_off)));
    let middle = (middle / KEY_STEP).round() * KEY_STEP;
    (0..KEYS)
        .map(|n| format!("{:.1}", middle + step * (f64::from(n) - 2.0)))
        .collect()
}

/// An alarm stays quiet so long, minutes.
const QUIET_MIN: i64 = 5;

/// Who quieted the alarm, while that holds: five minutes, no longer than until the next reading, and never once
/// what is said is graver than when it was quieted.
fn quieted(boil: &Boil, watch: &mut Watch, looked: &BeliefAt, zone: &Zone) -> String {
    let last = boil.readings.last();
    last.filter(|r| r.note == QUIETED && looked.at.minutes_since(r.read_at) < QUIET_MIN)
        .filter(|r| watch.said_at(r.read_at) >= looked.said)
        .map_or_else(String::new, |r| {
            format!("Quieted by {} at {}.", r.by_name, clock(zone, r.read_at))
        })
}

#[cfg(test)]
#[path = "live_samples.rs"]
mod sampled;
#[cfg(test)]
pub(super) use sampled::samples;
