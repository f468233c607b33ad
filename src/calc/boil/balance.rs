//! The solids balance of a boil and of a day: what came in against what is accounted for, what is
//! odd against the season's habit, and what cannot be. Never decides; it refuses or asks.

use crate::calc::RuleRefusal;
use crate::calc::cane::learned::Learned;
use crate::units::Grams;

/// Solids of one boil, all in whole grams.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BoilSolids {
    /// Dissolved solids in the juices poured in.
    pub poured: Grams,
    /// Dissolved solids in the scum taken off, where it was measured.
    pub skimmed: Grams,
    /// Dissolved solids spilt, scorched or left in the pan, where they were measured.
    pub spilt: Grams,
    /// Dissolved solids in the syrup: its mass times the Brix of the cooled sample.
    pub syrup: Grams,
}

/// Solids of one press day, all in whole grams.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct DaySolids {
    /// Dissolved solids in all juice measured, its sediment included.
    pub measured: Grams,
    /// Dissolved solids left behind in sediment.
    pub sediment: Grams,
    /// Dissolved solids still in tanks, or thrown away with a reason.
    pub not_boiled: Grams,
    /// Those figures of all the day's boils, added up.
    pub boils: BoilSolids,
}

/// What came out against what went in, and what that leaves unexplained.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// What nobody has accounted for; negative when more came out than went in.
    pub unexplained: Grams,
    /// Syrup's solids over those poured in, 0 to 1.1.
    pub recovery: f64,
    /// Questions to put before the boil is divided, each a whole sentence.
    pub questions: Vec<String>,
}

/// Above this much more out than in, nothing but an error explains it: two readings, two weighings
/// and a gauged tank are together good to about 3 % (Brix ±0.2 in 15, volume ±2 %), and this is
/// three times that.
const IMPOSSIBLE: f64 = 1.10;
/// Recovery to expect before the season has a habit: 0.80, and by how much it may differ unasked.
const START: (f64, f64) = (0.80, 0.15);
/// Least difference from the habit that is asked about, and how many spreads of the habit.
const ASK: (f64, f64) = (0.08, 3.0);
/// Fewest earlier boils whose recovery counts as a habit.
const HABIT_BOILS: u32 = 3;
/// Unexplained solids from this share of what was poured in are asked about on a day.
const DAY_ASK: f64 = 0.05;

/// Balances one boil. `habit` is the season's recovery learned from earlier boils.
///
/// # Errors
/// Nothing poured in; a figure below nought (beside its box); more solids out than any measuring
/// allows.
pub fn boil(of: &BoilSolids, habit: Option<Learned>) -> Result<Balance, RuleRefusal> {
    for (at, grams) in [
        ("poured", of.poured),
        ("skimmed", of.skimmed),
        ("spilt", of.spilt),
        ("syrup", of.syrup),
    ] {
        if grams < Grams::ZERO {
            return Err(RuleRefusal::beside(
                at,
                "balance-negative",
                "Please write nought or more here.",
            ));
        }
    }
    if of.poured == Grams::ZERO {
        return Err(RuleRefusal::new(
            "boil-empty",
            "This boil has no measured juice in it, so it cannot be balanced.",
        ));
    }
    let out = of.skimmed + of.spilt + of.syrup;
    let recovery = of.syrup.as_f64() / of.poured.as_f64();
    let all = out.as_f64() / of.poured.as_f64();
    if all > IMPOSSIBLE {
        return Err(RuleRefusal::beside(
            "syrup",
            "more-out-than-in",
            format!(
                "This boil gave {:.0} of sugar for every 100 poured in, which cannot be. Please \
                 check the syrup's weight and Brix, the juices' Brix and volumes, and that every \
                 juice in the pan is drawn for this boil.",
                100.0 * all
            ),
        ));
    }
    let mut questions = Vec::new();
    if all > 1.0 {
        questions.push(format!(
            "More sugar came out than went in ({:.1} for every 100). Are all juices in this boil \
             drawn for it, and is the syrup's Brix that of a cooled sample?",
            100.0 * all
        ));
    }
    // Solids known to be spilt need no explaining.
    let spilt = of.spilt.as_f64() / of.poured.as_f64();
    if let Some(question) = against_habit(recovery + spilt, habit) {
        questions.push(question);
    }
    Ok(Balance {
        unexplained: of.poured - out,
        recovery,
        questions,
    })
}

fn against_habit(recovery: f64, habit: Option<Learned>) -> Option<String> {
    let learned = habit.filter(|h| h.boils >= HABIT_BOILS);
    let (usual, allowed) = learned.map_or(START, |h| (h.middle, ASK.0.max(ASK.1 * h.spread)));
    let off = recovery - usual;
    if off.abs() <= allowed || recovery > 1.0 {
        return None;
    }
    let than = match learned {
        Some(h) => format!("the season's middle of {} boils", h.boils),
        None => "what is usual before a season has its own habit".to_owned(),
    };
    let ask = if off < 0.0 {
        "Was syrup spilt, scorched or left in the pan, or is a fill missing?"
    } else {
        "Is a juice missing from this boil, or the Brix read from a hot sample?"
    };
    Some(format!(
        "{:.0} of sugar came out as syrup, spilt or not, for every 100 poured in, against {:.0}: \
         {than}. {ask}",
        100.0 * recovery,
        100.0 * usual
    ))
}

/// Balances a press day: measured juice against sediment, juice not boiled, and the boils.
///
/// # Errors
/// As [`boil`] for the sum of the boils; more left or poured than was measured.
pub fn day(of: &DaySolids, habit: Option<Learned>) -> Result<Balance, RuleRefusal> {
    let left = of.measured - of.sediment - of.not_boiled - of.boils.poured;
    #[expect(
        clippy::cast_precision_loss,
        reason = "a day's solids are far below 2^53 g"
    )]
    let missing = left.get() as f64 / of.measured.get().max(1) as f64;
    if missing < 1.0 - IMPOSSIBLE {
        return Err(RuleRefusal::new(
            "more-poured-than-measured",
            "More sugar was poured into the day's boils and left in sediment than all its juice \
             held. Please check the draws and the sediment.",
        ));
    }
    let mut found = boil(&of.boils, habit)?;
    if missing.abs() > DAY_ASK {
        found.questions.push(format!(
            "{:.0} of every 100 of sugar measured as juice is neither in sediment, nor in a tank, \
             nor in a boil. Is a draw missing, or juice left in a tank not written down?",
            100.0 * missing
        ));
    }
    found.unexplained += left;
    Ok(found)
}

#[cfg(test)]
#[path = "balance_tests.rs"]
mod tests;
