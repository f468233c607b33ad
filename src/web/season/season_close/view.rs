//! The season's close and its forms, as text ready to print.

use super::form::LOST;
use crate::calc::shares::ledger::{grams_says, money_says};
use crate::facts::season::season_close::SeasonClose;
use crate::facts::season::seasons::SeasonRules;
use crate::store::people::members::Member;
use crate::store::season::season_close::{HoursRow, LossRow};
use crate::store::season::seasons::{Rules, Season};
use crate::units::{Cents, Grams, LotCode, Measured, MilliCents, RateUnit, Units};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::page::only_if;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// One member to settle with.
struct SettleRow {
    who: String,
    syrup: String,
    worth: String,
    money: String,
    settle: String,
    payment: String,
    hours: String,
}

/// A line of hours that a member worked.
struct HoursLine {
    who: String,
    says: String,
    cents: String,
}

/// A lost boil.
struct LostBoil {
    lot: String,
    href: String,
    says: String,
}

/// One member's part of the margin, as a row.
struct RefundRow {
    who: String,
    solids: String,
    cents: String,
}

/// A lot that is still open.
struct OpenLot {
    lot: String,
    href: String,
}

/// The page on which a season is closed.
#[derive(Template)]
#[template(path = "season/season_close/show.html")]
pub(super) struct ClosePage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    open: Vec<OpenLot>,
    rows: Vec<SettleRow>,
    owed_to_mill: String,
    owed_by_mill: String,
    price: String,
    fees: String,
    credit: String,
    hours: Vec<HoursLine>,
    losses: Vec<LostBoil>,
    /// The season is still to bear some of them.
    to_bear: bool,
    promised: bool,
    margin_returned: bool,
    refunds: Vec<RefundRow>,
    margin: String,
    lock: String,
    files: Vec<Choice>,
}

/// What a balance is worth; a plus is owed to the member.
fn worth(grams: Grams, rules: &Rules) -> String {
    let price = rules.syrup_rate;
    if price == MilliCents::ZERO || grams == Grams::ZERO {
        return "–".to_owned();
    }
    let cents = Measured::mass(Grams::new(grams.get().abs()), rules.rates_in).at(price);
    let whose = if grams > Grams::ZERO {
        "to be paid out"
    } else {
        "to pay in"
    };
    format!("{} {whose}", cents.show())
}

impl ClosePage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        record: &SeasonClose,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (units, year) = (visit.units(), record.season.season.year);
        let today = visit.zone()?.local(visit.at).0;
        // Rules that are to come name no price yet.
        let rules = Some(&record.season.rules).filter(|_| record.season.holds_on(today));
        let open = |lot: &LotCode| OpenLot {
            lot: lot.to_string(),
            href: paths::boil_part(lot, "divide"),
        };
        let members = || record.balances.iter().filter(|b| b.member_id.is_some());
        let side = |plus: bool| -> Cents {
            let own = members().map(|b| b.cents);
            own.filter(|c| (*c > Cents::ZERO) == plus).sum()
        };
        Ok(Self {
            shell: Shell::new(app, visit, format!("Close of the season {year}")),
            action: paths::season_part(year, "close"),
            open: record.open.iter().map(open).collect(),
            rows: members()
                .filter(|b| b.grams != Grams::ZERO || b.cents != Cents::ZERO)
                .map(|b| SettleRow {
                    who: b
                        .name
                        .as_ref()
                        .map_or_else(String::new, ToString::to_string),
                    syrup: grams_says(b.grams, units),
                    worth: rules.map_or_else(|| "–".to_owned(), |rules| worth(b.grams, rules)),
                    money: money_says(b.cents),
                    settle: b.member_id.map_or_else(String::new, paths::settle),
                    payment: b.member_id.map_or_else(String::new, paths::payment),
                    hours: b.member_id.map_or_else(String::new, paths::hours),
                })
                .collect(),
            owed_to_mill: side(true).show(),
            owed_by_mill: (-side(false)).show(),
            price: price_says(rules, units),
            fees: record.charged.0.show(),
            credit: (-record.charged.1).show(),
            hours: hours_lines(record),
            losses: loss_lines(record, units),
            to_bear: !record.to_bear.is_empty(),
            promised: record.promised,
            margin_returned: record.margin_returned,
            refunds: refunds(record, visit),
            margin: sheet.typed("margin").to_owned(),
            lock: paths::season_part(year, "lock"),
            files: files(year),
            sheet,
        })
    }
}

/// What carried syrup is worth by the rules in force, if any are.
fn price_says(rules: Option<&Rules>, units: Units) -> String {
    match rules {
        None => {
            "No rules of the season are in force today, so carried syrup has no price.".to_owned()
        }
        Some(rules) if rules.syrup_rate == MilliCents::ZERO => {
            "The rules name no price of syrup: what is carried is settled in syrup.".to_owned()
        }
        Some(rules) => format!(
            "Carried syrup is worth {}.",
            rules
                .syrup_rate
                .per(RateUnit::of_mass(rules.rates_in), units)
        ),
    }
}

fn hours_lines(record: &SeasonClose) -> Vec<HoursLine> {
    let line = |h: &HoursRow| HoursLine {
        who: h.name.to_string(),
        says: format!(
            "{}: {} min worked, {} min credited, line {}{}{}",
            h.what,
            h.minutes,
            h.credited,
            h.line,
            h.worked_on
                .map_or_else(String::new, |day| format!(", worked on {}", day.show())),
            if h.taken_back { ", taken back" } else { "" }
        ),
        cents: (-h.cents).show(),
    };
    record.hours.iter().map(line).collect()
}

fn loss_lines(record: &SeasonClose, units: Units) -> Vec<LostBoil> {
    let line = |l: &LossRow| LostBoil {
        lot: l.lot.to_string(),
        href: paths::boil_part(&l.lot, "loss"),
        says: format!(
            "{}, {}{}",
            LOST.iter()
                .find(|(word, _)| *word == l.what)
                .map_or(l.what.as_str(), |(_, says)| *says),
            l.lost.booked(units),
            match (l.borne, record.to_bear.contains(&l.lot)) {
                (true, _) => ", borne by the season",
                (false, true) => ", which the season is to bear: not shared out yet",
                (false, false) => ", borne by its own members",
            }
        ),
    };
    record.losses.iter().map(line).collect()
}

fn refunds(record: &SeasonClose, visit: &Visit) -> Vec<RefundRow> {
    let Some(Ok(refunds)) = &record.refunds else {
        return Vec::new();
    };
    let rows = refunds.iter().map(|(name, refund)| RefundRow {
        who: name.to_string(),
        solids: refund.solids.grams_text(visit.units()),
        cents: refund.cents.show(),
    });
    rows.collect()
}

fn files(year: i64) -> Vec<Choice> {
    let file = |part: &str, words: &str| Choice::new(paths::season_part(year, part), words);
    vec![
        file("statements/print", "Print all statements"),
        file("what-if", "What if the rules were others"),
        file("shares.csv", "Shares (CSV)"),
        file("ledger.csv", "Ledger (CSV)"),
        file("loads.csv", "Loads (CSV)"),
        Choice::new(paths::BOOKS_ZIP, "The whole book: all tables (zip of CSV)"),
        Choice::new(
            format!("{}?mark=yes", paths::BOOKS_ZIP),
            "The whole book, for a spreadsheet that shows é wrongly",
        ),
    ]
}

/// The locked seasons, each with the page of its lock.
pub(in crate::web) fn locks(locked: &[i64]) -> Vec<Choice> {
    locked
        .iter()
        .map(|year| Choice::new(paths::season_part(*year, "lock"), year.to_string()))
        .collect()
}

fn choices(seasons: &[Season], locked: &[i64]) -> Vec<Choice> {
    seasons
        .iter()
        .filter(|s| !locked.contains(&s.year))
        .map(|s| Choice::new(s.id.to_string(), s.year.to_string()))
        .collect()
}

/// The form of hours worked.
#[derive(Template)]
#[template(path = "season/season_close/hours.html")]
pub(super) struct HoursPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    seasons: Vec<Choice>,
    locked: Vec<Choice>,
    open: &'static str,
}

impl HoursPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        member: &Member,
        (seasons, locked): (&[Season], &[i64]),
        sheet: Sheet,
    ) -> Self {
        Self {
            shell: Shell::new(app, visit, format!("Hours: {}", member.name)),
            sheet,
            action: paths::hours(member.id),
            seasons: choices(seasons, locked),
            locked: locks(locked),
            open: paths::SEASONS,
        }
    }
}

/// The form of a settlement.
#[derive(Template)]
#[template(path = "season/season_close/settle.html")]
pub(super) struct SettlePage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    stands: String,
    nothing: bool,
    label: &'static str,
    /// Settling in jars, for whom syrup is owed to; empty: it is owed to the mill.
    jars: String,
    /// The open seasons whose rules name a price of syrup.
    seasons: Vec<Choice>,
    /// Some season's rules hold today, and those of none name a price.
    no_price: bool,
    /// What is said of an open season whose rules do not hold yet, where no other is open.
    to_come: Vec<String>,
    /// The open seasons, whether their rules hold yet or not.
    open: Vec<Choice>,
    locked: Vec<Choice>,
}

/// What an open season has to say whose rules do not hold today: its price of syrup counts later.
fn of_later(season: &SeasonRules) -> String {
    let year = season.season.year;
    match season.rules.holds_from {
        Some(from) if season.rules.syrup_rate == MilliCents::ZERO => format!(
            "The season of {year} is open; its rules hold from {}, and name no price of syrup.",
            from.show()
        ),
        Some(from) => format!(
            "The season of {year} is open; its rules, and with them its price of syrup, hold from {}.",
            from.show()
        ),
        None => format!(
            "The season of {year} is open; its rules name a price of syrup once they are confirmed."
        ),
    }
}

impl SettlePage {
    pub(super) fn new(
        (app, visit): (&App, &Visit),
        member: &Member,
        (grams, cents): (Grams, Cents),
        (seasons, locked): (&[SeasonRules], &[i64]),
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let units = visit.units();
        let today = visit.zone()?.local(visit.at).0;
        let season = |SeasonRules { season, rules, .. }: &SeasonRules| {
            let price = rules
                .syrup_rate
                .per(RateUnit::of_mass(rules.rates_in), units);
            Choice::new(season.id.to_string(), format!("{}: {price}", season.year))
        };
        let open: Vec<_> = seasons
            .iter()
            .filter(|s| !locked.contains(&s.season.year))
            .collect();
        // Syrup has the price that holds today, and none under rules that are to come.
        let (hold, later): (Vec<_>, Vec<_>) = open.iter().partition(|s| s.holds_on(today));
        let priced = |s: &&&SeasonRules| s.rules.syrup_rate != MilliCents::ZERO;
        let said = |s: &&SeasonRules| of_later(s);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Settle: {}", member.name)),
            sheet,
            action: paths::settle(member.id),
            stands: format!("{}; {}", grams_says(grams, units), money_says(cents)),
            nothing: grams == Grams::ZERO,
            label: match units {
                Units::Us => "How much, oz",
                Units::Metric => "How much, g",
            },
            jars: only_if(grams > Grams::ZERO, paths::settle_jars(member.id)),
            seasons: hold.iter().filter(priced).map(|s| season(s)).collect(),
            no_price: !hold.is_empty() && hold.iter().filter(priced).count() == 0,
            to_come: if hold.is_empty() {
                later.iter().map(said).collect()
            } else {
                Vec::new()
            },
            open: open
                .iter()
                .map(|s| Choice::new(s.season.id.to_string(), s.season.year.to_string()))
                .collect(),
            locked: locks(locked),
        })
    }
}

#[cfg(test)]
#[path = "samples.rs"]
mod samples;
#[cfg(test)]
pub(in crate::web) use samples::samples;
