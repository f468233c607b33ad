//! A finished boil divided: from what each sharer brought, what stands on the books from before and
//! the jars filled, to shares, jars, fees and what is carried, ready to be frozen. Uses the parts in
//! `split`, `jars` and `fees`; reads no record and writes none. Dividing again after something was
//! put right stands in `correction`.

pub use super::division_parts::{
    Brought, Carried, Division, DivisionCase, Filled, Kind, Part, Question, Way, cane_behind,
    most_repaid, pounds_behind, recovery_pct,
};

use super::exchange::Exchange;
use super::fees::{self, Bill, BoilPart, Glass, Used};
use super::jars::{self, JarKind, Jars, Owed, ShareOut};
use super::lot_repays::LotRepays;
use super::split::{self, Pour, Sharer};
use crate::calc::RuleRefusal;
use crate::calc::boil::boil_rules::Balance;
use crate::calc::boil::{boil_rules, sums as boil};
use crate::calc::cane::juice::Portion;
use crate::calc::paper::label::LEAST_SOLIDS;
use crate::units::{BrixAt20C, Cents, Grams, Millilitres, Pounds, UtcSecond};
use std::collections::{BTreeMap, BTreeSet};

/// Jars that hold less than this part of the syrup are questioned, percent (house rule).
const LOOSE_PCT: i64 = 95;

/// Divides a boil: entitlements, then the jars in three stages ([`jars::share_out_evenly`]): the
/// largest to whoever is owed most, exchanges that even balances out, swaps that meet wishes.
///
/// # Errors
/// Not finished; nothing jarred; jars heavier than the syrup; no juice, or one that counts for
/// nothing; more solids out than in.
///
/// # Panics
/// When the parts do not add up to the whole: nothing may be stored then.
pub fn divide(case: &DivisionCase<'_>) -> Result<Division, RuleRefusal> {
    let measured = Measured::of(case)?;
    let owed = owed(&measured.entitled, case.carried);
    let (owed, out) = within_bound(case, &measured, owed)?;
    let kinds = out.kinds.iter().map(|k| as_kind(k, case.filled)).collect();
    let rows = owed.iter().zip(out.given).map(|(owed, given)| SharerLine {
        sharer: given.sharer,
        carried: owed.carried,
        favoured_at: owed.favoured_at,
        jars: given.jars,
    });
    Ok(measured.division(case, kinds, rows.collect(), out.exchanges))
}

/// Gives the jars out, to members without juice in the lot, and to the mill beyond its own share, no more than the season's rules
/// let it repay. Returns the line with what each is given.
fn within_bound(
    case: &DivisionCase<'_>,
    measured: &Measured,
    owed: Vec<Owed>,
) -> Result<(Vec<Owed>, ShareOut), RuleRefusal> {
    let filled: Vec<Jars> = case.filled.iter().map(as_jars).collect();
    let wishes = wished_kinds(case.wishes, case.filled);
    let Some(most) = case.most_repaid(measured.jarred) else {
        let out = jars::share_out_evenly(case.lot, &owed, &filled, &wishes)?;
        return Ok((owed, out));
    };
    let bounded = LotRepays {
        lot: case.lot,
        filled: &filled,
        own: measured.entitled.iter().map(|e| e.sharer).collect(),
        most,
        way: case.way,
    };
    bounded.give_out(&owed, &wishes)
}

/// What was measured, checked, and what each sharer is entitled to by it.
pub(in crate::calc) struct Measured {
    syrup: Grams,
    brix: BrixAt20C,
    jarred: Grams,
    balance: Balance,
    weight: u64,
    pub(in crate::calc) entitled: Vec<split::Entitlement>,
    /// Each member's part of the boil's fee.
    fees: Vec<(Sharer, BoilPart)>,
}

/// One sharer's line before it is added up; the jars by kind.
pub(in crate::calc) struct SharerLine {
    pub(in crate::calc) sharer: Sharer,
    pub(in crate::calc) carried: Grams,
    pub(in crate::calc) favoured_at: Option<UtcSecond>,
    pub(in crate::calc) jars: Vec<u32>,
}

impl Measured {
    pub(in crate::calc) fn of(case: &DivisionCase<'_>) -> Result<Self, RuleRefusal> {
        let (syrup, brix) = case.finish.ok_or_else(not_finished)?;
        let weigh = |f: &Filled| Grams::new(f.net.get().saturating_mul(i64::from(f.count)));
        let jarred: Grams = case.filled.iter().map(weigh).sum();
        let balance = boil_rules::balance(all(case.brought), syrup, brix);
        if jarred > syrup {
            return Err(over_syrup(jarred, syrup));
        }
        if jarred > Grams::ZERO && !case.brought.is_empty() {
            balance
                .possible(case.units)
                .map_err(|refusal| RuleRefusal {
                    at: None,
                    ..refusal
                })?;
        }
        let pours: Vec<Pour> = case
            .brought
            .iter()
            .map(|b| Pour {
                sharer: b.sharer,
                weight: b.weight(case.basis),
            })
            .collect();
        let entitled = split::entitle(case.lot, jarred, case.toll, &pours)?;
        let members: Vec<&split::Entitlement> = entitled
            .iter()
            .filter(|e| e.sharer != Sharer::Mill && e.weight > 0)
            .collect();
        let brought: Vec<(String, u64)> =
            members.iter().map(|e| (e.sharer.key(), e.weight)).collect();
        let fees = fees::boil_parts(case.lot, case.rates.boil, &brought);
        let fees = members.iter().map(|e| e.sharer).zip(fees).collect();
        Ok(Self {
            fees,
            syrup,
            brix,
            jarred,
            balance,
            weight: pours.iter().map(|p| p.weight).sum(),
            entitled,
        })
    }

    /// Adds up every sharer's part and makes the division of them.
    pub(in crate::calc) fn division(
        &self,
        case: &DivisionCase<'_>,
        kinds: Vec<Kind>,
        rows: Vec<SharerLine>,
        exchanges: Vec<Exchange>,
    ) -> Division {
        let parts = rows
            .into_iter()
            .map(|line| self.part(case, &kinds, line))
            .collect();
        let division = Division {
            basis: case.basis,
            toll: case.toll,
            jarred: self.jarred,
            syrup: self.syrup,
            weight: self.weight,
            solids_in: self.balance.solids_in,
            solids_out: self.balance.solids_out,
            kinds,
            parts,
            exchanges,
            questions: questions(self.jarred, self.syrup, self.brix),
        };
        division.adds_up();
        division
    }

    fn part(&self, case: &DivisionCase<'_>, kinds: &[Kind], line: SharerLine) -> Part {
        let share = self.entitled.iter().find(|e| e.sharer == line.sharer);
        let sum_of = |f: fn(&Brought) -> i64| -> i64 {
            let mine = case.brought.iter().filter(|b| b.sharer == line.sharer);
            mine.map(f).sum()
        };
        let brought = Grams::new(sum_of(|b| b.cane.get()));
        let volume = Millilitres::new(sum_of(|b| b.volume.get()));
        let entitled = share.map_or(Grams::ZERO, |s| s.grams);
        let weights = line.jars.iter().zip(kinds);
        let jarred = Grams::new(weights.map(|(n, k)| i64::from(*n) * k.net.get()).sum());
        let boil = self.fees.iter().find(|(who, _)| *who == line.sharer);
        let used = Used {
            cane: brought,
            cane_lb: Pounds::new(sum_of(|b| b.cane_lb.get())),
            juice: volume,
            boil: boil.map_or_else(BoilPart::default, |(_, part)| *part),
            jars: &[],
        };
        let mine = case.wishes.iter().filter(|(who, _)| *who == line.sharer);
        Part {
            sharer: line.sharer,
            weight: share.map_or(0, |s| s.weight),
            solids: Grams::new(sum_of(|b| b.solids.get())),
            cane: brought,
            volume,
            floor: share.map_or(Grams::ZERO, |s| s.floor),
            cut_thousandths: share.map_or(0, |s| s.cut_thousandths),
            odd_gram: share.is_some_and(|s| s.odd_gram),
            carried: line.carried,
            favoured_at: line.favoured_at,
            wishes: mine.map(|(_, net)| *net).collect(),
            entitled,
            bill: bill(case, line.sharer, used, &line.jars, kinds),
            jars: line.jars,
            jarred,
            carry: line.carried + entitled - jarred,
        }
    }
}

/// A wish is for the size of that net weight, to within a hundredth of it: 22 oz is 623 g to one
/// and 624 g to another. Nobody wishes for a part-jar.
pub(in crate::calc) fn wished_kinds(
    wishes: &[(Sharer, Grams)],
    filled: &[Filled],
) -> BTreeMap<Sharer, BTreeSet<String>> {
    let mut out: BTreeMap<Sharer, BTreeSet<String>> = BTreeMap::new();
    for (sharer, net) in wishes {
        let near = |f: &&Filled| (f.net - *net).get().abs() * 100 <= net.get();
        for kind in filled.iter().filter(|f| !f.part).filter(near) {
            out.entry(*sharer)
                .or_default()
                .insert(as_jars(kind).kind.name);
        }
    }
    out
}

fn not_finished() -> RuleRefusal {
    RuleRefusal::new(
        "not-finished",
        "This boil is not finished. Please write down its syrup and its Brix first.",
    )
}

fn over_syrup(jarred: Grams, syrup: Grams) -> RuleRefusal {
    RuleRefusal::new(
        "jars-over-syrup",
        format!(
            "The jars hold {} g and the boil gave {} g of syrup. Please correct the jars filled or \
             the weight of the syrup.",
            jarred.get(),
            syrup.get()
        ),
    )
}

/// All juice that was poured in, added up.
fn all(brought: &[Brought]) -> Portion {
    boil::total(brought.iter().map(|b| Portion {
        volume: b.volume,
        mass: b.mass,
        solids: b.solids,
    }))
}

/// The sharers of this lot, and everybody to whom something is owed from before, cane or no cane. Where the season's rules bound
/// what a lot repays, not all of the latter stay in the line.
fn owed(entitled: &[split::Entitlement], carried: &[Carried]) -> Vec<Owed> {
    let mut owed: BTreeMap<Sharer, Owed> = entitled
        .iter()
        .map(|e| (e.sharer, blank(e.sharer, e.grams)))
        .collect();
    for balance in carried {
        if balance.carried > Grams::ZERO || owed.contains_key(&balance.sharer) {
            let line = owed
                .entry(balance.sharer)
                .or_insert_with(|| blank(balance.sharer, Grams::ZERO));
            line.carried = balance.carried;
            line.favoured_at = balance.favoured_at;
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

pub(in crate::calc) fn as_jars(filled: &Filled) -> Jars {
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
pub(in crate::calc) fn as_kind(jars: &Jars, filled: &[Filled]) -> Kind {
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

/// A member's bill. The mill pays nothing to itself, and who brought nothing to this boil but is given a jar from before pays
/// for the empty jar alone; under rules that are older than the bound of what a lot repays, for its filling too.
fn bill(
    case: &DivisionCase<'_>,
    sharer: Sharer,
    used: Used<'_>,
    jars: &[u32],
    kinds: &[Kind],
) -> Bill {
    if sharer == Sharer::Mill {
        return Bill::default();
    }
    let mut rates = case.rates;
    if used.cane == Grams::ZERO && used.juice == Millilitres::ZERO {
        rates.least = Cents::ZERO;
        if case.lots_repay_pct.is_some() {
            rates.jar = Cents::ZERO;
        }
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
    fees::bill(
        &rates,
        &Used {
            jars: &glass,
            ..used
        },
    )
}

/// Whether the jars hold nearly all of the syrup that was drawn off. Before a lot is divided, nothing else tells that its filling
/// is over: whoever divides with less in jars is asked whether all of them were written down.
pub fn nearly_all(jarred: Grams, syrup: Grams) -> bool {
    jarred.get().saturating_mul(100) >= syrup.get().saturating_mul(LOOSE_PCT)
}

fn questions(jarred: Grams, syrup: Grams, brix: BrixAt20C) -> Vec<Question> {
    let mut out = Vec::new();
    if brix.get() < LEAST_SOLIDS {
        out.push(Question {
            at: "sure_thin",
            sentence: format!(
                "The syrup is at {}. Below 74 % dissolved solids it may not be sold as sorghum \
                 syrup (21 CFR 168.160 at ecfr.gov; ask your state’s office) and may ferment. Its owners have been told, \
                 and it is divided as it is.",
                brix.show()
            ),
        });
    }
    if !nearly_all(jarred, syrup) {
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

#[cfg(test)]
#[path = "division_tests.rs"]
mod tests;
