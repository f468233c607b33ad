//! The pages of trace, as text ready to print.

use super::jars::{JarLine, counted, jar_line, jar_words, keeper, move_line};
use super::picture::{Drawn, drawn};
use crate::calc::shares::trace::percent;
use crate::facts::shares::trace::{LotTrace, TracedTicket};
use crate::store::season::plantings::Planting;
use crate::store::shares::hand_overs::LotReceipt;
use crate::store::shares::holds::ComplaintRow;
use crate::units::{Grams, Phone, Units, Zone};
use crate::web::cane_way::StopView;
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::shares::holds::said;
use crate::web::shares::looks::look_line;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A load in a lot.
struct LoadLine {
    words: String,
    net: String,
    solids: String,
    part: String,
}

/// A ticket in a lot.
struct TicketLine {
    number: i64,
    href: String,
    follow: String,
    name: String,
    member: String,
    day: String,
    vessels: Vec<(String, String)>,
    solids: String,
    part: String,
    planted: String,
    loads: Vec<LoadLine>,
}

/// Jars of a lot that left on one receipt.
pub(super) struct ReceiptLine {
    pub(super) words: String,
    pub(super) href: String,
    pub(super) who: String,
    pub(super) phone: String,
    pub(super) when: String,
    pub(super) jars: String,
}

/// A lot: the cane in it and where its jars are.
#[derive(Template)]
#[template(path = "shares/trace/lot.html")]
pub(super) struct LotPage {
    shell: Shell,
    stops: Vec<StopView>,
    lot: String,
    boil: String,
    day: String,
    day_href: String,
    solids: String,
    picture: Option<Drawn>,
    tickets: Vec<TicketLine>,
    jars: Vec<JarLine>,
    filled: String,
    counted: String,
    receipts: Vec<ReceiptLine>,
    record: String,
    /// Whether the lot is held.
    held: bool,
    holds: Vec<String>,
    moves: Vec<String>,
    looks: Vec<String>,
    look: String,
    complaints: Vec<String>,
    recall: String,
    hold: String,
    complain: String,
}

fn ticket_line(of: &TracedTicket, whole: Grams, units: Units) -> TicketLine {
    let load = |one: &crate::facts::shares::trace::TracedLoad| LoadLine {
        words: one.load.as_ref().map_or_else(
            || "No load stands: all are crossed out".to_owned(),
            |load| format!("Load {}", load.number),
        ),
        net: one
            .load
            .as_ref()
            .map_or_else(String::new, |load| load.net().show(units)),
        solids: one.solids.show(units),
        part: percent(one.solids, whole),
    };
    TicketLine {
        number: of.ticket.ticket,
        href: paths::ticket(of.ticket.id),
        follow: paths::ticket_trace(of.ticket.id),
        name: of.ticket.member_name.to_string(),
        member: paths::member(of.ticket.member_id),
        day: of.ticket.date.show(),
        vessels: of
            .vessels
            .iter()
            .map(|(name, id)| (paths::vessel_trace(*id), name.clone()))
            .collect(),
        solids: of.solids.show(units),
        part: percent(of.solids, whole),
        planted: planted(&of.plantings, units),
        loads: of.loads.iter().map(load).collect(),
    }
}

/// "Planted: M81E, Sat 9 May 2026, 300 ft of row"; empty when nothing is written down.
fn planted(plantings: &[Planting], units: Units) -> String {
    let one = |p: &Planting| {
        let row = p.row.show(units);
        format!("{}, {}, {row} of row", p.variety, p.planted_on.show())
    };
    let all: Vec<String> = plantings.iter().map(one).collect();
    if all.is_empty() {
        return String::new();
    }
    format!("Planted: {}.", all.join("; "))
}

pub(super) fn receipt_line(r: &LotReceipt, zone: &Zone, units: Units) -> ReceiptLine {
    let given_to = &r.given_to;
    ReceiptLine {
        words: format!("Receipt {}", r.number),
        href: paths::hand_over(r.number),
        who: match &r.member_name {
            Some(name) if name == given_to => name.to_string(),
            Some(name) => format!("{name}, given to {given_to}"),
            None => format!("{given_to}, for jars of the mill’s own"),
        },
        phone: r.phone.as_ref().map_or_else(String::new, Phone::to_string),
        when: zone.show(r.at),
        jars: with_back(
            jar_words(&r.size_name, r.net, r.part, r.count, units),
            r.back,
        ),
    }
}

/// "6 × quart of 48 oz; 2 of them came back"
fn with_back(words: String, back: i64) -> String {
    match back {
        0 => words,
        n => format!("{words}; {n} of them came back"),
    }
}

/// The jars as the streams out of the lot: by sharer once it is divided, by size before.
fn outward(trace: &LotTrace, units: Units) -> Vec<(String, Grams)> {
    if trace.kept.is_empty() {
        let fill = |f: &crate::store::boil::boils::FillRow| {
            let words = jar_words(&f.size_name, f.net, f.part, f.count, units);
            (words, f.grams())
        };
        return trace.fills.iter().map(fill).collect();
    }
    let mut out: Vec<(String, Grams)> = Vec::new();
    for jar in &trace.kept {
        let grams = Grams::new(jar.net.get() * jar.set_aside);
        match out.iter_mut().find(|(who, _)| *who == keeper(jar)) {
            Some((_, sum)) => *sum += grams,
            None => out.push((keeper(jar), grams)),
        }
    }
    out
}

/// The picture of a lot: its tickets at the left, its jars at the right.
fn of_lot(trace: &LotTrace, units: Units) -> Option<Drawn> {
    let into = trace.tickets.iter().map(|t| {
        let who = format!("{} {}", t.ticket.ticket, t.ticket.member_name);
        (who, t.solids)
    });
    drawn(into.collect(), outward(trace, units))
}

impl LotPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        trace: &LotTrace,
        stops: Vec<StopView>,
    ) -> Result<Self, PageError> {
        let code = &trace.boil.lot;
        let shell = Shell::new(app, visit, format!("Trace of lot {code}"));
        let page = Self::with(shell, (visit.units(), visit.zone()?), trace);
        Ok(Self { stops, ..page })
    }

    fn with(shell: Shell, (units, zone): (Units, &Zone), trace: &LotTrace) -> Self {
        let filled: Vec<String> = trace
            .fills
            .iter()
            .map(|f| jar_words(&f.size_name, f.net, f.part, f.count, units))
            .collect();
        Self {
            shell,
            stops: Vec::new(),
            lot: trace.boil.lot.to_string(),
            boil: paths::boil(&trace.boil.lot),
            day: trace.boil.press_date.show(),
            day_href: paths::day(trace.boil.press_date),
            solids: trace.solids.show(units),
            picture: of_lot(trace, units),
            tickets: trace
                .tickets
                .iter()
                .map(|t| ticket_line(t, trace.solids, units))
                .collect(),
            jars: trace.kept.iter().map(|jar| jar_line(jar, units)).collect(),
            filled: filled.join("; "),
            counted: counted(trace),
            receipts: trace
                .receipts
                .iter()
                .map(|r| receipt_line(r, zone, units))
                .collect(),
            record: paths::lot_record(&trace.boil.lot),
            held: trace.holds.last().is_some_and(|h| h.held),
            moves: trace
                .places
                .moves
                .iter()
                .map(|m| move_line(m, units, zone))
                .collect(),
            holds: trace.holds.iter().map(|h| said(h, zone)).collect(),
            looks: trace
                .looks
                .iter()
                .map(|l| look_line(l, units, zone))
                .collect(),
            look: paths::lot_looks(&trace.boil.lot),
            complaints: trace
                .complaints
                .iter()
                .map(|c| complaint_line(c, zone))
                .collect(),
            recall: paths::recall_from("lot", trace.boil.lot.as_str()),
            hold: paths::hold(&trace.boil.lot),
            complain: paths::complaint(&trace.boil.lot),
        }
    }
}

fn complaint_line(c: &ComplaintRow, zone: &Zone) -> String {
    format!(
        "{}: “{}” From {}; written down by {}.",
        zone.show(c.at),
        c.says,
        c.from_whom,
        c.by_name
    )
}

#[cfg(test)]
#[path = "samples.rs"]
mod samples;
#[cfg(test)]
pub(in crate::web) use samples::samples;
