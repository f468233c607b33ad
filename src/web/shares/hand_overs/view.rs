//! The pages of hand-overs, as text ready to print.

use super::form;
use crate::calc::shares::ledger::{grams_says, jar_says, money_says};
use crate::facts::shares::hand_overs::{self, LeftFor, SetAside};
use crate::store::shares::hand_overs::{AsideRow, HandOverJar, HandOverRow, WaitingRow};
use crate::units::{Grams, Units};
use crate::web::cane::cane_words::{came_by, typed_in};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::page::only_if;
use crate::web::reopened::may_change;
use crate::web::session::{Me, Visit};
use crate::web::shares::trace::move_line;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// Somebody whose jars wait.
struct Waiting {
    who: String,
    href: String,
    count: i64,
}

/// A receipt in the list.
struct Receipt {
    number: i64,
    href: String,
    who: String,
    /// The mill's jars settled what was owed to them.
    settles: bool,
    when: String,
    given_to: String,
}

/// The page of jars that wait, and of receipts.
#[derive(Template)]
#[template(path = "shares/hand_overs/list.html")]
pub(super) struct ListPage {
    shell: Shell,
    waiting: Vec<Waiting>,
    receipts: Vec<Receipt>,
    boils: &'static str,
    paper: &'static str,
    keyed: &'static str,
}

pub(super) fn who(name: Option<&crate::units::MemberName>) -> String {
    name.map_or_else(|| "The mill".to_owned(), ToString::to_string)
}

impl ListPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        waiting: &[WaitingRow],
        recent: &[HandOverRow],
    ) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        Ok(Self {
            shell: Shell::new(app, visit, "Jars to hand over"),
            waiting: waiting
                .iter()
                .map(|row| Waiting {
                    who: who(row.name.as_ref()),
                    href: row
                        .member_id
                        .map_or_else(|| paths::MILL_HAND_OVER.to_owned(), paths::new_hand_over),
                    count: row.count,
                })
                .collect(),
            receipts: recent
                .iter()
                .map(|row| Receipt {
                    number: row.number,
                    href: paths::hand_over(row.number),
                    who: who(row.settled_for.as_ref().or(row.member_name.as_ref())),
                    settles: row.settled_for.is_some(),
                    when: zone.show(row.at),
                    given_to: row.given_to.to_string(),
                })
                .collect(),
            boils: paths::BOILS,
            paper: paths::HAND_OVER_SHEET,
            keyed: paths::PAPER_HAND_OVERS,
        })
    }
}

/// Words for whose jars they are.
fn named(of: &SetAside) -> String {
    of.name
        .as_ref()
        .map_or_else(|| "the mill’s own".to_owned(), ToString::to_string)
}

/// One box of the form.
struct JarBox {
    name: String,
    label: String,
    hint: String,
}

/// The form that hands jars over.
#[derive(Template)]
#[template(path = "shares/hand_overs/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    boxes: Vec<JarBox>,
    /// Lots whose division may still change what waits; empty: none.
    may_change: String,
    /// The balance that the jars settle, if they do.
    settles: Option<Settles>,
    /// The seasons on whose statement it can stand.
    seasons: Vec<Choice>,
    /// The locked seasons, each with the page of its lock.
    locked: Vec<Choice>,
    back: &'static str,
}

/// A balance that jars of the mill's own settle.
pub(super) struct Settles {
    pub(super) who: String,
    pub(super) action: String,
    pub(super) stands: String,
    /// Whether anything is owed to the member.
    pub(super) owed: bool,
    pub(super) seasons: Vec<Choice>,
    /// The locked seasons, each with the page of its lock.
    pub(super) locked: Vec<Choice>,
}

impl FormPage {
    pub(super) fn new(app: &App, visit: &Visit, of: &SetAside, sheet: Sheet) -> Self {
        let name = named(of);
        let units = visit.units();
        Self {
            shell: Shell::new(app, visit, format!("Hand jars over: {name}")),
            sheet,
            action: of
                .sharer
                .member()
                .map_or_else(|| paths::MILL_HAND_OVER.to_owned(), paths::new_hand_over),
            boxes: of
                .jars
                .iter()
                .filter(|row| row.left() > 0)
                .map(|row| JarBox {
                    name: form::name_of(row),
                    label: format!(
                        "Lot {}: {}",
                        row.lot,
                        jar_says(&row.size_name, row.net, row.part, units)
                    ),
                    hint: waiting_hint(row, of),
                })
                .collect(),
            may_change: may_change(&of.reopened.iter().collect()),
            settles: None,
            seasons: Vec::new(),
            locked: Vec::new(),
            back: paths::HAND_OVERS,
        }
    }

    /// The form with the mill's jars, to settle what a member is owed.
    pub(super) fn settling(
        app: &App,
        visit: &Visit,
        (mill, mut settles): (&SetAside, Settles),
        sheet: Sheet,
    ) -> Self {
        let mut page = Self::new(app, visit, mill, sheet);
        page.shell = Shell::new(app, visit, format!("Settle in jars: {}", settles.who));
        page.action.clone_from(&settles.action);
        page.seasons = std::mem::take(&mut settles.seasons);
        page.locked = std::mem::take(&mut settles.locked);
        if !settles.owed || page.seasons.is_empty() {
            page.boxes.clear();
        }
        page.settles = Some(settles);
        page
    }
}

/// Hint on how many wait, since when, and whether they must stay.
fn waiting_hint(row: &AsideRow, of: &SetAside) -> String {
    let waiting = format!("{} waiting since {}", row.left(), row.press_date.show());
    match of.held.iter().find(|h| h.boil == row.boil_id) {
        None => waiting,
        Some(hold) => format!("{waiting}. This lot is held ({}): write 0.", hold.why),
    }
}

/// One line of a receipt.
struct JarLine {
    lot: String,
    jar: String,
    count: i64,
    grams: String,
}

/// A receipt.
#[derive(Template)]
#[template(path = "shares/hand_overs/receipt.html")]
pub(super) struct ReceiptPage {
    shell: Shell,
    coop: String,
    place: String,
    who: String,
    /// The jars settle what that member was owed.
    settles: bool,
    when: String,
    by: String,
    given_to: String,
    note: String,
    lines: Vec<JarLine>,
    count: i64,
    grams: String,
    out: Option<Out>,
    balances: Vec<String>,
    moves: Vec<String>,
    take_back: String,
    crew: bool,
    back: &'static str,
}

impl ReceiptPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        receipt: &hand_overs::Receipt,
    ) -> Result<Self, PageError> {
        let (row, jars) = (&receipt.row, &receipt.jars);
        let (coop, units) = (visit.coop()?, visit.units());
        let weigh = |jar: &HandOverJar| Grams::new(jar.net.get() * jar.count);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Receipt {}", row.number)),
            coop: coop.name.clone(),
            place: coop.place.clone(),
            who: receipt
                .settled
                .as_ref()
                .map_or_else(|| who(row.member_name.as_ref()), |s| s.name.to_string()),
            settles: receipt.settled.is_some(),
            when: coop.zone.show(row.at),
            by: format!(
                "{}{}{}",
                row.by_name,
                typed_in(
                    row.typed_by.as_ref(),
                    row.typed_at.unwrap_or(row.at),
                    &coop.zone
                ),
                came_by(&receipt.came, row.typed_at.unwrap_or(row.at), &coop.zone)
            ),
            given_to: row.given_to.to_string(),
            note: row.note.clone(),
            lines: jars
                .iter()
                .map(|jar| JarLine {
                    lot: jar.lot.to_string(),
                    jar: jar_says(&jar.size_name, jar.net, jar.part, units),
                    count: jar.count,
                    grams: weigh(jar).said(units),
                })
                .collect(),
            count: jars.iter().map(|j| j.count).sum(),
            grams: jars.iter().map(weigh).sum::<Grams>().said(units),
            out: Out::of(receipt, units),
            balances: receipt
                .left
                .as_ref()
                .map_or_else(Vec::new, |left| balances(left, units)),
            moves: receipt
                .moves
                .iter()
                .map(|m| move_line(m, units, &coop.zone))
                .collect(),
            take_back: only_if(
                me.is_crew()
                    && receipt.moves.iter().map(|m| m.jars.count).sum::<i64>()
                        < jars.iter().map(|j| j.count).sum(),
                paths::jars_back(row.number),
            ),
            crew: me.is_crew(),
            back: paths::HAND_OVERS,
        })
    }
}

/// What of a receipt is still out.
struct Out {
    count: i64,
    grams: String,
}

impl Out {
    /// `None`: nothing of it came back.
    fn of(receipt: &hand_overs::Receipt, units: Units) -> Option<Self> {
        let back = receipt.moves.iter().map(|m| (m.jars.net, m.jars.count));
        let (count, grams) = jars_and_grams(back);
        let jars = receipt.jars.iter().map(|jar| (jar.net, jar.count));
        let (all, weight) = jars_and_grams(jars);
        (count > 0).then(|| Self {
            count: all - count,
            grams: (weight - grams).said(units),
        })
    }
}

fn jars_and_grams(jars: impl Iterator<Item = (Grams, i64)>) -> (i64, Grams) {
    jars.fold((0, Grams::ZERO), |(count, grams), (net, more)| {
        (count + more, grams + Grams::new(net.get() * more))
    })
}

fn balances(left: &LeftFor, units: Units) -> Vec<String> {
    let waiting = match left.jars {
        0 => "No jars are waiting at the mill.".to_owned(),
        1 => "1 jar is still waiting at the mill.".to_owned(),
        n => format!("{n} jars are still waiting at the mill."),
    };
    let mut all = vec![
        waiting,
        format!("Syrup: {}.", grams_says(left.grams, units)),
        format!("Money: {}.", money_says(left.cents)),
        may_change(&left.reopened.iter().collect()),
    ];
    all.retain(|line| !line.is_empty());
    all
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let name = "Maximiliana <b>Featherstonehaugh</b> & Co";
    let list = |many: i64| ListPage {
        shell: Shell::sample("Jars to hand over"),
        waiting: (0..many)
            .map(|n| Waiting {
                who: name.to_owned(),
                href: paths::MILL_HAND_OVER.to_owned(),
                count: n,
            })
            .collect(),
        receipts: (0..many)
            .map(|n| Receipt {
                number: n,
                href: paths::hand_over(n),
                who: name.to_owned(),
                settles: n == 2,
                when: "Sat 19 Sep 2026 16:40".to_owned(),
                given_to: "<i>Amos</i>".to_owned(),
            })
            .collect(),
        boils: paths::BOILS,
        paper: paths::HAND_OVER_SHEET,
        keyed: paths::PAPER_HAND_OVERS,
    };
    let form = |many: usize| {
        let mut sheet = Sheet::sample();
        sheet
            .put("jar-26001X-1360-0", "x")
            .refuse("jar-26001X-1360-0", "“x” is not a number.");
        FormPage {
            shell: Shell::sample("Hand jars over"),
            sheet: if many > 0 { sheet } else { Sheet::sample() },
            action: paths::MILL_HAND_OVER.to_owned(),
            boxes: (0..many)
                .map(|n| JarBox {
                    name: format!("jar-26001X-1360-{n}"),
                    label: "Lot 26001-X: <quart> of 1,360 g".to_owned(),
                    hint: "6 waiting since Sat 19 Sep 2026".to_owned(),
                })
                .collect(),
            may_change:
                "Lot 26001-X is being put right and will be divided again: that may change this."
                    .to_owned(),
            settles: (many > 3).then(|| Settles {
                who: name.to_owned(),
                action: paths::MILL_HAND_OVER.to_owned(),
                stands: "4,080 g still to come".to_owned(),
                owed: true,
                seasons: Vec::new(),
                locked: Vec::new(),
            }),
            seasons: vec![Choice::new("x", "2026")],
            locked: vec![Choice::new("/seasons/2025/lock", "2025")],
            back: paths::HAND_OVERS,
        }
    };
    vec![
        Box::new(list(0)),
        Box::new(list(40)),
        Box::new(form(0)),
        Box::new(form(5)),
        Box::new(receipt_sample(name)),
    ]
}

#[cfg(test)]
fn receipt_sample(name: &str) -> ReceiptPage {
    use crate::units::Cents;
    ReceiptPage {
        shell: Shell::sample("Receipt 12"),
        coop: "Coldwater <Ridge>".to_owned(),
        place: "Tolliver, TN 37999".to_owned(),
        who: name.to_owned(),
        settles: true,
        when: "Sat 19 Sep 2026 16:40".to_owned(),
        by: "Ruth <Bell>".to_owned(),
        given_to: "<i>Amos</i>".to_owned(),
        note: "for his <mother>".to_owned(),
        lines: vec![JarLine {
            lot: "26001-X".to_owned(),
            jar: "<quart> of 1,360 g".to_owned(),
            count: 6,
            grams: "8,160 g".to_owned(),
        }],
        count: 6,
        grams: "8,160 g".to_owned(),
        out: Some(Out {
            count: 4,
            grams: "5,440 g".to_owned(),
        }),
        balances: balances(
            &LeftFor {
                reopened: Vec::new(),
                jars: 1,
                grams: Grams::new(-58),
                cents: Cents::new(1250),
            },
            Units::Us,
        ),
        moves: vec!["<b>2</b> came back".to_owned()],
        take_back: "/hand-overs/12/back".to_owned(),
        crew: false,
        back: paths::HAND_OVERS,
    }
}
