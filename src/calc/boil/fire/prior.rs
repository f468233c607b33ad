//! What is believed of a boil before anything is read of it: the courses a belief starts with.
//! Wide where nobody has learned, narrow but never blind where somebody has.

use super::course::{BoilConditions, Course, between, normal};
use super::on_fire::{Boil, Taught};
use super::thickness::u_of;
use rand::{Rng, RngExt};

/// What the juice was measured to, share of its water per solids (solids are out by as much).
const JUICE_SD: f64 = 0.025;
/// Natural logarithm of K where nobody has learned it: middle and spread. 0.82 to 1.65 holds all
/// but one in a hundred: Norrish's ratios for 10–40 % invert are 1.04–1.16 and published models of
/// impure syrup reach 1.30 at 78 °Bx; the rest is thermometers and ash.
const LN_K_GUESS: (f64, f64) = (0.14, 0.17);
/// How far one boil's K lies from its mill's usual one, and how much less a single boil teaches.
const LN_K_LEARNED_SD: f64 = 0.035;
const LN_K_ONE_BOIL_SD: f64 = 0.05;
/// Share of boils about which the learned figure says nothing: another pan, another juice.
const STRANGE: f64 = 0.06;
/// Natural logarithm of a pan's rate about the learned or starting figure.
const LN_RATE_LEARNED_SD: f64 = 0.15;
const LN_RATE_GUESS: (f64, f64) = (0.22, 0.52);
/// Minutes to the boil against heating the juice at the rate it later boils at: a cold pan and
/// hearth take part of the heat (natural logarithm, middle and spread).
const LN_HEAT_UP: (f64, f64) = (0.20, 0.35);
/// Heat to warm a kg of juice by 78 °C, over that to boil a kg of water off: 4.0 × 78 / 2257.
const WARM_OVER_BOIL: f64 = 0.138;

/// Draws one course from what is believed before the first reading.
pub(super) fn course(boil: &Boil, conditions: &BoilConditions, chance: &mut impl Rng) -> Course {
    let juice_u = u_of(boil.juice.get().max(2.0));
    let u = (juice_u * (1.0 + JUICE_SD * normal(chance))).max(1.02 * conditions.goal);
    let said = boil.pan.kg_min() / boil.solids.kg().max(0.01);
    let ln_rate = said.ln() + rate_off(boil.rate_boils, chance);
    let k = ln_k(boil.k, chance).exp();
    let heat_up = WARM_OVER_BOIL * (1.0 + u) / ln_rate.exp();
    let stray_sd = between(chance, (0.04_f64.ln(), 0.19_f64.ln())).exp();
    Course {
        u,
        u_lit: u,
        boils_at: heat_up * (LN_HEAT_UP.0 + LN_HEAT_UP.1 * normal(chance)).exp(),
        ln_rate,
        stray: stray_sd * normal(chance),
        stray_sd,
        slowing: slowing(chance),
        ease_to: 0.0,
        ease: 0.0,
        boils_again: 0.0,
        burns_on: false,
        k,
        bend: 0.04 + 0.10 * normal(chance),
        off: thermometer_off(chance),
        lag: between(chance, (0.15_f64.ln(), 2.2_f64.ln())).exp(),
        behind: 0.0,
        made_by: None,
    }
}

/// By how much the boil's rate is off what is said of its pan (natural logarithm).
fn rate_off(boils: u32, chance: &mut impl Rng) -> f64 {
    let strange = chance.random::<f64>() < STRANGE;
    match boils {
        0 => LN_RATE_GUESS.0 + LN_RATE_GUESS.1 * if strange { 2.0 } else { 1.0 } * normal(chance),
        n => {
            let sd = LN_RATE_LEARNED_SD.hypot(0.15 / f64::from(n).sqrt());
            sd * if strange { 3.0 } else { 1.0 } * normal(chance)
        }
    }
}

/// Draws a boil's K, as a natural logarithm.
pub(super) fn ln_k(taught: Option<Taught>, chance: &mut impl Rng) -> f64 {
    match taught {
        Some(Taught { value, boils }) if boils > 0 && value > 0.0 => {
            if chance.random::<f64>() < STRANGE {
                return value.ln() + 0.20 * normal(chance);
            }
            let sd = LN_K_LEARNED_SD.hypot(LN_K_ONE_BOIL_SD / f64::from(boils).sqrt());
            value.ln() + sd * normal(chance)
        }
        _ => (LN_K_GUESS.0 + LN_K_GUESS.1 * normal(chance)).clamp(-0.35, 0.70),
    }
}

fn slowing(chance: &mut impl Rng) -> f64 {
    // Slowing at the target from hardly any to almost half the speed, the less the likelier.
    let share = chance.random::<f64>();
    0.75 * share * share + 0.02
}

fn thermometer_off(chance: &mut impl Rng) -> f64 {
    // The boiling water of the morning was read to half a degree with the same thermometer; now
    // and then it was another thermometer, or the air has changed.
    let sd = if chance.random::<f64>() < 0.12 {
        1.0
    } else {
        0.38
    };
    sd * normal(chance)
}

#[cfg(test)]
#[path = "prior_tests.rs"]
mod tests;
