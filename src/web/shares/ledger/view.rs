//! The ledger's pages, as text ready to print.

use crate::calc::shares::ledger::{Entry, money_says};
use crate::calc::shares::payments::PaidBy;
use crate::facts::shares::ledger_season::{Asked, LedgerSeason};
use crate::store::people::members::Member;
use crate::store::season::seasons::Season;
use crate::store::shares::ledger::{Balance, LedgerLine};
use crate::units::{Cents, Grams, LotCode, MemberName, Units, Zone, people_order};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::listing::{ListQuery, Part};
use crate::web::reopened::may_change;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths};
use askama::Template;

/// One sharer's balance as a row.
struct BalanceRow {
    who: String,
    href: String,
    grams: String,
    season: String,
    money: String,
    payment: String,
}

/// A line of the ledger as a row.
struct LineRow {
    number: i64,
    when: String,
    who: String,
    lot: String,
    says: String,
    grams: String,
    cents: String,
    by: String,
    remark: String,
}

impl LineRow {
    /// Whether every word that is looked for stands somewhere in it.
    fn has(&self, wanted: &ListQuery, kind: &str) -> bool {
        let kind = kind.replace('_', " ");
        let own = [
            &self.when,
            &self.who,
            &self.lot,
            &self.says,
            &self.by,
            &self.remark,
        ];
        let own = own.map(String::as_str).join(" ");
        wanted.stands_in(&format!("{} {kind} {own}", self.number))
    }
}

/// The page of a season's ledger.
#[derive(Template)]
#[template(path = "shares/ledger/show.html")]
pub(super) struct LedgerPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    year: String,
    orders: Vec<Choice>,
    balances: Vec<BalanceRow>,
    /// Says that there are more balances; empty: all stand here.
    more_balances: String,
    owed: String,
    lines: Vec<LineRow>,
    part: Part,
    years: Vec<Choice>,
    seasons: &'static str,
    /// Everybody's statements, to be printed.
    statements: String,
    /// The page of the season's lock; empty: it is not locked.
    locked: String,
}

/// Lines shown on one page; a statement holds all lines of its member.
const LATEST: usize = 40;
/// Balances shown on one page, those of the most money first.
const BALANCES: usize = 20;

fn orders() -> Vec<Choice> {
    vec![
        Choice::new("latest", "Latest first"),
        Choice::new("day", "By day, the first first"),
        Choice::new("member", "By member"),
        Choice::new("kind", "By kind"),
    ]
}

/// The order that was asked for; the latest first when none was.
fn order(asked: &str) -> &'static str {
    match asked {
        "day" => "day",
        "member" => "member",
        "kind" => "kind",
        _ => "latest",
    }
}

/// Lines in the order that is asked for; they come latest first.
fn in_order(lines: &mut [(LineRow, Entry)], asked: &str) {
    match order(asked) {
        "day" => lines.reverse(),
        "member" => lines.sort_by_cached_key(|(row, _)| people_order(&row.who)),
        "kind" => lines.sort_by_key(|(_, kind)| kind.word()),
        _ => (),
    }
}

fn who(name: Option<&MemberName>) -> String {
    name.map_or_else(|| "The mill".to_owned(), ToString::to_string)
}

/// A count of the store as a number of rows.
fn many(count: i64) -> usize {
    usize::try_from(count).unwrap_or(0)
}

/// What of a ledger must be read to show what is wanted: all of it to look for words or to sort by them.
pub(super) fn to_read(wanted: &ListQuery) -> Asked {
    let order = order(&wanted.order);
    if !wanted.all() || !["latest", "day"].contains(&order) {
        return Asked::All;
    }
    let count = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
    Asked::Part {
        skip: count(wanted.skip),
        lines: count(LATEST),
        balances: count(BALANCES),
        latest_first: order == "latest",
    }
}

/// The balances to show, the largest sums first, and how many there are of those looked for.
fn shown_of<'a>(book: &'a LedgerSeason, wanted: &ListQuery) -> (Vec<&'a Balance>, usize) {
    let balances = &book.balances;
    if wanted.all() {
        // Where all were read, they stand by name.
        let mut shown: Vec<_> = balances.iter().collect();
        shown.sort_by_key(|b| std::cmp::Reverse(b.cents.get().abs()));
        shown.truncate(BALANCES);
        return (shown, many(book.together.count));
    }
    let mut shown: Vec<_> = balances
        .iter()
        .filter(|b| wanted.stands_in(&who(b.name.as_ref())))
        .collect();
    // What is looked for may be a day or a kind of line: then everybody's balance stays in view.
    if shown.is_empty() {
        shown = balances.iter().collect();
    }
    shown.sort_by_key(|b| std::cmp::Reverse(b.cents.get().abs()));
    let of = shown.len();
    shown.truncate(BALANCES);
    (shown, of)
}

impl LedgerPage {
    pub(super) fn new(
        (app, visit): (&App, &Visit),
        book: &LedgerSeason,
        wanted: &ListQuery,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let LedgerSeason {
            season,
            seasons,
            lines,
            together,
            ..
        } = book;
        let (zone, units) = (visit.zone()?, visit.units());
        let year = season.as_ref().map_or(0, |s| s.year);
        let rows = lines.iter().map(|l| (line_row(l, zone, units), l.kind));
        let mut found: Vec<_> = rows
            .filter(|(row, kind)| row.has(wanted, kind.word()))
            .collect();
        let list = (&paths::ledger_of(year)[..], order(&wanted.order));
        let part = match to_read(wanted) {
            Asked::All => {
                in_order(&mut found, &wanted.order);
                Part::of(list, wanted, LATEST, &mut found)
            }
            Asked::Part { .. } => {
                let of = (found.len(), many(book.all_lines));
                Part::already_paged(list, wanted, LATEST, of)
            }
        };
        let (shown, of) = shown_of(book, wanted);
        Ok(Self {
            shell: Shell::new(app, visit, "Ledger"),
            sheet,
            action: paths::ledger_of(year),
            year: only_if(season.is_some(), year.to_string()),
            orders: orders(),
            more_balances: only_if(
                of > BALANCES,
                format!(
                    "{BALANCES} of {of} stand here, the largest sums first. Look for a name to see another’s."
                ),
            ),
            balances: shown
                .iter()
                .map(|b| BalanceRow {
                    who: who(b.name.as_ref()),
                    href: b
                        .member_id
                        .map_or_else(String::new, |id| paths::statement(id, year)),
                    grams: b.grams.booked(units),
                    season: b.season_cents.show(),
                    money: money_says(b.cents),
                    payment: b.member_id.map_or_else(String::new, paths::payment),
                })
                .collect(),
            owed: money_says(together.cents),
            lines: found.into_iter().map(|(row, _)| row).collect(),
            part,
            years: seasons
                .iter()
                .filter(|s| s.year != year)
                .map(|s| Choice::new(paths::ledger_of(s.year), s.year.to_string()))
                .collect(),
            seasons: paths::SEASONS,
            statements: paths::season_part(year, "statements/print"),
            locked: only_if(book.locked, paths::season_part(year, "lock")),
        })
    }
}

fn line_row(line: &LedgerLine, zone: &Zone, units: Units) -> LineRow {
    LineRow {
        number: line.number,
        when: zone.show(line.at),
        who: who(line.member_name.as_ref()),
        lot: line
            .lot
            .as_ref()
            .map_or_else(String::new, ToString::to_string),
        says: line.says.clone(),
        grams: only_if(line.grams != Grams::ZERO, line.grams.booked(units)),
        cents: only_if(line.cents != Cents::ZERO, line.cents.show()),
        by: line.by_name.to_string(),
        remark: line
            .answered_by
            .map_or_else(String::new, |n| format!("taken back by line {n}")),
    }
}

/// The form of a payment.
#[derive(Template)]
#[template(path = "shares/ledger/payment.html")]
pub(super) struct PaymentPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    stands: String,
    /// That lots are open to be put right; empty: none is.
    may_change: String,
    seasons: Vec<Choice>,
    ways: Vec<Choice>,
    by: Vec<Choice>,
    open: &'static str,
}

impl PaymentPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        member: &Member,
        (stands, reopened): (Cents, &[LotCode]),
        seasons: &[Season],
        sheet: Sheet,
    ) -> Self {
        Self {
            shell: Shell::new(app, visit, format!("Payment: {}", member.name)),
            sheet,
            action: paths::payment(member.id),
            stands: money_says(stands),
            may_change: may_change(&reopened.iter().collect()),
            seasons: seasons
                .iter()
                .map(|s| Choice::new(s.id.to_string(), s.year.to_string()))
                .collect(),
            ways: ways(),
            by: paid_by(),
            open: paths::SEASONS,
        }
    }
}

fn paid_by() -> Vec<Choice> {
    let choice = |by: PaidBy| Choice::new(by.word(), by.label());
    PaidBy::ALL.into_iter().map(choice).collect()
}

fn ways() -> Vec<Choice> {
    vec![
        Choice::new("in", "Received from the member"),
        Choice::new("out", "Paid out to the member"),
    ]
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let name = "Maximiliana <b>Featherstonehaugh</b> & Co";
    let ledger = |many: i64| {
        let mut sheet = Sheet::sample();
        if many > 0 {
            sheet
                .put("number", "<7>")
                .refuse("number", "“<7>” is not a number.");
        }
        LedgerPage {
            shell: Shell::sample("Ledger"),
            sheet,
            action: "/ledger?season=2026".to_owned(),
            year: only_if(many > 0, "2026".to_owned()),
            balances: (0..many)
                .map(|_| BalanceRow {
                    who: name.to_owned(),
                    href: "/members/01920000-0000-7000-8000-000000000000/statement/2026".to_owned(),
                    grams: "−2 lb 10.5 oz".to_owned(),
                    season: "$12.50".to_owned(),
                    money: money_says(Cents::new(-1250)),
                    payment: "/members/01920000-0000-7000-8000-000000000000/payment".to_owned(),
                })
                .collect(),
            owed: money_says(Cents::new(0)),
            lines: (0..many)
                .map(|n| LineRow {
                    number: n,
                    when: "Sat 19 Sep 2026 16:40".to_owned(),
                    who: name.to_owned(),
                    lot: "26001-X".to_owned(),
                    says: "8 jars filled × $0.25 <i>".to_owned(),
                    grams: String::new(),
                    cents: "$2.00".to_owned(),
                    by: "Ruth Bell".to_owned(),
                    remark: "taken back by line 9".to_owned(),
                })
                .collect(),
            orders: orders(),
            more_balances: "20 of 200 stand here.".to_owned(),
            part: crate::web::listing::sample("/ledger?season=2026"),
            years: vec![Choice::new("/ledger?season=2025", "2025")],
            seasons: paths::SEASONS,
            statements: "/seasons/2026/statements/print".to_owned(),
            locked: only_if(many > 0, "/seasons/2026/lock".to_owned()),
        }
    };
    let payment = |seasons: Vec<Choice>| PaymentPage {
        shell: Shell::sample("Payment"),
        sheet: Sheet::sample(),
        action: "/members/01920000-0000-7000-8000-000000000000/payment".to_owned(),
        stands: money_says(Cents::new(1250)),
        may_change: String::new(),
        seasons,
        ways: ways(),
        by: paid_by(),
        open: paths::SEASONS,
    };
    vec![
        Box::new(ledger(0)),
        Box::new(ledger(80)),
        super::receipt::sample(false),
        super::receipt::sample(true),
        Box::new(payment(Vec::new())),
        Box::new(payment(vec![Choice::new("x", "2026")])),
    ]
}
