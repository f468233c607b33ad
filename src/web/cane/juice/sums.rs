//! The sums of a juice written out, so that a pencil can redo them: on its own page, on a division's
//! and on the statement. Only words: every figure comes from `calc`.

use crate::calc::cane::juice::{Amount, Juice};
use crate::calc::cane::second_reading::beside_the_first;
use crate::calc::physics::density::mass_of;
use crate::calc::physics::refractometer::{Instrument, to_20c};
use crate::store::cane::juice::{JuiceRow, SecondReading};
use crate::units::{Millilitres, Units, fixed};

/// The sum from readings to dissolved solids, line by line: Brix, mass, solids.
pub(super) fn lines(row: &JuiceRow, juice: &Juice, units: Units) -> Vec<String> {
    let sentence = |sum: String| {
        let mut letters = sum.chars();
        let first = letters.next().map(char::to_uppercase);
        first
            .into_iter()
            .flatten()
            .chain(letters)
            .chain(['.'])
            .collect()
    };
    [
        brix_sum(row, juice, units),
        mass_sum(row, juice, units),
        solids_sum(juice, units),
    ]
    .map(sentence)
    .into()
}

/// Whole millilitres, "1,234 mL".
pub(crate) fn ml_text(volume: Millilitres, units: Units) -> String {
    format!("{} mL", fixed(volume.as_f64(), 0, units))
}

/// How the juice of a pour was weighed, as far as its mass: "84,321 g − 1,000 g of sediment = 83,321 g".
pub(crate) fn mass_sum(row: &JuiceRow, juice: &Juice, units: Units) -> String {
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
pub(crate) fn brix_sum(row: &JuiceRow, juice: &Juice, units: Units) -> String {
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
    let sum = format!(
        "Brix read {}, {counted} {:.3}; {:.3}{added} = {} at 20 °C, to 0.01 ({}, juice at {})",
        read.join(" and "),
        juice.brix_read.get(),
        juice.brix_read.get(),
        juice.brix_20.show(),
        row.instrument.name(),
        row.temp.show(units)
    );
    match &row.again {
        Some(again) => format!("{sum}; {}", read_again(again, juice, units)),
        None => sum,
    }
}

/// What a second person read: "read again by Dan 15.40 (plain, 24.0 °C) = 15.68 °Bx at 20 °C, 0.10 more: they agree; the
/// first counts".
fn read_again(again: &SecondReading, juice: &Juice, units: Units) -> String {
    let read = format!(
        "read again by {} {:.2} ({}, {})",
        again.by_name,
        again.brix.get(),
        again.instrument.name(),
        again.temp.show(units)
    );
    match to_20c(again.brix, again.instrument, again.temp) {
        Ok(at_20) => format!(
            "{read} = {} at 20 °C, {}; the first counts",
            at_20.brix.show(),
            beside_the_first(juice.brix_20, at_20.brix)
        ),
        Err(_) => read,
    }
}

/// Its dissolved solids: "83,321 g × 15.58 ÷ 100 = 12,981 g of solids, to the nearest gram".
pub(crate) fn solids_sum(juice: &Juice, units: Units) -> String {
    format!(
        "{} × {:.2} ÷ 100 = {} of solids, to the nearest gram",
        juice.mass.grams_text(units),
        juice.brix_20.get(),
        juice.solids.grams_text(units)
    )
}
