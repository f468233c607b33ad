//! Juice for each 100 of cane, ticket by ticket, against the mill's own middle: one member low is
//! that cane; several members in a row low is the mill. Says which, and never blames a person.
//!
//! Method: Shewhart's chart of individuals (W. A. Shewhart, Economic Control of Quality of
//! Manufactured Product, 1931; ISO 7870-2, from memory). Two things are made robust, because cane
//! does now and then come in frosted: the centre is the median, and wild ranges are left out of the
//! spread. The run rules are the Western Electric rules of 1956 (from memory), with a rule of our
//! own added: the tickets of a run must be of several members.

use super::juice::median;
use crate::calc::paper::chart::{Axis, points, tenth};

/// Mean range of two over the standard deviation: 2/√π = 1.1284 (d2 for n = 2, ASTM E2587).
const D2: f64 = 1.128;
/// Median range of two over the standard deviation: 0.6745·√2 = 0.954.
const D2_MIDDLE: f64 = 0.954;
/// Upper limit of a range of two over the mean range: D4 for n = 2 (ASTM E2587).
const D4: f64 = 3.267;
/// What one ticket is known to, points of juice for 100 of cane: a gauged tank is good to about
/// 2 %, so the spread is never taken to be less than half of that.
const LEAST_SPREAD: f64 = 0.5;
/// Tickets before a middle and a spread mean anything.
pub const TICKETS_LEAST: usize = 6;

/// One ticket whose cane and juice are both measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ticket<'a> {
    /// Number of the ticket.
    pub number: i64,
    /// The member whose ticket it is: any number, the same for the same member.
    pub member: u64,
    /// What a sentence calls that member.
    pub name: &'a str,
    /// Juice for each 100 of cane, by mass.
    pub percent: f64,
    /// Whether it is of the day that is looked at.
    pub of_the_day: bool,
}

/// The lines of the chart, in juice for each 100 of cane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lines {
    /// The median extraction.
    pub middle: f64,
    /// One standard deviation.
    pub spread: f64,
}

impl Lines {
    /// Three standard deviations below the middle, never below nought.
    pub fn low(self) -> f64 {
        (self.middle - 3.0 * self.spread).max(0.0)
    }

    /// Three standard deviations above the middle, never above 100.
    pub fn high(self) -> f64 {
        (self.middle + 3.0 * self.spread).min(100.0)
    }

    /// How many standard deviations a figure lies below the middle.
    fn below(self, percent: f64) -> f64 {
        (self.middle - percent) / self.spread
    }
}

/// Standard deviation of figures in their order, from their moving ranges: the mean range over d2,
/// without those beyond what the middle range allows (D4, brought over to the middle range), since
/// one wild figure makes two wild ranges. Nothing of fewer than two figures.
pub fn spread(figures: &[f64]) -> Option<f64> {
    let ranges: Vec<f64> = figures.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    let most = D4 * D2 / D2_MIDDLE * median(&ranges)?;
    let tame: Vec<f64> = ranges.into_iter().filter(|r| *r <= most).collect();
    #[expect(
        clippy::cast_precision_loss,
        reason = "a season has hundreds of tickets"
    )]
    let count = tame.len() as f64;
    Some(tame.iter().sum::<f64>() / count / D2)
}

/// The lines of a season's tickets, in the order they were pressed; nothing of fewer than
/// [`TICKETS_LEAST`].
pub fn lines(tickets: &[Ticket<'_>]) -> Option<Lines> {
    if tickets.len() < TICKETS_LEAST {
        return None;
    }
    let figures: Vec<f64> = tickets.iter().map(|t| t.percent).collect();
    Some(Lines {
        middle: median(&figures)?,
        spread: spread(&figures)?.max(LEAST_SPREAD),
    })
}

/// What the day's tickets show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Finding {
    /// This ticket (by place in the list) is low by itself, which points to its cane.
    Cane(usize),
    /// The tickets from one place to another, both included, are low together: the mill.
    Mill(usize, usize),
}

/// What is odd about the tickets of the day, in order: runs first where they begin. A ticket that
/// stands in a run is not named for itself.
pub fn findings(tickets: &[Ticket<'_>], lines: Lines) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut at = 0;
    while at < tickets.len() {
        if let Some(last) = run_from(tickets, lines, at)
            && tickets[at..=last].iter().any(|t| t.of_the_day)
        {
            found.push(Finding::Mill(at, last));
            at = last + 1;
        } else {
            let ticket = &tickets[at];
            if ticket.of_the_day && lines.below(ticket.percent) > 3.0 {
                found.push(Finding::Cane(at));
            }
            at += 1;
        }
    }
    found
}

/// The last place of a run of low tickets that begins at `at`; nothing when none does. Its tickets
/// are those below the middle, without a gap, and among them some rule must be met.
fn run_from(tickets: &[Ticket<'_>], lines: Lines, at: usize) -> Option<usize> {
    let below = tickets[at..]
        .iter()
        .take_while(|t| lines.below(t.percent) > 0.0)
        .count();
    let run = tickets.get(at..at + below)?;
    let rules = [
        // Rules for a run: tickets in a row, how many of them lie at least how far below, and of how many members.
        (3, 2, 2.0, 2),
        (5, 4, 1.0, 3),
        (8, 8, 0.0, 3),
    ];
    let met = rules.into_iter().any(|(of, least, far, members)| {
        (0..run.len()).any(|from| {
            let part = &run[from..run.len().min(from + of)];
            let low: Vec<&Ticket<'_>> = part
                .iter()
                .filter(|t| lines.below(t.percent) > far)
                .collect();
            low.len() >= least && different(&low) >= members
        })
    });
    met.then(|| at + below - 1)
}

fn different(tickets: &[&Ticket<'_>]) -> usize {
    let mut members: Vec<u64> = tickets.iter().map(|t| t.member).collect();
    members.sort_unstable();
    members.dedup();
    members.len()
}

/// A finding in a sentence or two.
pub fn sentence(finding: &Finding, tickets: &[Ticket<'_>], lines: Lines) -> String {
    match *finding {
        Finding::Cane(at) => {
            let of = &tickets[at];
            format!(
                "Ticket {} ({}) gave {:.1} of juice for every 100 of cane, against {:.1} in the \
                 middle, and those beside it gave as usual: that is this cane and not the mill. \
                 Dry, frosted, leafy or muddy cane gives less; a load weighed twice or juice not \
                 written down looks the same.",
                of.number, of.name, of.percent, lines.middle
            )
        }
        Finding::Mill(from, to) => {
            let run = &tickets[from..=to];
            let all: Vec<&Ticket<'_>> = run.iter().collect();
            let figures: Vec<f64> = run.iter().map(|t| t.percent).collect();
            format!(
                "Tickets {} to {}, of {} members one after another, gave {:.1} of juice for every \
                 100 of cane, against {:.1} in the middle: that is the mill and not their cane. \
                 Stop it, disconnect the power and wait until all stands still; then look at the \
                 roller gap, the bearings and the speed. To try it, weigh 100 lb (or 100 kg) of \
                 stalks, press them and weigh the juice.",
                tickets[from].number,
                tickets[to].number,
                different(&all),
                median(&figures).unwrap_or(lines.middle),
                lines.middle
            )
        }
    }
}

/// How a point of the chart is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// A ticket of an earlier day.
    Before,
    /// A ticket of this day with a usual figure.
    Usual,
    /// A ticket of this day that is low by itself.
    Cane,
    /// A ticket in a low run that points to the mill.
    Mill,
}

/// The chart as places in a picture of [`WIDTH`] by [`HEIGHT`].
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// A dot for each ticket: its place, and how it is drawn.
    pub dots: Vec<(f64, f64, Look)>,
    /// The line through the dots, as points of an SVG line.
    pub line: String,
    /// Heights of the middle, the low and the high line.
    pub levels: (f64, f64, f64),
    /// Marks of the scale: height, figure.
    pub ticks: Vec<(f64, f64)>,
}

/// Width of the picture.
pub const WIDTH: f64 = 720.0;
/// Height of the picture.
pub const HEIGHT: f64 = 260.0;
/// Room for the figures at the left and the numbers at the foot.
const LEFT: f64 = 48.0;
const FOOT: f64 = 20.0;

/// Draws the chart of the last `most` tickets.
pub fn picture(tickets: &[Ticket<'_>], lines: Lines, found: &[Finding], most: usize) -> Picture {
    let skipped = tickets.len().saturating_sub(most);
    let shown = &tickets[skipped..];
    let (mut low, mut high) = (lines.low(), lines.high());
    for ticket in shown {
        low = low.min(ticket.percent);
        high = high.max(ticket.percent);
    }
    let up = Axis::new((low - 1.0, high + 1.0), (HEIGHT - FOOT, 8.0));
    #[expect(
        clippy::cast_precision_loss,
        reason = "a chart shows dozens of tickets"
    )]
    let (last, place) = (shown.len() as f64, |n: usize| n as f64 + 0.5);
    let along = Axis::new((0.0, last), (LEFT, WIDTH - 8.0));
    let dots: Vec<(f64, f64, Look)> = shown
        .iter()
        .enumerate()
        .map(|(n, t)| {
            let look = look(n + skipped, t, found);
            (along.at(place(n)), up.at(t.percent), look)
        })
        .collect();
    let places: Vec<(f64, f64)> = dots.iter().map(|(x, y, _)| (*x, *y)).collect();
    Picture {
        line: points(&places),
        dots,
        levels: (up.at(lines.middle), up.at(lines.low()), up.at(lines.high())),
        ticks: up
            .ticks(5)
            .into_iter()
            .map(|t| (up.at(t), tenth(t)))
            .collect(),
    }
}

/// How the ticket at a place in the list is drawn.
pub fn look(place: usize, ticket: &Ticket<'_>, found: &[Finding]) -> Look {
    let of = found.iter().find_map(|finding| match *finding {
        Finding::Cane(at) if at == place => Some(Look::Cane),
        Finding::Mill(from, to) if (from..=to).contains(&place) => Some(Look::Mill),
        Finding::Cane(_) | Finding::Mill(..) => None,
    });
    of.unwrap_or(if ticket.of_the_day {
        Look::Usual
    } else {
        Look::Before
    })
}

#[cfg(test)]
#[path = "mill_watch_tests.rs"]
mod tests;
