//! Syrup of a lot that was lost, as those are told of it whose juice was in it: how much, how, when, why, and who bears it. Every
//! page of theirs, and the notice, says it with these words.

use super::poured_juice::PouredJuice;
use crate::calc::RuleRefusal;
use crate::calc::shares::ledger::Entry;
use crate::calc::shares::losses::{HowLost, LossRule};
use crate::calc::shares::split::{self, Entitlement, Pour, Sharer};
use crate::store::boil::boils::BoilRow;
use crate::store::season::seasons::Rules;
use crate::store::shares::ledger::LedgerLine;
use crate::store::shares::lot_losses::LotLoss;
use crate::units::{Grams, LotCode, Units, UtcSecond, Zone};

/// Syrup of a lot that was lost.
#[derive(Debug, Clone)]
pub struct SyrupLost {
    /// The lot.
    pub lot: LotCode,
    /// How it was lost.
    pub how: HowLost,
    /// How much syrup.
    pub lost: Grams,
    /// Whether nothing was left to put in jars.
    pub whole: bool,
    /// Why, as it was written down; empty: it was noted without a reason.
    pub why: String,
    /// When it was written down.
    pub at: UtcSecond,
    /// Who bears it.
    pub rule: LossRule,
    /// Whether the season has borne it.
    pub borne: bool,
}

impl SyrupLost {
    /// All that was lost of a boil, in the order in which it is told: what was noted with the weight of the syrup as spilt or scorched
    /// before, which no rule shares out since it is in nobody's jars; then the loss that a steward wrote down. A boil lost whole
    /// holds the former.
    pub fn all_of(boil: &BoilRow, losses: &[LotLoss]) -> Vec<Self> {
        let written = Self::written_down(boil, losses);
        let whole = written.as_ref().is_some_and(|loss| loss.whole);
        let before = Self::before_weighing(boil).filter(|_| !whole);
        before.into_iter().chain(written).collect()
    }

    /// The loss of a boil that a steward wrote down.
    pub fn written_down(boil: &BoilRow, losses: &[LotLoss]) -> Option<Self> {
        let loss = losses.iter().find(|loss| loss.boil_id == boil.id)?;
        Some(Self {
            lot: boil.lot.clone(),
            how: loss.how,
            lost: loss.lost,
            whole: loss.whole,
            why: loss.why.clone(),
            at: loss.at,
            rule: loss.rule,
            borne: loss.borne,
        })
    }

    /// What was spilt or scorched before the syrup was weighed.
    fn before_weighing(boil: &BoilRow) -> Option<Self> {
        let finish = boil.finish.as_ref()?;
        (finish.spilt > Grams::ZERO).then(|| Self {
            lot: boil.lot.clone(),
            how: HowLost::BeforeWeighing,
            lost: finish.spilt,
            whole: false,
            why: String::new(),
            at: finish.at,
            rule: LossRule::Own,
            borne: false,
        })
    }

    /// Whether the season can move anything for it.
    pub fn is_written_down(&self) -> bool {
        self.how != HowLost::BeforeWeighing
    }

    /// Whether the season is to bear it, and has not yet.
    pub fn to_be_borne(&self) -> bool {
        self.rule == LossRule::Pool && !self.borne
    }

    /// How much was lost, how, why, when that was written down, and who bears it.
    pub fn says(&self, units: Units, zone: &Zone) -> String {
        format!("{} {}", self.what(units, zone), self.who_bears())
    }

    /// How much was lost, how, why, and when that was written down.
    pub fn what(&self, units: Units, zone: &Zone) -> String {
        let (lot, grams, was) = (&self.lot, self.lost.said(units), self.how.was());
        let what = if self.whole {
            format!("All syrup of lot {lot}, about {grams}, was {was}")
        } else {
            format!("{grams} of the syrup of lot {lot} was {was}")
        };
        let why = match self.why.trim_end_matches('.') {
            "" => String::new(),
            why => format!(": “{why}”"),
        };
        format!("{what}{why}. Written down {}.", zone.show(self.at))
    }

    /// Who bears it, in a sentence.
    pub const fn who_bears(&self) -> &'static str {
        self.rule.who_bears(self.borne)
    }

    /// "2.2 lb of lot 26001-X spilled", in a list.
    pub fn in_short(&self, units: Units) -> String {
        let (lot, grams) = (&self.lot, self.lost.said(units));
        let was = match self.how {
            HowLost::BeforeWeighing => "spilt or scorched",
            how => how.was(),
        };
        if self.whole {
            format!("all syrup of lot {lot} {was}")
        } else {
            format!("{grams} of the syrup of lot {lot} {was}")
        }
    }

    /// What of it would have been a sharer's, as jars of the lot are divided; nought: that sharer brought nothing to it.
    pub fn part_of(&self, sharer: Sharer, rules: &Rules, pours: &[PouredJuice]) -> Grams {
        let all = entitled(self.lot.as_str(), self.lost, rules, pours).unwrap_or_default();
        let own = all.iter().find(|share| share.sharer == sharer);
        own.map_or(Grams::ZERO, |share| share.grams)
    }

    /// What a member's part of it would have been, and what the season bearing it moved for that member: made good, and given up.
    pub fn own_says(part: Grams, (made_good, gave_up): (Grams, Grams), units: Units) -> String {
        let part = match part {
            Grams::ZERO => String::new(),
            part => format!("Your part of it would have been {}.", part.said(units)),
        };
        let moved = match (made_good, gave_up) {
            (Grams::ZERO, Grams::ZERO) => String::new(),
            (Grams::ZERO, gave_up) => format!(" You gave up {}.", gave_up.said(units)),
            (good, Grams::ZERO) => format!(" {} was made good to you.", good.said(units)),
            (good, gave_up) => format!(
                " {} was made good to you, and you gave up {}.",
                good.said(units),
                gave_up.said(units)
            ),
        };
        format!("{part}{moved}").trim_start().to_owned()
    }
}

/// What the season bearing losses moved in some lines of one sharer's: made good, and given up. A line about jars that broke at the
/// mill or are missing there names no boil, and is no loss of a lot.
pub fn moved_by_loss<'a>(lines: impl Iterator<Item = &'a LedgerLine>) -> (Grams, Grams) {
    let (mut good, mut gave) = (Grams::ZERO, Grams::ZERO);
    for line in lines.filter(|line| line.kind == Entry::Loss && line.boil_id.is_some()) {
        if line.grams > Grams::ZERO {
            good += line.grams;
        } else {
            gave -= line.grams;
        }
    }
    (good, gave)
}

/// Who is entitled to how much of some syrup of a boil, the mill its toll, by what was poured into it and the basis of its rules.
///
/// # Errors
/// Nobody brought anything to the boil.
pub fn entitled(
    code: &str,
    syrup: Grams,
    rules: &Rules,
    pours: &[PouredJuice],
) -> Result<Vec<Entitlement>, RuleRefusal> {
    let pours: Vec<Pour> = pours
        .iter()
        .map(|p| Pour {
            sharer: p.brought.sharer,
            weight: p.brought.weight(rules.basis),
        })
        .collect();
    split::entitle(code, syrup, rules.toll, &pours)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lost(how: HowLost, whole: bool) -> SyrupLost {
        SyrupLost {
            lot: LotCode::nth(2026, 1).unwrap(),
            how,
            lost: Grams::new(1500),
            whole,
            why: "a ladle tipped.".to_owned(),
            at: UtcSecond::new(1_789_822_800),
            rule: LossRule::Own,
            borne: false,
        }
    }

    #[test]
    fn a_loss_says_how_much_in_the_units_of_whoever_reads_when_why_and_who_bears_it() {
        let zone = Zone::parse("America/Chicago").unwrap();
        let part = lost(HowLost::Spilled, false);
        let lot = &part.lot;
        assert_eq!(
            part.says(Units::Us, &zone),
            format!(
                "3.3 lb of the syrup of lot {lot} was spilled: “a ladle tipped”. Written down Sat 19 Sep 2026 08:00. By the season’s rules those whose juice was in it bear this: nobody is given syrup for it."
            )
        );
        let whole = lost(HowLost::Otherwise, true);
        assert_eq!(
            whole.what(Units::Metric, &zone),
            format!(
                "All syrup of lot {lot}, about 1.5 kg, was lost: “a ladle tipped”. Written down Sat 19 Sep 2026 08:00."
            )
        );
        assert_eq!(
            whole.in_short(Units::Us),
            format!("all syrup of lot {lot} lost")
        );
    }

    #[test]
    fn a_member_reads_the_own_part_and_what_the_season_moved() {
        let says = |part, good, gave| {
            let moved = (Grams::new(good), Grams::new(gave));
            SyrupLost::own_says(Grams::new(part), moved, Units::Metric)
        };
        assert_eq!(says(0, 0, 0), "");
        assert_eq!(says(612, 0, 0), "Your part of it would have been 612 g.");
        assert_eq!(says(0, 0, 40), "You gave up 40 g.");
        assert_eq!(
            says(612, 612, 40),
            "Your part of it would have been 612 g. 612 g was made good to you, and you gave up 40 g."
        );
    }
}
