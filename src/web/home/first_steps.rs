//! The first steps of a new co-op, ticked off as they are done, until its first statement.

use crate::store::first_steps::FirstSteps;
use crate::web::paths;

/// One step.
pub(super) struct FirstStep {
    pub done: bool,
    pub href: String,
    pub words: &'static str,
    pub more: &'static str,
}

/// The steps, in order; none once a boil is divided.
pub(super) fn steps(of: Option<&FirstSteps>) -> Vec<FirstStep> {
    let Some(of) = of.filter(|of| !of.divided) else {
        return Vec::new();
    };
    let mut steps = before_the_season(of);
    steps.extend(from_the_season_on(of));
    steps
}

fn step(done: bool, href: &str, words: &'static str, more: &'static str) -> FirstStep {
    FirstStep {
        done,
        href: href.to_owned(),
        words,
        more,
    }
}

fn before_the_season(of: &FirstSteps) -> Vec<FirstStep> {
    vec![
        step(
            of.mill,
            paths::MILL,
            "Name a scale and a vessel",
            "with the scale’s graduation, as on its plate",
        ),
        step(
            of.pan,
            paths::PANS,
            "Name the pan",
            "and what it holds, so that boils are planned to fill it",
        ),
        step(
            of.members,
            paths::NEW_MEMBER,
            "Add the members and the crew",
            "name and telephone are enough",
        ),
        step(
            of.invited,
            paths::MEMBERS,
            "Invite them",
            "with the card printed from each member’s page",
        ),
    ]
}

fn from_the_season_on(of: &FirstSteps) -> Vec<FirstStep> {
    let season = of
        .year
        .map_or_else(|| paths::SEASONS.to_owned(), paths::season);
    vec![
        step(
            of.year.is_some(),
            paths::SEASONS,
            "Open the season",
            "it starts with a draft of its rules",
        ),
        step(
            of.confirmed,
            &season,
            "Confirm the rules",
            "once they are what the members voted: no boil is lit before",
        ),
        step(
            of.day,
            paths::NEW_DAY,
            "Plan a press day",
            "members book from then on",
        ),
        step(
            of.ticket,
            paths::DAYS,
            "Weigh the first cane in",
            "on the page of the press day",
        ),
        step(
            of.boil,
            paths::DAYS,
            "Light the first boil",
            "on the page of the press day",
        ),
        step(
            false,
            paths::BOILS,
            "Divide it",
            "a second person signs, with an account or a PIN of their own, unless the rules do without; then this list goes",
        ),
    ]
}
