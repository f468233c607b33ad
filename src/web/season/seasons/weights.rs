//! What counts how much when turns are proposed: the boxes of a version of the rules, and the same in words.

use super::form::figure;
use super::words::{Setting, setting};
use crate::calc::season::rules::within;
use crate::calc::season::weights::{CREW, Weights};
use crate::units::{Grams, Refused, Units, fixed};
use crate::web::form::Sheet;

/// Reads the boxes of what each loss and cost counts.
pub(super) fn read(sheet: &mut Sheet, units: Units) -> Option<Weights> {
    let day = cane(sheet, "weigh_day", units);
    let person = cane(sheet, "weigh_person", units);
    let short_pct = figure(sheet, "weigh_short");
    let wait_pct = figure(sheet, "weigh_wait");
    let move_pct = figure(sheet, "weigh_move");
    let step_pct = figure(sheet, "weigh_step");
    let edge_pct = figure(sheet, "weigh_edge");
    let early_pct = figure(sheet, "weigh_early");
    let late_pct = figure(sheet, "weigh_late");
    let frost_pct = figure(sheet, "weigh_frost");
    Some(Weights {
        day: day?,
        person: person?,
        short_pct: short_pct?,
        wait_pct: wait_pct?,
        move_pct: move_pct?,
        step_pct: step_pct?,
        edge_pct: edge_pct?,
        early_pct: early_pct?,
        late_pct: late_pct?,
        frost_pct: frost_pct?,
    })
}

fn cane(sheet: &mut Sheet, at: &'static str, units: Units) -> Option<Grams> {
    sheet.read(at, |text| {
        let cane = Grams::parse(text, units)?;
        within(at, cane.kg()).map_err(|refusal| Refused::new(refusal.sentence))?;
        Ok(cane)
    })
}

/// Fills those boxes.
pub(super) fn put(sheet: &mut Sheet, of: &Weights, units: Units) {
    for (at, figure) in of.figures() {
        sheet.put(at, figure.to_string());
    }
    sheet
        .put("weigh_day", of.day.typed(units))
        .put("weigh_person", of.person.typed(units));
}

/// The figures as settings, for the page that shows the rules.
pub(super) fn settings(of: &Weights, units: Units) -> Vec<Setting> {
    let percent = |figure: f64| {
        let text = fixed(figure, 1, units);
        format!("{} %", text.strip_suffix(".0").unwrap_or(&text))
    };
    vec![
        setting(
            "Proposal: opening the mill for a day counts as",
            format!("{} of cane", of.day.show(units)),
            "weigh_day",
        ),
        setting(
            "Proposal: each of the crew who must come counts as",
            format!("{} of cane, for {CREW} people", of.person.show(units)),
            "weigh_person",
        ),
        setting(
            "Proposal: loss counted for cane that a pan lacks to be full",
            percent(of.short_pct),
            "weigh_short",
        ),
        setting(
            "Proposal: loss counted for cane whose juice waits for the pan",
            percent(of.wait_pct),
            "weigh_wait",
        ),
        setting(
            "Proposal: loss counted for cane that is moved to another day",
            percent(of.move_pct),
            "weigh_move",
        ),
        setting(
            "Proposal: steps in which members’ greatest losses are compared",
            percent(of.step_pct),
            "weigh_step",
        ),
        setting(
            "Sugar lost on the first and the last of the days ready",
            percent(of.edge_pct),
            "weigh_edge",
        ),
        setting(
            "Sugar lost for each day cut too early",
            percent(of.early_pct),
            "weigh_early",
        ),
        setting(
            "Sugar lost for each day cut too late",
            percent(of.late_pct),
            "weigh_late",
        ),
        setting(
            "Sugar lost of cane that frost has killed",
            percent(of.frost_pct),
            "weigh_frost",
        ),
    ]
}
