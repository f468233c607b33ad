//! Where a member's cane is: one state out of what was written down of it, and the line of steps on its way.
//! Knows neither names nor words of a page.

use super::division::nearly_all;
use crate::units::{Grams, UtcSecond};

/// A step on the way from the turn to the jars at home, in order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// A turn is booked.
    Booked,
    /// The cane is at the mill and weighed.
    Here,
    /// Its juice is measured and stands in a vessel.
    Pressed,
    /// It is in the pan, or drawn off and not all in jars yet.
    InPan,
    /// The lot is in jars.
    InJars,
    /// The lot is divided.
    ShareKnown,
    /// Jars of one's own wait at the mill.
    ToFetch,
    /// The jars were handed over.
    Fetched,
}

impl Step {
    /// All of them, in order.
    pub const ALL: [Self; 8] = [
        Self::Booked,
        Self::Here,
        Self::Pressed,
        Self::InPan,
        Self::InJars,
        Self::ShareKnown,
        Self::ToFetch,
        Self::Fetched,
    ];
}

/// What was written down of one boil that holds juice of the cane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LotMarks {
    /// When the first of the member's juice was poured into it.
    pub poured_at: UtcSecond,
    /// When it was drawn off and measured, if it was.
    pub finished_at: Option<UtcSecond>,
    /// The syrup that was drawn off; nothing before.
    pub syrup: Grams,
    /// What is in jars of it.
    pub jarred: Grams,
    /// When the last of its jars was filled, if some of it is in jars.
    pub filled_at: Option<UtcSecond>,
    /// When it was written down that all of it was lost, so that nothing is left to divide; none: it was not.
    pub lost_at: Option<UtcSecond>,
    /// When it was last divided, if it was.
    pub divided_at: Option<UtcSecond>,
    /// It was divided and is open to be put right: it will be divided again.
    pub reopened: bool,
    /// Jars of it set aside for the member.
    pub set_aside: i64,
    /// Jars of it handed over to the member.
    pub handed: i64,
    /// When the last of those jars were handed over.
    pub handed_at: Option<UtcSecond>,
}

/// A juice poured into a boil, as it was written down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PourMarks {
    /// When it was pressed.
    pub pressed_at: UtcSecond,
    /// When the pour was noted.
    pub noted_at: UtcSecond,
    /// It was noted with the boil's first.
    pub with_first: bool,
}

impl PourMarks {
    /// When it was poured into a boil lit and drawn off at those times. Juice that the fire was lit under was in the pan from then on,
    /// however late that was written down; other juice came in when it was noted, or, where that was only after the draw, at
    /// the earliest that it can have been.
    pub fn poured_at(&self, lit_at: UtcSecond, finished_at: Option<UtcSecond>) -> UtcSecond {
        let earliest = lit_at.max(self.pressed_at);
        let at_lighting = self.with_first && self.pressed_at <= lit_at;
        let noted_after = finished_at.is_some_and(|finished| self.noted_at > finished);
        if at_lighting || noted_after {
            earliest
        } else {
            earliest.max(self.noted_at)
        }
    }
}

/// How far a lot has come for one member: in this order, what is least far along first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LotState {
    /// The lot is on the fire.
    OnFire,
    /// The lot is drawn off and not in jars yet.
    DrawnOff,
    /// Some of it is in jars, and more is to come.
    BeingJarred,
    /// In jars, not divided.
    InJars,
    /// Divided; this many jars of the member's wait at the mill.
    ToFetch(i64),
    /// Divided, and no jar of it is the member's: all is carried.
    Shared,
    /// Divided, and all jars of the member's were handed over.
    Fetched,
    /// The whole lot was lost.
    Lost,
}

impl LotMarks {
    /// When jars of it began to wait for the member; `None` where none are the member's.
    fn waits_from(&self) -> Option<UtcSecond> {
        let known = self.divided_at.filter(|_| self.set_aside > 0)?;
        Some(self.filled_at.map_or(known, |filled| filled.max(known)))
    }
}

impl LotState {
    /// The state of a lot for the member whose jars were counted.
    pub fn of(lot: &LotMarks) -> Self {
        if lot.lost_at.is_some() {
            return Self::Lost;
        }
        match (lot.divided_at, lot.finished_at) {
            (Some(_), _) => match lot.set_aside - lot.handed {
                left if left > 0 => Self::ToFetch(left),
                _ if lot.handed > 0 => Self::Fetched,
                _ => Self::Shared,
            },
            (None, Some(_)) if lot.filled_at.is_none() => Self::DrawnOff,
            (None, Some(_)) if nearly_all(lot.jarred, lot.syrup) => Self::InJars,
            (None, Some(_)) => Self::BeingJarred,
            (None, None) => Self::OnFire,
        }
    }

    /// The step it is at; a lost lot never gets further than the pan.
    pub const fn step(self) -> Step {
        match self {
            Self::OnFire | Self::DrawnOff | Self::BeingJarred | Self::Lost => Step::InPan,
            Self::InJars => Step::InJars,
            Self::ToFetch(_) => Step::ToFetch,
            Self::Shared => Step::ShareKnown,
            Self::Fetched => Step::Fetched,
        }
    }
}

/// What was written down of the cane of one ticket.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct CaneMarks {
    /// When its turn was to begin, if it came by a turn.
    pub turn_at: Option<UtcSecond>,
    /// When it was weighed in; none while it is expected.
    pub here_at: Option<UtcSecond>,
    /// When its first juice was pressed, of those that are not crossed out or measured twice.
    pub pressed_at: Option<UtcSecond>,
    /// Whether some of its juice stands in a vessel.
    pub standing: bool,
    /// Whether it went home unpressed.
    pub went_home: bool,
    /// Whether loads of it were weighed and all are crossed out.
    pub not_weighed: bool,
    /// The boils that hold juice of it, in the order they were lit.
    pub lots: Vec<LotMarks>,
}

/// Where the cane is. When it is in several places, the place that is least far along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CaneState {
    /// A turn is booked.
    Booked,
    /// The cane is at the mill and not pressed yet.
    Here,
    /// The cane went home unpressed.
    WentHome,
    /// Nothing of it is at the mill: its loads are crossed out.
    NotWeighed,
    /// Its juice stands in a vessel.
    Pressed,
    /// All its juice was spilt or spoilt before it came into a pan.
    JuiceLost,
    /// Its juice is in a lot, which is in this state.
    InLot(LotState),
}

/// One step of the way as a page shows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StepMark {
    /// The step.
    pub step: Step,
    /// When it came about, where that was written down.
    pub at: Option<UtcSecond>,
    /// Whether it lies behind, at or ahead of the step that the cane is at.
    pub place: Place,
}

/// A step seen from the one the cane is at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The step is done.
    Behind,
    /// The cane is at this step.
    At,
    /// The step is still to come.
    Ahead,
}

impl CaneMarks {
    /// Where the cane is by what was written down of it.
    pub fn state(&self) -> CaneState {
        if self.here_at.is_none() {
            return CaneState::Booked;
        }
        if self.standing {
            return CaneState::Pressed;
        }
        match self.lots.iter().map(LotState::of).min() {
            Some(lot) => CaneState::InLot(lot),
            None if self.pressed_at.is_some() => CaneState::JuiceLost,
            None if self.went_home => CaneState::WentHome,
            None if self.not_weighed => CaneState::NotWeighed,
            None => CaneState::Here,
        }
    }

    /// Whether something is still to come: of the cane, or of a lot of it that is open to be put right.
    pub fn under_way(&self) -> bool {
        self.state().under_way() || self.lots.iter().any(|lot| lot.reopened)
    }

    /// When it was written down that all syrup of it was lost; none: some of it is on its way, or was given out.
    pub fn lost_at(&self) -> Option<UtcSecond> {
        match self.state() {
            CaneState::InLot(LotState::Lost) => {
                self.lots.iter().filter_map(|lot| lot.lost_at).max()
            }
            _ => None,
        }
    }

    /// The line of steps, with the one the cane is at. Of cane that came to the mill no step is said to be later than one after it:
    /// what was noted late, or came about again, then has no time.
    pub fn line(&self) -> [StepMark; 8] {
        let here = self.state().step();
        let mut line = Step::ALL.map(|step| StepMark {
            step,
            at: self.at(step).filter(|_| step <= here),
            place: match step.cmp(&here) {
                std::cmp::Ordering::Less => Place::Behind,
                std::cmp::Ordering::Equal => Place::At,
                std::cmp::Ordering::Greater => Place::Ahead,
            },
        });
        let mut after = None;
        for mark in line.iter_mut().rev().filter(|mark| mark.step >= Step::Here) {
            mark.at = mark.at.filter(|at| after.is_none_or(|after| *at <= after));
            after = mark.at.or(after);
        }
        line
    }

    fn at(&self, step: Step) -> Option<UtcSecond> {
        let lots = self.lots.iter();
        match step {
            Step::Booked => self.turn_at,
            Step::Here => self.here_at,
            Step::Pressed => self.pressed_at,
            Step::InPan => lots.map(|lot| lot.poured_at).min(),
            Step::ShareKnown => lots.filter_map(|lot| lot.divided_at).max(),
            Step::Fetched => lots.filter_map(|lot| lot.handed_at).max(),
            Step::InJars => lots.filter_map(|lot| lot.filled_at).max(),
            // Jars wait for somebody from when they are filled and it is known whose they are.
            Step::ToFetch => lots.filter_map(LotMarks::waits_from).max(),
        }
    }
}

impl CaneState {
    /// The step the cane is at.
    pub const fn step(self) -> Step {
        match self {
            Self::Booked => Step::Booked,
            Self::Here | Self::WentHome | Self::NotWeighed => Step::Here,
            Self::Pressed | Self::JuiceLost => Step::Pressed,
            Self::InLot(lot) => lot.step(),
        }
    }

    /// Whether something is still to come: otherwise it belongs among the results.
    pub const fn under_way(self) -> bool {
        !matches!(
            self,
            Self::WentHome
                | Self::NotWeighed
                | Self::JuiceLost
                | Self::InLot(LotState::Shared | LotState::Fetched | LotState::Lost)
        )
    }
}

#[cfg(test)]
#[path = "my_cane_tests.rs"]
mod tests;
