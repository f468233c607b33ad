//! The picture of a day's sugar on its way from cane to jars: streams whose widths are to scale,
//! leaving the main stream where sediment, skimmings and the rest leave it. Only places; the sums
//! are `balance`.

use super::balance::DaySolids;
use crate::calc::paper::chart::tenth;
use crate::units::Grams;

/// A stream of the picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stream {
    /// All that was measured in juice.
    Measured,
    /// Sugar left behind in sediment.
    Sediment,
    /// Sugar still in tanks, or thrown away with a reason.
    NotBoiled,
    /// Measured, and neither in sediment, tanks nor boils.
    Astray,
    /// Sugar poured into boils.
    Poured,
    /// Sugar skimmed off.
    Skimmed,
    /// Spilt, scorched or left in the pan, where it was measured.
    Spilt,
    /// Poured in, and neither skimmed, spilt nor in syrup.
    Unexplained,
    /// Sugar in the syrup of finished boils.
    Syrup,
    /// Sugar in boils that are not finished yet.
    Boiling,
}

/// One stream as drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Ribbon {
    /// Which stream it is.
    pub stream: Stream,
    /// How much sugar it carries.
    pub grams: Grams,
    /// Its width in the picture.
    pub width: f64,
    /// Its outline, as the path data of an SVG.
    pub outline: String,
    /// Where its label begins.
    pub label: (f64, f64),
}

/// The picture, 720 wide and `height` high.
#[derive(Debug, Clone, PartialEq)]
pub struct Flow {
    /// The streams, from the mill on.
    pub ribbons: Vec<Ribbon>,
    /// Height of the picture: so that every label has room.
    pub height: f64,
}

/// Width of the stream that carries all.
const ALL: f64 = 160.0;
/// Height at which the main stream's upper edge lies.
const TOP: f64 = 12.0;
/// Where streams begin, part, and end: what is right of the end is room for their names.
const BEGIN: f64 = 8.0;
const TANKS: f64 = 150.0;
const PAN: f64 = 330.0;
const END: f64 = 460.0;
/// Least height between the ends of two streams, so that their labels do not touch.
const APART: f64 = 40.0;

/// The streams of a day: its solids, and those in boils still on the fire (poured, not finished).
/// `of.boils` are the finished boils. Nothing when nothing was measured. Where more is accounted
/// for than was measured, widths are to the scale of what is accounted for.
pub fn flow(of: &DaySolids, boiling: Grams) -> Option<Flow> {
    let poured = of.boils.poured + boiling;
    let astray = of.measured - of.sediment - of.not_boiled - poured;
    let lost = of.boils.poured - of.boils.skimmed - of.boils.spilt - of.boils.syrup;
    let at_tanks = [
        (Stream::Sediment, of.sediment),
        (Stream::NotBoiled, of.not_boiled),
        (Stream::Astray, astray),
    ];
    let at_pan = [
        (Stream::Syrup, of.boils.syrup),
        (Stream::Boiling, boiling),
        (Stream::Skimmed, of.boils.skimmed),
        (Stream::Spilt, of.boils.spilt),
        (Stream::Unexplained, lost),
    ];
    let after_pan: Grams = at_pan.iter().map(|(_, g)| *g.max(&Grams::ZERO)).sum();
    let after_tanks: Grams = at_tanks.iter().map(|(_, g)| *g.max(&Grams::ZERO)).sum();
    let most = of
        .measured
        .max(after_tanks + poured)
        .max(after_tanks + after_pan);
    if most <= Grams::ZERO {
        return None;
    }
    let scale = |grams: Grams| ALL * grams.as_f64() / most.as_f64();
    let mut out = vec![straight(
        Stream::Measured,
        of.measured,
        scale(of.measured),
        (BEGIN, TANKS),
    )];
    if poured > Grams::ZERO {
        out.push(straight(
            Stream::Poured,
            poured,
            scale(poured),
            (TANKS, PAN),
        ));
    }
    // The stream to the pan stays on top; what is left behind at the tanks goes off below it.
    let mut from = TOP + scale(poured);
    let mut free = TOP;
    let mut ends = Vec::new();
    for (stream, grams) in at_pan.into_iter().filter(|(_, g)| *g > Grams::ZERO) {
        ends.push((stream, grams, PAN));
    }
    for (stream, grams) in at_tanks.into_iter().filter(|(_, g)| *g > Grams::ZERO) {
        ends.push((stream, grams, TANKS));
    }
    let mut at_pan_from = TOP;
    for (stream, grams, x) in ends {
        let width = scale(grams);
        let start = if x < PAN { &mut from } else { &mut at_pan_from };
        out.push(bend(stream, grams, width, (x, *start), free));
        *start += width;
        free += width.max(APART - 12.0) + 12.0;
    }
    Some(Flow {
        ribbons: out,
        height: tenth(free.max(TOP + ALL + 32.0)),
    })
}

/// A stream that goes straight on, along the top.
fn straight(stream: Stream, grams: Grams, width: f64, (x0, x1): (f64, f64)) -> Ribbon {
    let (top, foot) = (tenth(TOP), tenth(TOP + width));
    Ribbon {
        stream,
        grams,
        width: tenth(width),
        outline: format!("M{x0},{top} L{x1},{top} L{x1},{foot} L{x0},{foot} Z"),
        label: (tenth(x0 + 10.0), tenth(TOP + 20.0)),
    }
}

/// A stream that leaves at a place and ends at another height.
fn bend(stream: Stream, grams: Grams, width: f64, (x, y): (f64, f64), to: f64) -> Ribbon {
    let middle = f64::midpoint(x, END);
    let (top, foot) = (tenth(y), tenth(y + width));
    let (end_top, end_foot) = (tenth(to), tenth(to + width));
    Ribbon {
        stream,
        grams,
        width: tenth(width),
        outline: format!(
            "M{x},{top} C{middle},{top} {middle},{end_top} {END},{end_top} L{END},{end_foot} C{middle},{end_foot} {middle},{foot} {x},{foot} Z"
        ),
        label: (END + 8.0, tenth(to + f64::midpoint(width, 14.0).max(14.0))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::boil::balance::BoilSolids;
    use proptest::prelude::*;

    fn day(measured: i64, sediment: i64, left: i64, boils: [i64; 4]) -> DaySolids {
        let [poured, skimmed, spilt, syrup] = boils.map(Grams::new);
        DaySolids {
            measured: Grams::new(measured),
            sediment: Grams::new(sediment),
            not_boiled: Grams::new(left),
            boils: BoilSolids {
                poured,
                skimmed,
                spilt,
                syrup,
            },
        }
    }

    fn width(of: &Flow, stream: Stream) -> f64 {
        of.ribbons
            .iter()
            .find(|r| r.stream == stream)
            .map_or(0.0, |r| r.width)
    }

    #[test]
    fn a_day_s_streams_are_as_wide_as_what_they_carry() {
        let drawn = flow(
            &day(100_000, 4_000, 0, [96_000, 3_000, 0, 80_000]),
            Grams::ZERO,
        )
        .unwrap();
        assert!((width(&drawn, Stream::Measured) - ALL).abs() < 0.06);
        assert!((width(&drawn, Stream::Sediment) - 0.04 * ALL).abs() < 0.06);
        assert!((width(&drawn, Stream::Syrup) - 0.80 * ALL).abs() < 0.06);
        assert!((width(&drawn, Stream::Unexplained) - 0.13 * ALL).abs() < 0.06);
        assert!(drawn.ribbons.iter().all(|r| r.stream != Stream::Spilt));
    }

    #[test]
    fn a_day_without_juice_has_no_picture() {
        assert!(flow(&DaySolids::default(), Grams::ZERO).is_none());
    }

    #[test]
    fn more_out_than_in_is_drawn_and_not_hidden() {
        let drawn = flow(&day(100_000, 0, 0, [100_000, 0, 0, 104_000]), Grams::ZERO).unwrap();
        assert!((width(&drawn, Stream::Syrup) - ALL).abs() < 0.06);
        assert!(width(&drawn, Stream::Measured) < ALL);
        assert!(width(&drawn, Stream::Unexplained).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn prop_what_leaves_is_as_wide_as_what_came_and_stays_in_the_picture(
            poured in 1_000_i64..100_000, skim in 0_i64..10, spill in 0_i64..5, syrup in 0_i64..85,
            sediment in 0_i64..9_000, left in 0_i64..50_000, astray in 0_i64..20_000,
            boiling in 0_i64..80_000,
        ) {
            let share = |percent: i64| poured * percent / 100;
            let of = day(
                poured + sediment + left + astray + boiling,
                sediment,
                left,
                [poured, share(skim), share(spill), share(syrup)],
            );
            let drawn = flow(&of, Grams::new(boiling)).unwrap();
            let ends: f64 = drawn
                .ribbons
                .iter()
                .filter(|r| !matches!(r.stream, Stream::Measured | Stream::Poured))
                .map(|r| r.width)
                .sum();
            // Each width is written to a tenth.
            prop_assert!((ends - width(&drawn, Stream::Measured)).abs() < 0.5, "{ends}");
            for ribbon in &drawn.ribbons {
                prop_assert!(ribbon.label.1 < drawn.height, "{ribbon:?}");
            }
        }
    }
}
