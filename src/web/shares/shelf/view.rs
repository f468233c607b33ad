//! The pages of the shelf, as text ready to print.

use super::form::box_of;
use crate::actions::shares::jar_moves::CHOICES;
use crate::calc::shares::jar_places::{Became, Kind};
use crate::calc::shares::ledger::jar_says;
use crate::facts::shares::jar_count::{OutOn, OwnShelf, gone_of};
use crate::store::shares::hand_overs::AsideRow;
use crate::store::shares::jar_moves::JarMove;
use crate::store::shares::recalls::JarRow;
use crate::units::{Grams, LotCode, MemberName, Units, count_of};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shares::trace::{became_words, move_line};
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// Jars of one kind on a shelf.
struct JarLine {
    lot: String,
    href: String,
    jar: String,
    count: i64,
    grams: String,
}

/// One sharer's jars.
struct Owner {
    who: String,
    href: String,
    lines: Vec<JarLine>,
    together: String,
}

/// Everybody's jars at the mill.
#[derive(Template)]
#[template(path = "shares/shelf/list.html")]
pub(super) struct ShelfPage {
    shell: Shell,
    coop: String,
    when: String,
    together: String,
    owners: Vec<Owner>,
    back: &'static str,
    empty: &'static str,
}

fn weight(rows: &[AsideRow]) -> Grams {
    let grams = rows.iter().map(|r| Grams::new(r.net.get() * r.left()));
    grams.sum()
}

fn owner(of: &OwnShelf, units: Units) -> Owner {
    let count: i64 = of.jars.iter().map(AsideRow::left).sum();
    Owner {
        who: name(of.member.as_ref().map(|(_, name)| name)),
        href: paths::shelf_of(of.member.as_ref().map(|(id, _)| *id)),
        lines: of
            .jars
            .iter()
            .map(|row| JarLine {
                lot: row.lot.to_string(),
                href: paths::lot_trace(&row.lot),
                jar: jar_says(&row.size_name, row.net, row.part, units),
                count: row.left(),
                grams: Grams::new(row.net.get() * row.left()).said(units),
            })
            .collect(),
        together: format!(
            "{}, {}",
            count_of(count, "jar", "jars"),
            weight(&of.jars).said(units)
        ),
    }
}

fn name(of: Option<&MemberName>) -> String {
    of.map_or_else(|| "The mill".to_owned(), ToString::to_string)
}

impl ShelfPage {
    pub(super) fn new(app: &App, visit: &Visit, shelves: &[OwnShelf]) -> Result<Self, PageError> {
        let units = visit.units();
        let all = shelves.iter().flat_map(|s| &s.jars);
        let count: i64 = all.clone().map(AsideRow::left).sum();
        let grams: Grams = shelves.iter().map(|s| weight(&s.jars)).sum();
        Ok(Self {
            shell: Shell::new(app, visit, "Jars on the shelf"),
            coop: visit.coop()?.name.clone(),
            when: visit.zone()?.show(visit.at),
            together: format!(
                "{} of {}, {}",
                count_of(count, "jar", "jars"),
                count_of(
                    i64::try_from(shelves.len()).unwrap_or(i64::MAX),
                    "owner",
                    "owners"
                ),
                grams.said(units)
            ),
            owners: shelves.iter().map(|s| owner(s, units)).collect(),
            back: paths::HAND_OVERS,
            empty: paths::EMPTY_JARS,
        })
    }
}

/// One box of a form.
struct CountBox {
    name: String,
    label: String,
    hint: String,
}

/// The form in which it is written what became of jars.
#[derive(Template)]
#[template(path = "shares/shelf/moves.html")]
pub(super) struct MovesPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    intro: &'static str,
    choices: Vec<Choice>,
    boxes: Vec<CountBox>,
    so_far: Vec<String>,
    back: String,
    back_words: &'static str,
}

fn choices(may: &[Became]) -> Vec<Choice> {
    let words = |b: &Became| {
        let mut words = match b {
            Became::Found => CHOICES.0,
            Became::NotBroken => CHOICES.1,
            other => became_words(*other),
        }
        .to_owned();
        if let Some(first) = words.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        Choice::new(b.word(), words)
    };
    may.iter().map(words).collect()
}

fn boxes(
    jars: &[(LotCode, JarRow)],
    units: Units,
    there: impl Fn(&JarRow) -> String,
) -> Vec<CountBox> {
    jars.iter()
        .enumerate()
        .map(|(place, (lot, row))| CountBox {
            name: box_of(place),
            label: format!(
                "Lot {lot}: {}",
                jar_says(&row.size_name, row.net, row.part, units)
            ),
            hint: there(row),
        })
        .collect()
}

/// "6 on the shelf; 1 missing, 1 broken".
fn on_shelf(row: &JarRow, moves: &[JarMove]) -> String {
    let kind = Kind {
        boil: row.boil,
        size_name: row.size_name.clone(),
        net: row.net,
        part: row.part,
    };
    let (missing, broken) = gone_of(moves, &kind);
    let gone = [(missing, "missing"), (broken, "broken")];
    let gone: Vec<String> = gone
        .iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, how)| format!("{count} {how}"))
        .collect();
    let there = format!("{} on the shelf", row.count);
    if gone.is_empty() {
        return there;
    }
    format!("{there}; {}", gone.join(", "))
}

/// Words of the form of a shelf, and what may have become of its jars.
pub(super) const SHELF: (&str, [Became; 4]) = (
    "Count what is affected. A jar that broke at somebody’s home is not written here: it left the shelf whole. Who bears it stands in the season’s rules.",
    [
        Became::Broken,
        Became::Missing,
        Became::Found,
        Became::NotBroken,
    ],
);
/// Words of the form of a receipt, and what may have become of its jars.
pub(super) const RECEIPT: (&str, [Became; 2]) = (
    "The jars go back on the shelf of whose they are. The receipt stands as it was written; what came back stands beside it.",
    [Became::Returned, Became::Miscounted],
);

impl MovesPage {
    pub(super) fn of_shelf(
        (app, visit): (&App, &Visit),
        whose: Option<&MemberName>,
        (jars, moves): (&[(LotCode, JarRow)], &[JarMove]),
        (action, sheet): (String, Sheet),
    ) -> Result<Self, PageError> {
        let title = format!("Broken or missing jars: {}", name(whose));
        Ok(Self {
            shell: Shell::new(app, visit, title),
            sheet,
            action,
            intro: SHELF.0,
            choices: choices(&SHELF.1),
            boxes: boxes(jars, visit.units(), |row| on_shelf(row, moves)),
            so_far: so_far(visit, moves)?,
            back: paths::SHELF.to_owned(),
            back_words: "Back to the shelf",
        })
    }

    pub(super) fn of_receipt(
        (app, visit): (&App, &Visit),
        receipt: &OutOn,
        (jars, moves): (&[(LotCode, JarRow)], &[JarMove]),
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let number = receipt.row.number;
        Ok(Self {
            shell: Shell::new(app, visit, format!("Jars of receipt {number} come back")),
            sheet,
            action: paths::jars_back(number),
            intro: RECEIPT.0,
            choices: choices(&RECEIPT.1),
            boxes: boxes(jars, visit.units(), |row| {
                format!("{} on the receipt and not back yet", row.count)
            }),
            so_far: so_far(visit, moves)?,
            back: paths::hand_over(number),
            back_words: "Back to the receipt",
        })
    }
}

fn so_far(visit: &Visit, moves: &[JarMove]) -> Result<Vec<String>, PageError> {
    let zone = visit.zone()?;
    let line = |m| move_line(m, visit.units(), zone);
    Ok(moves.iter().map(line).collect())
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let name = "Maximiliana <b>Featherstonehaugh</b> & Co";
    let shelf = |many: usize| ShelfPage {
        shell: Shell::sample("Jars on the shelf"),
        coop: "Coldwater <Ridge>".to_owned(),
        when: "Sat 19 Sep 2026 16:40".to_owned(),
        together: "12 jars of 2 owners, 40.2 lb".to_owned(),
        owners: (0..many)
            .map(|_| Owner {
                who: name.to_owned(),
                href: "/members/mill/shelf".to_owned(),
                lines: vec![JarLine {
                    lot: "26A9Z-P".to_owned(),
                    href: "/boils/26A9ZP/trace".to_owned(),
                    jar: "quart <wide> of 48 oz".to_owned(),
                    count: 6,
                    grams: "18 lb".to_owned(),
                }],
                together: "6 jars, 18 lb".to_owned(),
            })
            .collect(),
        back: paths::HAND_OVERS,
        empty: paths::EMPTY_JARS,
    };
    let moves = |many: usize| {
        let mut sheet = Sheet::sample();
        if many > 0 {
            sheet
                .put("count-0", "x")
                .refuse("count-0", "“x” is not a number.");
        }
        MovesPage {
            shell: Shell::sample("Broken or missing jars"),
            sheet,
            action: "/members/mill/shelf".to_owned(),
            intro: SHELF.0,
            choices: choices(&SHELF.1),
            boxes: (0..many)
                .map(|n| CountBox {
                    name: box_of(n),
                    label: "Lot 26A9Z-P: quart <wide> of 48 oz".to_owned(),
                    hint: "6 on the shelf".to_owned(),
                })
                .collect(),
            so_far: vec![format!("Sat 19 Sep 2026 14:05, {name}: 2 broken")],
            back: paths::SHELF.to_owned(),
            back_words: "Back to the shelf",
        }
    };
    vec![
        Box::new(shelf(0)),
        Box::new(shelf(40)),
        Box::new(moves(0)),
        Box::new(moves(3)),
    ]
}
