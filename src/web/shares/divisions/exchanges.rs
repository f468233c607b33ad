//! The exchanges of a division in words: what went to whom, and what it was good for.

use super::names::{Names, named};
use crate::calc::shares::division::Division;
use crate::calc::shares::exchange::{Bundle, WORTH_G};
use crate::calc::shares::ledger::kind_says;
use crate::units::{Grams, Units};

fn bundle(bundle: &Bundle, d: &Division, units: Units) -> String {
    let jars: Vec<String> = bundle
        .iter()
        .map(|(kind, count)| format!("{count} × {}", kind_says(&d.kinds[*kind], units)))
        .collect();
    jars.join(" and ")
}

fn weight(bundle: &Bundle, d: &Division) -> Grams {
    let jars = bundle.iter();
    Grams::new(
        jars.map(|(kind, count)| d.kinds[*kind].net.get() * i64::from(*count))
            .sum(),
    )
}

/// One sentence for each exchange, in order. Balances are worked back from those at the end.
pub(super) fn lines(d: &Division, names: &Names, units: Units) -> Vec<String> {
    let mut balance: Vec<Grams> = d.parts.iter().map(|p| p.carry).collect();
    let mut out = Vec::new();
    for made in d.exchanges.iter().rev() {
        let (from, to) = (made.from, made.to);
        let moved = weight(&made.jars, d) - weight(&made.back, d);
        let after = (balance[from], balance[to]);
        balance[from] -= moved;
        balance[to] += moved;
        let who = |place: usize| named(names, d.parts[place].sharer);
        let what = bundle(&made.jars, d, units);
        let back = if made.back.is_empty() {
            String::new()
        } else {
            format!(", for {}", bundle(&made.back, d, units))
        };
        let why = if moved.get().abs() < WORTH_G {
            "they weigh the same to within a few grams, and a wish for sizes is met".to_owned()
        } else {
            format!(
                "what they are owed comes closer together, from {} and {} to {} and {}",
                balance[from].grams_text(units),
                balance[to].grams_text(units),
                after.0.grams_text(units),
                after.1.grams_text(units)
            )
        };
        out.push(format!("{} to {}: {what}{back}; {why}", who(from), who(to)));
    }
    out.reverse();
    out
}
