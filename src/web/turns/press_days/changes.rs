//! On a day's page: what was done to its turns together, so that everybody sees why and by whom; and,
//! for stewards, the ways to do it.

use crate::calc::turns::repack::MoveKind;
use crate::store::turns::day_changes::DayChange;
use crate::units::{PressDate, Zone};
use crate::web::paths;

/// Turns that were moved together.
pub(super) struct ChangeLine {
    pub(super) words: String,
    pub(super) why: String,
    /// Address of the page that tells whom it concerned, for the crew.
    pub(super) href: String,
}

/// A way to move turns together.
pub(super) struct ChangeWay {
    pub(super) href: String,
    pub(super) words: &'static str,
}

/// What was done, latest first; names and telephone numbers are behind a link that only the crew has.
pub(super) fn lines(changes: &[DayChange], zone: &Zone, crew: bool) -> Vec<ChangeLine> {
    changes
        .iter()
        .map(|change| {
            let turns = match change.turns {
                1 => "one turn".to_owned(),
                n => format!("{n} turns"),
            };
            let date = change.date.show();
            let what = match change.kind {
                MoveKind::Later => format!("{turns} of {date} put off"),
                MoveKind::OtherDay => format!("{turns} of {date} moved to another day"),
                MoveKind::Frost => format!("killed cane first on {date}, {turns} moved"),
            };
            ChangeLine {
                words: format!("{}, by {}: {what}", zone.show(change.at), change.by),
                why: change.why.clone(),
                href: if crew {
                    paths::change(change.id)
                } else {
                    String::new()
                },
            }
        })
        .collect()
}

/// The ways of moving a day's turns together, as links.
pub(super) fn ways(date: PressDate) -> Vec<ChangeWay> {
    [
        (MoveKind::Later, "The mill stands: put turns off"),
        (MoveKind::OtherDay, "Move all turns to another day"),
        (MoveKind::Frost, "Frost: killed cane first"),
    ]
    .into_iter()
    .map(|(kind, words)| ChangeWay {
        href: paths::change_turns(date, kind),
        words,
    })
    .collect()
}

#[cfg(test)]
pub(super) fn sample(count: usize) -> Vec<ChangeLine> {
    (0..count)
        .map(|n| ChangeLine {
            words: "Sat 18 Sep 2027 09:12, by Ruth <b>: 3 turns of Sat 18 Sep 2027 put off"
                .to_owned(),
            why: "a <belt> broke".to_owned(),
            href: if n == 0 {
                String::new()
            } else {
                "/changes/1".to_owned()
            },
        })
        .collect()
}
