//! Weights of jars: what was sent, what was meant. They are typed as the scale shows them.

use crate::actions::boil::jar_checks::NewWeights;
use crate::calc::boil::full_jars::unit_g;
use crate::facts::boil::jar_checks::{KindOfLot, LotWeights};
use crate::units::{Refused, decimal};
use crate::web::form::Sheet;

/// Most weights that one form takes.
const MOST: usize = 200;

/// The word of a kind in the form.
pub(super) fn word(kind: &KindOfLot) -> String {
    format!("{}/{}", kind.net.get(), kind.size_name)
}

/// The form with the first kind chosen.
pub(super) fn blank(mut sheet: Sheet, lot: &LotWeights) -> Sheet {
    if let Some(first) = lot.kinds.first() {
        sheet.put("kind", word(first));
    }
    sheet
}

/// Reads every box of the form; `None` when one cannot be read.
pub(super) fn weights(sheet: &mut Sheet, lot: &LotWeights) -> Option<NewWeights> {
    let unit = lot.scale.as_ref().map_or(1.0, |(_, d)| unit_g(*d));
    let kind = sheet.read("kind", |text| {
        let found = lot.kinds.iter().find(|k| word(k) == text);
        found.ok_or_else(|| Refused::new("Please choose one of the sizes that were filled."))
    });
    let tare = sheet.read_optional("tare", |text| {
        let tare = decimal(text)? * unit;
        if (0.0..5000.0).contains(&tare) {
            Ok(tare)
        } else {
            Err(Refused::new(
                "An empty jar weighs less than 5 kg. Please look at the scale again.",
            ))
        }
    });
    let gross = sheet.read("weights", |text| all(text, unit));
    let kind = kind?;
    Some(NewWeights {
        size_name: kind.size_name.clone(),
        net: kind.net,
        tare_g: tare?,
        gross_g: gross?,
    })
}

/// Weights on lines, or with spaces or semicolons between them.
fn all(text: &str, unit: f64) -> Result<Vec<f64>, Refused> {
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || c == ';')
        .filter(|w| !w.is_empty())
        .collect();
    if words.is_empty() {
        return Err(Refused::new(
            "Please write the weights here, one on a line.",
        ));
    }
    if words.len() > MOST {
        return Err(Refused::new("Please write 200 weights at most."));
    }
    words
        .iter()
        .map(|word| {
            let grams = decimal(word)? * unit;
            if grams > 0.0 && grams < 50_000.0 {
                Ok(grams)
            } else {
                Err(Refused::new(format!("“{word}” is no weight of a jar.")))
            }
        })
        .collect()
}
