//! The bound that no watcher can beat: somebody who knows this boil's pan, juice, weather, instruments and cook exactly, and when each
//! drop was taken, but learns of its fire by the same readings alone. A crowd of boils that differ in nothing but chance is carried
//! along and weighed by each reading.

use super::cells::Plan;
use super::course::{Course, Told};
use super::goals::LAST_MIN;
use super::watching::{Noted, noted};
use crate::fire::face::{Known, Reading, Watch};
use crate::fire::make_a::dice::Dice;
use std::iter::Peekable;
use std::slice::Iter;
use std::vec::IntoIter;

/// One of the crowd: the boil, what the last drop said of it, its weight.
#[derive(Clone)]
struct One<B> {
    sim: B,
    drop: (f64, f64),
    weight: f64,
}

struct Crowd<B> {
    all: Vec<One<B>>,
    dice: Dice,
    streams: u64,
    eased_at: f64,
    target: f64,
}

/// How likely a reading is this far off, with a share of readings that say little.
fn likely(off: f64, spread: f64) -> f64 {
    let z = off / spread;
    0.95 * (-0.5 * z * z).exp() / spread + 0.05 * (-0.5 * (z / 5.0).powi(2)).exp() / spread
}

impl<B: Known> Crowd<B> {
    fn go_on(&mut self, to: f64) {
        for one in &mut self.all {
            if to >= self.eased_at {
                one.sim.ease();
            }
            one.sim.advance(to);
        }
    }

    fn weigh(&mut self, by: impl Fn(&One<B>) -> f64) {
        for one in &mut self.all {
            one.weight *= by(one) + 1e-12;
        }
        let sum: f64 = self.all.iter().map(|one| one.weight).sum();
        self.all.iter_mut().for_each(|one| one.weight /= sum);
        let squares: f64 = self.all.iter().map(|one| one.weight.powi(2)).sum();
        let many = self.all.len();
        let each = self.all.iter().map(|_| 1.0).sum::<f64>().recip();
        if squares < 2.0 * each {
            return;
        }
        let (mut mark, mut sum, mut place) = (each * self.dice.unit(), self.all[0].weight, 0);
        let mut drawn = Vec::with_capacity(many);
        for _ in 0..many {
            while mark > sum && place + 1 < many {
                place += 1;
                sum += self.all[place].weight;
            }
            let mut one = self.all[place].clone();
            self.streams += 1;
            one.sim.astray(self.streams);
            one.weight = each;
            drawn.push(one);
            mark += each;
        }
        self.all = drawn;
    }

    /// Share of the crowd at this Brix.
    fn share_at(&self, brix: f64) -> f64 {
        let there = self.all.iter().filter(|one| one.sim.brix() >= brix);
        there.map(|one| one.weight).sum()
    }

    /// Half of the crowd is done by this minute.
    fn finish(&self, from: f64) -> f64 {
        const STEP_MIN: f64 = 0.1;
        let mut crowd = Crowd {
            all: self.all.clone(),
            dice: self.dice.clone(),
            ..*self
        };
        let mut at = from;
        while crowd.share_at(self.target) < 0.5 && at < from + 90.0 {
            at += STEP_MIN;
            crowd.go_on(at);
        }
        at
    }
}

/// The course of the boil as the one who knows tells it: middle of the finish at those readings of its last minutes at which `W` told
/// one, and the draw; its interval is empty and holds nothing.
#[must_use]
pub fn bound<W: Watch, B: Known>(plan: &Plan, seed: u64, look_min: f64, many: u32) -> Course {
    let (mut course, was_noted) = noted::<W, B>(plan, seed, look_min);
    let first = B::new(seed, plan.boil(seed));
    let mut crowd = Crowd {
        all: Vec::new(),
        dice: Dice::new(seed, 9),
        streams: seed << 24,
        eased_at: course.check.unwrap_or(f64::MAX),
        target: course.target,
    };
    for _ in 0..many {
        let mut sim = first.clone();
        crowd.streams += 1;
        sim.astray(crowd.streams);
        crowd.all.push(One {
            sim,
            drop: (0.0, 1.0),
            weight: 1.0 / f64::from(many),
        });
    }
    follow(crowd, &mut course, &was_noted);
    course
}

/// The crowd and what it has seen of the boil so far.
struct Following<'a, B> {
    crowd: Crowd<B>,
    looks: Peekable<Iter<'a, (f64, f64)>>,
    drops: Peekable<IntoIter<f64>>,
    draw: Option<(f64, f64)>,
}

impl<B: Known> Following<'_, B> {
    /// Goes on to a minute; drops are taken and looks had on the way.
    fn go_on(&mut self, to: f64) {
        while let Some((at, brix)) = self.looks.next_if(|(at, _)| *at <= to) {
            self.take_drops(*at);
            self.crowd.go_on(*at);
            if self.draw.is_none() && self.crowd.share_at(self.crowd.target) >= 0.5 {
                self.draw = Some((*brix, *at));
            }
        }
        self.take_drops(to);
        self.crowd.go_on(to);
    }

    fn take_drops(&mut self, to: f64) {
        while let Some(taken) = self.drops.next_if(|taken| *taken <= to) {
            self.crowd.go_on(taken);
            for one in &mut self.crowd.all {
                one.drop = one.sim.drop_shown();
            }
        }
    }

    fn weigh(&mut self, reading: &Reading) {
        if let Some(read) = reading.temp_c {
            self.crowd.weigh(|one| {
                let (shown, spread) = one.sim.shown();
                likely(read - shown, spread)
            });
        }
        if let Some(read) = reading.brix {
            self.crowd
                .weigh(|one| likely(read - one.drop.0, one.drop.1));
        }
    }
}

fn follow<B: Known>(crowd: Crowd<B>, course: &mut Course, seen: &Noted) {
    let last = course.finish.unwrap_or(f64::MAX) - LAST_MIN;
    let drops: Vec<f64> = seen
        .readings
        .iter()
        .filter(|(r, _)| r.brix.is_some())
        .map(|(_, taken)| *taken)
        .collect();
    let mut following = Following {
        crowd,
        looks: seen.brix.iter().peekable(),
        drops: drops.into_iter().peekable(),
        draw: None,
    };
    let mut told = Vec::new();
    for (reading, _) in &seen.readings {
        following.go_on(reading.at);
        following.weigh(reading);
        let before = course
            .readings
            .iter()
            .find(|r| (r.at - reading.at).abs() < 1e-9);
        if let Some(Told {
            finish: Some(_),
            at,
        }) = before
            && *at >= last
        {
            let middle = following.crowd.finish(*at);
            told.push(Told {
                at: *at,
                finish: Some([middle; 3]),
            });
        }
    }
    following.go_on(seen.brix.last().map_or(0.0, |(at, _)| *at));
    course.draw = following.draw;
    course.readings = told;
}

#[cfg(test)]
mod tests {
    use super::super::cells::{Pace, all};
    use super::super::goals::Figures;
    use super::super::watching::run;
    use super::*;
    use crate::fire::judge::baseline::Baseline;
    use crate::fire::make_a::Sim;

    #[test]
    fn who_knows_all_but_chance_errs_less_than_a_straight_line_at_the_same_readings() {
        let plan = *all()
            .iter()
            .find(|p| p.pace == Pace::Fixed && p.slips < 0.01)
            .expect("there is one");
        let knowing: Vec<Course> = (0..6)
            .map(|seed| bound::<Baseline, Sim>(&plan, seed, 0.5, 30))
            .collect();
        let straight: Vec<Course> = (0..6)
            .map(|seed| run::<Baseline, Sim>(&plan, seed, 0.5))
            .collect();
        let error = |of: &[Course]| Figures::of(&of.iter().collect::<Vec<_>>()).error;
        let (least, line) = (error(&knowing), error(&straight));
        assert!(least > 0.0 && least < 0.7 * line, "{least} against {line}");
    }
}
