//! What happens to the juice of a press day after the mill: how much it is, the vessels and pans it
//! takes, and why they cannot take more. The charges themselves are `pan_charges`.

use super::pan_charges::{Equipment, PanSize, Plan, TurnJuice, plan};
use crate::calc::RuleRefusal;
use crate::calc::boil::day_sum::OVERHEAD;
use crate::calc::boil::pan::{Settings, suits};
use crate::calc::physics::density::kg_m3;
use crate::calc::season::season_plan::SETTLES;
use crate::calc::turns::starts::{Day, Span};
use crate::units::{BrixAt20C, Celsius, Grams, Millilitres, Minutes, Units, fixed};

/// What leaves no room for a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// No minutes left at the mill.
    Mill,
    /// The vessels could not hold the juice.
    Vessels,
    /// The pans could not boil the juice within its holding time.
    Pan,
}

impl Limit {
    /// "the mill", "the vessels", "the pan".
    pub const fn words(self) -> &'static str {
        match self {
            Self::Mill => "the mill",
            Self::Vessels => "the vessels",
            Self::Pan => "the pan",
        }
    }
}

/// A turn held, as room is reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TurnHeld {
    /// The minutes that it takes of the day.
    pub span: Span,
    /// Cane to expect.
    pub cane: Grams,
    /// Whether its juice may be boiled together with that of others.
    pub pools: bool,
}

/// What happens to juice once the mill has pressed it.
#[derive(Debug, Clone, PartialEq)]
pub struct AfterMill {
    pub(super) juice_pct: f64,
    juice_turns: u32,
    pub(super) kg_per_l: f64,
    pans: Vec<Settings>,
    pub(super) equipment: Equipment,
}

/// The figures that [`AfterMill::new`] is made from.
#[derive(Debug, Clone, Copy)]
pub struct Setup<'a> {
    /// Juice expected of 100 of cane, by mass.
    pub juice_pct: f64,
    /// Turns that is learned from; nought: it is the rules'.
    pub juice_turns: u32,
    /// The thinnest juice that is not warned about, °Bx: planned with, so that water is not underrated.
    pub floor_bx: f64,
    /// Brix that the boils are finished at, °Bx.
    pub target_bx: f64,
    /// How long juice may be held.
    pub hold: Minutes,
    /// The pans in use.
    pub pans: &'a [Settings],
    /// Volume of each vessel in use; empty when none is kept.
    pub vessels: &'a [Millilitres],
}

impl AfterMill {
    /// What the mill's pans and vessels come to.
    ///
    /// # Errors
    /// A Brix that is none.
    pub fn new(of: &Setup<'_>) -> Result<Self, RuleRefusal> {
        let brix = BrixAt20C::new(of.floor_bx)
            .map_err(|refused| RuleRefusal::refused("floor_bx", &refused))?;
        let twenty =
            Celsius::new(20.0).map_err(|refused| RuleRefusal::refused("temp", &refused))?;
        let kg_per_l = kg_m3(brix, twenty) / 1000.0;
        // Water to drive off from a litre of juice, kg.
        let water = kg_per_l * (1.0 - of.floor_bx / of.target_bx);
        let size = |pan: &Settings| {
            let litres_per_h = pan.for_plan().kg_min() * 60.0 / water;
            PanSize {
                least: pan.least.get(),
                most: pan.most.get().max(1),
                ml_per_h: Millilitres::nearest(litres_per_h * 1000.0).get().max(1),
                round_s: OVERHEAD.get() * 60,
            }
        };
        Ok(Self {
            juice_pct: of.juice_pct,
            juice_turns: of.juice_turns,
            kg_per_l,
            pans: of.pans.to_vec(),
            equipment: Equipment {
                vessels: of.vessels.iter().map(|vessel| vessel.get()).collect(),
                pans: of.pans.iter().map(size).collect(),
                // In a season that holds juice for less than four hours, juice settles for half of that time.
                settles_s: SETTLES.get().min(of.hold.get() / 2) * 60,
                hold_s: of.hold.get() * 60,
            },
        })
    }

    /// How many pans are in use, and how many vessels.
    pub fn pans_and_vessels(&self) -> (usize, usize) {
        (self.pans.len(), self.equipment.vessels.len())
    }

    /// Juice to expect of so much cane, at 20 °C.
    pub fn juice_of(&self, cane: Grams) -> Millilitres {
        Millilitres::nearest(cane.as_f64() * self.juice_pct / 100.0 / self.kg_per_l)
    }

    /// The pan that the juice of so much cane is boiled in, were it alone: the smallest that takes it,
    /// else the largest.
    fn pan_for(&self, juice: Millilitres) -> Option<(&Settings, &PanSize)> {
        let place = suits(&self.pans, juice)?;
        Some((&self.pans[place], &self.equipment.pans[place]))
    }

    /// Cane whose juice is so much.
    fn cane_of(&self, juice_ml: f64) -> Grams {
        Grams::nearest(juice_ml * self.kg_per_l * 100.0 / self.juice_pct)
    }

    /// Cane whose juice fills the largest pan; `None`: no pan is in use.
    pub fn cane_of_a_pan(&self) -> Option<Grams> {
        let most = self.equipment.pans.iter().map(|pan| pan.most).max()?;
        Some(self.cane_of(Grams::new(most).as_f64()))
    }

    /// Cane whose juice the pans in use boil in this many minutes, one full charge after another.
    pub fn cane_boiled_in(&self, minutes: Minutes) -> Grams {
        let seconds = Grams::new(minutes.get() * 60).as_f64();
        let boils = |pan: &PanSize| {
            let charge = Grams::new(pan.most).as_f64();
            charge * seconds / Grams::new(pan.seconds(pan.most)).as_f64()
        };
        self.cane_of(self.equipment.pans.iter().map(boils).sum())
    }

    /// How long a pan is taken by so much cane, boiled alone, and in how many charges; rounded up to a
    /// minute; none: no pan is in use.
    pub fn pan_minutes(&self, cane: Grams) -> Option<(i64, Minutes)> {
        let juice = self.juice_of(cane).get();
        let (_, pan) = self.pan_for(Millilitres::new(juice))?;
        let charges = (juice + pan.most - 1) / pan.most;
        let seconds = pan.seconds(juice) + (charges - 1).max(0) * pan.round_s;
        Some((charges, Minutes::new((seconds + 59) / 60)))
    }

    /// The sum behind [`AfterMill::pan_minutes`]; empty without a pan.
    pub fn words(&self, cane: Grams, units: Units) -> String {
        let juice = self.juice_of(cane);
        let (Some((settings, pan)), Some((charges, minutes))) =
            (self.pan_for(juice), self.pan_minutes(cane))
        else {
            return String::new();
        };
        let from = match self.juice_turns {
            0 => "the season’s rules".to_owned(),
            turns => format!("learned from {turns} turns"),
        };
        let charges = match charges {
            0 | 1 => "one charge".to_owned(),
            more => format!("{more} charges"),
        };
        format!(
            "{} × {} % ({from}) = about {} of juice. It settles {}, then takes the pan {}: {charges} of {} at most, \
             boiled down at {} an hour, and {} for each to heat up, finish, draw off and clean",
            cane.show(units),
            fixed(self.juice_pct, 1, units),
            juice.show(units),
            Minutes::new(self.equipment.settles_s / 60).show(),
            minutes.show(),
            settings.most.show(units),
            Millilitres::new(pan.ml_per_h).show(units),
            Minutes::new(pan.round_s / 60).show(),
        )
    }

    /// The juice of turns as it runs from the mill, in the order of their starts, and the place of each
    /// turn that has any.
    fn juices(&self, mill_per_h: Grams, turns: &[TurnHeld]) -> (Vec<TurnJuice>, Vec<usize>) {
        let mut order: Vec<usize> = (0..turns.len())
            .filter(|n| self.juice_of(turns[*n].cane) > Millilitres::ZERO)
            .collect();
        order.sort_by_key(|n| turns[*n].span.start);
        let per_h = mill_per_h.get().max(1);
        let juice = |n: &usize| {
            let turn = &turns[*n];
            // Minutes that were kept stand, whatever the mill's rate has become since.
            let most_s = turn.span.minutes.get().max(1) * 60;
            TurnJuice {
                start_s: turn.span.start.get() * 60,
                presses_s: (turn.cane.get() * 3600 / per_h).clamp(1, most_s),
                ml: self.juice_of(turn.cane).get(),
                pools: turn.pools,
            }
        };
        (order.iter().map(juice).collect(), order)
    }

    /// The charges of a day's pans, and what they come to; none: no pan is in use, so nothing is known
    /// of how fast juice goes.
    pub fn plan(&self, mill_per_h: Grams, turns: &[TurnHeld]) -> Option<Plan> {
        if self.pans.is_empty() {
            return None;
        }
        Some(plan(&self.equipment, &self.juices(mill_per_h, turns).0))
    }

    /// Whether the juice of all these turns can be held and boiled in time, at a mill that presses so
    /// much in an hour.
    ///
    /// # Errors
    /// What stops it.
    pub fn takes(&self, mill_per_h: Grams, turns: &[TurnHeld]) -> Result<(), Limit> {
        let Some(plan) = self.plan(mill_per_h, turns) else {
            return Ok(());
        };
        if plan.overflow.is_some() {
            Err(Limit::Vessels)
        } else if plan
            .waits_s
            .iter()
            .any(|waits| *waits > self.equipment.hold_s)
        {
            Err(Limit::Pan)
        } else {
            Ok(())
        }
    }

    /// Why the last of these turns cannot be taken beside the others, in a sentence or two.
    pub(super) fn why_not(&self, day: &Day, turns: &[TurnHeld], limit: Limit) -> String {
        let (juices, order) = self.juices(day.mill_per_h, turns);
        let plan = plan(&self.equipment, &juices);
        let starts = |n: usize| day.clock.show(turns[order[n]].span.start);
        let own = |n: usize| order[n] + 1 == turns.len();
        if limit == Limit::Vessels {
            return match plan.overflow {
                Some(over) if !own(over.turn) => format!(
                    "the vessels could not hold its juice beside that of the turn at {}",
                    starts(over.turn)
                ),
                _ => "the vessels could not hold its juice: each holds one member’s, until it is on the fire".to_owned(),
            };
        }
        let late = |n: &usize| plan.waits_s[*n] > self.equipment.hold_s;
        let said = (0..juices.len())
            .filter(late)
            .max_by_key(|n| (own(*n), plan.waits_s[*n]));
        let Some(worst) = said else {
            return "the pan could not boil its juice before it is held too long".to_owned();
        };
        let hold = Minutes::new(self.equipment.hold_s / 60).show();
        // Rounded up to full five minutes, as the season's limit is: never as long as the season allows.
        let waits = Minutes::new((plan.waits_s[worst] + 299) / 300 * 5).show();
        if own(worst) {
            format!(
                "the pan could not boil its juice before it is held too long. Your juice would wait about {waits} \
                 before it is boiled; the season allows {hold}"
            )
        } else {
            format!(
                "the pan could not boil its juice before that of others is held too long. The juice of the turn \
                 at {} would wait about {waits} before it is boiled; the season allows {hold}",
                starts(worst)
            )
        }
    }
}
