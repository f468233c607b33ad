//! What is next on a press day: the one action that the page offers large, and the heads of its lists. As text
//! ready to print.

use super::tag::Tag;
use crate::facts::turns::press_days::CrewDayFacts;
use crate::store::turns::day_board::TicketLine;
use crate::store::turns::press_days::PressDay;
use crate::units::{Minutes, Units, UtcSecond, Zone};
use crate::web::paths;
use crate::web::season::rules_lacking::rules_of;

/// How many of each list stand at the top; the rest is behind its heading.
const HEADS: usize = 3;

/// One line of what is to be done next.
pub(super) struct NextLine {
    pub(super) href: String,
    pub(super) words: String,
    pub(super) more: String,
    pub(super) tag: Option<Tag>,
}

/// What is to be done next on a press day.
pub(super) struct Next {
    /// Address of the next action, and its words.
    pub(super) href: String,
    pub(super) words: String,
    /// Cane that is here and not pressed, the oldest ticket first.
    pub(super) press: Vec<NextLine>,
    /// "3 of 5", where more wait than stand here.
    pub(super) press_of: String,
    /// Turns still to come, the earliest first.
    pub(super) come: Vec<NextLine>,
    pub(super) come_of: String,
}

/// "3 of 5", where there are more than stand at the top.
fn of(all: usize) -> String {
    if all > HEADS {
        format!("{HEADS} of {all}")
    } else {
        String::new()
    }
}

impl Next {
    pub(super) fn new(
        day: &PressDay,
        facts: &CrewDayFacts,
        (zone, at): (&Zone, UtcSecond),
        units: Units,
    ) -> Self {
        let waits = |t: &&TicketLine| t.juices == 0 && !t.dropped;
        let pressing = facts.day.tickets.iter().filter(waits);
        let press = pressing
            .clone()
            .take(HEADS)
            .map(|t| NextLine {
                href: paths::ticket(t.id),
                words: format!("Ticket {} {}", t.ticket, t.name),
                more: format!("{} to press", t.net.show(units)),
                tag: None,
            })
            .collect();
        let expected = facts
            .day
            .turns
            .iter()
            .filter(|t| t.ticket.is_none() && t.no_show_at.is_none());
        let come = expected
            .clone()
            .take(HEADS)
            .map(|t| {
                let late = at.minutes_since(zone.at(day.date, t.start));
                NextLine {
                    href: paths::new_ticket_for(day.date, t.id),
                    words: format!("{} {}", t.start.show(), t.name),
                    more: format!("{} expected", t.cane.show(units)),
                    tag: (late > 0)
                        .then(|| Tag::new("warn", format!("late {}", Minutes::new(late).show()))),
                }
            })
            .collect();
        let oldest = facts.day.tickets.iter().find(waits);
        let (href, words) = match (oldest, expected.clone().next(), facts.waiting.first()) {
            (Some(t), _, _) => (
                paths::new_juice(t.id),
                format!(
                    "Measure the juice of ticket {}, {}",
                    t.ticket,
                    t.name.first()
                ),
            ),
            _ if !facts.day.rules.holds_on(day.date) => {
                (rules_of(day.date), "Look at the rules first".to_owned())
            }
            (None, Some(t), _) => (
                paths::new_ticket_for(day.date, t.id),
                format!("Weigh in {}, {}", t.name.first(), t.start.show()),
            ),
            (None, None, Some(_)) => (paths::plan(day.date), "See what to boil next".to_owned()),
            (None, None, None) => (
                paths::new_ticket(day.date),
                "Ticket for a walk-in".to_owned(),
            ),
        };
        Self {
            href,
            words,
            press,
            press_of: of(pressing.count()),
            come,
            come_of: of(expected.count()),
        }
    }

    #[cfg(test)]
    pub(super) fn sample(count: usize) -> Self {
        let line = |n: usize| NextLine {
            href: format!("/tickets/{n}"),
            words: "09:20 Maximiliana <b>Featherstonehaugh</b>".to_owned(),
            more: "1,412.5 lb expected".to_owned(),
            tag: (n == 1).then(|| Tag::new("warn", "late 25 min")),
        };
        Self {
            href: "/days/2027-09-18/tickets/new".to_owned(),
            words: "Weigh in Maximiliana <b>, 09:20".to_owned(),
            press: (0..count.min(HEADS)).map(line).collect(),
            come: (0..count.min(HEADS)).map(line).collect(),
            press_of: of(count),
            come_of: of(count),
        }
    }
}
