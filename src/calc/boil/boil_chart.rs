//! The picture of a boil: temperature above, Brix below, against minutes since the fire was lit,
//! each with its target band and the forecast. Only places in a picture; never says how a boil is.

use crate::calc::paper::chart::{Axis, points, tenth};
use crate::units::{BrixAt20C, Celsius, UtcSecond};

/// One reading, as the chart takes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// When it was read.
    pub at: UtcSecond,
    /// What the thermometer in the pan showed, if it was read.
    pub temp: Option<Celsius>,
    /// Refractometer, as brought to 20 °C.
    pub brix: Option<BrixAt20C>,
    /// Left out by the watch, as not fitting the others.
    pub doubtful: bool,
}

/// What the watch makes of it: the Brix at the moment of looking and the time to the finish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// The moment of the look.
    pub at: UtcSecond,
    /// Brix then: low, middle and high.
    pub brix: [BrixAt20C; 3],
    /// Earliest and latest finish, when one can be told.
    pub finish: Option<(UtcSecond, UtcSecond)>,
}

/// All that the chart is drawn from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drawn<'a> {
    /// When the fire was lit.
    pub lit: UtcSecond,
    /// The readings, in order of time.
    pub marks: &'a [Mark],
    /// What a probe sent, in order of time: too many for dots.
    pub sent: &'a [(UtcSecond, Celsius)],
    /// Where water boils this day.
    pub water: Celsius,
    /// The finish temperature and how far the true one may lie from it, °C.
    pub temp: (Celsius, f64),
    /// The finish Brix and how far a reading of it may lie from it, °Bx.
    pub brix: (BrixAt20C, f64),
    /// The watch's estimate, once there is one.
    pub seen: Option<Seen>,
}

/// One of the two panels.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// The line through the readings that count.
    pub line: String,
    /// Readings: place, and whether it is doubtful.
    pub dots: Vec<(f64, f64, bool)>,
    /// The target band: its top and its height.
    pub band: (f64, f64),
    /// The target itself.
    pub target: f64,
    /// Marks of the scale: height, figure (°C or °Bx).
    pub ticks: Vec<(f64, f64)>,
}

/// The picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Temperature.
    pub temp: Panel,
    /// The line through what a probe sent.
    pub sent: String,
    /// Height of the line of boiling water in it.
    pub water: f64,
    /// Brix.
    pub brix: Panel,
    /// Marks of the time: place, minutes since the fire was lit.
    pub minutes: Vec<(f64, f64)>,
    /// The estimate in the panel of Brix: place, and top and foot of its bar.
    pub at_last: Option<(f64, f64, f64, f64)>,
    /// Earliest and latest place of the expected finish, along the time axis.
    pub finish: Option<(f64, f64)>,
    /// Readings too cold to be in the picture: before the boil.
    pub colder: usize,
}

/// Left edge of both panels, right of their figures.
pub const LEFT: f64 = 60.0;
/// Right edge of both panels.
pub const RIGHT: f64 = 708.0;
/// Top and foot of the panel of temperature.
pub const TEMP: (f64, f64) = (24.0, 216.0);
/// Top and foot of the panel of Brix.
pub const BRIX: (f64, f64) = (256.0, 416.0);

/// Below boiling water by more than this, °C, the picture does not reach.
const COLD: f64 = 4.0;
/// Shortest time the picture spans, minutes.
const SHORTEST: f64 = 60.0;

/// Minutes of an instant since another.
fn minutes(from: UtcSecond, to: UtcSecond) -> f64 {
    #[expect(
        clippy::cast_precision_loss,
        reason = "a boil lasts hours, not millennia"
    )]
    let seconds = (to.get() - from.get()) as f64;
    seconds / 60.0
}

/// Draws a boil. `fahrenheit` puts the marks of the temperature at round °F; they are given in °C
/// all the same.
pub fn chart(of: &Drawn<'_>, fahrenheit: bool) -> Chart {
    let last = of.marks.last().map(|mark| mark.at);
    let ahead = of.seen.and_then(|s| s.finish).map(|(_, late)| late);
    let seen = of.seen.map(|s| s.at);
    let sent = of.sent.last().map(|(at, _)| *at);
    let ends = [last, sent, seen, ahead].into_iter().flatten();
    let span = ends.map(|at| minutes(of.lit, at)).fold(SHORTEST, f64::max);
    let along = Axis::new((0.0, span), (LEFT, RIGHT));
    let x = |at: UtcSecond| along.at(minutes(of.lit, at));
    let coldest = of.water.get() - COLD;
    let (goal, out) = of.temp;
    let hottest = of
        .marks
        .iter()
        .filter_map(|m| m.temp)
        .chain(of.sent.iter().map(|(_, temp)| *temp))
        .fold(goal.get() + out, |most, t| most.max(t.get()));
    let reach = (coldest, hottest + 1.0);
    let up = Axis::new(reach, (TEMP.1, TEMP.0));
    let temps: Vec<(f64, f64, bool)> = shown(of, &x, up, |m| m.temp.map(Celsius::get));
    let colder = of
        .marks
        .iter()
        .filter(|m| m.temp.is_some_and(|t| t.get() < coldest))
        .count();
    let sent: Vec<(f64, f64)> = of
        .sent
        .iter()
        .filter(|(_, temp)| up.holds(temp.get()))
        .map(|(at, temp)| (x(*at), up.at(temp.get())))
        .collect();
    let rise = Axis::new((0.0, 95.0), (BRIX.1, BRIX.0));
    let brixes = shown(of, &x, rise, |m| m.brix.map(BrixAt20C::get));
    Chart {
        temp: panel(
            temps,
            up,
            (goal.get(), out),
            temp_ticks(up, reach, fahrenheit),
        ),
        sent: points(&sent),
        water: up.at(of.water.get()),
        brix: panel(
            brixes,
            rise,
            (of.brix.0.get(), of.brix.1),
            rise.ticks(6).into_iter().map(|b| (rise.at(b), b)).collect(),
        ),
        minutes: hour_ticks(span)
            .into_iter()
            .map(|m| (along.at(m), m))
            .collect(),
        at_last: of.seen.map(|s| {
            let [low, middle, high] = s.brix.map(|brix| rise.at(brix.get()));
            (x(s.at), middle, high, low)
        }),
        finish: of
            .seen
            .and_then(|s| s.finish)
            .map(|(early, late)| (x(early), x(late))),
        colder,
    }
}

/// Round minutes from nought to `span`, at most seven of them.
fn hour_ticks(span: f64) -> Vec<f64> {
    let step = [10.0, 15.0, 20.0, 30.0, 60.0, 120.0]
        .into_iter()
        .find(|step| span / step < 7.0)
        .unwrap_or(240.0);
    (0..7)
        .map(|n| f64::from(n) * step)
        .take_while(|m| *m <= span)
        .collect()
}

/// The readings of one kind that lie in a panel.
fn shown(
    of: &Drawn<'_>,
    x: &impl Fn(UtcSecond) -> f64,
    up: Axis,
    figure: impl Fn(&Mark) -> Option<f64>,
) -> Vec<(f64, f64, bool)> {
    of.marks
        .iter()
        .filter_map(|m| Some((m, figure(m)?)))
        .filter(|(_, f)| up.holds(*f))
        .map(|(m, f)| (x(m.at), up.at(f), m.doubtful))
        .collect()
}

fn panel(
    dots: Vec<(f64, f64, bool)>,
    up: Axis,
    (goal, out): (f64, f64),
    ticks: Vec<(f64, f64)>,
) -> Panel {
    let places: Vec<(f64, f64)> = dots
        .iter()
        .filter(|(_, _, doubtful)| !doubtful)
        .map(|(x, y, _)| (*x, *y))
        .collect();
    let (top, foot) = (up.at(goal + out), up.at(goal - out));
    Panel {
        line: points(&places),
        dots,
        band: (top, tenth(foot - top)),
        target: up.at(goal),
        ticks,
    }
}

/// Round marks in °C or °F, given in °C.
fn temp_ticks(up: Axis, (low, high): (f64, f64), fahrenheit: bool) -> Vec<(f64, f64)> {
    let shown = if fahrenheit {
        Axis::new((1.8 * low + 32.0, 1.8 * high + 32.0), (0.0, 1.0))
            .ticks(6)
            .into_iter()
            .map(|f| (f - 32.0) / 1.8)
            .collect()
    } else {
        up.ticks(6)
    };
    shown.into_iter().map(|c| (up.at(c), c)).collect()
}

#[cfg(test)]
#[path = "boil_chart_tests.rs"]
mod tests;
