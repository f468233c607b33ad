//! The first page of a statement: what was brought, what came of it, and what stands, in the units of whoever reads.

use super::lost::{lost_of, nothing_of, syrup_lost};
use crate::calc::Basis;
use crate::calc::boil::sums::Stage;
use crate::calc::shares::division::{Division, Part};
use crate::calc::shares::jar_places::Kind;
use crate::calc::shares::ledger::{Entry, JarsOfKind, grams_says, jars_say, money_says};
use crate::calc::shares::my_cane::Step;
use crate::calc::shares::split::Sharer;
use crate::facts::shares::cane_way::{CaneWay, OnTheWay};
use crate::facts::shares::jar_count::gone_of;
use crate::facts::shares::statements::{LotPart, Statement, TicketWithJuices};
use crate::store::shares::hand_overs::AsideRow;
use crate::store::shares::recalls::JarRow;
use crate::units::{Cents, Grams, Millilitres, Units, UtcSecond, Zone};
use crate::web::cane_way::{self, StopView};
use crate::web::error::PageError;
use crate::web::reopened::may_change;
use crate::web::shares::divisions::sums;
use crate::web::{only_if, paths};
use std::collections::BTreeSet;

/// A ticket on the first page.
pub(super) struct BroughtRow {
    pub(super) ticket: i64,
    pub(super) href: String,
    pub(super) date: String,
    pub(super) cane: String,
    pub(super) juice: String,
    /// What was lost of that juice; empty: nothing.
    pub(super) lost: String,
    pub(super) brix: String,
    /// The pages along the way of this cane, but the ticket's, which the number leads to, and this one.
    pub(super) stops: Vec<StopView>,
}

/// A lot on the first page.
pub(super) struct CameRow {
    pub(super) lot: String,
    pub(super) href: String,
    pub(super) date: String,
    pub(super) part: String,
    pub(super) jars: String,
    pub(super) fees: String,
    /// It is open to be put right, and will be divided again.
    pub(super) reopened: bool,
}

/// The content of a statement's first page.
pub(super) struct First {
    pub(super) brought: Vec<BroughtRow>,
    pub(super) cane: String,
    pub(super) came: Vec<CameRow>,
    /// Of what no syrup comes, a sentence for each ticket, and for each lot of which syrup was lost.
    pub(super) nothing_of: Vec<String>,
    pub(super) jars: String,
    pub(super) fees: String,
    pub(super) to_fetch: String,
    pub(super) fetch_lots: Vec<String>,
    /// Jars that broke or are missing, in words; empty: none.
    pub(super) off_shelf: String,
    pub(super) carried: String,
    pub(super) money: String,
    /// " at the end of 2026", of a season of a year before; else empty.
    pub(super) ended: String,
    /// What was paid, a part each; empty: nothing.
    pub(super) paid: Vec<String>,
    pub(super) season: String,
    /// That lots are open to be put right; empty: none is.
    pub(super) may_change: String,
    /// Several weights stand beside their sum.
    pub(super) weights_add_up: bool,
}

impl First {
    /// `balance`: grams carried and cents owed at the end.
    pub(super) fn new(
        statement: &Statement,
        balance: (Grams, Cents),
        (units, zone, at): (Units, &Zone, UtcSecond),
    ) -> Result<Self, PageError> {
        let cane: Grams = statement.tickets.iter().map(|t| t.net).sum();
        let rows: Vec<(CameRow, Vec<JarsOfKind>)> = statement
            .lots
            .iter()
            .map(|lot| came(lot, statement, units))
            .collect();
        let jars: Vec<JarsOfKind> = rows.iter().flat_map(|(_, jars)| jars.clone()).collect();
        let reopened = statement.lots.iter().filter(|lot| lot.is_reopened());
        let reopened = reopened.map(|lot| &lot.boil.lot).collect();
        // All that wait today stand on this year's statement; on one of a year before, those of its own lots, as its sums are its own.
        let last = statement.season.year >= i64::from(zone.local(at).0.date().year());
        let own =
            |jars: &&AsideRow| last || statement.lots.iter().any(|lot| lot.boil.id == jars.boil_id);
        let aside: Vec<&AsideRow> = statement.aside.iter().filter(own).collect();
        let waiting: Vec<JarsOfKind> = aside.iter().map(|jars| left(jars)).collect();
        let fees = statement
            .lots
            .iter()
            .map(|lot| fees(lot, statement))
            .sum::<Cents>();
        Ok(Self {
            brought: statement
                .tickets
                .iter()
                .map(|ticket| brought(ticket, statement, units))
                .collect::<Result<_, _>>()?,
            cane: cane.show(units),
            nothing_of: statement
                .tickets
                .iter()
                .filter_map(|ticket| nothing_of(ticket, units).transpose())
                .chain(syrup_lost(statement, units, zone).into_iter().map(Ok))
                .collect::<Result<_, _>>()?,
            came: rows.into_iter().map(|(row, _)| row).collect(),
            jars: jars_say(&jars, units),
            fees: fees.show(),
            to_fetch: jars_say(&waiting, units),
            fetch_lots: aside
                .iter()
                .filter(|a| a.left() > 0)
                .map(|a| format!("{} of lot {}", jars_say(&[left(a)], units), a.lot))
                .collect(),
            off_shelf: off_shelf(statement, units),
            carried: grams_says(balance.0, units),
            money: money_says(balance.1),
            ended: only_if(!last, format!(" at the end of {}", statement.season.year)),
            paid: paid(statement, zone),
            season: format!(
                "All members together, so far this season: {} of cane, {} of syrup in jars.",
                statement.whole.0.show(units),
                statement.whole.1.show(units)
            ),
            may_change: may_change(&reopened),
            // Also of what was fetched: kinds of jars of one lot stand beside their sum above.
            weights_add_up: kinds(&jars) > 1
                || statement.lots.len() > 1
                || statement.aside.iter().filter(|a| a.left() > 0).count() > 1
                || statement.tickets.len() > 1,
        })
    }
}

/// "$20.00 on Sat 10 Oct 2026": what was received of the member and stands.
fn paid(statement: &Statement, zone: &Zone) -> Vec<String> {
    let received = statement.lines.iter().filter(|line| {
        line.kind == Entry::Payment && line.cents < Cents::ZERO && line.answered_by.is_none()
    });
    let told = received.map(|line| {
        let sum = Cents::new(-line.cents.get()).show();
        // The day that the receipt names: it may be noted later.
        let day = line.paid_on.unwrap_or_else(|| zone.local(line.at).0);
        format!("{sum} on {}", day.show())
    });
    told.collect()
}

/// How many kinds of jars there are.
fn kinds(jars: &[JarsOfKind]) -> usize {
    let kind = |jars: &JarsOfKind| (jars.name.clone(), jars.net, jars.part);
    let some = jars.iter().filter(|jars| jars.count > 0);
    some.map(kind).collect::<BTreeSet<_>>().len()
}

/// "1 quart (3 lb) broken, 2 pints (3 lb) missing": of the season's lots, on the mill's shelf.
fn off_shelf(statement: &Statement, units: Units) -> String {
    let of_season = |jars: &JarRow| statement.lots.iter().any(|lot| lot.boil.id == jars.boil);
    let moves = statement.moves.iter().filter(|m| of_season(&m.jars));
    let mut kinds: Vec<&JarRow> = Vec::new();
    for one in moves.map(|m| &m.jars) {
        let same = |k: &&JarRow| {
            (k.boil, &k.size_name, k.net, k.part) == (one.boil, &one.size_name, one.net, one.part)
        };
        if !kinds.iter().any(same) {
            kinds.push(one);
        }
    }
    let gone = |row: &JarRow| {
        let kind = Kind {
            boil: row.boil,
            size_name: row.size_name.clone(),
            net: row.net,
            part: row.part,
        };
        gone_of(&statement.moves, &kind)
    };
    let told = ["broken", "missing"].map(|word| {
        let jars = kinds.iter().map(|row| {
            let (missing, broken) = gone(row);
            some(row, if word == "missing" { missing } else { broken })
        });
        let together = added_up(jars.collect());
        let any = together.iter().any(|jars| jars.count > 0);
        any.then(|| format!("{} {word}", jars_say(&together, units)))
    });
    let told: Vec<String> = told.into_iter().flatten().collect();
    told.join(", ")
}

fn some(jars: &JarRow, count: i64) -> JarsOfKind {
    JarsOfKind {
        name: jars.size_name.clone(),
        net: jars.net,
        part: jars.part,
        count,
    }
}

/// Jars of one kind once.
fn added_up(jars: Vec<JarsOfKind>) -> Vec<JarsOfKind> {
    let mut out: Vec<JarsOfKind> = Vec::new();
    for jar in jars {
        let same = |o: &&mut JarsOfKind| (&o.name, o.net, o.part) == (&jar.name, jar.net, jar.part);
        match out.iter_mut().find(same) {
            Some(own) => own.count += jar.count,
            None => out.push(jar),
        }
    }
    out
}

fn left(aside: &AsideRow) -> JarsOfKind {
    JarsOfKind {
        name: aside.size_name.clone(),
        net: aside.net,
        part: aside.part,
        count: aside.left(),
    }
}

fn brought(
    ticket: &TicketWithJuices,
    statement: &Statement,
    units: Units,
) -> Result<BroughtRow, PageError> {
    let (mut volume, mut mass) = (Millilitres::ZERO, Grams::ZERO);
    let mut brix = Vec::new();
    for row in ticket.juices.iter().filter(|row| !row.void) {
        let juice = row.reckon()?;
        volume = Millilitres::new(volume.get() + juice.volume_20c.get());
        mass += juice.mass;
        brix.push(juice.brix_20.show());
    }
    Ok(BroughtRow {
        ticket: ticket.ticket.ticket,
        href: paths::ticket(ticket.ticket.id),
        date: ticket.ticket.date.show(),
        cane: ticket.net.show(units),
        juice: match brix.len() {
            0 => "not measured".to_owned(),
            // The ticket, the boil and the season's picture name it by weight.
            _ => format!("{} ({})", volume.show(units), mass.show(units)),
        },
        lost: lost_of(ticket, units)?.unwrap_or_default(),
        brix: brix.join(", "),
        stops: stops(ticket, statement),
    })
}

/// The way of a ticket's cane from here back to the field.
fn stops(ticket: &TicketWithJuices, statement: &Statement) -> Vec<StopView> {
    let strands = ticket
        .juices
        .iter()
        .filter(|row| !row.void)
        .flat_map(|row| {
            let pours = statement.lots.iter().flat_map(|lot| {
                let step = match lot.divided {
                    Some(_) => Step::ShareKnown,
                    None => Step::InPan,
                };
                lot.pours.iter().map(move |pour| (&pour.draw, step))
            });
            let through = pours.filter(|(draw, _)| draw.juice_id == row.id);
            let mut strands: Vec<OnTheWay> = through
                .map(|(draw, step)| OnTheWay::of_draw(draw, step))
                .collect();
            if strands.is_empty() {
                strands.push(OnTheWay::of_juice(row));
            }
            strands
        });
    let way = CaneWay {
        strands: strands.collect(),
        year: statement.season.year,
    };
    let mine = statement.member.id;
    let stops = cane_way::of_member(&way, mine).into_iter();
    let further = [
        paths::ticket(ticket.ticket.id),
        paths::statement(mine, way.year),
    ];
    stops.filter(|stop| !further.contains(&stop.href)).collect()
}

/// Fees of a lot, as they stand in the ledger.
fn fees(lot: &LotPart, statement: &Statement) -> Cents {
    let own = statement.lines.iter();
    own.filter(|l| l.boil_id == Some(lot.boil.id))
        .map(|l| l.cents)
        .sum()
}

fn came(lot: &LotPart, statement: &Statement, units: Units) -> (CameRow, Vec<JarsOfKind>) {
    let mine = Sharer::Member(statement.member.id);
    let found = lot.divided.as_ref().and_then(|(_, division)| {
        let part = division.parts.iter().find(|p| p.sharer == mine)?;
        Some((part, division))
    });
    let jars = found.map_or_else(Vec::new, |(part, division)| jars_of(part, division));
    let (part, says) = match found {
        Some((part, division)) => (
            share(part, division, (lot.rules.basis, units)),
            jars_say(&jars, units),
        ),
        None if lot.boil.stage() == Stage::Lit => (String::new(), "still on the fire".to_owned()),
        None if lot.boil.stage() == Stage::Lost => {
            (String::new(), "its syrup was lost: none".to_owned())
        }
        None => (String::new(), "finished, not divided yet".to_owned()),
    };
    let row = CameRow {
        lot: lot.boil.lot.to_string(),
        href: super::lots::href(lot),
        date: lot.boil.press_date.show(),
        part,
        jars: says,
        fees: if found.is_some() {
            fees(lot, statement).show()
        } else if lot.boil.stage() == Stage::Lost {
            "none".to_owned()
        } else {
            "once divided".to_owned()
        },
        reopened: lot.is_reopened(),
    };
    (row, jars)
}

/// The member's part of what the members brought, and the syrup that it comes to.
fn share(part: &Part, division: &Division, (basis, units): (Basis, Units)) -> String {
    if part.weight == 0 {
        return "no juice of yours".to_owned();
    }
    let of = match basis {
        Basis::Solids => "of the sugar",
        Basis::JuiceMass | Basis::JuiceVolume => "of the juice",
        Basis::CaneMass => "of the cane",
    };
    let percent = sums::percent(part.weight, division.weight);
    format!("{percent} {of}: {}", part.entitled.said(units))
}

fn jars_of(part: &Part, division: &Division) -> Vec<JarsOfKind> {
    let kinds = part.jars.iter().zip(&division.kinds);
    kinds
        .map(|(count, kind)| JarsOfKind {
            name: kind.name.clone(),
            net: kind.net,
            part: kind.part,
            count: i64::from(*count),
        })
        .collect()
}
