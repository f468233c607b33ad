//! What a weighing is expected to come to: by its turn less what is weighed, or by what the member's loads weighed before; and
//! the question when it is far from that.

use crate::calc::RuleRefusal;
use crate::units::{Grams, Units};

/// Above this many times what is expected, or below that part of it, a weight is read back before it counts.
const FAR: f64 = 1.5;
/// The same bound where only one or two loads were weighed: a misplaced point is tenfold, and no
/// trailer is loaded four times as high as the last.
const FAR_FROM_FEW: f64 = 4.0;
/// Fewer loads than this say little of the next one's weight.
const FEW: usize = 3;

/// The loads that a ticket has besides the one that is weighed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Others {
    sum: Grams,
    least: Grams,
    most: Grams,
}

impl Others {
    /// The loads with these net weights.
    pub fn of(nets: &[Grams]) -> Self {
        Self {
            sum: nets.iter().copied().sum(),
            least: nets.iter().copied().min().unwrap_or_default(),
            most: nets.iter().copied().max().unwrap_or_default(),
        }
    }
}

/// Net cane that is expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Expected {
    /// The cane of the turn, which may come in several loads.
    Turn {
        /// All the cane that the turn expects.
        cane: Grams,
        /// The other loads of the turn's ticket.
        others: Others,
    },
    /// There is no turn: what this member's loads mostly weigh.
    Usual {
        /// The median of the loads before.
        net: Grams,
        /// Whether there were only one or two loads to judge by.
        few: bool,
    },
}

impl Expected {
    /// The cane of a turn that expects so much; `None`: the turn does not say how much.
    pub fn of_turn(cane: Grams, others: Others) -> Option<Self> {
        (cane > Grams::ZERO).then_some(Self::Turn { cane, others })
    }

    /// What a member's loads usually weigh, by the nets of those before; `None`: there was none.
    pub fn usual(nets: &[Grams]) -> Option<Self> {
        let mut nets: Vec<Grams> = nets.iter().copied().filter(|n| *n > Grams::ZERO).collect();
        nets.sort_unstable();
        let middle = nets.get(nets.len().saturating_sub(1) / 2)?;
        Some(Self::Usual {
            net: *middle,
            few: nets.len() < FEW,
        })
    }

    /// The net cane that is expected, and what stands against it with this load.
    pub(super) fn held_against(self, net: Grams) -> (Grams, Grams) {
        match self {
            Self::Turn { cane, others } => (cane, others.sum + net),
            Self::Usual { net: usual, .. } => (usual, net),
        }
    }

    /// "the 350.0 lb that the turn expects".
    pub(super) fn words(self, units: Units) -> String {
        match self {
            Self::Turn { cane, .. } => format!("the {} that the turn expects", cane.show(units)),
            Self::Usual { net, .. } => format!(
                "the {} that a load of this member mostly weighs",
                net.show(units)
            ),
        }
    }

    /// The question to ask when this net weight is far from what is expected; `None`: it is not.
    pub fn doubt(self, net: Grams, units: Units) -> Option<RuleRefusal> {
        let (expected, all) = self.held_against(net);
        if net <= Grams::ZERO || expected <= Grams::ZERO {
            return None;
        }
        if within(all, expected, self.far()) {
            return self.unlike_others(net, units);
        }
        let than = if all > expected { "more" } else { "less" };
        let with = if all == net {
            format!("{} net", net.show(units))
        } else {
            format!(
                "{} net, {} with what this ticket has already,",
                net.show(units),
                all.show(units)
            )
        };
        Some(RuleRefusal::beside(
            "gross",
            "far-from-expected",
            format!("{with} is {than} than {}.", self.words(units)),
        ))
    }

    /// What such a net may be besides a slip, where it is far from what is expected; empty: nothing.
    pub(super) fn besides(self, net: Grams) -> &'static str {
        let (expected, all) = self.held_against(net);
        match self {
            Self::Turn { .. } if all < expected && !self.fits(net) => {
                "whether another load is still to come"
            }
            Self::Turn { .. } if all > net && !self.fits(net) => {
                "whether this load stands there already"
            }
            _ => "",
        }
    }

    const fn far(self) -> f64 {
        match self {
            Self::Usual { few: true, .. } => FAR_FROM_FEW,
            _ => FAR,
        }
    }

    /// Whether such a net is not far from what is expected.
    pub(super) fn fits(self, net: Grams) -> bool {
        let (expected, all) = self.held_against(net);
        net > Grams::ZERO && within(all, expected, self.far())
    }

    /// Within what the turn expects, but by some digit off from every other load of the ticket, and no rest of the turn.
    fn unlike_others(self, net: Grams, units: Units) -> Option<RuleRefusal> {
        let Self::Turn { cane, others } = self else {
            return None;
        };
        let like = within(net, others.least, FAR_FROM_FEW)
            || within(net, others.most, FAR_FROM_FEW)
            || (others.least < net && net < others.most)
            || within(net, cane - others.sum, FAR);
        (others.sum > Grams::ZERO && !like).then(|| {
            RuleRefusal::beside(
                "gross",
                "unlike-others",
                format!(
                    "{} net is far from the other loads of this ticket, {}.",
                    net.show(units),
                    if others.least == others.most {
                        others.most.show(units)
                    } else {
                        format!(
                            "{} to {}",
                            others.least.show(units),
                            others.most.show(units)
                        )
                    }
                ),
            )
        })
    }
}

/// Whether neither is more than `times` times the other.
fn within(one: Grams, other: Grams, times: f64) -> bool {
    other > Grams::ZERO && (1.0 / times..=times).contains(&(one.as_f64() / other.as_f64()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kg(kg: i64) -> Grams {
        Grams::new(kg * 1000)
    }

    fn asked(expected: Option<Expected>, net: i64) -> Option<&'static str> {
        expected?.doubt(kg(net), Units::Metric).map(|u| u.code)
    }

    fn turn(cane: i64, others: &[i64]) -> Option<Expected> {
        let others: Vec<Grams> = others.iter().map(|n| kg(*n)).collect();
        Expected::of_turn(kg(cane), Others::of(&others))
    }

    #[test]
    fn loads_together_are_held_against_the_turn() {
        assert_eq!(asked(turn(160, &[]), 160), None);
        assert_eq!(asked(turn(160, &[]), 241), Some("far-from-expected"));
        assert_eq!(asked(turn(160, &[]), 106), Some("far-from-expected"));
        assert_eq!(asked(turn(160, &[160]), 160), Some("far-from-expected"));
        assert_eq!(asked(turn(160, &[100]), 60), None);
        assert_eq!(asked(turn(160, &[100]), 600), Some("far-from-expected"));
        assert_eq!(asked(turn(480, &[160]), 160), None);
        assert_eq!(asked(turn(480, &[160]), 150), Some("far-from-expected"));
        assert_eq!(asked(turn(0, &[]), 160), None);
    }

    #[test]
    fn a_load_with_a_digit_off_is_asked_about_though_the_turn_takes_it() {
        assert_eq!(asked(turn(480, &[150, 140]), 16), Some("far-from-expected"));
        assert_eq!(asked(turn(480, &[160, 170]), 15), Some("unlike-others"));
        // The rest of the turn is a small load, and no slip.
        assert_eq!(asked(turn(480, &[220, 230]), 28), None);
        assert_eq!(asked(turn(480, &[20, 300]), 70), None);
    }

    #[test]
    fn without_a_turn_the_loads_before_say_what_is_usual() {
        let usual = |before: &[i64]| {
            let before: Vec<Grams> = before.iter().map(|n| kg(*n)).collect();
            Expected::usual(&before)
        };
        assert_eq!(asked(usual(&[]), 900), None);
        assert_eq!(asked(usual(&[160]), 500), None);
        assert_eq!(asked(usual(&[160]), 1600), Some("far-from-expected"));
        assert_eq!(asked(usual(&[160]), 16), Some("far-from-expected"));
        assert_eq!(asked(usual(&[150, 160, 900]), 240), None);
        assert_eq!(
            asked(usual(&[150, 160, 900]), 241),
            Some("far-from-expected")
        );
    }
}
