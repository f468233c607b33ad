//! A member's cane in words: the line of steps with the one it is at, what is known of it, and what is next.
//! Home, the ticket, the juice and the member's page of a boil say it with the same words.

use crate::calc::shares::my_cane::{CaneMarks, CaneState, LotState, Place, Step};
use crate::facts::shares::my_cane::{MyLot, MyTicket, Told};
use crate::facts::turns::queue::StartEstimate;
use crate::store::home::NextTurn;
use crate::store::shares::hand_overs::AsideRow;
use crate::units::{Grams, MemberId, PressDate, Units, UtcSecond, Zone};
use crate::web::boil::boil_words::count_words;
use crate::web::cane_way::StopView;
use crate::web::error::PageError;
use crate::web::paths;
use crate::web::session::{Me, Visit};

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

/// The moment and the person that the words are for.
#[derive(Clone, Copy)]
pub(super) struct Reader<'a> {
    pub(super) zone: &'a Zone,
    pub(super) at: UtcSecond,
    pub(super) units: Units,
    /// The words are for the member whose cane it is; else for somebody who acts for the card, or for crew.
    pub(super) own: bool,
}

impl<'a> Reader<'a> {
    /// Whoever this visit is of, at its moment.
    pub(super) fn of(visit: &'a Visit) -> Result<Self, PageError> {
        Ok(Self {
            zone: visit.zone()?,
            at: visit.at,
            units: visit.units(),
            own: true,
        })
    }

    /// Whoever this visit is of, reading of the card of this member.
    pub(super) fn of_card(visit: &'a Visit, me: &Me, member: MemberId) -> Result<Self, PageError> {
        Ok(Self {
            own: me.id == member,
            ..Self::of(visit)?
        })
    }

    /// Picks one of two words: for the member whose cane it is, or for somebody else.
    const fn says(&self, own: &'static str, other: &'static str) -> &'static str {
        if self.own { own } else { other }
    }

    /// "11:43", or with its date when that is not today.
    pub(super) fn when(&self, at: UtcSecond) -> String {
        let (date, minute) = self.zone.local(at);
        if date == self.zone.local(self.at).0 {
            minute.show()
        } else {
            self.zone.show(at)
        }
    }

    /// "11:43", or only the date, short, when that is not today.
    fn short(&self, at: UtcSecond) -> String {
        let (date, minute) = self.zone.local(at);
        if date == self.zone.local(self.at).0 {
            minute.show()
        } else {
            day_and_month(date)
        }
    }
}

/// A date without its year: "Sat 19 Sep".
fn day_and_month(date: PressDate) -> String {
    let all = date.show();
    all.rsplit_once(' ')
        .map_or(all.clone(), |(day, _)| day.to_owned())
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
    let line = marks.line().into_iter();
    line.filter(|mark| mark.step != Step::Booked || mark.at.is_some())
        .map(|mark| StepView {
            words: step_words(mark.step),
            at: mark.at.map_or_else(String::new, |at| reader.short(at)),
            look: match mark.place {
                Place::Behind => "done",
                Place::At => "here",
                Place::Ahead => "",
            },
        })
        .collect()
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
        LotState::Lost => "lost",
    }
}

/// Where a lot is, in a sentence or two.
pub(super) fn lot_says(lot: &MyLot, reader: Reader<'_>) -> String {
    let code = &lot.row.lot;
    let again = if lot.marks.reopened {
        " Something in it is being put right; it will be divided again."
    } else {
        ""
    };
    let says = match lot.state() {
        LotState::OnFire => {
            let poured = reader.when(lot.marks.poured_at);
            let with = with(lot);
            format!(
                "In the pan since {poured}, lot {code}{with}. {}",
                done(lot, reader)
            )
        }
        LotState::DrawnOff => {
            let at = lot.marks.finished_at.unwrap_or(lot.marks.poured_at);
            format!(
                "Lot {code} was drawn off at {} and is put in jars next.",
                reader.when(at)
            )
        }
        LotState::BeingJarred => format!("Lot {code} is being put in jars. It is divided next."),
        LotState::InJars => format!("Lot {code} is in jars. It is divided next."),
        LotState::ToFetch(_) => format!(
            "Lot {code} is divided: {} {} at the mill.",
            jar_words(&lot.jars),
            reader.says("of yours", "of this card’s")
        ),
        LotState::Shared => format!(
            "Lot {code} is divided. No jar of it is {}.",
            reader.says(
                "yours; what you are owed of it is carried to your next lot",
                "this card’s; what it is owed of it is carried to its next lot"
            )
        ),
        LotState::Fetched => {
            let at = lot.marks.handed_at.unwrap_or(lot.marks.poured_at);
            format!(
                "Lot {code} is divided, and {} jars were handed over on {}.",
                reader.says("your", "this card’s"),
                reader.zone.show(at)
            )
        }
        LotState::Lost => {
            format!("Lot {code} was lost in the pan. The stewards will tell you who bears it.")
        }
    };
    format!("{says}{again}")
}

/// When a boil on the fire should be done, and how sure that is.
fn done(lot: &MyLot, reader: Reader<'_>) -> String {
    let Some(done) = lot.done else {
        return "When it will be done cannot be told yet.".to_owned();
    };
    let about = reader.when(done.at);
    match (done.told, done.between) {
        (Told::Done, _) => {
            "By its readings it is done about now, and is drawn off next.".to_owned()
        }
        (Told::DrawnEarly(drawn), _) => format!(
            "Its fire was drawn at {}, and by its readings it is not done. When it will be is told once the fire burns again.",
            reader.when(drawn)
        ),
        (_, Some((from, to))) => format!(
            "Done about {about}, four times in five between {} and {}.",
            reader.when(from),
            reader.when(to)
        ),
        (Told::ByPlan, None) => {
            format!("Done about {about} as planned; nothing was read of it yet.")
        }
        (_, None) => format!("Done about {about} as planned; its readings do not tell yet."),
    }
}

/// ", with Bea Lund and 2 others".
fn with(lot: &MyLot) -> String {
    let (named, others) = &lot.with;
    let mut all: Vec<String> = named.iter().map(ToString::to_string).collect();
    match (others, all.is_empty()) {
        (0, _) => {}
        (1, true) => all.push("another member".to_owned()),
        (1, false) => all.push("one other".to_owned()),
        (n, true) => all.push(format!("{n} other members")),
        (n, false) => all.push(format!("{n} others")),
    }
    match all.split_last() {
        None => String::new(),
        Some((only, [])) => format!(", with {only}"),
        Some((last, rest)) => format!(", with {} and {last}", rest.join(", ")),
    }
}

/// "8 quarts, 1 pint" of those still at the mill.
pub(super) fn jar_words(jars: &[AsideRow]) -> String {
    let left = jars.iter().filter(|jars| jars.left() > 0);
    let words: Vec<String> = left
        .map(|jars| {
            if jars.part && jars.left() == 1 {
                "a part-jar".to_owned()
            } else if jars.part {
                count_words(jars.left(), "part-jar")
            } else {
                count_words(jars.left(), &jars.size_name)
            }
        })
        .collect();
    words.join(", ")
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
            lot.map_or_else(ticket, |lot| {
                ("Look at the boil".to_owned(), paths::boil(&lot.row.lot))
            })
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
