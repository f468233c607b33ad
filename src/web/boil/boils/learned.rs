//! What the figures beside the pan rest on, as text ready to print.

use crate::calc::boil::fire::on_fire;
use crate::calc::boil::pan;
use crate::calc::cane::learned::Learned;
use crate::calc::physics::elevation::Factor;
use crate::facts::boil::boils::Boil;
use crate::units::Units;

/// What the figures rest on: K, the pan's rate, the recovery, each with its boils and spread.
pub(super) fn learned(boil: &Boil, of: &on_fire::Boil, units: Units) -> Vec<String> {
    let boils = |l: Learned| {
        let plural = if l.boils == 1 { "boil" } else { "boils" };
        format!("{} finished {plural} of this season", l.boils)
    };
    let factor = match boil.habit.factor_learned {
        Some(l) => format!(
            "Factor K {:.2}: the middle of {}, spread ± {:.2}.",
            l.middle,
            boils(l),
            l.spread
        ),
        None => format!(
            "Factor K {:.2}: the default for sorghum until finished boils teach the mill’s own.",
            Factor::DEFAULT.get()
        ),
    };
    let name = boil.under.as_ref().map_or("", |p| p.name.as_str());
    let rate = match boil.habit.rate {
        Some(l) => format!(
            "{name} drives off {}: the middle of {}, spread ± {}.",
            pan::rate(l.middle, units),
            boils(l),
            pan::rate(l.spread, units)
        ),
        None => format!(
            "{name} drives off {}, as set up, until finished boils teach its own.",
            pan::rate(of.pan.rate_l_m2_h, units)
        ),
    };
    let recovery = match boil.habit.recovery {
        Some(l) => format!(
            "{:.0} of 100 of the solids reach the syrup: the middle of {}, spread ± {:.0}.",
            100.0 * l.middle,
            boils(l),
            100.0 * l.spread
        ),
        None => format!(
            "{:.0} of 100 of the solids are expected in the syrup, by the season’s rules.",
            boil.rules.recovery_pct
        ),
    };
    let efficiency = boil.under.as_ref().map(|under| {
        let set = under.settings.fuel_for_plan();
        let of = boil.habit.efficiency(under.id, set);
        format!(
            "{:.0} of 100 of the heat of {} reach the juice in {name}: {}.",
            100.0 * of.share,
            set.0.name(),
            of.words()
        )
    });
    [factor, rate, recovery]
        .into_iter()
        .chain(efficiency)
        .collect()
}
