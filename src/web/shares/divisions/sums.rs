//! The sums of a division written out, so that a pencil can redo them; shared by the division's page
//! and the statement. Only words: every figure comes from `calc`.

use crate::calc::Basis;
use crate::calc::shares::division::{Division, Part, Way, most_repaid, recovery_pct};
use crate::calc::shares::split::Sharer;
use crate::facts::shares::poured_juice::PouredJuice;
use crate::units::{Grams, Millilitres, Units, fixed};
use crate::web::cane::cane_words::clean_sum;
pub(crate) use crate::web::cane::juice::sums::{brix_sum, mass_sum, ml_text, solids_sum};

/// A weight in the season's basis with its unit.
pub(crate) fn weight_text(basis: Basis, weight: u64, units: Units) -> String {
    let weight = i64::try_from(weight).unwrap_or(i64::MAX);
    match basis {
        Basis::JuiceVolume => ml_text(Millilitres::new(weight), units),
        Basis::Solids | Basis::JuiceMass | Basis::CaneMass => Grams::new(weight).grams_text(units),
    }
}

/// Percent of a whole, two decimals.
pub(crate) fn percent(part: u64, whole: u64) -> String {
    let hundredths = if whole == 0 {
        0
    } else {
        (u128::from(part) * 20_000 / u128::from(whole)).div_ceil(2)
    };
    format!("{}.{:02} %", hundredths / 100, hundredths % 100)
}

/// The part of it in this boil, in solids.
pub(crate) fn part_sum(pour: &PouredJuice, units: Units) -> String {
    if pour.part.mass == pour.whole.mass {
        return "all of it".to_owned();
    }
    format!(
        "{} of it: {} × {} ÷ {} = {} of solids, to the nearest gram of the running total",
        pour.part.mass.grams_text(units),
        pour.whole.solids.grams_text(units),
        pour.part.mass.grams_text(units),
        pour.whole.mass.grams_text(units),
        pour.part.solids.grams_text(units)
    )
}

/// The cane behind it, when cane counts.
pub(crate) fn cane_sum(pour: &PouredJuice, units: Units) -> String {
    let cleaned = pour
        .cleaned
        .map(|(net, sample)| format!("{}; ", clean_sum(net, sample, units)));
    format!(
        "{}{}",
        cleaned.unwrap_or_default(),
        part_of_cane(pour, units)
    )
}

/// The cane that a fee by the pound or kilogram is charged for, where the juice of a ticket went into several boils, or some of it into
/// none; `None`: all of it is in this one.
pub(crate) fn charged_cane(pour: &PouredJuice, per: Units, units: Units) -> Option<String> {
    if pour.part.mass == pour.ticket_juice {
        return None;
    }
    if per == Units::Metric {
        return Some(part_of_cane(pour, units));
    }
    Some(format!(
        "{} of cane × {} ÷ {} of juice = {}",
        pour.cane_lb.show(),
        pour.part.mass.grams_text(units),
        pour.ticket_juice.grams_text(units),
        pour.brought.cane_lb.show()
    ))
}

fn part_of_cane(pour: &PouredJuice, units: Units) -> String {
    if pour.part.mass == pour.ticket_juice {
        return format!("{} of cane", pour.cane.grams_text(units));
    }
    format!(
        "{} of cane × {} ÷ {} of juice = {}, to the nearest gram",
        pour.cane.grams_text(units),
        pour.part.mass.grams_text(units),
        pour.ticket_juice.grams_text(units),
        pour.brought.cane.grams_text(units)
    )
}

/// Exact parts of the jarred syrup, in ten-thousandths of a gram.
fn ten_thousandths(grams: Grams, points: i64, units: Units) -> String {
    let exact = i128::from(grams.get()) * i128::from(points);
    let whole = Grams::new(i64::try_from(exact / 10_000).unwrap_or(i64::MAX));
    let digits = fixed(whole.as_f64(), 0, units);
    let part = format!("{:04}", exact % 10_000);
    let part = part.trim_end_matches('0');
    if part.is_empty() {
        format!("{digits} g")
    } else {
        format!("{digits}.{part} g")
    }
}

/// The toll: "13,017 g × 10 % = 1,301.7 g".
pub(crate) fn toll_sum(d: &Division, units: Units) -> String {
    format!(
        "{} × {} = {}",
        d.jarred.grams_text(units),
        d.toll.show(),
        ten_thousandths(d.jarred, d.toll.get(), units)
    )
}

/// What is left for the members: "13,017 g − 1,301.7 g = 11,715.3 g".
pub(crate) fn members_sum(d: &Division, units: Units) -> String {
    format!(
        "{} − {} = {}",
        d.jarred.grams_text(units),
        ten_thousandths(d.jarred, d.toll.get(), units),
        members_part(d, units)
    )
}

fn members_part(d: &Division, units: Units) -> String {
    ten_thousandths(d.jarred, 10_000 - d.toll.get(), units)
}

/// A share before it is cut to whole grams, three decimals, the rest cut off.
pub(crate) fn exact(part: &Part, units: Units) -> String {
    format!(
        "{}.{:03} g",
        fixed(part.floor.as_f64(), 0, units),
        part.cut_thousandths
    )
}

/// A share: "11,715.3 g × 10,200 g ÷ 15,000 g = 7,966.404 g; cut to 7,966 g, and no gram left over: 7,966 g".
pub(crate) fn share_sum(part: &Part, d: &Division, units: Units) -> String {
    let sum = match part.sharer {
        Sharer::Mill => format!("{} × {}", d.jarred.grams_text(units), d.toll.show()),
        Sharer::Member(_) => format!(
            "{} × {} ÷ {}",
            members_part(d, units),
            weight_text(d.basis, part.weight, units),
            weight_text(d.basis, d.weight, units)
        ),
    };
    let left_over = if part.odd_gram {
        "and 1 of the grams left over"
    } else {
        "and no gram left over"
    };
    format!(
        "{sum} = {}; cut to {}, {left_over}: {}",
        exact(part, units),
        part.floor.grams_text(units),
        part.entitled.grams_text(units)
    )
}

/// Jars times their weight: "6 × quart of 1,360 g + 1 × part-jar of 777 g = 8,937 g".
pub(crate) fn jars_sum(part: &Part, d: &Division, units: Units) -> String {
    use crate::calc::shares::ledger::kind_says;
    let jars: Vec<String> = part
        .jars
        .iter()
        .zip(&d.kinds)
        .filter(|(count, _)| **count > 0)
        .map(|(count, kind)| format!("{count} × {}", kind_says(kind, units)))
        .collect();
    if jars.is_empty() {
        return "no jar this time = 0 g".to_owned();
    }
    format!("{} = {}", jars.join(" + "), part.jarred.grams_text(units))
}

/// What is carried on: "−58 g + 7,966 g − 8,160 g = −252 g".
pub(crate) fn carry_sum(part: &Part, units: Units) -> String {
    format!(
        "{} + {} − {} = {}",
        part.carried.grams_text(units),
        part.entitled.grams_text(units),
        part.jarred.grams_text(units),
        part.carry.grams_text(units)
    )
}

/// Solids out of solids in: "10,153 g of 12,981 g of solids: 78.2 of 100".
pub(crate) fn recovery_sum(d: &Division, units: Units) -> String {
    format!(
        "{} of {} of solids came out of the pan: {:.1} of 100",
        d.solids_out.grams_text(units),
        d.solids_in.grams_text(units),
        recovery_pct(d.solids_in, d.solids_out)
    )
}

/// What the lot may repay of what is owed from earlier lots, by the percentage of the rules, and what members without juice in it are
/// given of it.
pub(super) fn repaid(d: &Division, (pct, way): (Option<i64>, Way), units: Units) -> String {
    let rule = match pct {
        None => "Whoever is owed syrup from an earlier lot stands in line too: when these rules were voted, there was no rule yet on how \
                 much of a lot that may take."
            .to_owned(),
        Some(100) => "By the season’s rules whoever is owed syrup from an earlier lot stands in line too. Those without juice in this lot \
                      pay only for the empty jars."
            .to_owned(),
        Some(0) => {
            let mill = match way {
                Way::MillBound | Way::BoundFilled => {
                    ", and the mill no more than its own share, in whole jars: what it is owed from earlier lots stays carried."
                }
                Way::MillUnbound => UNBOUND,
            };
            let rule = format!(
                "By the season’s rules no jar of this lot repays members without juice in it{mill}"
            );
            return match d.repaid() {
                Grams::ZERO => rule,
                all => format!(
                    "{rule} Repaid here: {}.{}",
                    all.grams_text(units),
                    above_the_vote(d, 0, units)
                ),
            };
        }
        Some(pct) => {
            let mill = match way {
                Way::MillBound => ", and the mill beyond its own share. What is over stays carried.",
                Way::BoundFilled => {
                    ", and the mill beyond its own share, in whole jars. What is over stays carried."
                }
                Way::MillUnbound => UNBOUND,
            };
            format!(
                "By the season’s rules at most {pct} of 100 of this lot, {}, may repay members without juice in it{mill} \
                 Members without juice pay only for the empty jars.",
                most_repaid(d.jarred, pct).grams_text(units)
            )
        }
    };
    let above = pct.map_or_else(String::new, |pct| above_the_vote(d, pct, units));
    format!(
        "{rule} Repaid here: {}.{above}",
        d.repaid().grams_text(units)
    )
}

/// By how much jars of members without juice in the lot are above the bound; empty: they are within it. A correction leaves jars
/// with whom they were set aside for, also where the lot turns out smaller.
fn above_the_vote(d: &Division, pct: i64, units: Units) -> String {
    let over = d.repaid() - most_repaid(d.jarred, pct);
    if over <= Grams::ZERO {
        return String::new();
    }
    format!(
        " That is {} above what members voted, since these jars were set aside before.",
        over.grams_text(units)
    )
}

/// Of a lot that was divided while the bound did not hold for the mill.
const UNBOUND: &str = ". The mill was still given all that it was owed then.";

/// What the mill is owed from earlier lots, and how much of it its jars repay.
pub(super) fn repaid_to_mill((owed, repaid): (Grams, Grams), units: Units) -> String {
    format!(
        "The mill is owed {} from earlier lots: beyond its own share its jars hold {} of that.",
        owed.grams_text(units),
        repaid.grams_text(units)
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::shares::frozen::{FrozenJars, FrozenShare, MadeBy, recall};
    use crate::units::{BasisPoints, MemberId};
    use uuid::Uuid;

    /// Nine jars of 1,360 g, 12,240 g: one of them stays with a member without juice, of 1,224 g that may.
    #[test]
    fn what_a_correction_leaves_above_the_vote_is_said_beside_it() {
        let share = |member: u128, weight, count: u32| FrozenShare {
            sharer: Sharer::Member(MemberId::new(Uuid::from_u128(member))),
            weight,
            solids: Grams::ZERO,
            carried: Grams::ZERO,
            favoured_at: None,
            wishes: Vec::new(),
            entitled: Grams::ZERO,
            jarred: Grams::new(1_360 * i64::from(count)),
            carry: Grams::ZERO,
            jars: vec![FrozenJars {
                name: "quart".to_owned(),
                net: Grams::new(1_360),
                part: false,
                count,
            }],
        };
        let shares = [share(1, 1_000, 8), share(2, 0, 1)];
        let says = |pct| {
            let by = MadeBy {
                basis: Basis::Solids,
                toll: BasisPoints::new(0).unwrap(),
                way: Way::NOW,
                lots_repay_pct: Some(pct),
                first: false,
            };
            repaid(
                &recall("26001X", by, None, &shares),
                (Some(pct), Way::NOW),
                Units::Us,
            )
        };
        let ends = "Repaid here: 1,360 g. That is 136 g above what members voted, since these jars were set aside before.";
        assert!(says(10).ends_with(ends), "{}", says(10));
        assert!(says(0).ends_with(
            "Repaid here: 1,360 g. That is 1,360 g above what members voted, since these jars were set aside before."
        ));
        assert!(says(20).ends_with("Repaid here: 1,360 g."));
    }

    #[test]
    fn percentages_round_half_up_and_nothing_of_nothing_is_nothing() {
        assert_eq!(percent(1, 3), "33.33 %");
        assert_eq!(percent(2, 3), "66.67 %");
        assert_eq!(percent(1, 20_000), "0.01 %");
        assert_eq!(percent(7, 0), "0.00 %");
        assert_eq!(percent(5, 5), "100.00 %");
    }

    #[test]
    fn parts_of_a_gram_are_written_exactly() {
        let text = |g, points| ten_thousandths(Grams::new(g), points, Units::Us);
        assert_eq!(text(13_017, 1000), "1,301.7 g");
        assert_eq!(text(13_017, 9000), "11,715.3 g");
        assert_eq!(text(10_000, 3333), "3,333 g");
        assert_eq!(text(1, 3333), "0.3333 g");
    }
}
