//! The crew: when it reads, what it notes, and when.

use super::cells::{Column, Pace, Plan};
use super::slips;
use crate::fire::face::{Boil, Call, Look, Reading, Setup};
use crate::fire::make_a::dice::Dice;

/// Rise over boiling water at which a crew of any mill begins to look closely, K, and more closely still: about
/// 55 and 68 °Bx.
const CLOSER: f64 = 2.4;
const CLOSEST: f64 = 4.8;

/// A crew at one pan.
#[derive(Debug)]
pub struct Crew {
    plan: Plan,
    water_c: f64,
    dice: Dice,
    /// When the next reading is due by the crew's own habit, min; by the watcher's advice it is this late.
    own_due: f64,
    late: f64,
    /// When the countdown to the next reading ran out, if it has.
    asked: Option<f64>,
    /// No habit lets a pan of a few minutes go unread for a quarter of an hour.
    longest_gap: f64,
    /// A drop on its way to the prism: noted then, °Bx.
    drop: Option<(f64, f64)>,
    /// When the last drop was taken.
    pub drop_taken: f64,
    /// Share of early readings for which a drop is taken too.
    early_drops: f64,
    rise: f64,
    brix: f64,
    last: f64,
    probe_every: f64,
    probe_due: f64,
    probe_gone_until: f64,
}

impl Crew {
    /// Whether the cook says what becomes of the fire, and whether it is let down.
    #[must_use]
    pub fn says_fire(&self) -> Option<bool> {
        self.plan.says_fire.then_some(self.plan.eased)
    }

    /// A crew that knows what the mill knows.
    #[must_use]
    pub fn new(plan: Plan, setup: &Setup, mut dice: Dice) -> Self {
        let water_kg =
            setup.solids_g / 1000.0 * (100.0 / setup.juice_brix - 100.0 / setup.target_brix);
        let whole = 60.0 * water_kg / (setup.rate_l_m2_h * setup.area_m2);
        let mut crew = Self {
            plan,
            water_c: setup.water_c,
            own_due: 0.0,
            late: 0.0,
            asked: None,
            longest_gap: (whole / 8.0).max(1.0),
            drop: None,
            drop_taken: 0.0,
            early_drops: dice.even(0.0, 0.35),
            rise: 0.0,
            brix: setup.juice_brix,
            last: 0.0,
            probe_every: dice.even_log(5.0, 30.0) / 60.0,
            probe_due: 0.0,
            probe_gone_until: 0.0,
            dice,
        };
        crew.own_due = crew.dice.even(3.0, 12.0);
        crew.late = crew.lateness();
        crew
    }

    fn lateness(&mut self) -> f64 {
        if self.dice.chance(0.05) {
            self.dice.even(10.0, 25.0)
        } else {
            self.dice.even(0.0, 3.0)
        }
    }

    fn own_gap(&mut self, look: &Look) -> f64 {
        let near = self.rise >= CLOSEST || self.brix >= 62.0 || look.call >= Call::Check;
        let nearer = self.rise >= CLOSER || self.brix >= 45.0;
        let gap = match self.plan.pace {
            Pace::Probe => self.dice.even(15.0, 30.0),
            _ if near => self.dice.even(2.0, 4.0),
            _ if nearer => 5.0,
            _ => self.dice.even(10.0, 15.0),
        };
        gap.min(if near { f64::MAX } else { self.longest_gap })
    }

    /// The page turns from `before` to `after` at minute `at`. A countdown that has run out has called the crew,
    /// whatever the page asks for later.
    pub fn sees(&mut self, at: f64, before: &Look, after: &Look) {
        let due = before.next_reading.min(if after.next_reading <= at {
            at
        } else {
            f64::MAX
        });
        if self.asked.is_none() && due <= at {
            self.asked = Some(due.max(self.last));
        }
    }

    /// When the crew next does something, min, as things stand after `look`.
    #[must_use]
    pub fn next(&self, look: &Look) -> f64 {
        let hand = match self.plan.pace {
            Pace::Fixed | Pace::Probe => self.own_due,
            Pace::Advised => {
                // The alarm calls back who has forgotten; nobody reads nothing for half an hour.
                let late = if look.call >= Call::Check {
                    self.late.min(3.0)
                } else {
                    self.late
                };
                (self.asked.unwrap_or(look.next_reading) + late)
                    .clamp(self.last + 0.5, self.last + 40.0)
            }
        };
        let drop = self.drop.map_or(f64::MAX, |(at, _)| at);
        let probe = if self.plan.pace == Pace::Probe {
            self.probe_due
        } else {
            f64::MAX
        };
        // While the drop cools, nothing else is read.
        let hand = if self.drop.is_some() { f64::MAX } else { hand };
        hand.min(drop).min(probe)
    }

    /// What is noted at minute `at`, if anything, where `sim` has gone on to that minute.
    pub fn act<B: Boil>(&mut self, at: f64, look: &Look, sim: &mut B) -> Option<Reading> {
        if self.plan.pace == Pace::Probe && self.probe_due <= at {
            return self.probe(at, sim);
        }
        if let Some((due, shown)) = self.drop
            && due <= at
        {
            self.drop = None;
            self.own_due = self.own_due.max(at + 0.5);
            let temp = if self.dice.chance(0.5) {
                Some(self.read(sim))
            } else {
                None
            };
            let brix = self.typed(shown, slips::brix);
            self.brix = brix;
            return Some(self.noted(at, temp, Some(brix)));
        }
        self.last = at;
        self.late = self.lateness();
        self.own_due = at + self.own_gap(look);
        let takes_drop =
            self.plan.column == Column::Refractometer && self.dice.chance(self.drop_share(look));
        if takes_drop {
            self.drop = Some((at + sim.drop_delay(), sim.drop_brix()));
            self.drop_taken = at;
            if self.dice.chance(0.4) {
                return None;
            }
        }
        let temp = self.read(sim);
        Some(self.noted(at, Some(temp), None))
    }

    fn drop_share(&self, look: &Look) -> f64 {
        if look.wants_brix || self.rise >= CLOSEST || self.brix >= 62.0 || look.call >= Call::Check
        {
            0.8
        } else {
            self.early_drops
        }
    }

    fn typed(&mut self, shown: f64, slip: fn(f64, &mut Dice) -> f64) -> f64 {
        if self.dice.chance(self.plan.slips) {
            slip(shown, &mut self.dice)
        } else {
            shown
        }
    }

    fn read<B: Boil>(&mut self, sim: &mut B) -> f64 {
        let shown = sim.thermometer();
        self.typed(shown, slips::temperature)
    }

    fn noted(&mut self, at: f64, temp_c: Option<f64>, brix: Option<f64>) -> Reading {
        self.last = at;
        self.asked = None;
        if let Some(t) = temp_c {
            self.rise = t - self.water_c;
        }
        Reading {
            at,
            temp_c,
            brix,
            probe: false,
        }
    }

    fn probe<B: Boil>(&mut self, at: f64, sim: &mut B) -> Option<Reading> {
        self.probe_due = at + self.probe_every;
        if at < self.probe_gone_until {
            return None;
        }
        // About once in 40 min the network loses it for 1 to 8 min.
        if self.dice.chance(self.probe_every / 40.0) {
            self.probe_gone_until = at + self.dice.even(1.0, 8.0);
        }
        Some(Reading {
            at,
            temp_c: Some(sim.probe()),
            brix: None,
            probe: true,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::cells::all;
    use super::super::script::Script;
    use super::*;
    use crate::fire::face::Make;

    /// All readings of a crew on the scripted boil, of which the watcher says nothing but to look in `ask` min.
    fn readings(plan: Plan, seed: u64, ask: f64) -> Vec<Reading> {
        let mut sim = Script::new(seed, plan.boil(seed));
        let mut crew = Crew::new(plan, &sim.setup(), Dice::new(seed, 1));
        let mut look = Look {
            call: Call::Going,
            finish: None,
            next_reading: ask,
            wants_brix: false,
        };
        let (mut all, mut last) = (Vec::new(), 0.0);
        loop {
            let at = crew.next(&look);
            assert!(at >= last, "time goes on");
            last = at;
            if at > 120.0 {
                return all;
            }
            sim.advance(at);
            if let Some(reading) = crew.act(at, &look, &mut sim) {
                look.next_reading = at + ask;
                all.push(reading);
            }
        }
    }

    fn plan(pace: Pace, column: Column, slips: f64) -> Plan {
        let plan = all()[0];
        Plan {
            pace,
            column,
            slips,
            ..plan
        }
    }

    #[test]
    fn a_crew_reads_more_often_towards_the_end() {
        let all = readings(plan(Pace::Fixed, Column::Learned, 0.0), 3, 0.0);
        let gaps: Vec<_> = all
            .windows(2)
            .map(|pair| (pair[0].at, pair[1].at - pair[0].at))
            .collect();
        // 20 kg of solids at 40 L/h boil for close to two hours, so no habit is cut short.
        assert!(
            gaps.iter()
                .filter(|(at, _)| *at < 60.0)
                .all(|&(_, gap)| (10.0..15.0).contains(&gap)),
            "{gaps:?}"
        );
        assert!(
            gaps.iter()
                .filter(|(at, _)| *at > 105.0)
                .all(|&(_, gap)| (2.0..4.0).contains(&gap)),
            "{gaps:?}"
        );
        assert!(all.iter().all(|r| r.brix.is_none() && r.temp_c.is_some()));
    }

    #[test]
    fn an_advised_crew_comes_when_asked_or_somewhat_later() {
        let (mut gaps, mut forgotten) = (0_u32, 0_u32);
        for seed in 0..40 {
            let all = readings(plan(Pace::Advised, Column::Learned, 0.0), seed, 4.0);
            for pair in all.windows(2) {
                let late = pair[1].at - pair[0].at - 4.0;
                assert!((0.0..25.0).contains(&late), "{late}");
                gaps += 1;
                forgotten += u32::from(late > 3.0);
            }
        }
        let share = f64::from(forgotten) / f64::from(gaps);
        assert!((0.02..0.09).contains(&share), "{share}");
    }

    #[test]
    fn a_drop_is_noted_when_it_is_old() {
        let all = readings(plan(Pace::Fixed, Column::Refractometer, 0.0), 5, 0.0);
        let drops: Vec<_> = all.iter().filter_map(|r| Some((r.at, r.brix?))).collect();
        assert!(drops.len() > 3);
        for (at, brix) in drops {
            // Three minutes at half a degree each.
            assert!(
                (brix - (20.0 + 0.5 * (at - 3.0))).abs() < 1e-6,
                "{brix} at {at}"
            );
        }
    }

    #[test]
    fn one_figure_in_twenty_is_mistyped() {
        let (mut wrong, mut figures) = (0_u32, 0_u32);
        for seed in 0..200 {
            let mut truth = Script::new(seed, all()[0].boil(seed));
            for reading in readings(plan(Pace::Fixed, Column::Learned, 0.05), seed, 0.0) {
                truth.advance(reading.at);
                figures += 1;
                wrong += u32::from(
                    reading
                        .temp_c
                        .is_some_and(|t| (t - truth.thermometer()).abs() > 0.02),
                );
            }
        }
        let share = f64::from(wrong) / f64::from(figures);
        assert!((0.04..0.06).contains(&share), "{wrong} of {figures}");
    }

    #[test]
    fn a_probe_sends_every_few_seconds_with_gaps() {
        let all = readings(plan(Pace::Probe, Column::Learned, 0.0), 2, 0.0);
        let probe: Vec<_> = all.iter().filter(|r| r.probe).collect();
        assert!(probe.len() > 150, "{}", probe.len());
        let longest = probe
            .windows(2)
            .map(|pair| pair[1].at - pair[0].at)
            .fold(0.0, f64::max);
        assert!((1.0..9.0).contains(&longest), "{longest}");
        assert!(all.iter().any(|r| !r.probe));
    }
}
