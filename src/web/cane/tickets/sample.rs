//! A sample of a ticket's cane: weighed as it came, stripped, weighed again; and what the rules make of it, in words.

use crate::actions::cane::yard::NewSample;
use crate::calc::Basis;
use crate::calc::cane::trash::SAMPLE_LEAST;
use crate::facts::cane::tickets::FullTicket;
use crate::store::cane::tickets::LoadRow;
use crate::store::cane::trash::SampleRow;
use crate::store::season::seasons::Rules;
use crate::units::{Grams, MilliCents, Units, Zone};
use crate::web::cane::cane_words::clean_sum;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;
use axum::http::StatusCode;

/// The figures that are read back.
const LOOKED_AT: [&str; 2] = ["before", "after"];

/// Reads a sample: outer nothing when a box is wrong, inner nothing when there was none.
#[expect(
    clippy::option_option,
    reason = "outer: was it readable; inner: was there a sample"
)]
pub(super) fn read(sheet: &mut Sheet, units: Units) -> Option<Option<NewSample>> {
    if sheet.ticked("none") {
        return Some(None);
    }
    let before = sheet.read("before", |text| Grams::parse(text, units));
    let after = sheet.read("after", |text| Grams::parse(text, units));
    Some(Some(NewSample {
        weights: (before?, after?),
        sure: sheet.confirmed(&LOOKED_AT),
    }))
}

/// The net cane of a ticket.
fn net(of: &FullTicket) -> Grams {
    let mut last = 0;
    let latest = of
        .loads
        .iter()
        .filter(|l| std::mem::replace(&mut last, l.number) != l.number);
    latest.map(LoadRow::net).sum()
}

/// The sample of a ticket and what comes of it, a line each; nothing: none was taken.
pub(super) fn lines(of: &FullTicket, units: Units, zone: &Zone) -> Vec<String> {
    let Some(row) = of.samples.first() else {
        return Vec::new();
    };
    let who = format!("{}, {}", row.by_name, zone.show(row.at));
    let Some(sample) = row.sample() else {
        return vec![format!("The sample is crossed out ({who}).")];
    };
    let mut lines = vec![format!(
        "Sample: {} as it came, {} stripped: {:.1} of 100 is trash ({who}).",
        sample.before.show(units),
        sample.after.show(units),
        sample.trash_percent()
    )];
    if of.rules.trash_off {
        lines.push(format!(
            "By the season’s rules it is taken off: {} ({}).",
            clean_sum(net(of), sample, units),
            sample.clean(net(of)).show(units)
        ));
    } else {
        lines.push("By the season’s rules nothing is taken off: the sample is noted.".to_owned());
    }
    lines.push(meaning(&of.rules));
    lines
}

/// What cane weight means under these rules.
fn meaning(rules: &Rules) -> String {
    let fee = rules.cane_rate != MilliCents::ZERO;
    match (rules.basis, rules.trash_off, fee) {
        (Basis::CaneMass, true, _) => {
            "Syrup is divided by cane weight: a share goes by the cane that counts.".to_owned()
        }
        (Basis::CaneMass, false, _) => "Syrup is divided by cane weight, all of it.".to_owned(),
        (basis, true, true) => format!(
            "Syrup is divided by {}, which trash does not change: what is taken off lessens only the fee on cane.",
            basis.label()
        ),
        (basis, ..) => format!(
            "Syrup is divided by {}: a share does not go by the cane’s weight.",
            basis.label()
        ),
    }
}

/// The form of a sample that was stripped.
#[derive(Template)]
#[template(path = "cane/tickets/sample.html")]
pub(super) struct SamplePage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    number: i64,
    net: String,
    whose: String,
    unit: &'static str,
    least: String,
    meaning: String,
    /// Whether there is a sample that can be crossed out.
    stands: bool,
    /// The figures that are read back; empty: nothing was questioned.
    ask: String,
}

impl SamplePage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet, of: &FullTicket) -> Self {
        let (units, ticket) = (visit.units(), &of.ticket);
        let doubted = |problem: &str| problem.contains("Yes, it is so");
        let asked = sheet.status() == StatusCode::CONFLICT
            && sheet.at("after").problem.as_deref().is_some_and(doubted);
        Self {
            shell: Shell::new(app, visit, format!("Sample of ticket {}", ticket.ticket)),
            action: paths::sample(ticket.id),
            back: paths::ticket(ticket.id),
            number: ticket.ticket,
            net: net(of).show(units),
            whose: ticket.member_name.to_string(),
            unit: match units {
                Units::Us => "lb",
                Units::Metric => "kg",
            },
            least: SAMPLE_LEAST.show(units),
            meaning: meaning(&of.rules),
            stands: of.samples.first().and_then(SampleRow::sample).is_some(),
            ask: if asked {
                sheet.together(&LOOKED_AT)
            } else {
                String::new()
            },
            sheet,
        }
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |sheet, stands, ask: &str| SamplePage {
        shell: Shell::sample("Sample of ticket 7"),
        sheet,
        action: "/tickets/x/sample".to_owned(),
        back: "/tickets/x".to_owned(),
        number: 7,
        net: "360.0 lb".to_owned(),
        whose: "Amos <b>Trout</b>".to_owned(),
        unit: "lb",
        least: "5.0 lb".to_owned(),
        meaning: "Syrup is divided by cane weight.".to_owned(),
        stands,
        ask: ask.to_owned(),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("before", "<b>ten</b>")
        .refuse("before", "That is not a weight.")
        .refuse("after", "Stripped it weighs less than before.");
    vec![
        Box::new(page(Sheet::sample(), false, "")),
        Box::new(page(wrong, true, "10 and <4>")),
    ]
}
