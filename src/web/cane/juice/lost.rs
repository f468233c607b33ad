//! Juice that is lost: the form that says how much and why, and the button that takes it back.

use super::form::amount_of;
use crate::actions::cane::yard::{LostAmount, NewLost};
use crate::calc::cane::juice::Amount;
use crate::facts::cane::juice::FullJuice;
use crate::units::{Refused, Units, plain_text};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// The ways in which juice is lost: the word sent, and the words shown.
const KINDS: [(&str, &str); 3] = [
    ("spilt", "Spilt"),
    ("spoilt", "Spoilt and poured away"),
    ("twice", "Measured twice"),
];

/// Reads what is lost, in the kind that the juice was measured in.
pub(super) fn lost(sheet: &mut Sheet, of: &FullJuice, units: Units) -> Option<NewLost> {
    let what = sheet.read("what", |text| {
        KINDS
            .iter()
            .map(|(word, _)| *word)
            .find(|word| *word == text)
            .ok_or_else(|| Refused::new("Please choose what happened."))
    });
    let weighed = matches!(of.juice.amount, Amount::Weight(_));
    let amount = sheet.read_optional("lost", |text| {
        amount_of(text, weighed, of.juice.temp, units).map(LostAmount::Part)
    });
    let note = sheet.read("note", |text| plain_text(text, 0, 200));
    Some(NewLost {
        what: what?,
        amount: amount?.unwrap_or(LostAmount::Rest),
        note: note?,
    })
}

/// The form that notes lost juice.
#[derive(Template)]
#[template(path = "cane/juice/lost.html")]
pub(super) struct LostPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    whose: String,
    left: String,
    amount: &'static str,
    kinds: Vec<Choice>,
}

impl LostPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        of: &FullJuice,
    ) -> Result<Self, PageError> {
        let (units, row) = (visit.units(), &of.juice);
        let amount = match (row.amount, units) {
            (Amount::Weight(_), Units::Us) => "How much, lb",
            (Amount::Weight(_), Units::Metric) => "How much, kg",
            (Amount::Volume(..), Units::Us) => "How much, gal",
            (Amount::Volume(..), Units::Metric) => "How much, L",
        };
        Ok(Self {
            shell: Shell::new(app, visit, format!("Juice lost, ticket {}", row.ticket)),
            action: paths::lose_juice(row.id),
            back: paths::juice(row.id),
            whose: format!("{}, in {}", row.member_name, row.vessel),
            left: of.drawn.left(row.reckon()?.mass).show(units),
            amount,
            kinds: kinds(),
            sheet,
        })
    }
}

fn kinds() -> Vec<Choice> {
    KINDS
        .iter()
        .map(|(word, words)| Choice::new(*word, *words))
        .collect()
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong
        .put("lost", "<b>many</b>")
        .refuse("lost", "That is not a weight.")
        .refuse("what", "Please choose what happened.");
    let page = |sheet| LostPage {
        shell: Shell::sample("Juice lost, ticket 7"),
        sheet,
        action: "/juices/x/lost".to_owned(),
        back: "/juices/x".to_owned(),
        whose: "Amos <b>Trout</b>, in <Blue> barrel".to_owned(),
        left: "170.0 lb".to_owned(),
        amount: "How much, lb",
        kinds: kinds(),
    };
    vec![Box::new(page(Sheet::sample())), Box::new(page(wrong))]
}
