//! How far the turns of a press day, those booked and those proposed, take its mill, pans and vessels.

use super::proposal_days::ProposedDay;
use super::proposal_places::holds;
use crate::units::{DayMinute, Minutes};

/// What is taken, and what there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Load<T> {
    /// What is taken.
    pub taken: T,
    /// What there is.
    pub of: T,
}

/// The loads of a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Loads {
    /// Minutes of the mill.
    pub mill: Load<Minutes>,
    /// Minutes of all pans together, as their charges are planned: they may boil on after the mill has closed. `None`: no pan is in use.
    pub pans: Option<Load<Minutes>>,
    /// When the last charge is boiled. `None`: no pan is in use.
    pub pans_until: Option<DayMinute>,
    /// How many pans there are.
    pub pans_many: usize,
    /// Vessels that hold juice at one time. `None`: no pan is in use or no vessel kept, so that nothing is known of it.
    pub vessels: Option<Load<usize>>,
}

impl ProposedDay {
    /// The loads by all turns of the day.
    pub fn loads(&self) -> Loads {
        let (of, boiling) = (&self.room.day, &self.room.boiling);
        let turns = holds(self);
        let open = of.open_minutes();
        let taken: i64 = turns.iter().map(|turn| turn.span.minutes.get()).sum();
        // Between the hours of its crew the mill does not run.
        let gaps: i64 = self.gaps().iter().map(|gap| gap.span.minutes.get()).sum();
        let (pans_many, vessels) = boiling.pans_and_vessels();
        let plan = boiling.plan(of.mill_per_h, &turns);
        let pans = plan.as_ref().map(|plan| {
            let charges = plan.charges.iter();
            let seconds: i64 = charges.map(|c| c.free_s - c.lit_s).sum();
            let many = i64::try_from(pans_many).unwrap_or(1);
            Load {
                taken: Minutes::new((seconds + 59) / 60),
                of: Minutes::new(open.get() * many),
            }
        });
        let vessels = plan.filter(|_| vessels > 0).map(|plan| Load {
            taken: plan.vessels_most,
            of: vessels,
        });
        Loads {
            mill: Load {
                taken: Minutes::new(taken - gaps),
                of: Minutes::new(open.get() - gaps),
            },
            pans,
            pans_until: self.room.pans_until(&turns),
            pans_many,
            vessels,
        }
    }
}
