//! What a division is made of: what goes in, what comes out, and that it adds up. Divides nothing.

use super::exchange::Exchange;
use super::fees::{Bill, FeeRates};
use super::split::Sharer;
use crate::calc::{Basis, RuleRefusal};
use crate::units::{BasisPoints, BrixAt20C, Cents, Grams, Millilitres, Pounds, Units, UtcSecond};
use sha2::{Digest, Sha256};

/// What one juice brought into the boil: the part drawn, in every measure a season may divide by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Brought {
    /// The sharer whose it is.
    pub sharer: Sharer,
    /// The part of the ticket's net cane that this juice part came from, to the gram.
    pub cane: Grams,
    /// That cane in pounds, to the ten-thousandth.
    pub cane_lb: Pounds,
    /// Juice, mL at 20 °C.
    pub volume: Millilitres,
    /// Mass of the juice poured.
    pub mass: Grams,
    /// Dissolved solids in that juice.
    pub solids: Grams,
}

impl Brought {
    /// What was brought, in the season's basis: grams, or millilitres for juice volume.
    pub fn weight(&self, basis: Basis) -> u64 {
        let weight = match basis {
            Basis::Solids => self.solids.get(),
            Basis::JuiceMass => self.mass.get(),
            Basis::JuiceVolume => self.volume.get(),
            Basis::CaneMass => self.cane.get(),
        };
        u64::try_from(weight).unwrap_or(0)
    }
}

/// The part of a ticket's cane behind a part of its juice: `cane × drawn ÷ juice`, to the nearest
/// gram, halves up. Nothing when there is no juice.
pub fn cane_behind(cane: Grams, drawn: Grams, juice: Grams) -> Grams {
    Grams::new(behind(cane.get(), drawn, juice))
}

/// As [`cane_behind`], in pounds, to the nearest ten-thousandth.
pub fn pounds_behind(cane: Pounds, drawn: Grams, juice: Grams) -> Pounds {
    Pounds::new(behind(cane.get(), drawn, juice))
}

fn behind(cane: i64, drawn: Grams, juice: Grams) -> i64 {
    let whole = i128::from(juice.get());
    if whole <= 0 {
        return 0;
    }
    let twice = 2 * i128::from(cane) * i128::from(drawn.get()) + whole;
    i64::try_from(twice.div_euclid(2 * whole)).unwrap_or(i64::MAX)
}

/// Jars of one filling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filled {
    /// Size as the rules name it.
    pub name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// A part-jar: a jar of its own weight.
    pub part: bool,
    /// How many jars.
    pub count: u32,
    /// Price of one empty jar.
    pub price: Cents,
}

/// What stands on the books for a sharer before this boil.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Carried {
    /// The sharer.
    pub sharer: Sharer,
    /// Owed from before; below zero: had too much.
    pub carried: Grams,
    /// When a lot last favoured this sharer; `None` for never.
    pub favoured_at: Option<UtcSecond>,
}

/// The way in which a boil is divided, kept with each division: what was divided is checked by the way of its day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// The mill stood in line with all that it was owed, whatever the rules let a lot repay.
    MillUnbound,
    /// What the rules let a lot repay bounds the mill as well: beyond its own share of the lot it is repaid no more.
    MillBound,
    /// And where that bound leaves room for a whole jar, the jar is given.
    BoundFilled,
}

impl Way {
    /// The way of this version of the program.
    pub const NOW: Self = Self::BoundFilled;

    /// The number that the store and the exports use.
    pub const fn number(self) -> i64 {
        match self {
            Self::MillUnbound => 1,
            Self::MillBound => 2,
            Self::BoundFilled => 3,
        }
    }

    /// The way of a number; `None`: there is no such way.
    pub const fn of(number: i64) -> Option<Self> {
        match number {
            1 => Some(Self::MillUnbound),
            2 => Some(Self::MillBound),
            3 => Some(Self::BoundFilled),
            _ => None,
        }
    }

    /// Whether what the rules let a lot repay bounds the mill as well.
    pub const fn bounds_the_mill(self) -> bool {
        !matches!(self, Self::MillUnbound)
    }
}

/// All that dividing needs to know.
#[derive(Debug, Clone)]
pub struct DivisionCase<'a> {
    /// The plain lot code, which ties are settled by.
    pub lot: &'a str,
    /// What the syrup is divided by.
    pub basis: Basis,
    /// The mill's toll, in hundredths of a percent.
    pub toll: BasisPoints,
    /// Fees of the rules in force when the boil was lit.
    pub rates: FeeRates,
    /// Syrup and its Brix at 20 °C; `None`: not finished.
    pub finish: Option<(Grams, BrixAt20C)>,
    /// What was brought, an entry for each juice.
    pub brought: &'a [Brought],
    /// The jars that were filled.
    pub filled: &'a [Filled],
    /// Everybody whose balance is not zero, and when each was last favoured.
    pub carried: &'a [Carried],
    /// The sizes that sharers wish for, by net weight.
    pub wishes: &'a [(Sharer, Grams)],
    /// How much of the jars may repay members without juice in the lot, 0 to 100 percent; `None`: the season's rules were
    /// voted before there was such a rule, so all of it may, and whoever is repaid pays the fee of filling.
    pub lots_repay_pct: Option<i64>,
    /// The way in which it is divided.
    pub way: Way,
    /// The system of units that sentences use.
    pub units: Units,
}

impl DivisionCase<'_> {
    /// The most that may repay members without juice in the lot, of so much in jars; `None`: all of it.
    pub(in crate::calc) fn most_repaid(&self, jarred: Grams) -> Option<Grams> {
        let pct = self.lots_repay_pct.filter(|pct| *pct < 100)?;
        Some(most_repaid(jarred, pct))
    }

    /// Whether the season's rules bound what a lot repays.
    pub(in crate::calc) fn bounds_what_is_repaid(&self) -> bool {
        self.lots_repay_pct.is_some_and(|pct| pct < 100)
    }

    /// Whether that bound holds for the mill too, beyond its own share of the lot.
    pub(in crate::calc) fn bounds_the_mill(&self) -> bool {
        self.way.bounds_the_mill() && self.bounds_what_is_repaid()
    }
}

/// The most that may repay members without juice in the lot: `pct` percent of what is in jars, cut to the gram.
pub fn most_repaid(jarred: Grams, pct: i64) -> Grams {
    Grams::new(jarred.get().saturating_mul(pct) / 100)
}

/// How much of what was carried the jars given repay: what they hold beyond the share of this lot, and no more than was carried.
pub(in crate::calc) fn beyond_share(given: Grams, entitled: Grams, carried: Grams) -> Grams {
    let most = carried.max(Grams::ZERO);
    (given - entitled).max(Grams::ZERO).min(most)
}

/// Something odd that may be so: it must be ticked before the boil is divided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Name of the tick box.
    pub at: &'static str,
    /// What is odd, in a sentence.
    pub sentence: String,
}

/// A kind of jar in a division.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kind {
    /// Size as the rules name it.
    pub name: String,
    /// Net weight of syrup in each jar.
    pub net: Grams,
    /// Whether it is a part-jar.
    pub part: bool,
    /// How many were filled.
    pub count: u32,
    /// Price of one empty jar.
    pub price: Cents,
}

/// One sharer's part of a division.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// The sharer.
    pub sharer: Sharer,
    /// What was brought, in the season's basis.
    pub weight: u64,
    /// Dissolved solids that the sharer brought.
    pub solids: Grams,
    /// Cane behind the juice that the sharer brought.
    pub cane: Grams,
    /// Juice brought, mL at 20 °C.
    pub volume: Millilitres,
    /// The exact share cut off to whole grams.
    pub floor: Grams,
    /// What was cut off the exact share, in thousandths of a gram.
    pub cut_thousandths: u16,
    /// Whether an odd gram came here.
    pub odd_gram: bool,
    /// Grams owed to the sharer from before; below zero: had too much.
    pub carried: Grams,
    /// When a lot had last given more than was owed; `None` for never.
    pub favoured_at: Option<UtcSecond>,
    /// The sizes wished for, by net weight.
    pub wishes: Vec<Grams>,
    /// Grams entitled to of this boil.
    pub entitled: Grams,
    /// Jars of each kind, in the order of [`Division::kinds`].
    pub jars: Vec<u32>,
    /// Syrup in those jars.
    pub jarred: Grams,
    /// Owed afterwards: carried + entitled − jarred.
    pub carry: Grams,
    /// What the sharer pays for pressing and glass.
    pub bill: Bill,
}

/// A boil divided.
#[derive(Debug, Clone, PartialEq)]
pub struct Division {
    /// The basis that the syrup was divided by.
    pub basis: Basis,
    /// The mill's toll, in hundredths of a percent.
    pub toll: BasisPoints,
    /// Syrup in jars, altogether.
    pub jarred: Grams,
    /// Syrup out of the pan.
    pub syrup: Grams,
    /// All that was brought, in the basis.
    pub weight: u64,
    /// Dissolved solids brought, altogether.
    pub solids_in: Grams,
    /// Dissolved solids in the syrup.
    pub solids_out: Grams,
    /// Kinds of jars, largest first.
    pub kinds: Vec<Kind>,
    /// Sharers: the mill first, then members in the order of their ids.
    pub parts: Vec<Part>,
    /// Exchanges after the jars were dealt, in order; `from` and `to` are places in [`Self::parts`].
    pub exchanges: Vec<Exchange>,
    /// The questions that must be ticked before the boil is divided.
    pub questions: Vec<Question>,
}

/// Solids in the syrup per 100 in its juice.
pub fn recovery_pct(solids_in: Grams, solids_out: Grams) -> f64 {
    if solids_in <= Grams::ZERO {
        return 0.0;
    }
    100.0 * solids_out.as_f64() / solids_in.as_f64()
}

impl Division {
    /// Refuses until every question is ticked.
    ///
    /// # Errors
    /// Beside the first box that is not ticked.
    pub fn sure(&self, ticked: &[&str]) -> Result<(), RuleRefusal> {
        let open = self.questions.iter().find(|q| !ticked.contains(&q.at));
        open.map_or(Ok(()), |question| {
            Err(RuleRefusal::beside(
                question.at,
                "not-sure",
                "Please look at this once more and tick it if it is so.",
            ))
        })
    }

    /// A short mark of every figure in it: what is frozen must be what was shown.
    pub fn mark(&self) -> String {
        let digest = Sha256::digest(format!("{self:?}"));
        let first = digest.iter().take(8);
        first.fold(String::new(), |text, byte| format!("{text}{byte:02x}"))
    }

    /// The exact shares cut to whole grams, together.
    pub fn floors(&self) -> Grams {
        self.parts.iter().map(|p| p.floor).sum()
    }

    /// Syrup in the jars that went to members without juice in the lot.
    pub fn repaid(&self) -> Grams {
        let others = self.parts.iter();
        let others = others.filter(|p| p.weight == 0 && p.sharer != Sharer::Mill);
        others.map(|p| p.jarred).sum()
    }

    /// What the mill is owed from before, and how much of that its jars repay: what they hold beyond its own share of the lot.
    /// `None`: nothing is owed to it.
    pub fn repaid_to_mill(&self) -> Option<(Grams, Grams)> {
        let mut parts = self.parts.iter();
        let mill = parts.find(|p| p.sharer == Sharer::Mill && p.carried > Grams::ZERO)?;
        let beyond = beyond_share(mill.jarred, mill.entitled, mill.carried);
        Some((mill.carried, beyond))
    }

    pub(in crate::calc) fn adds_up(&self) {
        let sum = |f: fn(&Part) -> Grams| -> Grams { self.parts.iter().map(f).sum() };
        assert_eq!(sum(|p| p.entitled), self.jarred, "entitlements");
        assert_eq!(sum(|p| p.jarred), self.jarred, "jars given");
        assert_eq!(sum(|p| p.carried), sum(|p| p.carry), "balances");
        for (place, kind) in self.kinds.iter().enumerate() {
            let given: u32 = self.parts.iter().map(|p| p.jars[place]).sum();
            assert_eq!(given, kind.count, "jars of one kind");
        }
        for part in &self.parts {
            let weighed = part.jars.iter().zip(&self.kinds);
            let grams: i64 = weighed.map(|(n, k)| i64::from(*n) * k.net.get()).sum();
            assert_eq!(Grams::new(grams), part.jarred, "jars of one sharer");
            let carry = part.carried + part.entitled - part.jarred;
            assert_eq!(carry, part.carry, "carry of one sharer");
        }
    }
}
