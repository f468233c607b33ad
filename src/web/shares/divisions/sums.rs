//! The sums of a division written out, so that a pencil can redo them; shared by the division's page
//! and the statement. Only words: every figure comes from `calc`.

use crate::calc::Basis;
use crate::calc::cane::juice::{Amount, Juice};
use crate::calc::physics::density::mass_of;
use crate::calc::physics::refractometer::Instrument;
use crate::calc::shares::division::{Division, Part, recovery_pct};
use crate::calc::shares::split::Sharer;
use crate::facts::shares::division_inputs::PouredJuice;
use crate::store::cane::juice::JuiceRow;
use crate::units::{Grams, Millilitres, Units, fixed};

/// A weight in the season's basis with its unit.
pub fn weight_text(basis: Basis, weight: u64, units: Units) -> String {
    let weight = i64::try_from(weight).unwrap_or(i64::MAX);
    match basis {
        Basis::JuiceVolume => ml_text(Millilitres::new(weight), units),
        Basis::Solids | Basis::JuiceMass | Basis::CaneMass => Grams::new(weight).grams_text(units),
    }
}

/// Whole millilitres, "1,234 mL".
pub fn ml_text(volume: Millilitres, units: Units) -> String {
    format!("{} mL", fixed(volume.as_f64(), 0, units))
}

/// Percent of a whole, two decimals.
pub fn percent(part: u64, whole: u64) -> String {
    let hundredths = if whole == 0 {
        0
    } else {
        (u128::from(part) * 20_000 / u128::from(whole)).div_ceil(2)
    };
    format!("{}.{:02} %", hundredths / 100, hundredths % 100)
}

/// How the juice of a pour was weighed, as far as its mass: "84,321 g − 1,000 g of sediment = 83,321 g".
pub fn mass_sum(row: &JuiceRow, juice: &Juice, units: Units) -> String {
    let mass = juice.mass;
    match (row.amount, row.sediment) {
        (Amount::Weight(all), None) => format!("weighed {}", all.grams_text(units)),
        (Amount::Weight(all), Some(_)) => format!(
            "weighed {} − {} of sediment = {}",
            all.grams_text(units),
            (all - mass).grams_text(units),
            mass.grams_text(units)
        ),
        (Amount::Volume(all, at), sediment) => {
            let whole = mass_of(all, juice.brix_20, at);
            let weighed = format!(
                "{} at {} × {:.6} g per mL = {}, to the nearest gram",
                ml_text(all, units),
                at.show(units),
                juice.density_kg_m3 / 1000.0,
                whole.grams_text(units)
            );
            let left = match sediment {
                None => return weighed,
                Some(Amount::Volume(left, _)) => ml_text(left, units),
                Some(Amount::Weight(left)) => left.grams_text(units),
            };
            format!(
                "{weighed}; {} − {} of sediment ({left}) = {}",
                whole.grams_text(units),
                (whole - mass).grams_text(units),
                mass.grams_text(units)
            )
        }
    }
}

/// How its Brix came about: "Brix read 15.20 and 15.40, mean 15.300; 15.300 + 0.280 = 15.58 °Bx at 20 °C,
/// to 0.01 (plain, juice at 24.0 °C)".
pub fn brix_sum(row: &JuiceRow, juice: &Juice, units: Units) -> String {
    let read: Vec<String> = row
        .readings
        .iter()
        .map(|r| format!("{:.2}", r.get()))
        .collect();
    let counted = if read.len() == 2 { "mean" } else { "counted" };
    let added = match row.instrument {
        Instrument::Plain if juice.correction < 0.0 => format!(" − {:.3}", -juice.correction),
        Instrument::Plain => format!(" + {:.3}", juice.correction),
        Instrument::SelfCompensating | Instrument::Digital => String::new(),
    };
    format!(
        "Brix read {}, {counted} {:.3}; {:.3}{added} = {} at 20 °C, to 0.01 ({}, juice at {})",
        read.join(" and "),
        juice.brix_read.get(),
        juice.brix_read.get(),
        juice.brix_20.show(),
        row.instrument.name(),
        row.temp.show(units)
    )
}

/// Its dissolved solids: "83,321 g × 15.58 ÷ 100 = 12,981 g of solids, to the nearest gram".
pub fn solids_sum(juice: &Juice, units: Units) -> String {
    format!(
        "{} × {:.2} ÷ 100 = {} of solids, to the nearest gram",
        juice.mass.grams_text(units),
        juice.brix_20.get(),
        juice.solids.grams_text(units)
    )
}

/// The part of it in this boil, in solids.
pub fn part_sum(pour: &PouredJuice, units: Units) -> String {
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
pub fn cane_sum(pour: &PouredJuice, units: Units) -> String {
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
pub fn toll_sum(d: &Division, units: Units) -> String {
    format!(
        "{} × {} = {}",
        d.jarred.grams_text(units),
        d.toll.show(),
        ten_thousandths(d.jarred, d.toll.get(), units)
    )
}

/// What is left for the members: "13,017 g − 1,301.7 g = 11,715.3 g".
pub fn members_sum(d: &Division, units: Units) -> String {
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
pub fn exact(part: &Part, units: Units) -> String {
    format!(
        "{}.{:03} g",
        fixed(part.floor.as_f64(), 0, units),
        part.cut_thousandths
    )
}

/// A sharer's entitlement: "11,715.3 g × 10,200 g ÷ 15,000 g = 7,966.404 g; cut to 7,966 g, and no odd
/// gram: 7,966 g".
pub fn share_sum(part: &Part, d: &Division, units: Units) -> String {
    let sum = match part.sharer {
        Sharer::Mill => format!("{} × {}", d.jarred.grams_text(units), d.toll.show()),
        Sharer::Member(_) => format!(
            "{} × {} ÷ {}",
            members_part(d, units),
            weight_text(d.basis, part.weight, units),
            weight_text(d.basis, d.weight, units)
        ),
    };
    let odd = if part.odd_gram {
        "and 1 odd gram"
    } else {
        "and no odd gram"
    };
    format!(
        "{sum} = {}; cut to {}, {odd}: {}",
        exact(part, units),
        part.floor.grams_text(units),
        part.entitled.grams_text(units)
    )
}

/// Jars times their weight: "6 × quart of 1,360 g + 1 × part-jar of 777 g = 8,937 g".
pub fn jars_sum(part: &Part, d: &Division, units: Units) -> String {
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
pub fn carry_sum(part: &Part, units: Units) -> String {
    format!(
        "{} + {} − {} = {}",
        part.carried.grams_text(units),
        part.entitled.grams_text(units),
        part.jarred.grams_text(units),
        part.carry.grams_text(units)
    )
}

/// Solids out of solids in: "10,153 g of 12,981 g of solids: 78.2 of 100".
pub fn recovery_sum(d: &Division, units: Units) -> String {
    format!(
        "{} of {} of solids came out of the pan: {:.1} of 100",
        d.solids_out.grams_text(units),
        d.solids_in.grams_text(units),
        recovery_pct(d.solids_in, d.solids_out)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

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
