//! The plan of a boil in words: syrup and jars to expect, water, heat, hours, and fuel by kind. For
//! the page of a boil and for the plan of a day.

use super::boil_words::count_words;
use crate::calc::boil::boil_plan::{Charge, Pan, Plan, plan};
use crate::calc::boil::boil_rules::jars_of;
use crate::calc::boil::fuel_burnt::Efficiency;
use crate::calc::cane::juice::Portion;
use crate::calc::physics::elevation::Finish;
use crate::calc::physics::energy::{BTU_J, Fuel};
use crate::facts::boil::boils::Boil;
use crate::store::season::seasons::JarSize;
use crate::units::{BrixAt20C, Celsius, Units, fixed};

/// A boil to plan.
#[derive(Clone, Copy)]
pub(super) struct Charged {
    /// All the juice in it.
    pub brought: Portion,
    /// Temperature of the juice.
    pub temp: Celsius,
    /// The Brix it is to be finished at.
    pub target: BrixAt20C,
    /// That finish as a temperature.
    pub finish: Finish,
    /// Share of the solids expected in the syrup.
    pub recovery: f64,
    /// The pan, at the rate it is known by.
    pub pan: Pan,
    /// The fuel under the pan.
    pub fuel: Fuel,
    /// The share of its heat that reaches the juice.
    pub efficiency: Efficiency,
}

/// Fuels that are always told, beside the pan's own.
const KINDS: [Fuel; 3] = [Fuel::Propane, Fuel::NaturalGas, Fuel::Wood];

impl Charged {
    fn charge(&self) -> Charge {
        Charge {
            juice: self.brought.mass,
            solids: self.brought.solids,
            temp: self.temp,
            target: self.target,
            finish: self.finish,
            recovery: self.recovery,
            pan: self.pan,
            fuel: (self.fuel, self.efficiency.share),
        }
    }
}

/// The plan in sentences; one sentence saying why when there is none.
pub(super) fn lines(of: &Charged, sizes: &[JarSize], units: Units) -> Vec<String> {
    match plan(&of.charge()) {
        Ok(plan) => words(of, &plan, sizes, units),
        Err(refusal) => vec![refusal.sentence],
    }
}

/// The plan of a boil; nothing without a pan or juice.
pub(super) fn of_boil(boil: &Boil, units: Units) -> Vec<String> {
    let (Some(of), Some(under), Some(temp)) =
        (boil.for_watch(), boil.under.as_ref(), boil.warmth())
    else {
        return Vec::new();
    };
    let charge = Charged {
        brought: boil.brought,
        temp,
        target: of.target,
        finish: boil.day.target,
        recovery: boil.habit.recovery_or(boil.rules.recovery_pct / 100.0),
        pan: of.pan,
        fuel: under.settings.fuel,
        efficiency: boil
            .habit
            .efficiency(under.id, under.settings.fuel_for_plan()),
    };
    lines(&charge, &boil.sizes, units)
}

fn words(of: &Charged, plan: &Plan, sizes: &[JarSize], units: Units) -> Vec<String> {
    let jars: Vec<String> = sizes
        .iter()
        .map(|s| count_words(jars_of(plan.syrup, s.net), &s.name))
        .collect();
    let mut out = vec![format!(
        "{} of syrup ({} once cool) at {:.1} °Bx, if {:.0} of 100 of the solids reach the jars; {} \
         if nothing is lost.",
        plan.syrup.show(units),
        plan.syrup_volume.show(units),
        of.target.get(),
        100.0 * of.recovery,
        plan.syrup_most.show(units)
    )];
    if !jars.is_empty() {
        out.push(format!("Have jars ready: {}.", jars.join(" or ")));
    }
    out.push(format!(
        "{} of water goes up as steam, which takes {} of heat in all.",
        plan.water.show(units),
        heat_text(plan.heat.total_kj(), units)
    ));
    out.push(format!(
        "About {} at the boil, {} from lighting the fire.",
        plan.boiling.show(),
        plan.all.show()
    ));
    out.push(fuel_line(of, plan, units));
    out
}

fn heat_text(kj: f64, units: Units) -> String {
    match units {
        Units::Us => format!("{} million Btu", fixed(kj / (1000.0 * BTU_J), 2, units)),
        Units::Metric => format!("{} MJ", fixed(kj / 1000.0, 0, units)),
    }
}

fn fuel_line(of: &Charged, plan: &Plan, units: Units) -> String {
    let own = of.fuel;
    let others: Vec<String> = KINDS
        .into_iter()
        .filter(|kind| *kind != own)
        .filter_map(|kind| {
            let efficiency = kind.efficiency_guess();
            let amount = kind.needed(plan.heat.total_kj(), efficiency).ok()?;
            Some(format!(
                "{} {} at {:.0} %",
                kind.name(),
                kind.show(amount, units),
                100.0 * efficiency
            ))
        })
        .collect();
    format!(
        "Fuel: about {} of {}, if {:.0} % of its heat reaches the juice ({}). By other kinds: {} \
         (guesses).",
        own.show(plan.fuel, units),
        own.name(),
        100.0 * of.efficiency.share,
        of.efficiency.words(),
        others.join("; ")
    )
}
