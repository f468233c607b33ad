//! Where cane went: the lots that a ticket's loads, or a vessel's juices, went into.

use super::find::{Way, to_lot};
use super::jars::{JarLine, counted, jar_line};
use super::picture::{Drawn, drawn};
use crate::calc::shares::trace::percent;
use crate::facts::shares::trace::{LotTrace, TicketTrace, VesselTrace};
use crate::units::{Grams, Units};
use crate::web::error::PageError;
use crate::web::page::only_if;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A lot that holds cane of it.
struct LotLine {
    way: Way,
    day: String,
    solids: String,
    part: String,
    jars: Vec<JarLine>,
    counted: String,
}

fn lot_line(lot: &LotTrace, solids: Grams, units: Units) -> LotLine {
    LotLine {
        way: to_lot(&lot.boil.lot),
        day: lot.boil.press_date.show(),
        solids: solids.show(units),
        part: percent(solids, lot.solids),
        jars: lot.kept.iter().map(|jar| jar_line(jar, units)).collect(),
        counted: counted(lot),
    }
}

fn to_lots(lots: &[(&LotTrace, Grams)], left: Grams) -> Vec<(String, Grams)> {
    let stream = |(lot, solids): &(&LotTrace, Grams)| (format!("Lot {}", lot.boil.lot), *solids);
    let mut out: Vec<(String, Grams)> = lots.iter().map(stream).collect();
    if left > Grams::ZERO && !out.is_empty() {
        out.push(("in no boil yet".to_owned(), left));
    }
    out
}

/// A ticket: the lots that its cane went into.
#[derive(Template)]
#[template(path = "shares/trace/ticket.html")]
pub(super) struct TicketPage {
    shell: Shell,
    name: String,
    ticket: String,
    day: String,
    picture: Option<Drawn>,
    /// Whether several loads were pressed together.
    many: bool,
    lots: Vec<LotLine>,
    left: String,
}

impl TicketPage {
    pub(super) fn new(app: &App, visit: &Visit, trace: &TicketTrace) -> Self {
        let title = format!("Where the cane of ticket {} went", trace.ticket.ticket);
        Self::with(Shell::new(app, visit, title), visit.units(), trace)
    }

    fn with(shell: Shell, units: Units, trace: &TicketTrace) -> Self {
        let own = |lot: &LotTrace| {
            lot.tickets
                .iter()
                .position(|t| t.ticket.id == trace.ticket.id)
        };
        let solids = |lot: &LotTrace| own(lot).map_or(Grams::ZERO, |at| lot.tickets[at].solids);
        let lots: Vec<(&LotTrace, Grams)> =
            trace.lots.iter().map(|lot| (lot, solids(lot))).collect();
        let mut loads: Vec<(String, Grams)> = Vec::new();
        for lot in &trace.lots {
            let Some(at) = own(lot) else { continue };
            for load in &lot.tickets[at].loads {
                let words = load.load.as_ref().map_or_else(
                    || "no load stands".to_owned(),
                    |l| format!("Load {}", l.number),
                );
                match loads.iter_mut().find(|(w, _)| *w == words) {
                    Some((_, sum)) => *sum += load.solids,
                    None => loads.push((words, load.solids)),
                }
            }
        }
        Self {
            shell,
            name: trace.ticket.member_name.to_string(),
            ticket: paths::ticket(trace.ticket.id),
            day: trace.ticket.date.show(),
            many: loads.len() > 1,
            picture: drawn(loads, to_lots(&lots, trace.left)),
            lots: lots
                .iter()
                .map(|(lot, g)| lot_line(lot, *g, units))
                .collect(),
            left: only_if(trace.left > Grams::ZERO, trace.left.show(units)),
        }
    }
}

/// A juice that stood in the vessel.
struct JuiceLine {
    words: String,
    href: String,
    pressed: String,
    solids: String,
}

/// A vessel: the juices that stood in it and the lots that they went into.
#[derive(Template)]
#[template(path = "shares/trace/vessel.html")]
pub(super) struct VesselPage {
    shell: Shell,
    picture: Option<Drawn>,
    juices: Vec<JuiceLine>,
    lots: Vec<LotLine>,
    left: String,
    recall: String,
}

impl VesselPage {
    pub(super) fn new(app: &App, visit: &Visit, trace: &VesselTrace) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        let units = visit.units();
        let name = &trace.vessel.name;
        let words = |ticket: i64, member: &str| format!("{ticket} {member}");
        let into = trace.juices.iter().map(|j| {
            (
                words(j.row.ticket, &j.row.member_name.to_string()),
                j.solids,
            )
        });
        let lots: Vec<(&LotTrace, Grams)> = trace.lots.iter().map(|(lot, g)| (lot, *g)).collect();
        let outward = to_lots(&lots, trace.left);
        let into: Vec<(String, Grams)> = if outward.is_empty() {
            Vec::new()
        } else {
            into.collect()
        };
        Ok(Self {
            shell: Shell::new(app, visit, format!("Where the juice of {name} went")),
            picture: drawn(into, outward),
            juices: trace
                .juices
                .iter()
                .map(|j| JuiceLine {
                    words: format!("Ticket {}, {}", j.row.ticket, j.row.member_name),
                    href: paths::juice(j.row.id),
                    pressed: zone.show(j.row.pressed_at),
                    solids: j.solids.show(units),
                })
                .collect(),
            lots: lots
                .iter()
                .map(|(lot, g)| lot_line(lot, *g, units))
                .collect(),
            left: only_if(trace.left > Grams::ZERO, trace.left.show(units)),
            recall: paths::recall_from("vessel", name),
        })
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    use super::{jars, picture};
    let name = "Maximiliana <b>Featherstonehaugh</b> & Co";
    let line = |n| LotLine {
        way: Way {
            words: "26A9Z-P".to_owned(),
            href: "/boils/26A9ZP/trace".to_owned(),
        },
        day: "Sat 19 Sep 2026".to_owned(),
        solids: "12.1 oz".to_owned(),
        part: "3.4 %".to_owned(),
        jars: (0..n).map(|n| jars::sample(n, name)).collect(),
        counted: "12 jars are at the mill, filled and not divided yet.".to_owned(),
    };
    let ticket = |many: i64| TicketPage {
        shell: Shell::sample("Where the cane of ticket 7 went"),
        name: name.to_owned(),
        ticket: "/tickets/x".to_owned(),
        day: "Sat 19 Sep 2026".to_owned(),
        picture: picture::sample(many, "Load <1>"),
        many: many > 1,
        lots: (0..many).map(line).collect(),
        left: only_if(many == 0, "2.2 lb".to_owned()),
    };
    let vessel = |many: i64| VesselPage {
        shell: Shell::sample("Where the juice of Barrel <1> went"),
        picture: picture::sample(many, name),
        juices: (0..many)
            .map(|n| JuiceLine {
                words: format!("Ticket {n}, {name}"),
                href: "/juice/x".to_owned(),
                pressed: "Sat 19 Sep 2026 09:10".to_owned(),
                solids: "12.1 lb".to_owned(),
            })
            .collect(),
        lots: (0..many).map(line).collect(),
        left: only_if(many == 0, "2.2 lb".to_owned()),
        recall: "/recalls/new?kind=vessel&which=Barrel".to_owned(),
    };
    vec![
        Box::new(ticket(0)),
        Box::new(ticket(3)),
        Box::new(vessel(0)),
        Box::new(vessel(3)),
    ]
}
