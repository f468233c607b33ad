//! Juice for each 100 of cane, ticket by ticket, on a control chart: is it that cane, or the mill?

use crate::calc::cane::juice::ExtractionBands;
use crate::calc::cane::mill_watch::{
    self, Finding, Lines, Look, TICKETS_LEAST, Ticket, findings, lines, look, sentence,
};
use crate::facts::cane::yields::{self, TicketYield};
use crate::store::turns::press_days::PressDay;
use crate::units::{MemberId, TicketId, UtcSecond};
use crate::web::cane::of_path::press_day;
use crate::web::request::PageRequest;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, paths};
use askama::Template;
use axum::extract::Path;

/// How many of the season's last tickets are in the picture.
const SHOWN: usize = 40;

/// A dot of the picture.
struct Dot {
    x: f64,
    y: f64,
    look: &'static str,
    words: String,
}

/// A mark of the scale.
struct Tick {
    y: f64,
    words: String,
}

/// The chart of extraction, ready to draw.
struct Picture {
    line: String,
    dots: Vec<Dot>,
    middle: f64,
    low: f64,
    high: f64,
    ticks: Vec<Tick>,
}

/// A ticket of the day.
struct TicketLine {
    number: i64,
    href: String,
    name: String,
    percent: String,
    against: String,
    tag: &'static str,
    look: &'static str,
}

/// The page of how much juice the mill gets.
#[derive(Template)]
#[template(path = "cane/day_figures/mill.html")]
struct MillPage {
    shell: Shell,
    day: String,
    day_href: String,
    balance: String,
    findings: Vec<(&'static str, String)>,
    steady: String,
    words: String,
    picture: Option<Picture>,
    tickets: Vec<TicketLine>,
}

/// A ticket with cane and juice.
struct Measured {
    id: TicketId,
    number: i64,
    member: MemberId,
    name: String,
    of_the_day: bool,
    percent: f64,
    pressed_at: UtcSecond,
}

/// The tickets of the season whose cane and juice are both measured, up to the end of that day, in
/// the order they were pressed.
fn measured(season: Vec<TicketYield>, day: &PressDay) -> Vec<Measured> {
    let mut tickets: Vec<Measured> = season
        .into_iter()
        .filter_map(|of| {
            let (percent, _) = of.percent(ExtractionBands::DEFAULT)?;
            let juice = of.juice?;
            Some(Measured {
                id: of.ticket_id,
                number: juice.number,
                member: juice.member_id,
                name: juice.member_name.to_string(),
                of_the_day: of.press_day_id == day.id,
                percent,
                pressed_at: juice.pressed_at,
            })
        })
        .collect();
    tickets.sort_by_key(|t| (t.pressed_at, t.number));
    let last = tickets.iter().rposition(|t| t.of_the_day);
    tickets.truncate(last.map_or(0, |n| n + 1));
    tickets
}

/// `GET /days/{date}/mill`
pub(crate) async fn mill(mut request: PageRequest, Path(date): Path<String>) -> Page {
    let day = press_day(&mut request.db, &date).await?;
    let season = yields::of_season(day.season_id)
        .ask(&mut request.db)
        .await?;
    let tickets = measured(season, &day);
    page(&MillPage::new(&request.app, &request.visit, &day, &tickets))
}

impl MillPage {
    fn new(app: &App, visit: &Visit, day: &PressDay, measured: &[Measured]) -> Self {
        let mut members: Vec<MemberId> = Vec::new();
        let tickets: Vec<Ticket<'_>> = measured
            .iter()
            .map(|t| {
                if !members.contains(&t.member) {
                    members.push(t.member);
                }
                let place = members.iter().position(|m| *m == t.member);
                Ticket {
                    number: t.number,
                    member: place
                        .and_then(|n| u64::try_from(n).ok())
                        .unwrap_or(u64::MAX),
                    name: &t.name,
                    percent: t.percent,
                    of_the_day: t.of_the_day,
                }
            })
            .collect();
        let of = lines(&tickets);
        let odd = of.map_or_else(Vec::new, |of| findings(&tickets, of));
        Self {
            shell: Shell::new(app, visit, format!("Juice from cane, {}", day.date.show())),
            day: day.date.show(),
            day_href: paths::day(day.date),
            balance: paths::balance(day.date),
            findings: of.map_or_else(Vec::new, |of| finding_lines(&tickets, &odd, of)),
            steady: steady(&tickets, of, &odd),
            words: of.map_or_else(String::new, words),
            picture: of.map(|of| picture(&tickets, &odd, of)),
            tickets: measured
                .iter()
                .zip(&tickets)
                .enumerate()
                .filter(|(_, (m, _))| m.of_the_day)
                .map(|(n, (m, t))| line(m, t, look(n, t, &odd), of))
                .collect(),
        }
    }
}

fn finding_lines(
    tickets: &[Ticket<'_>],
    odd: &[Finding],
    of: Lines,
) -> Vec<(&'static str, String)> {
    odd.iter()
        .map(|finding| {
            let weight = match finding {
                Finding::Cane(_) => "note",
                Finding::Mill(..) => "alarm",
            };
            (weight, sentence(finding, tickets, of))
        })
        .collect()
}

fn steady(tickets: &[Ticket<'_>], of: Option<Lines>, odd: &[Finding]) -> String {
    match of {
        None if tickets.is_empty() => {
            "No ticket of this day has both its cane weighed and its juice measured yet.".to_owned()
        }
        None => format!(
            "{} of the season’s tickets have both cane and juice; from {TICKETS_LEAST} on there is a \
             middle to hold them against.",
            tickets.len()
        ),
        Some(_) if odd.is_empty() => "Nothing is odd about this day’s tickets.".to_owned(),
        Some(_) => String::new(),
    }
}

fn words(of: Lines) -> String {
    format!(
        "The season’s middle is {:.1} of juice for every 100 of cane; nearly all tickets of a steady \
         mill lie between {:.1} and {:.1}.",
        of.middle,
        of.low(),
        of.high()
    )
}

/// Words and look of a dot.
fn dot(of: Look) -> (&'static str, &'static str) {
    match of {
        Look::Before => ("earlier day", "before"),
        Look::Usual => ("as usual", "usual"),
        Look::Cane => ("this cane", "cane"),
        Look::Mill => ("the mill", "mill"),
    }
}

fn picture(tickets: &[Ticket<'_>], odd: &[Finding], of: Lines) -> Picture {
    let drawn = mill_watch::picture(tickets, of, odd, SHOWN);
    let shown = &tickets[tickets.len() - drawn.dots.len()..];
    let (middle, low, high) = drawn.levels;
    Picture {
        line: drawn.line,
        dots: drawn
            .dots
            .into_iter()
            .zip(shown)
            .map(|((x, y, of), ticket)| {
                let (words, look) = dot(of);
                Dot {
                    x,
                    y,
                    look,
                    words: format!("Ticket {}: {:.1}, {words}", ticket.number, ticket.percent),
                }
            })
            .collect(),
        middle,
        low,
        high,
        ticks: drawn
            .ticks
            .into_iter()
            .map(|(y, figure)| Tick {
                y,
                words: format!("{figure:.0}"),
            })
            .collect(),
    }
}

fn line(of: &Measured, ticket: &Ticket<'_>, look: Look, lines: Option<Lines>) -> TicketLine {
    let (tag, _) = dot(look);
    TicketLine {
        number: of.number,
        href: paths::ticket(of.id),
        name: of.name.clone(),
        percent: format!("{:.1}", ticket.percent),
        against: lines.map_or_else(String::new, |l| {
            let off = ticket.percent - l.middle;
            let sign = if off < 0.0 { "−" } else { "+" };
            format!("{sign}{:.1}", off.abs())
        }),
        tag: if lines.is_some() { tag } else { "" },
        look: match look {
            Look::Before | Look::Usual => "ok",
            Look::Cane => "warn",
            Look::Mill => "bad",
        },
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    const NAME: &str = "Maximiliana <b>Featherstonehaugh</b> & Co";
    let tickets: Vec<Ticket<'_>> = (0..60_u32)
        .map(|n| Ticket {
            number: i64::from(n) + 1,
            member: u64::from(n),
            name: NAME,
            percent: 45.0 - f64::from(n % 7) - if n > 50 { 9.0 } else { 0.0 },
            of_the_day: n > 30,
        })
        .collect();
    let sample = |tickets: &[Ticket<'_>]| {
        let of = lines(tickets);
        let odd = of.map_or_else(Vec::new, |of| findings(tickets, of));
        MillPage {
            shell: Shell::sample("Juice from cane"),
            day: "Sat 19 Sep 2026".to_owned(),
            day_href: "/days/2026-09-19".to_owned(),
            balance: "/days/2026-09-19/balance".to_owned(),
            findings: of.map_or_else(Vec::new, |of| finding_lines(tickets, &odd, of)),
            steady: steady(tickets, of, &odd),
            words: of.map_or_else(String::new, words),
            picture: of.map(|of| picture(tickets, &odd, of)),
            tickets: tickets
                .iter()
                .map(|t| TicketLine {
                    number: t.number,
                    href: "/tickets/1".to_owned(),
                    name: t.name.to_owned(),
                    percent: "45.0".to_owned(),
                    against: "−1.2".to_owned(),
                    tag: "the mill",
                    look: "bad",
                })
                .collect(),
        }
    };
    vec![
        Box::new(sample(&[])),
        Box::new(sample(&tickets[..3])),
        Box::new(sample(&tickets)),
    ]
}
