//! What of a line of the ledger is not taken back yet, and which two lines are the halves of one settlement: the member's and the
//! mill's, which are taken back together. Writes no line.

use super::ledger::Entry;
use crate::units::{Cents, Grams, MemberId, Units};

/// A line as far as taking it back goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moved {
    /// Its number.
    pub number: i64,
    /// Whose; `None`: the mill's.
    pub member: Option<MemberId>,
    /// What it is for.
    pub kind: Entry,
    /// What it moves.
    pub moves: (Grams, Cents),
    /// What its answers moved so far.
    pub back: (Grams, Cents),
}

impl Moved {
    /// What is still to be moved until nothing of the line is left.
    pub fn left(&self) -> (Grams, Cents) {
        (-(self.moves.0 + self.back.0), -(self.moves.1 + self.back.1))
    }

    /// Nothing of it is left.
    pub fn is_back(&self) -> bool {
        self.left() == (Grams::ZERO, Cents::ZERO)
    }

    /// Some of it was taken back, and not the whole.
    pub fn in_part(&self) -> bool {
        self.back != (Grams::ZERO, Cents::ZERO) && !self.is_back()
    }

    /// The number of the line that would be its other half: a member's comes first, the mill's is the next. `None`: the line is no
    /// settlement in money.
    pub fn other_half(&self) -> Option<i64> {
        let settles = self.kind == Entry::Settled && self.moves.1 != Cents::ZERO;
        let other = if self.member.is_some() { 1 } else { -1 };
        settles.then(|| self.number + other)
    }

    /// Whether both are the halves of one settlement in money.
    pub fn is_half_with(&self, other: &Self) -> bool {
        let opposite = (-other.moves.0, -other.moves.1);
        self.other_half() == Some(other.number)
            && other.other_half() == Some(self.number)
            && self.moves == opposite
    }
}

/// Of all lines, in order, those that were taken back in part, or whose other half was not: one sentence each, with whose
/// line it is.
pub fn half_taken_back(lines: &[Moved]) -> Vec<(Option<MemberId>, String)> {
    let mut told = Vec::new();
    for (place, line) in lines.iter().enumerate() {
        let next = lines
            .get(place + 1)
            .filter(|next| line.is_half_with(next) && line.member.is_some());
        let before = place.checked_sub(1).and_then(|place| lines.get(place));
        let told_before =
            before.is_some_and(|before| before.member.is_some() && before.is_half_with(line));
        if let Some(mills) = next {
            let amiss = line.in_part() || mills.in_part() || line.is_back() != mills.is_back();
            if amiss {
                told.push((line.member, settled_in_part(line, mills)));
            }
        } else if line.in_part() && !told_before {
            let (grams, cents) = line.left();
            let says = format!(
                "line {} of the ledger was taken back in part: {} and {} are left of it",
                line.number,
                (-grams).grams_text(Units::Us),
                (-cents).show()
            );
            told.push((line.member, says));
        }
    }
    told
}

fn settled_in_part(line: &Moved, mills: &Moved) -> String {
    let left = |half: &Moved| {
        let (grams, cents) = half.left();
        format!(
            "{} and {} of line {}",
            (-grams).grams_text(Units::Us),
            (-cents).show(),
            half.number
        )
    };
    format!(
        "lines {} and {} of the ledger settled syrup in money and were taken back in part: {} and {} are left. Taking line {} back \
         once more writes what is missing",
        line.number,
        mills.number,
        left(line),
        left(mills),
        line.number
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    /// Rufus carried 331 g, which the mill paid with $3.65.
    fn settled(backs: [(i64, i64); 2]) -> [Moved; 2] {
        let rufus = MemberId::new(Uuid::from_u128(7));
        let line = |number, member, sign: i64, back: (i64, i64)| Moved {
            number,
            member,
            kind: Entry::Settled,
            moves: (Grams::new(-331 * sign), Cents::new(-365 * sign)),
            back: (Grams::new(back.0), Cents::new(back.1)),
        };
        [
            line(70, Some(rufus), 1, backs[0]),
            line(71, None, -1, backs[1]),
        ]
    }

    #[test]
    fn a_settlement_is_taken_back_whole_or_told() {
        assert!(half_taken_back(&settled([(0, 0), (0, 0)])).is_empty());
        assert!(half_taken_back(&settled([(331, 365), (-331, -365)])).is_empty());
        let one_sided = half_taken_back(&settled([(0, 365), (0, 0)]));
        assert_eq!(one_sided.len(), 1, "{one_sided:?}");
        assert!(
            one_sided[0]
                .1
                .contains("−331 g and $0.00 of line 70 and 331 g and $3.65 of line 71"),
            "{one_sided:?}"
        );
        for backs in [
            [(0, 365), (0, -365)],
            [(331, 365), (0, 0)],
            [(331, 365), (-331, 0)],
        ] {
            assert_eq!(half_taken_back(&settled(backs)).len(), 1, "{backs:?}");
        }
    }

    #[test]
    fn the_halves_are_the_members_line_and_the_next_of_the_mill() {
        let [own, mills] = settled([(0, 0), (0, 0)]);
        assert!(own.is_half_with(&mills) && mills.is_half_with(&own));
        assert_eq!((own.other_half(), mills.other_half()), (Some(71), Some(70)));
        let other = Moved {
            moves: (Grams::new(330), Cents::new(365)),
            ..mills
        };
        assert!(!own.is_half_with(&other));
        // Jars that settled syrup moved no money: they come back on their receipt.
        let jars = Moved {
            moves: (Grams::new(-331), Cents::ZERO),
            ..own
        };
        assert_eq!(jars.other_half(), None);
        let fee = Moved {
            kind: Entry::CaneFee,
            moves: (Grams::ZERO, Cents::new(400)),
            back: (Grams::ZERO, Cents::new(-300)),
            ..own
        };
        assert!(
            half_taken_back(&[fee])[0]
                .1
                .contains("0 g and $1.00 are left")
        );
    }
}
