//! What is refused, asked and warned about when cane is weighed in and juice is measured. A doubt
//! is refused until the person at the scale says that it is so. Never knows whose cane it is.

use super::juice::{self, Amount, ExtractionBands, Freshness, Juice};
use super::scale::Weighing;
use crate::calc::{MAY_BE_SO, RuleRefusal};
use crate::units::{Grams, Millilitres, Units, UtcSecond};

/// Juice above this is questioned, °Bx (published juices reach 25; hand instruments end at 32).
pub const BRIX_DOUBTED: f64 = 30.0;
/// More juice per 100 of cane than this is questioned: a test press with ideal cane gets 65.
pub const EXTRACTION_HIGH: f64 = 75.0;
/// Less juice per 100 of cane than this is questioned: worn animal mills get 35 (common practice).
pub const EXTRACTION_LOW: f64 = 15.0;
/// Cane said to be cut longer ago than this is taken for a slip of the pen, days.
pub const CANE_DAYS_MOST: i64 = 60;

/// Net cane of one load; `before` are tares that this member's cane had before, the last first. Doubts are
/// waved through by `sure`: the scale really showed this.
///
/// # Errors
/// The first thing that cannot be, else all doubts in one sentence, beside the box of the first.
pub fn load_net(
    weighing: &Weighing,
    before: &[Grams],
    sure: bool,
    units: Units,
) -> Result<Grams, RuleRefusal> {
    let net = match weighing.net(units) {
        Ok(net) => net,
        Err(refusal) => return Err(first(refusal)),
    };
    if sure {
        return Ok(net);
    }
    let mut doubts = weighing.doubts(units);
    if let Some(tare) = weighing.tare_doubt(before, units) {
        // The tare is looked at first; a net that is odd for the same slip says nothing more.
        let same = |d: &RuleRefusal| {
            d.code == "far-from-expected" && (d.at == Some("tare") || tare.code == "no-tare")
        };
        doubts.retain(|d| !same(d));
        doubts.insert(0, tare);
    }
    ask(
        doubts,
        "If the scale really showed this, tap “Yes, it is so”.",
    )?;
    Ok(net)
}

fn first(refusal: Vec<RuleRefusal>) -> RuleRefusal {
    refusal
        .into_iter()
        .next()
        .unwrap_or_else(|| RuleRefusal::new("weighing-amiss", "Please check gross and tare."))
}

/// All doubts as one refusal beside the box of the first, with what to do if the figures are right.
fn ask(doubts: Vec<RuleRefusal>, way_out: &str) -> Result<(), RuleRefusal> {
    let mut doubts = doubts.into_iter();
    let Some(mut asked) = doubts.next() else {
        return Ok(());
    };
    for more in doubts {
        asked.sentence.push(' ');
        asked.sentence.push_str(&more.sentence);
    }
    asked.sentence.push(' ');
    asked.sentence.push_str(way_out);
    Err(asked.holding(MAY_BE_SO, "yes"))
}

/// What was seen of the cane when it came; `None`: nobody said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Condition {
    /// Whether the leaves were off.
    pub stripped: Option<bool>,
    /// Whether the heads were off.
    pub headed: Option<bool>,
    /// Whether it was free of mud and trash.
    pub clean: Option<bool>,
    /// Frost got it before it was cut.
    pub frosted: Option<bool>,
}

impl Condition {
    /// "leaves off, heads on"; only what somebody said, else "not said".
    pub fn words(self) -> String {
        let said = [
            (self.stripped, "leaves off", "leaves on"),
            (self.headed, "heads off", "heads on"),
            (self.clean, "clean", "not clean"),
            (self.frosted, "frosted", "no frost"),
        ];
        let words: Vec<&str> = said
            .into_iter()
            .filter_map(|(is, yes, no)| is.map(|is| if is { yes } else { no }))
            .collect();
        if words.is_empty() {
            "not said".to_owned()
        } else {
            words.join(", ")
        }
    }
}

/// Whole days from cutting to an instant.
pub const fn days_since_cut(cut: UtcSecond, at: UtcSecond) -> i64 {
    at.minutes_since(cut).div_euclid(1440)
}

/// Whether cane can have been cut then.
///
/// # Errors
/// Beside `cut_on`: after the weighing, or longer ago than any cane keeps.
pub fn cut_before(cut: UtcSecond, weighed: UtcSecond) -> Result<(), RuleRefusal> {
    if cut > weighed {
        return Err(RuleRefusal::beside(
            "cut_on",
            "cut-later",
            "That is after the weighing. Please write when the cane was cut, or leave it empty.",
        ));
    }
    if days_since_cut(cut, weighed) > CANE_DAYS_MOST {
        return Err(RuleRefusal::beside(
            "cut_on",
            "cut-long-ago",
            "That is more than 60 days ago. Please check the date, or leave it empty.",
        ));
    }
    Ok(())
}

/// Whether juice can have been pressed then: to the minute, since the clock on the wall has no seconds.
///
/// # Errors
/// Beside `pressed`: still to come, or before its cane was weighed.
pub fn pressed_then(
    pressed: UtcSecond,
    weighed: Option<UtcSecond>,
    at: UtcSecond,
) -> Result<(), RuleRefusal> {
    if pressed > at {
        return Err(RuleRefusal::beside(
            "pressed",
            "pressed-later",
            "That is still to come. Please write when the juice was pressed, or leave it empty.",
        ));
    }
    let minute = |at: UtcSecond| at.get().div_euclid(60);
    if weighed.is_some_and(|weighed| minute(pressed) < minute(weighed)) {
        return Err(RuleRefusal::beside(
            "pressed",
            "pressed-before-weighed",
            "That is before its cane was weighed. Please write a later time, or correct the weighing first.",
        ));
    }
    Ok(())
}

/// What a member is told of the cane as it came: what to do otherwise next time. The crew's cautions are [`cane_cautions`].
pub fn grower_cautions(seen: Condition) -> Vec<String> {
    let said = [
        (
            seen.stripped == Some(false),
            "It came with its leaves on: they count as cane here and give no juice, so juice per 100 of cane looks low.",
        ),
        (
            seen.headed == Some(false),
            "It came with its heads on: they bring starch into the juice. Cut them off before you come.",
        ),
        (
            seen.clean == Some(false),
            "It came with mud or trash on it: shake it off before you come.",
        ),
    ];
    let said = said.into_iter().filter(|(is, _)| *is);
    said.map(|(_, words)| words.to_owned()).collect()
}

/// Cautions that a ticket carries: the cane's clock, frost, leaves, heads, dirt. `limit_days` is
/// the season's setting.
pub fn cane_cautions(
    seen: Condition,
    cut: Option<UtcSecond>,
    at: UtcSecond,
    limit_days: i64,
) -> Vec<String> {
    let mut out = Vec::new();
    let frosted = seen.frosted == Some(true);
    let limit = if frosted {
        juice::CANE_DAYS_FROST.min(limit_days)
    } else {
        limit_days
    };
    let days = cut.map(|cut| days_since_cut(cut, at));
    if frosted {
        out.push(
            "Frosted: press within 48 hours of a killing frost. Boil a gallon first and taste it."
                .to_owned(),
        );
    }
    match days {
        None => out.push("Nobody wrote when it was cut: smell the cut ends first.".to_owned()),
        Some(days) => match juice::cane_clock(days, limit).0 {
            Freshness::Fresh => {}
            Freshness::Soon => out.push(format!(
                "Cut {days} days ago, the limit here: press it next."
            )),
            Freshness::Late => out.push(format!(
                "Cut {days} days ago, over the limit of {limit} days: smell the juice and test its \
                 pH. Brix does not show spoilage."
            )),
        },
    }
    if seen.stripped == Some(false) {
        out.push(
            "Leaves on: they count as cane here and give no juice, so juice per 100 of cane will \
             look low."
                .to_owned(),
        );
    }
    if seen.headed == Some(false) {
        out.push("Heads on: cut them off before the rollers; they bring starch.".to_owned());
    }
    if seen.clean == Some(false) {
        out.push("Not clean: shake off mud and trash, and weigh again if it was much.".to_owned());
    }
    out
}

/// What the juice of one ticket is held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pressing<'a> {
    /// What was measured of this juice.
    pub amount: Amount,
    /// The figures worked out from those measurements.
    pub juice: &'a Juice,
    /// Juice of the same ticket in other vessels.
    pub other_juice: Grams,
    /// Net cane of the ticket.
    pub cane: Grams,
    /// Volume that the vessel holds.
    pub capacity: Millilitres,
    /// A question that the day's other juices raise about this one, if any.
    pub unlike_day: Option<&'a RuleRefusal>,
    /// The person who measured says that unlikely figures are so.
    pub sure: bool,
}

/// Looks a juice over: refuses what cannot be, asks about what is unlikely.
///
/// # Errors
/// Beside `amount` or `brix_1`: no cane, more juice than cane, more than the vessel holds; and
/// until `sure`, Brix above [`BRIX_DOUBTED`], extraction outside [`EXTRACTION_LOW`] to
/// [`EXTRACTION_HIGH`], and what is unlike the day.
pub fn juice_stands(p: &Pressing<'_>, units: Units) -> Result<(), RuleRefusal> {
    let whole = p.juice.mass + p.other_juice;
    let (percent, _) = juice::extraction(whole, p.cane, ExtractionBands::DEFAULT)?;
    let volume = p.amount.volume(p.juice.brix_20);
    if volume > p.capacity {
        return Err(RuleRefusal::beside(
            "amount",
            "over-vessel",
            format!(
                "{} is more than this vessel holds, {}. Please check the reading, or measure the \
                 rest in another vessel.",
                volume.show(units),
                p.capacity.show(units)
            ),
        ));
    }
    if p.sure {
        return Ok(());
    }
    let mut doubts = Vec::new();
    if p.juice.brix_20.get() > BRIX_DOUBTED {
        doubts.push(RuleRefusal::beside(
            "brix_1",
            "brix-high",
            format!(
                "{} is more than fresh juice has: 10 to 20 is usual. Please wipe the prism and read \
                 again.",
                p.juice.brix_20.show()
            ),
        ));
    }
    if !(EXTRACTION_LOW..=EXTRACTION_HIGH).contains(&percent) {
        let than = if percent > EXTRACTION_HIGH {
            "more"
        } else {
            "less"
        };
        doubts.push(RuleRefusal::beside(
            "amount",
            "extraction-odd",
            format!(
                "That makes {percent:.0} of juice from 100 of cane, {than} than a mill gets; 45 to \
                 50 is good. Please check the amount and its unit, and the weighings."
            ),
        ));
    }
    doubts.extend(p.unlike_day.cloned());
    ask(doubts, "If it really is so, tap “Yes, it is so”.")
}

/// Whether a corrected weighing still covers the juice that was measured.
///
/// # Errors
/// Beside `gross`: less cane than juice.
pub fn cane_covers(cane: Grams, juice: Grams, units: Units) -> Result<(), RuleRefusal> {
    if juice <= cane {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        "gross",
        "more-juice-than-cane",
        format!(
            "This ticket would have {} of cane, less than the {} of juice measured from it. Please \
             correct the juice first, or check this weighing.",
            cane.show(units),
            juice.show(units)
        ),
    ))
}

/// Whether so much of a juice can be lost.
///
/// # Errors
/// Beside `lost`: nothing, or more than is left.
pub fn lost_part(amount: Grams, left: Grams, units: Units) -> Result<(), RuleRefusal> {
    if amount <= Grams::ZERO {
        return Err(RuleRefusal::beside(
            "lost",
            "lost-nothing",
            "Please write how much is lost, or choose all that is left.",
        ));
    }
    if amount > left {
        return Err(RuleRefusal::beside(
            "lost",
            "lost-more-than-left",
            format!(
                "Only {} of this juice is left by the book, so no more can be lost.",
                left.show(units)
            ),
        ));
    }
    Ok(())
}

/// Whether a corrected juice still covers what is gone from it: drawn into boils, or lost.
///
/// # Errors
/// Beside `amount`: less than is gone; or beside `void`: crossed out, but something was drawn or noted as lost.
pub fn juice_covers(
    mass: Grams,
    gone: Grams,
    any_drawn: bool,
    void: bool,
    units: Units,
) -> Result<(), RuleRefusal> {
    if void && any_drawn {
        return Err(RuleRefusal::beside(
            "void",
            "drawn-already",
            "Some of this juice is in a boil, so it was not poured away. Take it out of the boil \
             first.",
        ));
    }
    if void && gone > Grams::ZERO {
        return Err(RuleRefusal::beside(
            "void",
            "lost-already",
            format!(
                "{} of this juice is noted as lost. Please take that back first: what was never there cannot be lost.",
                gone.show(units)
            ),
        ));
    }
    if !void && gone > mass {
        return Err(RuleRefusal::beside(
            "amount",
            "less-than-drawn",
            format!(
                "{} of this juice is in boils already, or lost, more than the {} it would come to. Please \
                 correct that first.",
                gone.show(units),
                mass.show(units)
            ),
        ));
    }
    Ok(())
}

#[cfg(test)]
#[path = "tickets_tests.rs"]
mod tests;
