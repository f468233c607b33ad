//! The page of a boil's loss, as text ready to print: what was written of it, and what the season bearing it would move, looked at
//! before it is done.

use super::form::LOST;
use super::view::locks;
use crate::calc::shares::ledger::grams_says;
use crate::calc::shares::losses::{HowLost, LossBound, LossRule};
use crate::facts::season::losses_borne::WouldMove;
use crate::facts::season::season_close::BoilLoss;
use crate::store::season::season_close::LossLine;
use crate::units::{Grams, Units, Zone};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// What it would move for one sharer.
#[derive(Debug, Clone)]
struct BearLine {
    who: String,
    good: String,
    gives: String,
    now: String,
    then: String,
}

fn bear_lines(moves: &[WouldMove], units: Units) -> Vec<BearLine> {
    let line = |row: &WouldMove| BearLine {
        who: match &row.name {
            Some(name) => name.to_string(),
            None => "The mill".to_owned(),
        },
        good: row.part.made_good.said(units),
        gives: row.part.borne.said(units),
        now: grams_says(row.carried, units),
        then: grams_says(row.carried + row.part.made_good - row.part.borne, units),
    };
    moves.iter().map(line).collect()
}

/// The page of a boil's loss.
#[derive(Template)]
#[template(path = "season/season_close/loss.html")]
pub(super) struct LossPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    bear: String,
    not_lost: String,
    back: String,
    close: String,
    rule: &'static str,
    /// What was written of it, in order.
    lines: Vec<String>,
    /// A loss counts.
    counts: bool,
    /// The season bears the loss.
    borne: bool,
    may_bear: bool,
    /// What it would move, as things stand; once the season bears it, what it moved.
    moves: Vec<BearLine>,
    /// Why the season cannot bear it yet; it stands at that button.
    bear_problem: Option<String>,
    /// The season that is locked; none: it is not.
    locked: Vec<Choice>,
    whats: Vec<Choice>,
    label: &'static str,
    /// How much can be lost, and what to write, beside the box.
    lost_hint: String,
}

impl LossPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        (of, moves): (&BoilLoss, &[WouldMove]),
        (mut sheet, bearing): (Sheet, bool),
    ) -> Result<Self, PageError> {
        let (boil, rules) = (&of.boil, &of.rules);
        let (units, zone) = (visit.units(), visit.zone()?);
        let borne = of.loss.as_ref().is_some_and(|l| l.borne);
        let locked: Vec<i64> = of.locked.into_iter().collect();
        let lines = of.lines.iter().map(|line| loss_says(line, units, zone));
        let may_bear = rules.loss == LossRule::Pool && of.loss.is_some() && !borne;
        let at_button = bearing && may_bear && locked.is_empty();
        let bear_problem = sheet.problem.take_if(|_| at_button);
        Ok(Self {
            shell: Shell::new(app, visit, format!("Boil {}: loss", boil.lot)),
            sheet,
            action: paths::boil_part(&boil.lot, "loss"),
            bear: paths::boil_part(&boil.lot, "loss/bear"),
            not_lost: paths::boil_part(&boil.lot, "loss/back"),
            back: paths::boil(&boil.lot),
            close: paths::season_part(of.year, "close"),
            rule: rules.loss.sentence(),
            lines: lines.collect(),
            counts: of.loss.is_some(),
            borne,
            may_bear,
            moves: bear_lines(moves, units),
            bear_problem,
            locked: locks(&locked),
            whats: whats(),
            label: match units {
                Units::Us => "Syrup lost, lb",
                Units::Metric => "Syrup lost, kg",
            },
            lost_hint: of
                .bound
                .map_or_else(String::new, |bound| lost_hint(&bound, units)),
        })
    }
}

/// What stands beside the box for what was lost.
fn lost_hint(bound: &LossBound, units: Units) -> String {
    let may_be = if bound.weighed.is_none() {
        "It can be "
    } else {
        ""
    };
    format!(
        "{may_be}{}. Please write it as weighed, or as near as can be told. Leave it empty when the whole boil is lost: then it is what \
         the boil was expected to give.",
        bound.says(units)
    )
}

fn loss_says(line: &LossLine, units: Units, zone: &Zone) -> String {
    let (by, at) = (&line.by_name, zone.show(line.at));
    if line.lost == Grams::ZERO {
        return format!("Taken back by {by} on {at}: {}", line.why);
    }
    format!(
        "{} of syrup {}{}: {}. Written down by {by} on {at}",
        line.lost.booked(units),
        HowLost::of_word(&line.what).map_or("lost", HowLost::was),
        if line.whole { ", the whole boil" } else { "" },
        line.why,
    )
}

fn whats() -> Vec<Choice> {
    LOST.map(|(word, words)| Choice::new(word, words)).into()
}

#[cfg(test)]
fn sample(many: usize) -> Vec<BearLine> {
    let line = BearLine {
        who: "Maximiliana <b>Featherstonehaugh</b> & Co".to_owned(),
        good: "12 lb 4.5 oz".to_owned(),
        gives: "10.5 oz".to_owned(),
        now: "nothing is carried".to_owned(),
        then: "11.6 lb still to come".to_owned(),
    };
    vec![line; many]
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let loss = |lost: &str, may_bear| {
        LossPage {
        shell: Shell::sample("Boil 26001-X: loss"),
        sheet: Sheet::sample(),
        action: "/boils/26001X/loss".to_owned(),
        bear: "/boils/26001X/loss/bear".to_owned(),
        not_lost: "/boils/26001X/loss/back".to_owned(),
        back: "/boils/26001X".to_owned(),
        close: "/seasons/2026/close".to_owned(),
        rule: LossRule::Pool.sentence(),
        lines: lost.split('|').map(ToOwned::to_owned).collect(),
        counts: may_bear,
        borne: false,
        may_bear,
        moves: sample(if may_bear { 40 } else { 0 }),
        bear_problem: may_bear.then(|| "Lot 26001-X is not divided yet.".to_owned()),
        locked: locks(if may_bear { &[] } else { &[2026] }),
        whats: whats(),
        label: "Syrup lost, lb",
        lost_hint: "29 lb 1.6 oz came out of the pan and 28 lb 11.2 oz is in jars, so at most 6.5 oz can have been lost.".to_owned(),
    }
    };
    vec![
        Box::new(loss("", false)),
        Box::new(loss(
            "12,345 g of syrup scorched: the <fire> was not drawn|Taken back by <b>Ruth</b>|12 g of syrup spilled",
            true,
        )),
    ]
}
