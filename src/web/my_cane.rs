//! A member's cane in words: the line of steps with the one it is at, what is known of it, and what is next.
//! Home, the ticket, the juice and the member's page of a boil say it with the same words.

use crate::calc::shares::my_cane::{CaneMarks, CaneState, LotState, Place, Step};
use crate::facts::shares::my_cane::{MyLot, MyTicket};
use crate::facts::turns::queue::StartEstimate;
use crate::store::home::NextTurn;
use crate::units::Grams;
#[cfg(test)]
use crate::units::{Units, UtcSecond, Zone};
use crate::web::cane_way::StopView;
use crate::web::lot_says::lot_says;
use crate::web::paths;
use crate::web::reader::Reader;

/// One step of a cane's way, as it is shown.
pub(super) struct StepView {
    pub(super) words: &'static str,
    /// When the step came about; empty: not yet, or not written down.
    pub(super) at: String,
    /// Its look: "done", "here", or nothing while it is still to come.
    pub(super) look: &'static str,
}

/// Cane that is under way, as one card on the page.
pub(super) struct CaneCard {
    pub(super) title: String,
    pub(super) href: String,
    pub(super) steps: Vec<StepView>,
    pub(super) says: Vec<String>,
    /// What to look at next: words and address. Several where more than one lot of it is divided.
    pub(super) next: Vec<(String, String)>,
}

const fn step_words(step: Step) -> &'static str {
    match step {
        Step::Booked => "booked",
        Step::Here => "at the mill",
        Step::Pressed => "pressed",
        Step::InPan => "in the pan",
        Step::InJars => "in jars",
        Step::ShareKnown => "share known",
        Step::ToFetch => "to fetch",
        Step::Fetched => "fetched",
    }
}

/// The steps of a cane's way, as they are shown.
pub(super) fn steps(marks: &CaneMarks, reader: Reader<'_>) -> Vec<StepView> {
    let lost = marks.lost_at();
    let line = marks.line().into_iter();
    let mut steps: Vec<StepView> = line
        .filter(|mark| mark.step != Step::Booked || mark.at.is_some())
        // Of syrup that was lost nothing comes after the pan.
        .filter(|mark| lost.is_none() || mark.place != Place::Ahead)
        .map(|mark| StepView {
            words: step_words(mark.step),
            at: mark.at.map_or_else(String::new, |at| reader.short(at)),
            look: match mark.place {
                Place::At if lost.is_none() => "here",
                Place::Behind | Place::At => "done",
                Place::Ahead => "",
            },
        })
        .collect();
    steps.extend(lost.map(|at| StepView {
        words: "syrup lost",
        at: reader.short(at),
        look: "here",
    }));
    steps
}

/// The card of a turn that is still to come.
pub(super) fn of_turn(
    turn: &NextTurn,
    about: Option<&StartEstimate>,
    reader: Reader<'_>,
) -> CaneCard {
    let marks = CaneMarks {
        turn_at: Some(reader.zone.at(turn.date, turn.start)),
        ..CaneMarks::default()
    };
    let next = match about {
        Some(_) => ("See the queue".to_owned(), paths::queue(turn.date)),
        None => ("Look at the turn".to_owned(), paths::turn(turn.id)),
    };
    CaneCard {
        title: format!("{}, {}", turn.date.show(), turn.start.show()),
        href: paths::turn(turn.id),
        steps: steps(&marks, reader),
        says: about
            .map(|about| about.words(reader.own).to_owned())
            .into_iter()
            .chain([format!(
                "{} turn is booked: {} at the mill, {} expected.",
                reader.says("Your", "The"),
                turn.minutes.show(),
                turn.cane.show(reader.units)
            )])
            .collect(),
        next: vec![next],
    }
}

/// The card that shows a ticket's cane.
pub(super) fn of_ticket(mine: &MyTicket, reader: Reader<'_>) -> CaneCard {
    let href = paths::ticket(mine.ticket.id);
    CaneCard {
        title: format!(
            "Ticket {}: {} of cane",
            mine.ticket.ticket,
            mine.net.show(reader.units)
        ),
        steps: steps(&mine.marks, reader),
        says: says(mine, reader),
        next: next(mine, &href),
        href,
    }
}

/// Where the cane of a ticket is, in sentences.
pub(super) fn says(mine: &MyTicket, reader: Reader<'_>) -> Vec<String> {
    let first = match mine.state() {
        CaneState::Booked => Some(format!("{} turn is booked.", reader.says("Your", "The"))),
        CaneState::Here => Some(match &mine.queue {
            Some(queue) => format!(
                "{} cane is weighed in. {}",
                reader.says("Your", "The"),
                queue.words(reader.own)
            ),
            None => format!(
                "{} cane is at the mill and not pressed yet.",
                reader.says("Your", "The")
            ),
        }),
        CaneState::Pressed if mine.lots.is_empty() => {
            Some("The juice is measured and waits for the pan.".to_owned())
        }
        CaneState::Pressed => Some("Some of the juice still waits for the pan.".to_owned()),
        CaneState::JuiceLost => {
            Some("All of its juice was spilt or spoilt before it came into a pan.".to_owned())
        }
        CaneState::WentHome => Some(format!(
            "{} cane went home unpressed.",
            reader.says("Your", "The")
        )),
        CaneState::NotWeighed => {
            Some("Its weight was crossed out: nothing of it is at the mill.".to_owned())
        }
        CaneState::InLot(_) => None,
    };
    let lots = mine.lots.iter().map(|lot| lot_says(lot, reader));
    let some_lost = mine.lost > Grams::ZERO && mine.state() != CaneState::JuiceLost;
    let lost = some_lost.then(|| {
        let lost = mine.lost.show(reader.units);
        format!("{lost} of its juice was spilt or spoilt.")
    });
    first.into_iter().chain(lots).chain(lost).collect()
}

/// One line for lists: where the cane of a ticket is.
pub(super) fn in_short(mine: &MyTicket) -> &'static str {
    match mine.state() {
        CaneState::Booked => "turn booked",
        CaneState::Here => "juice not measured yet",
        CaneState::Pressed => "its juice waits for the pan",
        CaneState::JuiceLost => "its juice was spilt or spoilt",
        CaneState::WentHome => "went home unpressed",
        CaneState::NotWeighed => "its weight was crossed out",
        CaneState::InLot(lot) => lot_in_short(lot),
    }
}

const fn lot_in_short(lot: LotState) -> &'static str {
    match lot {
        LotState::OnFire => "on the fire",
        LotState::DrawnOff => "drawn off, not in jars yet",
        LotState::BeingJarred => "being put in jars",
        LotState::InJars => "in jars, not divided yet",
        LotState::ToFetch(_) => "divided, jars wait for you",
        LotState::Shared => "divided, nothing to fetch",
        LotState::Fetched => "divided, jars fetched",
        LotState::Lost => "its syrup was lost",
    }
}

/// The next thing to look at; of lots that are divided, how each was.
fn next(mine: &MyTicket, ticket: &str) -> Vec<(String, String)> {
    let ticket = || ("Look at the ticket".to_owned(), ticket.to_owned());
    vec![match mine.state() {
        CaneState::Pressed => mine.juices.first().map_or_else(ticket, |juice| {
            ("Look at the juice".to_owned(), paths::juice(*juice))
        }),
        CaneState::InLot(LotState::ToFetch(_)) => return divided(mine),
        CaneState::InLot(state) => {
            let lot = mine.lots.iter().find(|lot| lot.state() == state);
            let words = match state {
                LotState::Lost => "See your part of the lot",
                _ => "Look at the boil",
            };
            lot.map_or_else(ticket, |lot| (words.to_owned(), paths::boil(&lot.row.lot)))
        }
        CaneState::Here if mine.queue.is_some() => {
            ("See the queue".to_owned(), paths::queue(mine.ticket.date))
        }
        CaneState::Booked
        | CaneState::Here
        | CaneState::WentHome
        | CaneState::NotWeighed
        | CaneState::JuiceLost => ticket(),
    }]
}

fn divided(mine: &MyTicket) -> Vec<(String, String)> {
    let lots = mine.lots.iter();
    let lots: Vec<&MyLot> = lots.filter(|lot| lot.marks.divided_at.is_some()).collect();
    let words = |lot: &MyLot| match lots.len() {
        1 => "See how it was divided".to_owned(),
        _ => format!("See how lot {} was divided", lot.row.lot),
    };
    let ways = lots.iter();
    ways.map(|lot| (words(lot), paths::boil_part(&lot.row.lot, "divide")))
        .collect()
}

/// Where the cane of a ticket is, for the pages of the ticket and of its juice, with links along the way.
#[derive(Default)]
pub(super) struct Trail {
    pub(super) steps: Vec<StepView>,
    pub(super) says: Vec<String>,
    /// Address of the turn it came by; empty: it came by none.
    pub(super) turn: String,
    /// The pages along the cane's way.
    pub(super) stops: Vec<StopView>,
}

impl Trail {
    pub(super) fn new(mine: &MyTicket, reader: Reader<'_>, stops: Vec<StopView>) -> Self {
        Self {
            steps: steps(&mine.marks, reader),
            says: says(mine, reader),
            turn: mine.ticket.turn_id.map_or_else(String::new, paths::turn),
            stops,
        }
    }
}

#[cfg(test)]
impl CaneCard {
    pub(super) fn sample(n: usize) -> Self {
        Self {
            title: format!("Ticket {n}: 1,417.5 lb of cane"),
            href: format!("/tickets/{n}"),
            steps: sample_steps(),
            says: vec![
                "In the pan since 10:12, lot 2026-04-7K, with Ann <b>Fenn</b> & “Söhne”, one other."
                    .to_owned();
                2
            ],
            next: vec![("Look at the boil".to_owned(), format!("/boils/{n}")); n.clamp(1, 2)],
        }
    }
}

/// A line of steps for the samples that tests render.
#[cfg(test)]
pub(super) fn sample_steps() -> Vec<StepView> {
    let marks = CaneMarks {
        turn_at: Some(UtcSecond::new(1_789_820_000)),
        here_at: Some(UtcSecond::new(1_789_822_000)),
        ..CaneMarks::default()
    };
    let zone = Zone::parse("America/Chicago").unwrap_or_else(|_| unreachable!("a known zone"));
    let reader = Reader {
        zone: &zone,
        at: UtcSecond::new(1_789_822_800),
        units: Units::Us,
        own: true,
    };
    steps(&marks, reader)
}
