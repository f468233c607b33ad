//! What may be done with a boil, in sentences: pouring, reading, the balance of a finish, filling.
//! Never looks anything up; the caller hands over what it knows.

use crate::calc::RuleRefusal;
use crate::calc::cane::juice::{Freshness, Portion, WaitLimits, juice_clock, solids_of};
use crate::calc::paper::label::LEAST_SOLIDS;
use crate::units::{BrixAt20C, Celsius, Grams, LotCode, MemberId, Minutes, Units, UtcSecond};

/// Coldest that anything in a pan is, and hottest that it can be before it burns, °C (common
/// practice: at 140 °C it is hard candy).
pub const PAN_C: (f64, f64) = (0.0, 140.0);
/// Coldest that finished syrup can boil anywhere with a mill, °C.
const FINISH_C: f64 = 90.0;
/// How far a Brix reading may be out, °Bx (common practice: instruments read to ±0.2).
const BRIX_OUT: f64 = 0.2;
/// How far a weighing or gauging may be out (common practice: 1 %).
const WEIGHT_OUT: f64 = 0.01;
/// How far below the expected recovery a boil may be before it is questioned, percent points.
const LOW_BY: f64 = 15.0;

/// What a boil under way may still take; the sentence when it is divided.
///
/// # Errors
/// The boil is divided.
pub fn still_open(lot: &LotCode, divided: bool) -> Result<(), RuleRefusal> {
    if divided {
        return Err(RuleRefusal::new(
            "boil-divided",
            format!(
                "Boil {lot} is divided and closed: its jars and shares stand. If something was \
                 wrong in it, a steward opens it for a correction."
            ),
        ));
    }
    Ok(())
}

/// A juice that is to be poured.
#[derive(Debug, Clone, Copy)]
pub struct Offered<'a> {
    /// Number of the juice's ticket.
    pub ticket: i64,
    /// The member whose juice it is.
    pub member: MemberId,
    /// That member's name.
    pub name: &'a str,
    /// Whether the member agrees to pool.
    pub pools: bool,
    /// When it was pressed.
    pub pressed_at: UtcSecond,
}

/// Whether a juice may go into a boil: a boil of one member alone takes nobody else's juice, any other only that of
/// members who agreed to pool.
///
/// # Errors
/// Beside `juice`.
pub fn may_join(juice: &Offered<'_>, alone: Option<MemberId>) -> Result<(), RuleRefusal> {
    let said = |code, sentence| Err(RuleRefusal::beside("juice", code, sentence));
    match alone {
        Some(owner) if owner == juice.member => Ok(()),
        Some(_) => said(
            "boil_is_anothers",
            format!(
                "This boil is one member’s alone, and ticket {} is {}’s. Please pour it into \
                 another boil.",
                juice.ticket, juice.name
            ),
        ),
        None if juice.pools => Ok(()),
        None => said(
            "does_not_pool",
            format!(
                "{} has not agreed to pool, so ticket {} cannot be boiled together with others’ \
                 juice. Please light a boil that is {}’s alone.",
                juice.name, juice.ticket, juice.name
            ),
        ),
    }
}

/// Whether a juice has waited past the red limit, which asks for a nose and a test strip.
///
/// # Errors
/// Beside `tested`, unless it is ticked.
pub fn fresh_enough(
    juice: &Offered<'_>,
    at: UtcSecond,
    limits: WaitLimits,
    tested: bool,
) -> Result<(), RuleRefusal> {
    let (clock, left) = juice_clock(juice.pressed_at, at, limits);
    if clock != Freshness::Late || tested {
        return Ok(());
    }
    let waited = Minutes::new(limits.red.get() - left.get());
    Err(RuleRefusal::beside(
        "tested",
        "juice-late",
        format!(
            "The juice of ticket {} has waited {}, and the limit is {}. Please smell it and test it \
             with a strip; if it is sound, tick the box. A sour juice spoils the whole pan.",
            juice.ticket,
            waited.show(),
            limits.red.show()
        ),
    ))
}

/// How much of a juice may be poured: what was asked for, or all that is left.
///
/// # Errors
/// Beside `amount`: nothing is left, or more was asked for than is left.
pub fn enough(
    ticket: i64,
    asked: Option<Grams>,
    left: Grams,
    units: Units,
) -> Result<Grams, RuleRefusal> {
    if left <= Grams::ZERO {
        return Err(RuleRefusal::beside(
            "amount",
            "juice-empty",
            format!(
                "Nothing is left of the juice of ticket {ticket}: it is all poured, or crossed out."
            ),
        ));
    }
    match asked {
        Some(amount) if amount > left => Err(RuleRefusal::beside(
            "amount",
            "juice-short",
            format!(
                "That is {} of ticket {ticket}, and only {} is left of it. Please pour less, or \
                 correct its reading.",
                amount.exact(units),
                left.exact(units)
            ),
        )),
        Some(amount) => Ok(amount),
        None => Ok(left),
    }
}

/// Whether an open pan can show that temperature.
///
/// # Errors
/// Beside `at`: outside 0 to 140 °C.
pub fn pan_temperature(at: &'static str, temp: Celsius, units: Units) -> Result<(), RuleRefusal> {
    if (PAN_C.0..=PAN_C.1).contains(&temp.get()) {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        at,
        "no-pan-so-hot",
        format!(
            "No open pan shows {}: juice boils near water, syrup a little above. Please read the \
             thermometer again, and look whether it shows °F or °C.",
            temp.show(units)
        ),
    ))
}

/// Whether a time may stand in a boil: not before the fire, not before the reading before, not yet
/// to come. Whole minutes are compared, since clocks on walls show no more.
///
/// # Errors
/// Beside `at`.
pub fn in_order(
    at: &'static str,
    time: UtcSecond,
    lit: UtcSecond,
    last: Option<UtcSecond>,
    present: UtcSecond,
) -> Result<(), RuleRefusal> {
    let minute = |t: UtcSecond| t.get().div_euclid(60);
    let said = |code, sentence: &str| Err(RuleRefusal::beside(at, code, sentence));
    if minute(time) > minute(present) {
        return said(
            "time_to_come",
            "That time is still to come. Please write when it was read.",
        );
    }
    if minute(time) < minute(lit) {
        return said(
            "before_the_fire",
            "That is before this boil was lit. Please look at the time again.",
        );
    }
    if last.is_some_and(|last| minute(time) < minute(last)) {
        return said(
            "before_the_last",
            "That is before the last reading. Please write readings in the order they were taken, \
             or choose which one this puts right.",
        );
    }
    Ok(())
}

/// Solids in against solids out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// All juice poured in.
    pub juice: Grams,
    /// Dissolved solids in that juice.
    pub solids_in: Grams,
    /// Syrup drawn off.
    pub syrup: Grams,
    /// Brix of the syrup.
    pub brix: BrixAt20C,
    /// Dissolved solids in the syrup: syrup × Brix / 100, to the nearest gram.
    pub solids_out: Grams,
    /// Syrup spilt or scorched.
    pub spilt: Grams,
    /// Dissolved solids in that, at the syrup's Brix.
    pub solids_spilt: Grams,
    /// Solids out for every 100 of solids in.
    pub recovery_pct: f64,
    /// How far that may be out, percent points: each Brix by 0.2 and each weight by 1 %, joined by
    /// the root of squares.
    pub tolerance_pct: f64,
}

/// The balance of a finish.
pub fn balance(brought: Portion, syrup: Grams, brix: BrixAt20C) -> Balance {
    let solids_out = solids_of(syrup, brix);
    let juice_bx = 100.0 * brought.solids.as_f64() / brought.mass.as_f64().max(1.0);
    let out_by = (BRIX_OUT / juice_bx.max(1.0))
        .hypot(BRIX_OUT / brix.get().max(1.0))
        .hypot(WEIGHT_OUT.hypot(WEIGHT_OUT));
    Balance {
        juice: brought.mass,
        solids_in: brought.solids,
        syrup,
        brix,
        solids_out,
        spilt: Grams::ZERO,
        solids_spilt: Grams::ZERO,
        recovery_pct: 100.0 * solids_out.as_f64() / brought.solids.as_f64().max(1.0),
        tolerance_pct: 100.0 * out_by,
    }
}

impl Balance {
    /// This balance with syrup that was spilt or scorched counted in.
    pub fn with_spilt(self, spilt: Grams) -> Self {
        Self {
            spilt,
            solids_spilt: solids_of(spilt, self.brix),
            ..self
        }
    }

    /// Solids in the syrup and in what was spilt, per 100 in.
    fn accounted_pct(&self) -> f64 {
        let out = self.solids_out + self.solids_spilt;
        100.0 * out.as_f64() / self.solids_in.as_f64().max(1.0)
    }

    /// Refuses what cannot be: more out than in.
    ///
    /// # Errors
    /// No juice in the pan; beside `syrup`: more syrup than juice, or more solids out than in, even
    /// allowing the tolerance.
    pub fn possible(&self, units: Units) -> Result<(), RuleRefusal> {
        if self.solids_in <= Grams::ZERO {
            return Err(RuleRefusal::new(
                "boil-empty",
                "No juice is written down for this boil. Please pour it in first: tickets, then \
                 syrup.",
            ));
        }
        if self.syrup > self.juice {
            return Err(RuleRefusal::beside(
                "syrup",
                "more-syrup-than-juice",
                format!(
                    "That is more syrup ({}) than juice was poured in ({}). Please look at the \
                     weight again: the syrup alone, without its pot.",
                    self.syrup.exact(units),
                    self.juice.exact(units)
                ),
            ));
        }
        if self.accounted_pct() > 100.0 + self.tolerance_pct {
            let spilt = if self.spilt > Grams::ZERO {
                format!(" and {} spilt", self.spilt.exact(units))
            } else {
                String::new()
            };
            return Err(RuleRefusal::beside(
                "syrup",
                "more-out-than-in",
                format!(
                    "{} of syrup{spilt} at {} holds {} of dissolved solids, but only {} came in with the \
                     juice. That is {:.1} % of it; readings that are out by 0.2 °Bx and weights by \
                     1 % explain {:.1} % at most. Please weigh the syrup without its pot, \
                     read the cooled sample again, or correct the juice: its links are in the table \
                     of what is in the pan.",
                    self.syrup.exact(units),
                    self.brix.show(),
                    (self.solids_out + self.solids_spilt).exact(units),
                    self.solids_in.exact(units),
                    self.accounted_pct(),
                    100.0 + self.tolerance_pct
                ),
            ));
        }
        Ok(())
    }

    /// Questions a recovery far below what is expected, until it is ticked as looked at. Syrup spilt counts as
    /// accounted for.
    ///
    /// # Errors
    /// Beside `low`.
    pub fn not_too_low(&self, expected_pct: f64, looked: bool) -> Result<(), RuleRefusal> {
        if looked || self.accounted_pct() >= expected_pct - LOW_BY {
            return Ok(());
        }
        Err(RuleRefusal::beside(
            "low",
            "recovery-low",
            format!(
                "Only {:.0} of 100 of the dissolved solids are in this syrup; about {:.0} are usual. \
                 Was all of it weighed, was much skimmed, spilt or scorched, is a ticket in the pan that was \
                 never poured? Tick the box when you have looked.",
                self.recovery_pct, expected_pct
            ),
        ))
    }

    /// What is missing of the solids: in scum, on the pan, spilt unweighed, or misread.
    pub fn unexplained(&self) -> Grams {
        self.solids_in - self.solids_out - self.solids_spilt
    }
}

/// Questions syrup that is thinner than its name allows, until it is ticked as known.
///
/// # Errors
/// Beside `thin`: below 74 % (21 CFR 168.160, from memory; its sister 168.130 was read).
pub fn thick_enough(brix: BrixAt20C, known: bool) -> Result<(), RuleRefusal> {
    if known || brix.get() >= LEAST_SOLIDS {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        "thin",
        "below-standard",
        format!(
            "This syrup is at {}. Sorghum syrup is sold with at least {LEAST_SOLIDS:.0} % dissolved \
             solids (21 CFR 168.160 at ecfr.gov; ask your state’s office); thinner syrup also ferments. Put it back \
             and boil it on, then measure again. If it stays as it is, tick the box: its jars may \
             not be labelled as sorghum syrup.",
            brix.show()
        ),
    ))
}

/// Whether syrup that is drawn off can show that temperature.
///
/// # Errors
/// Beside `finish_temp`: colder than boiling water anywhere, or hotter than any pan.
pub fn finish_temperature(temp: Celsius, units: Units) -> Result<(), RuleRefusal> {
    if temp.get() < FINISH_C {
        return Err(RuleRefusal::beside(
            "finish_temp",
            "finish-cold",
            format!(
                "Syrup boils hotter than water, so the pan cannot have stood at {}. Please look \
                 whether the thermometer shows °F or °C, or leave this empty.",
                temp.show(units)
            ),
        ));
    }
    pan_temperature("finish_temp", temp, units)
}

/// Whether the syrup covers what stands in jars.
///
/// # Errors
/// Beside `at`: more in jars than there is.
pub fn covered(
    at: &'static str,
    syrup: Grams,
    jarred: Grams,
    units: Units,
) -> Result<(), RuleRefusal> {
    if jarred <= syrup {
        return Ok(());
    }
    Err(RuleRefusal::beside(
        at,
        "jars-exceed-syrup",
        format!(
            "That comes to {} in jars, {} more than the {} of syrup that was drawn off. Please count \
             the jars again, or correct the finish.",
            jarred.exact(units),
            (jarred - syrup).exact(units),
            syrup.exact(units)
        ),
    ))
}

/// What a boil should come to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Brix of the pooled juice: solids over mass.
    pub brix: BrixAt20C,
    /// Syrup if no solids at all were lost.
    pub most: Grams,
    /// Syrup to expect.
    pub syrup: Grams,
    /// Water to drive off.
    pub water: Grams,
}

/// What to expect of juice at a finish of `target` °Bx, when `recovery_pct` of 100 of its solids reach the jars;
/// `None` without juice, or when it is at the target already.
pub fn expect(brought: Portion, target: f64, recovery_pct: f64) -> Option<Expected> {
    let pooled = 100.0 * brought.solids.as_f64() / brought.mass.as_f64().max(1.0);
    let brix = BrixAt20C::new(pooled).ok()?;
    if brought.solids <= Grams::ZERO || pooled >= target {
        return None;
    }
    let most = brought.solids.as_f64() * 100.0 / target;
    Some(Expected {
        brix,
        most: Grams::nearest(most),
        syrup: Grams::nearest(most * recovery_pct / 100.0),
        water: brought.mass - Grams::nearest(most),
    })
}

/// How many whole jars of this net weight the syrup fills.
pub fn jars_of(syrup: Grams, net: Grams) -> i64 {
    if net <= Grams::ZERO {
        return 0;
    }
    syrup.get() / net.get()
}

#[cfg(test)]
#[path = "boil_rules_tests.rs"]
mod tests;
