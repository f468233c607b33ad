//! The starts that a turn can have, as buttons.

use crate::calc::turns::day_room::{FreeStarts, Limit};
use crate::calc::turns::starts::{nearest, offered};
use crate::units::{ClockTyped, DayClock, DayMinute, Minutes};
use crate::web::form::Choice;
use crate::web::paths;
use crate::web::session::Visit;

/// Free starts, a button each.
pub(super) struct Starts {
    pub(super) minutes: String,
    pub(super) near: Vec<Choice>,
    pub(super) all: Vec<Choice>,
    pub(super) none: &'static str,
    pub(super) days: &'static str,
    pub(super) phone: String,
}

impl Starts {
    /// Whether no start is free.
    pub(super) fn none_free(&self) -> bool {
        self.all.is_empty()
    }

    /// The free starts worth a button; where the start that was tapped is not to be had, the nearest.
    pub(super) fn new(
        visit: &Visit,
        clock: &DayClock,
        minutes: Minutes,
        (free, tapped): (&FreeStarts, Option<ClockTyped>),
    ) -> Self {
        let show = |starts: Vec<DayMinute>| -> Vec<Choice> {
            starts
                .into_iter()
                .map(|start| Choice::new(clock.value(start), clock.show(start)))
                .collect()
        };
        // A start whose time comes twice must be told apart: the nearest to the first include the second, too. One that is free
        // stands among them all: something else was asked about.
        let tapped = tapped.and_then(|typed| {
            let again = Some(typed.again.unwrap_or(false));
            match clock.find(typed) {
                Ok(start) => (!free.starts.contains(&start)).then_some(start),
                Err(_) => clock.find(ClockTyped { again, ..typed }).ok(),
            }
        });
        Self {
            minutes: minutes.show(),
            near: tapped.map_or_else(Vec::new, |tapped| show(nearest(&free.starts, tapped, 4))),
            all: show(offered(&free.starts)),
            none: match free.stopped {
                Some(Limit::Pan) => {
                    "The mill could press it, but the pan could not boil its juice before it is held too long: for a turn like this the day is full."
                }
                Some(Limit::Vessels) => {
                    "The mill could press it, but the vessels could not hold its juice: for a turn like this the day is full."
                }
                Some(Limit::Mill) | None => "No start is free for a turn that long.",
            },
            days: paths::DAYS,
            phone: visit
                .coop
                .as_ref()
                .map_or_else(String::new, |coop| coop.contact_phone.clone()),
        }
    }
}
