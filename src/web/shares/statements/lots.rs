//! The lots of a statement: the member's own part of each boil, each sum in words.

use super::lost::lost_steps;
use crate::calc::Basis;
use crate::calc::boil::sums::Stage;
use crate::calc::shares::division::{Division, Part};
use crate::calc::shares::split::Sharer;
use crate::facts::shares::statements::LotPart;
use crate::store::shares::ledger::LedgerLine;
use crate::units::{Cents, MemberId, MilliCents, Units, Zone};
use crate::web::paths;
use crate::web::shares::divisions::sums;

/// One step of the sum.
pub(super) struct SumStep {
    pub(super) what: &'static str,
    pub(super) sum: String,
}

/// One fee.
pub(super) struct Fee {
    pub(super) says: String,
    pub(super) cents: String,
}

/// A lot.
pub(super) struct LotLines {
    pub(super) lot: String,
    pub(super) href: String,
    pub(super) date: String,
    pub(super) state: String,
    pub(super) steps: Vec<SumStep>,
    pub(super) fees: Vec<Fee>,
    pub(super) fee_total: String,
}

fn step(what: &'static str, sum: String) -> SumStep {
    SumStep { what, sum }
}

pub(super) fn lines(
    lot: &LotPart,
    member: MemberId,
    ledger: &[LedgerLine],
    zone: &Zone,
    units: Units,
) -> LotLines {
    let mine = Sharer::Member(member);
    let basis = lot
        .divided
        .as_ref()
        .map_or(lot.rules.basis, |(row, _)| row.basis);
    let mut steps = brought(lot, basis, units);
    let state = match &lot.divided {
        None if lot.boil.stage() == Stage::Lit => "still on the fire".to_owned(),
        None if lot.boil.stage() == Stage::Lost => {
            "its syrup was lost, nothing to divide".to_owned()
        }
        None => "finished, not divided yet".to_owned(),
        Some((row, division)) => {
            if let Some(part) = division.parts.iter().find(|p| p.sharer == mine) {
                steps.extend(divided(part, division, units));
            }
            let mut again = if row.why.is_empty() {
                String::new()
            } else {
                format!("; version {}, put right because: {}", row.version, row.why)
            };
            if lot.is_reopened() {
                again.push_str("; it is being put right and will be divided again");
            }
            format!(
                "divided on {} by {}{}{again}",
                zone.show(row.at),
                row.by_name,
                row.signed_by
                    .as_ref()
                    .map_or_else(String::new, |name| format!(", signed by {name}"))
            )
        }
    };
    steps.extend(lost_steps(lot, units).map(|sum| step("Lost", sum)));
    let own: Vec<&LedgerLine> = ledger
        .iter()
        .filter(|l| l.boil_id == Some(lot.boil.id) && l.cents != Cents::ZERO)
        .collect();
    LotLines {
        lot: lot.boil.lot.to_string(),
        href: href(lot),
        date: lot.boil.press_date.show(),
        state,
        steps,
        fee_total: own.iter().map(|l| l.cents).sum::<Cents>().show(),
        fees: own
            .into_iter()
            .map(|l| Fee {
                says: l.says.clone(),
                cents: l.cents.show(),
            })
            .collect(),
    }
}

/// A division can be read once it is frozen; before, the lot says where it is.
pub(super) fn href(lot: &LotPart) -> String {
    if lot.divided.is_some() {
        paths::boil_part(&lot.boil.lot, "divide")
    } else {
        paths::boil(&lot.boil.lot)
    }
}

/// What the member's juices brought, and their sum when there are several.
fn brought(lot: &LotPart, basis: Basis, units: Units) -> Vec<SumStep> {
    let text = |weight| sums::weight_text(basis, weight, units);
    let mut steps: Vec<SumStep> = lot
        .pours
        .iter()
        .map(|pour| {
            let part = match basis {
                Basis::CaneMass => sums::cane_sum(pour, units),
                Basis::Solids => sums::part_sum(pour, units),
                Basis::JuiceMass | Basis::JuiceVolume => {
                    format!("{} of it", pour.part.mass.grams_text(units))
                }
            };
            step(
                "Your juice",
                format!(
                    "ticket {}, {}: {part}; brings {}",
                    pour.draw.ticket,
                    pour.draw.vessel,
                    text(pour.brought.weight(basis))
                ),
            )
        })
        .collect();
    if lot.pours.is_empty() {
        steps.push(step(
            "Your juice",
            "none of yours; its jars may repay what is carried for you".to_owned(),
        ));
    }
    // A division by cane shows this sum already.
    if lot.rules.cane_rate > MilliCents::ZERO && basis != Basis::CaneMass {
        let charged = lot.pours.iter().filter_map(|pour| {
            let sum = sums::charged_cane(pour, lot.rules.rates_in, units)?;
            Some(format!("ticket {}: {sum}", pour.draw.ticket))
        });
        steps.extend(charged.map(|sum| step("Cane charged for", sum)));
    }
    if lot.pours.len() > 1 {
        let all: Vec<u64> = lot.pours.iter().map(|p| p.brought.weight(basis)).collect();
        let parts: Vec<String> = all.iter().map(|w| text(*w)).collect();
        steps.push(step(
            "Together",
            format!("{} = {}", parts.join(" + "), text(all.iter().sum())),
        ));
    }
    steps
}

fn divided(part: &Part, d: &Division, units: Units) -> Vec<SumStep> {
    let mut steps = vec![step("Recovery", sums::recovery_sum(d, units))];
    if part.weight > 0 {
        steps.push(step(
            "Your part",
            format!(
                "{} ÷ {} = {}, to 0.01 %",
                sums::weight_text(d.basis, part.weight, units),
                sums::weight_text(d.basis, d.weight, units),
                sums::percent(part.weight, d.weight)
            ),
        ));
        steps.push(step("Mill’s toll", sums::toll_sum(d, units)));
        steps.push(step("Members", sums::members_sum(d, units)));
        steps.push(step("You", sums::share_sum(part, d, units)));
    }
    steps.push(step("Jars", sums::jars_sum(part, d, units)));
    steps.push(step(
        "Carry",
        format!(
            "carried here + share − in jars: {}",
            sums::carry_sum(part, units)
        ),
    ));
    steps
}
