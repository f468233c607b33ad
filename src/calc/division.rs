//! A finished boil divided: from what each sharer brought, what stands on the books from before and
//! the jars filled, to shares, jars, fees and what is carried, ready to be frozen. Uses the parts in
//! `split`, `jars` and `fees`; reads no record and writes none.

use super::fees::{self, Bill, FeeRates, Glass, Used};
use super::jars::{self, JarKind, Jars, Owed};
use super::juice::Portion;
use super::label::LEAST_SOLIDS;
use super::split::{self, Pour, Sharer};
use super::{Basis, Unmet, boil, boil_rules};
use crate::units::{BasisPoints, BrixAt20C, Cents, Grams, Millilitres, Units, UtcSecond};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Jars that hold less than this part of the syrup are questioned, percent (house rule).
const LOOSE_PCT: i64 = 95;

/// What one juice brought into the boil: the part drawn, in every measure a season may divide by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Brought {
    /// Whose it is.
    pub sharer: Sharer,
    /// The part of the delivery's net cane that this juice part came from, to the gram.
    pub cane: Grams,
    /// Juice, mL at 20 °C.
    pub volume: Millilitres,
    /// Juice.
    pub mass: Grams,
    /// Dissolved solids.
    pub solids: Grams,
}

impl Brought {
    /// In the season's basis: grams, or millilitres for juice volume.
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

/// The part of a delivery's cane behind a part of its juice: `cane × drawn ÷ juice`, to the nearest
/// gram, halves up. Nothing when there is no juice.
pub fn cane_behind(cane: Grams, drawn: Grams, juice: Grams) -> Grams {
    let whole = i128::from(juice.get());
    if whole <= 0 {
        return Grams::ZERO;
    }
    let twice = 2 * i128::from(cane.get()) * i128::from(drawn.get()) + whole;
    Grams::new(i64::try_from(twice.div_euclid(2 * whole)).unwrap_or(i64::MAX))
}

/// Jars of one filling.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filled {
    /// Size as the rules name it.
    pub name: String,
    /// Syrup in each.
    pub net: Grams,
    /// A part-jar: a jar of its own weight.
    pub part: bool,
    /// How many.
    pub count: u32,
    /// Price of one empty jar.
    pub price: Cents,
}

/// What stands on the books for a sharer before this boil.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// Who.
    pub sharer: Sharer,
    /// Owed from before; below zero: had too much.
    pub carried: Grams,
    /// When a lot last favoured this sharer; `None` for never.
    pub favoured_at: Option<UtcSecond>,
}

/// All that dividing needs to know.
#[derive(Debug, Clone)]
pub struct Asked<'a> {
    /// The plain lot code, which ties are settled by.
    pub lot: &'a str,
    /// What the syrup is divided by.
    pub basis: Basis,
    /// The mill's part.
    pub toll: BasisPoints,
    /// Fees of the rules in force when the boil was lit.
    pub rates: FeeRates,
    /// Syrup and its Brix at 20 °C; `None`: not finished.
    pub finish: Option<(Grams, BrixAt20C)>,
    /// One for each juice.
    pub brought: &'a [Brought],
    /// The jars.
    pub filled: &'a [Filled],
    /// Everybody whose balance is not zero, and when each was last favoured.
    pub standings: &'a [Standing],
    /// Units that sentences speak in.
    pub units: Units,
}

/// Something odd that may be so: it must be ticked before the boil is divided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The tick box's name.
    pub at: &'static str,
    /// What is odd.
    pub sentence: String,
}

/// A kind of jar in a division.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Kind {
    /// Size as the rules name it.
    pub name: String,
    /// Syrup in each.
    pub net: Grams,
    /// A part-jar.
    pub part: bool,
    /// How many were filled.
    pub count: u32,
    /// Price of one empty jar.
    pub price: Cents,
}

/// One sharer's part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Who.
    pub sharer: Sharer,
    /// Brought, in the basis.
    pub weight: u64,
    /// Dissolved solids brought.
    pub solids: Grams,
    /// Cane behind it.
    pub cane: Grams,
    /// Juice brought, mL at 20 °C.
    pub volume: Millilitres,
    /// The exact share cut off to whole grams.
    pub floor: Grams,
    /// What was cut off, in thousandths of a gram.
    pub cut_thousandths: u16,
    /// Whether an odd gram came here.
    pub odd_gram: bool,
    /// Owed from before.
    pub carried: Grams,
    /// Entitled to of this boil.
    pub entitled: Grams,
    /// Jars of each kind, in the order of [`Division::kinds`].
    pub jars: Vec<u32>,
    /// What those jars weigh.
    pub jarred: Grams,
    /// Owed afterwards: carried + entitled − jarred.
    pub carry: Grams,
    /// What pressing and glass cost.
    pub bill: Bill,
}

/// A boil divided.
#[derive(Debug, Clone, PartialEq)]
pub struct Division {
    /// What it was divided by.
    pub basis: Basis,
    /// The mill's part.
    pub toll: BasisPoints,
    /// In jars, altogether.
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
    /// What must be ticked first.
    pub questions: Vec<Question>,
}

/// Divides a boil.
///
/// # Errors
/// Not finished; nothing jarred; jars heavier than the syrup; no juice, or one that counts for
/// nothing; more solids out than in.
///
/// # Panics
/// When the parts do not add up to the whole: nothing may be stored then.
pub fn divide(asked: &Asked<'_>) -> Result<Division, Unmet> {
    let (syrup, brix) = asked.finish.ok_or_else(not_finished)?;
    let weigh = |f: &Filled| Grams::new(f.net.get().saturating_mul(i64::from(f.count)));
    let jarred: Grams = asked.filled.iter().map(weigh).sum();
    let balance = boil_rules::balance(all(asked.brought), syrup, brix);
    if jarred > syrup {
        return Err(over_syrup(jarred, syrup));
    }
    if jarred > Grams::ZERO && !asked.brought.is_empty() {
        balance
            .possible(asked.units)
            .map_err(|unmet| Unmet { at: None, ..unmet })?;
    }
    let pours: Vec<Pour> = asked
        .brought
        .iter()
        .map(|b| Pour {
            sharer: b.sharer,
            weight: b.weight(asked.basis),
        })
        .collect();
    let entitled = split::entitle(asked.lot, jarred, asked.toll, &pours)?;
    let owed = owed(&entitled, asked.standings);
    let dealt: Vec<Jars> = asked.filled.iter().map(as_jars).collect();
    let out = jars::share_out(asked.lot, &owed, &dealt)?;
    let kinds: Vec<Kind> = out.kinds.iter().map(|k| as_kind(k, asked.filled)).collect();
    let parts: Vec<Part> = out
        .given
        .into_iter()
        .zip(&owed)
        .map(|(given, owed)| {
            let share = entitled.iter().find(|e| e.sharer == given.sharer);
            let own = |f: fn(&Brought) -> i64| -> i64 {
                let mine = asked.brought.iter().filter(|b| b.sharer == given.sharer);
                mine.map(f).sum()
            };
            let cane = Grams::new(own(|b| b.cane.get()));
            let volume = Millilitres::new(own(|b| b.volume.get()));
            Part {
                sharer: given.sharer,
                weight: share.map_or(0, |s| s.weight),
                solids: Grams::new(own(|b| b.solids.get())),
                cane,
                volume,
                floor: share.map_or(Grams::ZERO, |s| s.floor),
                cut_thousandths: share.map_or(0, |s| s.cut_thousandths),
                odd_gram: share.is_some_and(|s| s.odd_gram),
                carried: owed.carried,
                entitled: owed.entitled,
                bill: bill(
                    &asked.rates,
                    given.sharer,
                    cane,
                    volume,
                    &given.jars,
                    &kinds,
                ),
                jars: given.jars,
                jarred: given.given,
                carry: given.carry,
            }
        })
        .collect();
    let division = Division {
        basis: asked.basis,
        toll: asked.toll,
        jarred,
        syrup,
        weight: pours.iter().map(|p| p.weight).sum(),
        solids_in: balance.solids_in,
        solids_out: balance.solids_out,
        kinds,
        parts,
        questions: questions(jarred, syrup, brix),
    };
    division.adds_up();
    Ok(division)
}

fn not_finished() -> Unmet {
    Unmet::new(
        "not-finished",
        "This boil is not finished. Please write down its syrup and its Brix first.",
    )
}

fn over_syrup(jarred: Grams, syrup: Grams) -> Unmet {
    Unmet::new(
        "jars-over-syrup",
        format!(
            "The jars hold {} g and the boil gave {} g of syrup. Please correct the jars filled or \
             the weight of the syrup.",
            jarred.get(),
            syrup.get()
        ),
    )
}

/// All that was poured in.
fn all(brought: &[Brought]) -> Portion {
    boil::total(brought.iter().map(|b| Portion {
        volume: b.volume,
        mass: b.mass,
        solids: b.solids,
    }))
}

/// The sharers of this lot, and everybody to whom something is owed from before, cane or no cane:
/// the bounds of the jars' division need them all.
fn owed(entitled: &[split::Entitlement], standings: &[Standing]) -> Vec<Owed> {
    let mut owed: BTreeMap<Sharer, Owed> = entitled
        .iter()
        .map(|e| (e.sharer, blank(e.sharer, e.grams)))
        .collect();
    for standing in standings {
        if standing.carried > Grams::ZERO || owed.contains_key(&standing.sharer) {
            let line = owed
                .entry(standing.sharer)
                .or_insert_with(|| blank(standing.sharer, Grams::ZERO));
            line.carried = standing.carried;
            line.favoured_at = standing.favoured_at;
        }
    }
    owed.into_values().collect()
}

const fn blank(sharer: Sharer, entitled: Grams) -> Owed {
    Owed {
        sharer,
        carried: Grams::ZERO,
        entitled,
        favoured_at: None,
    }
}

/// Part-jars are kept apart from full jars of the same name and weight by a mark behind the name.
const PART_MARK: &str = " (part-jar)";

fn as_jars(filled: &Filled) -> Jars {
    let mark = if filled.part { PART_MARK } else { "" };
    Jars {
        kind: JarKind {
            name: format!("{}{mark}", filled.name),
            net: filled.net,
        },
        count: filled.count,
    }
}

/// The kind as filled. Where one kind was filled at two prices, the lower holds for all.
fn as_kind(jars: &Jars, filled: &[Filled]) -> Kind {
    let same = filled.iter().filter(|f| as_jars(f).kind == jars.kind);
    let price = same.clone().map(|f| f.price).min().unwrap_or(Cents::ZERO);
    let part = same.clone().any(|f| f.part);
    let name = same.map(|f| f.name.clone()).next();
    Kind {
        name: name.unwrap_or_else(|| jars.kind.name.clone()),
        net: jars.kind.net,
        part,
        count: jars.count,
        price,
    }
}

/// A member's bill. The mill pays nothing to itself, and who brought nothing to this boil but is
/// given a jar from before pays for filling and glass, never the least charge.
fn bill(
    rates: &FeeRates,
    sharer: Sharer,
    cane: Grams,
    volume: Millilitres,
    jars: &[u32],
    kinds: &[Kind],
) -> Bill {
    if sharer == Sharer::Mill {
        return Bill::default();
    }
    let mut rates = *rates;
    if cane == Grams::ZERO && volume == Millilitres::ZERO {
        rates.least = Cents::ZERO;
    }
    let glass: Vec<Glass<'_>> = jars
        .iter()
        .zip(kinds)
        .map(|(count, kind)| Glass {
            name: &kind.name,
            count: *count,
            each: kind.price,
        })
        .collect();
    let used = Used {
        cane,
        juice: volume,
        jars: &glass,
    };
    fees::bill(&rates, &used)
}

fn questions(jarred: Grams, syrup: Grams, brix: BrixAt20C) -> Vec<Question> {
    let mut out = Vec::new();
    if brix.get() < LEAST_SOLIDS {
        out.push(Question {
            at: "sure_thin",
            sentence: format!(
                "The syrup is at {}. Below 74 % dissolved solids it may not be sold as sorghum \
                 syrup (21 CFR 168.160, from memory) and may ferment. Its owners have been told, \
                 and it is divided as it is.",
                brix.show()
            ),
        });
    }
    if jarred.get().saturating_mul(100) < syrup.get().saturating_mul(LOOSE_PCT) {
        out.push(Question {
            at: "sure_loose",
            sentence: format!(
                "{} g of the {} g of syrup are in no jar. All jars have been written down; the rest \
                 is nobody’s.",
                (syrup - jarred).get(),
                syrup.get()
            ),
        });
    }
    out
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
    pub fn sure(&self, ticked: &[&str]) -> Result<(), Unmet> {
        let open = self.questions.iter().find(|q| !ticked.contains(&q.at));
        open.map_or(Ok(()), |question| {
            Err(Unmet::beside(
                question.at,
                "not-sure",
                "Please look at this once more and tick it if it is so.",
            ))
        })
    }

    /// A short mark of every figure in it: what is frozen must be what was shown.
    pub fn mark(&self) -> String {
        let digest = Sha256::digest(format!("{self:?}"));
        digest.iter().take(8).map(|b| format!("{b:02x}")).collect()
    }

    /// The exact shares cut to whole grams, together.
    pub fn floors(&self) -> Grams {
        self.parts.iter().map(|p| p.floor).sum()
    }

    fn adds_up(&self) {
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

#[cfg(test)]
#[path = "division_tests.rs"]
mod tests;
