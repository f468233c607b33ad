//! Members who left the co-op and are given jars of a lot all the same, said before it is divided.

use super::sums::jars_sum;
use crate::calc::shares::division::Division;
use crate::calc::shares::split::Sharer;
use crate::store::people::members::Member;
use crate::units::{Grams, Units, UtcSecond, Zone};
use crate::web::paths;

/// Who left, when, and what the lot gives.
pub(super) struct LeftLine {
    pub(super) who: String,
    pub(super) on: String,
    pub(super) jars: String,
    pub(super) brought: bool,
    pub(super) settle: String,
}

/// A line for each of them who is given a jar.
pub(super) fn lines(
    d: &Division,
    left: &[(Member, UtcSecond)],
    (zone, units): (&Zone, Units),
) -> Vec<LeftLine> {
    let line = |(card, at): &(Member, UtcSecond)| {
        let of = |p: &&crate::calc::shares::division::Part| p.sharer == Sharer::Member(card.id);
        let part = d.parts.iter().find(of)?;
        (part.jarred > Grams::ZERO).then(|| LeftLine {
            who: card.name.to_string(),
            on: zone.local(*at).0.show(),
            jars: jars_sum(part, d, units),
            brought: part.weight > 0,
            settle: paths::settle(card.id),
        })
    };
    left.iter().filter_map(line).collect()
}

#[cfg(test)]
pub(super) fn sample(who: &str) -> LeftLine {
    LeftLine {
        who: who.to_owned(),
        on: "Sat 10 Oct 2026".to_owned(),
        jars: "1 × part-jar of 106 g = 106 g".to_owned(),
        brought: false,
        settle: "/members/x/settle".to_owned(),
    }
}
