//! Which figures a version of a season's rules may hold: the range of each, and which of two must
//! be the larger. Never knows a season or who made the rules.

use crate::calc::RuleRefusal;
use crate::units::{Grams, Minutes, PressDate};

/// The range of one setting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The box it is typed in.
    pub at: &'static str,
    /// Least value allowed, in the setting's unit.
    pub least: f64,
    /// Greatest value allowed, in the setting's unit.
    pub most: f64,
    /// The sentence that tells what to write instead.
    pub sentence: &'static str,
}

/// Most jar sizes in one version.
pub const SIZES_MOST: usize = 6;
/// The boxes of the jars' net weights.
pub const NET_BOXES: [&str; SIZES_MOST] = ["net_1", "net_2", "net_3", "net_4", "net_5", "net_6"];
/// The boxes of the jars' names.
pub const SIZE_BOXES: [&str; SIZES_MOST] =
    ["size_1", "size_2", "size_3", "size_4", "size_5", "size_6"];
/// The smallest jar: a taster of under 2 oz.
pub const NET_LEAST: Grams = Grams::new(50);
/// The largest jar: a pail of 22 lb.
pub const NET_MOST: Grams = Grams::new(10_000);

const fn range(at: &'static str, least: f64, most: f64, sentence: &'static str) -> Range {
    Range {
        at,
        least,
        most,
        sentence,
    }
}

const PERCENT: &str = "Please write a percentage from 0 to 100.";
const A_DAY: &str = "Please write a percentage for each day, from 0.1 to 20.";

/// The range of every figure, by its box. °Bx, minutes, days, percent, kg, kg per metre, grams.
pub const RANGES: &[Range] = &[
    range(
        "target_bx",
        60.0,
        90.0,
        "Please write a finish target from 60 to 90 °Bx; syrup keeps from about 78.",
    ),
    range(
        "lots_repay",
        0.0,
        100.0,
        "Please write how much of a lot may repay members without juice in it, from 0 to 100 percent.",
    ),
    range(
        "floor_bx",
        0.0,
        30.0,
        "Please write a juice floor from 0 to 30 °Bx; fresh juice reads about 10 to 20.",
    ),
    range(
        "hold_amber",
        1.0,
        4320.0,
        "Please write the minutes after which juice is amber, from 1 to 4320 (three days).",
    ),
    range(
        "hold_red",
        1.0,
        4320.0,
        "Please write the minutes after which juice is red, from 1 to 4320 (three days).",
    ),
    range(
        "cane_days",
        1.0,
        30.0,
        "Please write the days that cut cane may lie, from 1 to 30.",
    ),
    range(
        "hours_most",
        0.0,
        2000.0,
        "Please write the most hours credited to a member in a season, from 0 to 2000.",
    ),
    range(
        "yield_amber",
        0.0,
        100.0,
        "Please write juice per 100 of cane, from 0 to 100.",
    ),
    range(
        "yield_red",
        0.0,
        100.0,
        "Please write juice per 100 of cane, from 0 to 100.",
    ),
    range(
        "recovery",
        1.0,
        100.0,
        "Please write the recovery expected, from 1 to 100 of solids in 100.",
    ),
    range(
        "juice_pct",
        1.0,
        100.0,
        "Please write the juice expected of 100 of cane, from 1 to 100.",
    ),
    range(
        "row",
        0.1,
        50.0,
        "Please write the cane of a length of row, from 0.1 to 50 kg per metre (0.07 to 33 lb per foot).",
    ),
    range(
        "stalk",
        10.0,
        5000.0,
        "Please write what one stalk weighs, from 10 g to 5 kg (0.4 oz to 11 lb).",
    ),
    range(
        "cutoff",
        0.0,
        336.0,
        "Please write hours from 0 to 336 (two weeks).",
    ),
    range(
        "offer",
        15.0,
        2880.0,
        "Please write minutes from 15 to 2,880 (two days).",
    ),
    range(
        "weigh_day",
        0.0,
        5000.0,
        "Please write cane from 0 to 5,000 kg (11,000 lb).",
    ),
    range(
        "weigh_person",
        0.0,
        1000.0,
        "Please write cane from 0 to 1,000 kg (2,200 lb).",
    ),
    range("weigh_short", 0.0, 100.0, PERCENT),
    range("weigh_wait", 0.0, 100.0, PERCENT),
    range("weigh_move", 0.0, 100.0, PERCENT),
    range(
        "weigh_step",
        1.0,
        50.0,
        "Please write a percentage from 1 to 50.",
    ),
    range(
        "weigh_edge",
        0.0,
        50.0,
        "Please write a percentage from 0 to 50.",
    ),
    range("weigh_early", 0.1, 20.0, A_DAY),
    range("weigh_late", 0.1, 20.0, A_DAY),
    range("weigh_frost", 0.0, 100.0, PERCENT),
];

/// The range of a box, for reading it.
pub fn range_of(at: &str) -> Option<&'static Range> {
    RANGES.iter().find(|range| range.at == at)
}

/// The figure, if the box it was typed in may hold it.
///
/// # Errors
/// Beside that box: outside its range, or not a number.
pub fn within(at: &'static str, figure: f64) -> Result<f64, RuleRefusal> {
    match range_of(at) {
        Some(range) if !(range.least..=range.most).contains(&figure) => Err(RuleRefusal::beside(
            range.at,
            "out-of-range",
            range.sentence,
        )),
        _ => Ok(figure),
    }
}

/// Juice is amber before it is red.
///
/// # Errors
/// Beside `hold_red`: it comes before amber.
pub fn hold_in_order(amber: Minutes, red: Minutes) -> Result<(), RuleRefusal> {
    if red >= amber {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        "hold_red",
        "red-before-amber",
        format!(
            "Red comes after amber. Please write {} minutes or more here, or less for amber.",
            amber.get()
        ),
    ))
}

/// A yield is amber before it is red.
///
/// # Errors
/// Beside `yield_red`: it is above amber.
pub fn yield_in_order(amber_pct: f64, red_pct: f64) -> Result<(), RuleRefusal> {
    if red_pct <= amber_pct {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        "yield_red",
        "red-above-amber",
        "A yield is amber first, and red below that. Please write no more here than for amber.",
    ))
}

/// A jar size as it stands on the form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Size<'a> {
    /// Its row on the form, from 0.
    pub row: usize,
    /// Its name.
    pub name: &'a str,
    /// Net weight of syrup.
    pub net: Grams,
}

/// What is wrong with the jar sizes, each beside its box: a jar of nothing or a barrel, two of one
/// name or one weight, none at all.
pub fn sizes_amiss(sizes: &[Size<'_>]) -> Vec<RuleRefusal> {
    let mut amiss = Vec::new();
    if sizes.is_empty() {
        amiss.push(RuleRefusal::beside(
            "size_1",
            "no-sizes",
            "Please name at least one size of jar.",
        ));
    }
    for (i, size) in sizes.iter().enumerate() {
        let at = |boxes: [&'static str; SIZES_MOST]| boxes[size.row.min(SIZES_MOST - 1)];
        if !(NET_LEAST..=NET_MOST).contains(&size.net) {
            amiss.push(RuleRefusal::beside(
                at(NET_BOXES),
                "net-out-of-range",
                "Please write a net weight from 50 g to 10 kg (1.8 oz to 22 lb).",
            ));
        }
        let before = &sizes[..i];
        if before
            .iter()
            .any(|s| s.name.to_lowercase() == size.name.to_lowercase())
        {
            amiss.push(RuleRefusal::beside(
                at(SIZE_BOXES),
                "name-twice",
                format!(
                    "“{}” is named twice. Please name this size otherwise.",
                    size.name
                ),
            ));
        }
        if before.iter().any(|s| s.net == size.net) {
            amiss.push(RuleRefusal::beside(
                at(NET_BOXES),
                "net-twice",
                "Another size has this net weight already. Please keep one of them.",
            ));
        }
    }
    amiss
}

/// All figures of a version, in the units of [`RANGES`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figures<'a> {
    /// The figures that have a range, by their box.
    pub ranged: &'a [(&'static str, f64)],
    /// Juice older than this is amber.
    pub hold_amber: Minutes,
    /// Juice older than this is red.
    pub hold_red: Minutes,
    /// Juice per 100 of cane below this is amber.
    pub yield_amber_pct: f64,
    /// Juice per 100 of cane below this is red.
    pub yield_red_pct: f64,
    /// Jar sizes.
    pub sizes: &'a [Size<'a>],
}

/// Looks over a whole version.
///
/// # Errors
/// The first figure that may not stand.
pub fn check(figures: &Figures<'_>) -> Result<(), RuleRefusal> {
    for (at, figure) in figures.ranged {
        within(at, *figure)?;
    }
    hold_in_order(figures.hold_amber, figures.hold_red)?;
    yield_in_order(figures.yield_amber_pct, figures.yield_red_pct)?;
    sizes_amiss(figures.sizes)
        .into_iter()
        .next()
        .map_or(Ok(()), Err)
}

/// A season that may be opened: of the years from 2000 to next year.
///
/// # Errors
/// Beside `year`: an earlier or a later one.
pub fn season_year(year: i64, this_year: i64) -> Result<i64, RuleRefusal> {
    if (2000..=this_year + 1).contains(&year) {
        return Ok(year);
    }
    Err(RuleRefusal::beside(
        "year",
        "season-year",
        format!(
            "Please write a year from 2000 to {}: a season is opened the year before at the earliest.",
            this_year + 1
        ),
    ))
}

/// Whether a version may hold from that day; `before` is the day and number of the version confirmed before it.
///
/// # Errors
/// Beside `holds_from`: outside the season's year and the next, or before the version that it follows.
pub fn may_hold_from(
    from: PressDate,
    year: i64,
    before: Option<(PressDate, i64)>,
) -> Result<(), RuleRefusal> {
    let said = |sentence: String| Err(RuleRefusal::beside("holds_from", "holds-from", sentence));
    let of = i64::from(from.date().year());
    if of != year && of != year + 1 {
        return said(format!(
            "Please write a day of the season: of {year}, or of {} if it runs past New Year.",
            year + 1
        ));
    }
    match before {
        Some((first, number)) if from < first => said(format!(
            "Version {number} holds from {}. The version after it cannot hold from an earlier day. If that day was a slip, \
             put it right first: open “Every version” on the page of the season.",
            first.show()
        )),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn size(row: usize, name: &str, net: i64) -> Size<'_> {
        Size {
            row,
            name,
            net: Grams::new(net),
        }
    }

    #[test]
    fn a_target_outside_60_to_90_is_refused_beside_its_box() {
        for wrong in [59.9, 90.1, f64::NAN] {
            let refusal = within("target_bx", wrong).unwrap_err();
            assert_eq!(
                (refusal.at, refusal.code),
                (Some("target_bx"), "out-of-range")
            );
        }
        assert!(within("target_bx", 60.0).is_ok() && within("target_bx", 90.0).is_ok());
    }

    #[test]
    fn red_comes_after_amber() {
        let minutes = Minutes::new;
        assert!(hold_in_order(minutes(240), minutes(240)).is_ok());
        let refusal = hold_in_order(minutes(240), minutes(239)).unwrap_err();
        assert!(refusal.sentence.contains("240 minutes or more"));
        assert!(yield_in_order(45.0, 45.0).is_ok());
        assert_eq!(
            yield_in_order(38.0, 45.0).unwrap_err().at,
            Some("yield_red")
        );
    }

    #[test]
    fn jars_of_nothing_and_jars_named_twice_are_refused_each_beside_its_row() {
        let amiss = sizes_amiss(&[
            size(0, "quart", 1247),
            size(2, "Quart", 0),
            size(5, "pint", 1247),
        ]);
        let told: Vec<_> = amiss.iter().map(|u| (u.at, u.code)).collect();
        assert_eq!(
            told,
            [
                (Some("net_3"), "net-out-of-range"),
                (Some("size_3"), "name-twice"),
                (Some("net_6"), "net-twice"),
            ]
        );
        assert_eq!(sizes_amiss(&[])[0].code, "no-sizes");
        assert!(sizes_amiss(&[size(0, "pint", 623)]).is_empty());
    }

    #[test]
    fn a_season_is_opened_at_most_a_year_ahead() {
        assert_eq!(season_year(2027, 2026), Ok(2027));
        assert!(season_year(2028, 2026).is_err());
        assert!(season_year(1999, 2026).is_err());
    }
}
