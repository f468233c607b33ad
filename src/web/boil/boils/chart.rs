//! The picture of a boil, as text ready to print into a drawing; and the same in words.

use super::draw_off::DrawOff;
use crate::calc::boil::boil_chart::{self, BRIX, Drawn, Mark, Panel, Seen, TEMP};
use crate::calc::boil::fire::belief_at::BeliefAt;
use crate::calc::boil::fire::on_fire::{By, Reading};
use crate::calc::paper::chart::tenth;
use crate::facts::boil::boils::Boil;
use crate::units::{BrixAt20C, Celsius, CelsiusDifference, Units, UtcSecond, Zone};
use crate::web::error::PageError;
use crate::web::session::Visit;

/// What a refractometer reading of the finish may be out by, °Bx (common practice: instruments read
/// to ±0.2, and a drop is rarely quite cool).
const BRIX_BAND: f64 = 0.5;

/// A mark of a scale: its place and its words.
pub(super) struct Tick {
    pub at: f64,
    pub words: String,
}

/// One of the two panels of the chart.
pub(super) struct PanelView {
    pub line: String,
    /// Place of each reading, and the look of its dot.
    pub dots: Vec<(f64, f64, &'static str)>,
    pub band_y: f64,
    pub band_h: f64,
    pub target: f64,
    pub ticks: Vec<Tick>,
    pub top: f64,
    pub foot: f64,
    pub title: String,
    pub title_y: f64,
}

/// The chart of a boil, ready to draw.
pub(super) struct ChartView {
    pub panels: [PanelView; 2],
    /// The line through what a probe sent.
    pub sent: String,
    pub water: f64,
    pub minutes: Vec<Tick>,
    /// The estimate: x, y, top and foot of its bar.
    pub estimate: Option<(f64, f64, f64, f64)>,
    /// The finish: x and width of its bar.
    pub finish: Option<(f64, f64)>,
    pub words: String,
    pub cold: String,
}

fn panel(
    of: Panel,
    (top, foot): (f64, f64),
    title: String,
    tick: impl Fn(f64) -> String,
) -> PanelView {
    PanelView {
        line: of.line,
        dots: of
            .dots
            .into_iter()
            .map(|(x, y, doubtful)| (x, y, if doubtful { "doubtful" } else { "" }))
            .collect(),
        band_y: of.band.0,
        band_h: of.band.1,
        target: of.target,
        ticks: of
            .ticks
            .into_iter()
            .map(|(at, figure)| Tick {
                at,
                words: tick(figure),
            })
            .collect(),
        top,
        foot,
        title,
        title_y: tenth(top - 6.0),
    }
}

/// Draws a boil; nothing when its target is no Brix.
pub(super) fn chart(
    boil: &Boil,
    looked: Option<&BeliefAt>,
    (readings, draw_off): (&[Reading], &DrawOff),
    visit: &Visit,
) -> Result<Option<ChartView>, PageError> {
    let (units, zone) = (visit.units(), visit.zone()?);
    let Some(target) = boil.target() else {
        return Ok(None);
    };
    let doubtful = |n: usize| looked.is_some_and(|l| l.doubtful.contains(&n));
    let marks: Vec<Mark> = readings
        .iter()
        .enumerate()
        // A probe's many readings would hide the hand's.
        .filter(|(_, r)| r.by == By::Hand && (r.temp.is_some() || r.brix.is_some()))
        .map(|(n, r)| Mark {
            at: r.at,
            temp: r.temp,
            brix: r.brix,
            doubtful: doubtful(n),
        })
        .collect();
    let sent = sent(boil);
    let drawn = Drawn {
        sent: &sent,
        lit: boil.row.lit_at,
        marks: &marks,
        water: boil.day.target.water,
        temp: (draw_off.temp, draw_off.plus_minus),
        brix: (target, BRIX_BAND),
        seen: looked.and_then(seen),
    };
    let of = boil_chart::chart(&drawn, units == Units::Us);
    let degrees = crate::web::boil::boil_words::degrees(units);
    Ok(Some(ChartView {
        words: words(boil, draw_off, (&marks, &sent), zone, units),
        cold: match of.colder {
            0 => String::new(),
            1 => "One reading from before the boil lies below the picture.".to_owned(),
            n => format!("{n} readings from before the boil lie below the picture."),
        },
        panels: [
            panel(of.temp, TEMP, format!("Pan, {degrees}"), |c| {
                degrees_text(c, units)
            }),
            panel(of.brix, BRIX, "Refractometer, °Bx".to_owned(), |b| {
                format!("{b:.0}")
            }),
        ],
        sent: of.sent,
        water: of.water,
        minutes: of
            .minutes
            .into_iter()
            .map(|(at, m)| Tick {
                at,
                words: hours_text(m),
            })
            .collect(),
        estimate: of.at_last,
        finish: of.finish.map(|(x0, x1)| (x0, tenth(x1 - x0).max(2.0))),
    }))
}

fn degrees_text(celsius: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{:.0}", 1.8 * celsius + 32.0),
        Units::Metric => format!("{celsius:.0}"),
    }
}

/// "1:40" after the fire was lit.
fn hours_text(minutes: f64) -> String {
    let hours = (minutes / 60.0).floor();
    format!("{hours:.0}:{:02.0}", minutes - 60.0 * hours)
}

/// Seconds between two points of the line drawn through a probe's readings.
const POINT_EVERY_S: i64 = 120;

/// The probes' readings: one in two minutes, and the newest.
fn sent(boil: &Boil) -> Vec<(UtcSecond, Celsius)> {
    let all = boil.probes.iter().flat_map(|probe| &probe.readings);
    let mut all: Vec<(UtcSecond, Celsius)> = all.map(|read| (read.at, read.temp)).collect();
    all.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
    let mut last = None;
    all.retain(|(at, _)| {
        let far = last.is_none_or(|last: UtcSecond| last.get() - at.get() >= POINT_EVERY_S);
        if far {
            last = Some(*at);
        }
        far
    });
    all.reverse();
    all
}

/// What is believed at the moment of looking; nothing while it is likelier not at the boil.
fn seen(looked: &BeliefAt) -> Option<Seen> {
    let brix = |value| BrixAt20C::new(value).ok();
    let of = looked.brix;
    let brix = [brix(of.low)?, brix(of.middle)?, brix(of.high)?];
    (looked.chances.boiling >= 0.5).then_some(Seen {
        at: looked.at,
        brix,
        finish: looked.finish.map(|f| (f.earliest, f.latest)),
    })
}

/// The picture in words.
fn words(
    boil: &Boil,
    draw_off: &DrawOff,
    (marks, sent): (&[Mark], &[(UtcSecond, Celsius)]),
    zone: &Zone,
    units: Units,
) -> String {
    let goal = format!(
        "The target is {} ± {}, {:.1} °Bx.",
        draw_off.temp.show(units),
        CelsiusDifference::new(draw_off.plus_minus).show(units),
        boil.row.target
    );
    let told = |figures: Vec<(String, String)>, what: &str| match figures.as_slice() {
        [] => String::new(),
        [(at, one)] => format!(" {what} {one} at {at}."),
        [(from, first), .., (to, last)] => {
            format!(" {what} {first} at {from}, {last} at {to}.")
        }
    };
    let time = |m: &Mark| zone.local(m.at).1.show();
    let sound = || marks.iter().filter(|m| !m.doubtful);
    let temps = sound()
        .filter_map(|m| Some((time(m), m.temp?.show(units))))
        .collect();
    let brixes = sound()
        .filter_map(|m| Some((time(m), format!("{:.1} °Bx", m.brix?.get()))))
        .collect();
    let probe = sent
        .iter()
        .map(|(at, temp)| (zone.local(*at).1.show(), temp.show(units)))
        .collect();
    let none = if marks.is_empty() && sent.is_empty() {
        " No reading yet."
    } else {
        ""
    };
    format!(
        "{goal}{}{}{}{none} Every reading stands in the table below.",
        told(temps, "Pan:"),
        told(probe, "Probe:"),
        told(brixes, "Refractometer:")
    )
}

#[cfg(test)]
impl ChartView {
    pub(super) fn sample(many: usize) -> Self {
        let one = |(top, foot): (f64, f64)| PanelView {
            line: "60,100 80,90.5".to_owned(),
            dots: vec![(60.0, 100.0, "doubtful"); many],
            band_y: top + 10.0,
            band_h: 12.5,
            target: top + 16.0,
            ticks: vec![Tick {
                at: foot,
                words: "<b>100</b>".to_owned(),
            }],
            top,
            foot,
            title: "Pan, °F".to_owned(),
            title_y: top - 6.0,
        };
        Self {
            panels: [one(TEMP), one(BRIX)],
            sent: "60,110 80,95.5".to_owned(),
            water: 150.0,
            minutes: vec![Tick {
                at: 60.0,
                words: "0:00".to_owned(),
            }],
            estimate: Some((200.0, 300.0, 290.0, 310.0)),
            finish: Some((300.0, 40.0)),
            words: "The target is <227.3> °F.".to_owned(),
            cold: "One reading lies below.".to_owned(),
        }
    }
}
