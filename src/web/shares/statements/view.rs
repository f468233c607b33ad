//! A statement as text ready to print: on screen and on paper the same body.

use super::lots::{self, LotLines};
use super::reckoned;
use super::ticket_lines::{self, TicketLines};
use super::{Receipt, Record};
use crate::calc::shares::ledger::{Entry as Kind, grams_says, jar_says, money_says};
use crate::units::{Cents, Grams, Units, Zone};
use crate::web::error::PageError;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, paths, statics};
use askama::Template;

/// One line of an account with its running sum.
struct Entry {
    number: String,
    date: String,
    lot: String,
    says: String,
    amount: String,
    running: String,
}

/// A receipt.
struct ReceiptLine {
    number: i64,
    href: String,
    date: String,
    signed: String,
    jars: String,
}

/// All of a statement but its frame.
struct Body {
    coop: String,
    place: String,
    phone: String,
    name: String,
    number: i64,
    year: i64,
    made: String,
    summary: Vec<String>,
    tickets: Vec<TicketLines>,
    lots: Vec<LotLines>,
    syrup: Vec<Entry>,
    syrup_says: String,
    money: Vec<Entry>,
    money_says: String,
    receipts: Vec<ReceiptLine>,
    waiting: Vec<String>,
    reckoned: Vec<String>,
}

/// Another year's statement.
struct Year {
    year: i64,
    href: String,
}

/// A statement on screen.
#[derive(Template)]
#[template(path = "shares/statements/show.html")]
pub(super) struct StatementPage {
    shell: Shell,
    body: Body,
    print: String,
    payment: String,
    hand_over: String,
    steward: bool,
    crew: bool,
    years: Vec<Year>,
}

/// A statement on paper.
#[derive(Template)]
#[template(path = "shares/statements/print.html")]
pub(super) struct PrintPage {
    css: String,
    icon: String,
    body: Body,
    back: String,
}

/// Everybody's statements on paper, each beginning a page.
#[derive(Template)]
#[template(path = "shares/statements/run.html")]
pub(super) struct RunPage {
    css: String,
    icon: String,
    year: i64,
    bodies: Vec<Body>,
    back: String,
}

impl RunPage {
    pub(super) fn new(visit: &Visit, year: i64, records: &[Record]) -> Result<Self, PageError> {
        let bodies = records.iter().map(|record| Body::new(visit, record));
        Ok(Self {
            css: statics::print_css(),
            icon: statics::icon(),
            year,
            bodies: bodies.collect::<Result<_, _>>()?,
            back: paths::season_part(year, "close"),
        })
    }
}

impl StatementPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        record: &Record,
    ) -> Result<Self, PageError> {
        let id = record.member.id;
        let title = format!("{}: statement {}", record.member.name, record.season.year);
        Ok(Self {
            shell: Shell::new(app, visit, title),
            body: Body::new(visit, record)?,
            print: paths::statement_print(id, record.season.year),
            payment: paths::payment(id),
            hand_over: paths::new_hand_over(id),
            steward: me.is_steward(),
            crew: me.is_crew(),
            years: record
                .years
                .iter()
                .filter(|year| **year != record.season.year)
                .map(|year| Year {
                    year: *year,
                    href: paths::statement(id, *year),
                })
                .collect(),
        })
    }
}

impl PrintPage {
    pub(super) fn new(visit: &Visit, record: &Record) -> Result<Self, PageError> {
        Ok(Self {
            css: statics::print_css(),
            icon: statics::icon(),
            body: Body::new(visit, record)?,
            back: paths::statement(record.member.id, record.season.year),
        })
    }
}

impl Body {
    fn new(visit: &Visit, record: &Record) -> Result<Self, PageError> {
        let (coop, units) = (visit.coop()?, visit.units());
        let zone = &coop.zone;
        let (syrup, grams) = syrup(record, zone, units);
        let (money, cents) = money(record, zone);
        let lot_lines = record
            .lots
            .iter()
            .map(|lot| lots::lines(lot, record.member.id, &record.lines, zone, units));
        let tickets: Vec<TicketLines> = record
            .tickets
            .iter()
            .map(|ticket| ticket_lines::lines(ticket, units))
            .collect::<Result<_, _>>()?;
        Ok(Self {
            coop: coop.name.clone(),
            place: coop.place.clone(),
            phone: coop.contact_phone.clone(),
            name: record.member.name.to_string(),
            number: record.member.number,
            year: record.season.year,
            made: zone.show(visit.at),
            summary: summary(record, units),
            tickets,
            lots: lot_lines.collect(),
            syrup,
            syrup_says: grams_says(grams, units),
            money,
            money_says: money_says(cents),
            receipts: record
                .receipts
                .iter()
                .map(|r| receipt(r, zone, units))
                .collect(),
            waiting: waiting(record, units),
            reckoned: reckoned::lines(record, zone),
        })
    }
}

/// The season in a few figures.
fn summary(record: &Record, units: Units) -> Vec<String> {
    let cane: Grams = record.tickets.iter().map(|t| t.net).sum();
    let jarred: Grams = record
        .lines
        .iter()
        .filter(|l| l.kind == Kind::Jarred)
        .map(|l| -l.grams)
        .sum();
    vec![
        match record.tickets.len() {
            1 => format!("{} of cane on 1 ticket", cane.show(units)),
            n => format!("{} of cane on {n} tickets", cane.show(units)),
        },
        format!("{} of syrup in jars", jarred.show(units)),
        format!(
            "the whole season so far: {} of cane, {} in jars",
            record.whole.0.show(units),
            record.whole.1.show(units)
        ),
    ]
}

/// The syrup account: what was carried, entitled, put in jars.
fn syrup(record: &Record, zone: &Zone, units: Units) -> (Vec<Entry>, Grams) {
    let mut running = record.before.0;
    let mut out = Vec::new();
    if running != Grams::ZERO {
        out.push(Entry {
            number: String::new(),
            date: String::new(),
            lot: String::new(),
            says: "carried from earlier seasons".to_owned(),
            amount: running.grams_text(units),
            running: running.grams_text(units),
        });
    }
    for line in record.lines.iter().filter(|l| l.grams != Grams::ZERO) {
        running += line.grams;
        out.push(Entry {
            number: line.number.to_string(),
            date: zone.local(line.at).0.show(),
            lot: line
                .lot
                .as_ref()
                .map_or_else(String::new, ToString::to_string),
            says: line.says.clone(),
            amount: line.grams.grams_text(units),
            running: running.grams_text(units),
        });
    }
    (out, running)
}

/// The money account: fees, payments, answers.
fn money(record: &Record, zone: &Zone) -> (Vec<Entry>, Cents) {
    let mut running = record.before.1;
    let mut out = Vec::new();
    if running != Cents::ZERO {
        out.push(Entry {
            number: String::new(),
            date: String::new(),
            lot: String::new(),
            says: "carried from earlier seasons".to_owned(),
            amount: running.show(),
            running: running.show(),
        });
    }
    for line in record.lines.iter().filter(|l| l.cents != Cents::ZERO) {
        running = running + line.cents;
        out.push(Entry {
            number: line.number.to_string(),
            date: zone.local(line.at).0.show(),
            lot: line
                .lot
                .as_ref()
                .map_or_else(String::new, ToString::to_string),
            says: line.says.clone(),
            amount: line.cents.show(),
            running: running.show(),
        });
    }
    (out, running)
}

fn receipt(receipt: &Receipt, zone: &Zone, units: Units) -> ReceiptLine {
    let jars: Vec<String> = receipt
        .jars
        .iter()
        .map(|j| {
            format!(
                "{} × {} of lot {}",
                j.count,
                jar_says(&j.size_name, j.net, j.part, units),
                j.lot
            )
        })
        .collect();
    ReceiptLine {
        number: receipt.row.number,
        href: paths::hand_over(receipt.row.number),
        date: zone.show(receipt.row.at),
        signed: receipt.row.signed_by.to_string(),
        jars: jars.join(", "),
    }
}

fn waiting(record: &Record, units: Units) -> Vec<String> {
    let left = record.aside.iter().filter(|a| a.set_aside > a.handed);
    left.map(|a| {
        format!(
            "{} × {} of lot {}",
            a.set_aside - a.handed,
            jar_says(&a.size_name, a.net, a.part, units),
            a.lot
        )
    })
    .collect()
}

#[cfg(test)]
#[path = "samples.rs"]
mod samples;
#[cfg(test)]
pub(in crate::web) use samples::samples;
