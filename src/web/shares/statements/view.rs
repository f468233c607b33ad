//! A statement as text ready to print: on screen and on paper the same body.

use super::first::First;
use super::lots::{self, LotLines};
use super::reckoned;
use super::ticket_lines::{self, TicketLines};
use crate::calc::people::forgetting::is_in_place;
use crate::calc::shares::ledger::{JarsOfKind, grams_says, jars_say, money_says};
use crate::facts::shares::statements::{Receipt, Statement};
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
    given_to: String,
    jars: String,
}

/// All of a statement but its frame.
struct Body {
    coop: String,
    place: String,
    phone: String,
    name: String,
    /// Whether the member is not forgotten, so that the name stands first.
    named: bool,
    number: i64,
    year: i64,
    made: String,
    first: First,
    tickets: Vec<TicketLines>,
    lots: Vec<LotLines>,
    /// Whether cane was weighed and no lot is divided: sums are few, and there is room to write what is wrong.
    short: bool,
    syrup: Vec<Entry>,
    syrup_says: String,
    money: Vec<Entry>,
    money_says: String,
    receipts: Vec<ReceiptLine>,
    reckoned: Vec<String>,
    /// How it was worked out is printed in two parts, the first of which fills the page before.
    parted: bool,
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

/// A statement for paper: in its member's own units, whoever prints it.
fn paper(visit: &Visit, statement: &Statement) -> Result<Body, PageError> {
    Body::new(visit, statement, statement.member.units)
}

impl RunPage {
    pub(super) fn new(
        visit: &Visit,
        year: i64,
        statements: &[Statement],
    ) -> Result<Self, PageError> {
        let bodies = statements.iter().map(|statement| paper(visit, statement));
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
        statement: &Statement,
    ) -> Result<Self, PageError> {
        let id = statement.member.id;
        let title = format!(
            "{}: statement {}",
            statement.member.name, statement.season.year
        );
        Ok(Self {
            shell: Shell::new(app, visit, title),
            body: Body::new(visit, statement, visit.units())?,
            print: paths::statement_print(id, statement.season.year),
            payment: paths::payment(id),
            hand_over: paths::new_hand_over(id),
            steward: me.is_steward(),
            crew: me.is_crew(),
            years: statement
                .years
                .iter()
                .filter(|year| **year != statement.season.year)
                .map(|year| Year {
                    year: *year,
                    href: paths::statement(id, *year),
                })
                .collect(),
        })
    }
}

impl PrintPage {
    pub(super) fn new(visit: &Visit, statement: &Statement) -> Result<Self, PageError> {
        Ok(Self {
            css: statics::print_css(),
            icon: statics::icon(),
            body: paper(visit, statement)?,
            back: paths::statement(statement.member.id, statement.season.year),
        })
    }
}

impl Body {
    fn new(visit: &Visit, statement: &Statement, units: Units) -> Result<Self, PageError> {
        let coop = visit.coop()?;
        let zone = &coop.zone;
        let (syrup, grams) = syrup(statement, zone, units);
        let (money, cents) = money(statement, zone);
        let lot_lines = statement
            .lots
            .iter()
            .map(|lot| lots::lines(lot, statement.member.id, &statement.lines, zone, units));
        let tickets: Vec<TicketLines> = statement
            .tickets
            .iter()
            .map(|ticket| ticket_lines::lines(ticket, units, zone))
            .collect::<Result<_, _>>()?;
        Ok(Self {
            coop: coop.name.clone(),
            place: coop.place.clone(),
            phone: coop.contact_phone.clone(),
            name: statement.member.name.to_string(),
            named: !is_in_place(statement.member.name.as_str(), statement.member.number),
            number: statement.member.number,
            year: statement.season.year,
            made: zone.show(visit.at),
            first: First::new(statement, (grams, cents), (units, zone, visit.at))?,
            tickets,
            lots: lot_lines.collect(),
            short: !statement.tickets.is_empty()
                && statement.lots.iter().all(|lot| lot.divided.is_none()),
            syrup,
            syrup_says: grams_says(grams, units),
            money,
            money_says: money_says(cents),
            receipts: statement
                .receipts
                .iter()
                .map(|r| receipt(r, zone, units))
                .collect(),
            reckoned: reckoned::lines(statement, zone),
            parted: statement.tickets.len() + statement.lots.len() > 2,
        })
    }
}

/// The syrup account: what was carried, entitled, put in jars.
fn syrup(statement: &Statement, zone: &Zone, units: Units) -> (Vec<Entry>, Grams) {
    let mut running = statement.before.0;
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
    for line in statement.lines.iter().filter(|l| l.grams != Grams::ZERO) {
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
fn money(statement: &Statement, zone: &Zone) -> (Vec<Entry>, Cents) {
    let mut running = statement.before.1;
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
    for line in statement.lines.iter().filter(|l| l.cents != Cents::ZERO) {
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
            let some = JarsOfKind {
                name: j.size_name.clone(),
                net: j.net,
                part: j.part,
                count: j.count,
            };
            format!("{} of lot {}", jars_say(&[some], units), j.lot)
        })
        .collect();
    ReceiptLine {
        number: receipt.row.number,
        href: paths::hand_over(receipt.row.number),
        date: zone.show(receipt.row.at),
        given_to: receipt.row.given_to.to_string(),
        jars: jars.join(", "),
    }
}

#[cfg(test)]
#[path = "samples.rs"]
mod samples;
#[cfg(test)]
pub(in crate::web) use samples::samples;
