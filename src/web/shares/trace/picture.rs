//! The picture of a trace: streams that meet in a bar and part again, each with its name on it.

use crate::calc::paper::chart::tenth;
use crate::calc::shares::trace::{BAR, Ribbon, picture};
use crate::units::Grams;

/// A stream of the picture.
pub(super) struct RibbonLine {
    pub(super) outline: String,
    pub(super) y: f64,
    pub(super) words: String,
}

/// The picture of a lot, ready to draw.
pub(super) struct Drawn {
    pub(super) height: f64,
    pub(super) bar: (f64, f64),
    pub(super) bar_left: f64,
    pub(super) bar_wide: f64,
    pub(super) into: Vec<RibbonLine>,
    pub(super) out: Vec<RibbonLine>,
}

/// Letters of a name that fit on a stream.
const ON_A_STREAM: usize = 22;

pub(super) fn short(words: &str) -> String {
    if words.chars().count() <= ON_A_STREAM {
        words.to_owned()
    } else {
        let cut: String = words.chars().take(ON_A_STREAM - 1).collect();
        format!("{}…", cut.trim_end())
    }
}

/// The streams in and out, each with its name and its weight. `None`: nothing flows in.
pub(super) fn drawn(into: Vec<(String, Grams)>, out: Vec<(String, Grams)>) -> Option<Drawn> {
    if into.is_empty() {
        return None;
    }
    let weights =
        |side: &[(String, Grams)]| -> Vec<Grams> { side.iter().map(|(_, g)| *g).collect() };
    let places = picture(&weights(&into), &weights(&out));
    let named = |ribbons: Vec<Ribbon>, side: Vec<(String, Grams)>| {
        let pairs = ribbons.into_iter().zip(side);
        let line = |(ribbon, (words, _)): (Ribbon, (String, Grams))| RibbonLine {
            outline: ribbon.outline,
            y: tenth(ribbon.middle + 4.0),
            words: short(&words),
        };
        pairs.map(line).collect()
    };
    Some(Drawn {
        height: tenth(places.height),
        bar: (tenth(places.bar.0), tenth(places.bar.1)),
        bar_left: BAR.0,
        bar_wide: BAR.1 - BAR.0,
        into: named(places.into, into),
        out: named(places.out, out),
    })
}

#[cfg(test)]
pub(super) fn sample(many: i64, name: &str) -> Option<Drawn> {
    let streams = |n: i64| {
        (0..n)
            .map(|i| (name.to_owned(), Grams::new(100 + i)))
            .collect()
    };
    drawn(streams(many), streams(1))
}
