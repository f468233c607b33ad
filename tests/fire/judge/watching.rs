//! One boil with a crew and a watcher beside it.

use super::cells::{Pace, Plan};
use super::course::{Course, FAR_PAST, Told, rule_temperature};
use super::crew::Crew;
use super::goals::LAST_MIN;
use crate::fire::face::{Call, Look, Make, Reading, Watch};
use crate::fire::make_a::dice::Dice;
use std::fmt::Write;

struct Run<W, B> {
    watch: W,
    sim: B,
    crew: Crew,
    course: Course,
    look: Look,
    rule_c: f64,
    /// Minute the simulated boil has gone on to, and its Brix there.
    last: (f64, f64),
    /// Lines to follow the boil by, where they are wanted.
    trace: Option<String>,
    /// The fire is drawn at the first draw, and that is the end of it.
    obeys: bool,
    noted: Noted,
}

/// What was noted of a boil, and the truth at the looks in between.
#[derive(Debug, Clone, Default)]
pub struct Noted {
    /// Each reading, and when its drop was taken.
    pub readings: Vec<(Reading, f64)>,
    /// Minute and true Brix of each look.
    pub brix: Vec<(f64, f64)>,
}

impl<W: Watch, B: Make> Run<W, B> {
    /// Goes on to minute `to`, in steps that find the moments that count.
    fn go_on(&mut self, to: f64) {
        const STEP: f64 = 2.0 / 60.0;
        while self.last.0 < to {
            let at = (self.last.0 + STEP).min(to);
            self.sim.advance(at);
            let brix = self.sim.brix();
            let target = self.course.target;
            if self.course.finish.is_none() && brix >= target {
                let part =
                    ((target - self.last.1) / (brix - self.last.1).max(1e-9)).clamp(0.0, 1.0);
                self.course.finish = Some(self.last.0 + part * (at - self.last.0));
            }
            self.last = (at, brix);
            if self.course.not_yet.is_none() && brix >= target + 1.0 {
                self.look(at);
                self.course.not_yet = Some(self.look.call < Call::Check);
            }
        }
    }

    fn look(&mut self, at: f64) {
        let before = std::mem::replace(&mut self.look, self.watch.look(at));
        self.crew.sees(at, &before, &self.look);
        self.noted.brix.push((at, self.sim.brix()));
        if self.course.check.is_none() && self.look.call >= Call::Check {
            self.course.check = Some(at);
            self.sim.ease();
            if let Some(let_down) = self.crew.says_fire() {
                self.watch.fire(at, let_down);
            }
        }
        if self.course.draw.is_none() && self.look.call >= Call::Draw {
            self.course.draw = Some((self.sim.brix(), at));
        }
        if self.course.finish.is_none() {
            self.course.looks.push(Told {
                at,
                finish: self.look.finish,
            });
        }
        if let Some(text) = &mut self.trace {
            let told = self
                .look
                .finish
                .map_or(String::new(), |[a, b, c]| format!("{a:.1} {b:.1} {c:.1}"));
            let Look {
                call,
                next_reading,
                wants_brix,
                ..
            } = self.look;
            let ask = if wants_brix { " wants Brix" } else { "" };
            let brix = self.sim.brix();
            let _ = writeln!(
                text,
                "{at:7.2} min {brix:6.2} °Bx  {call:?}  [{told}] next {next_reading:.1}{ask}"
            );
        }
    }

    fn note(&mut self, reading: Reading) {
        self.watch.take(reading);
        self.noted.readings.push((reading, self.crew.drop_taken));
        if let Some(text) = &mut self.trace {
            let kind = if reading.probe { "probe" } else { "noted" };
            let shown =
                |x: Option<f64>, unit| x.map_or(String::new(), |x| format!(" {x:.1} {unit}"));
            let (t, brix) = (shown(reading.temp_c, "°C"), shown(reading.brix, "°Bx"));
            let _ = writeln!(text, "{:7.2} {kind}{t}{brix}", reading.at);
        }
        if let Some(t) = reading.temp_c
            && self.course.rule.is_none()
            && t >= self.rule_c
        {
            self.course.rule = Some(self.sim.brix());
        }
        if reading.probe {
            return;
        }
        // What was asked for before this reading is answered.
        self.look.next_reading = f64::MAX;
        self.look(reading.at);
        if self.course.finish.is_none() {
            self.course.readings.push(Told {
                at: reading.at,
                finish: self.look.finish,
            });
        }
    }
}

fn start<W: Watch, B: Make>(plan: &Plan, seed: u64) -> Run<W, B> {
    let sim = B::new(seed, plan.boil(seed));
    let setup = sim.setup();
    let mut watch = W::start(&setup);
    let look = watch.look(0.0);
    Run {
        watch,
        crew: Crew::new(
            *plan,
            &setup,
            Dice::new(seed, if plan.pace == Pace::Advised { 8 } else { 7 }),
        ),
        course: Course {
            seed,
            target: setup.target_brix,
            ..Course::default()
        },
        look,
        rule_c: rule_temperature(&setup),
        last: (0.0, sim.brix()),
        sim,
        trace: None,
        obeys: false,
        noted: Noted::default(),
    }
}

impl<W: Watch, B: Make> Run<W, B> {
    /// Draws the fire and waits until the syrup is run off.
    fn cool_down(&mut self) {
        const RUN_OFF_MIN: f64 = 2.0;
        self.sim.draw();
        self.sim.advance(self.last.0 + RUN_OFF_MIN);
        self.last = (self.last.0 + RUN_OFF_MIN, self.sim.brix());
        self.course.jar = Some(self.last.1);
    }

    /// Goes through the whole boil with a look every `look_min` between the readings.
    fn go_through(&mut self, look_min: f64) {
        const LONGEST_MIN: f64 = 20.0 * 60.0;
        let mut next_look = look_min;
        while self.last.0 < LONGEST_MIN && self.last.1 < self.course.target + FAR_PAST {
            if self.obeys && self.course.draw.is_some() {
                self.cool_down();
                break;
            }
            let due = self.crew.next(&self.look);
            if due <= next_look {
                let at = due.max(self.last.0);
                self.go_on(at);
                if let Some(reading) = self.crew.act(at, &self.look, &mut self.sim) {
                    self.note(reading);
                }
            } else {
                self.go_on(next_look);
                self.look(next_look);
                next_look += look_min;
            }
        }
        self.course.end = self.last.1;
        let from = self.course.finish.unwrap_or(0.0) - LAST_MIN;
        self.course.looks.retain(|told| told.at >= from);
    }
}

/// Boils `seed` of `plan` with a fresh watcher; a look every `look_min` between the readings.
#[must_use]
pub fn run<W: Watch, B: Make>(plan: &Plan, seed: u64, look_min: f64) -> Course {
    let mut run = start::<W, B>(plan, seed);
    run.go_through(look_min);
    run.course
}

/// The same, and what was noted of it.
#[must_use]
pub fn noted<W: Watch, B: Make>(plan: &Plan, seed: u64, look_min: f64) -> (Course, Noted) {
    let mut run = start::<W, B>(plan, seed);
    run.go_through(look_min);
    (run.course, run.noted)
}

/// The same boil with the fire drawn at the first draw: true Brix when it has stopped boiling; none if never drawn.
#[must_use]
pub fn jar<W: Watch, B: Make>(plan: &Plan, seed: u64, look_min: f64) -> Option<f64> {
    let mut run = start::<W, B>(plan, seed);
    run.obeys = true;
    run.go_through(look_min);
    run.course.jar
}

/// The same boil told line by line.
#[must_use]
pub fn trace<W: Watch, B: Make>(plan: &Plan, seed: u64, look_min: f64) -> String {
    let mut run = start::<W, B>(plan, seed);
    let (setup, rule) = (run.sim.setup(), run.rule_c);
    run.trace = Some(format!(
        "{setup:?}\ntrue K {:.3}; the plain rule draws at {rule:.2} °C\n",
        run.sim.true_k()
    ));
    run.go_through(look_min);
    let mut text = run.trace.unwrap_or_default();
    let Course {
        finish,
        check,
        draw,
        rule,
        ..
    } = run.course;
    let _ = writeln!(
        text,
        "finish {finish:?}, check {check:?}, draw {draw:?}, rule at {rule:?} °Bx"
    );
    text
}

#[cfg(test)]
mod tests {
    use super::super::baseline::Baseline;
    use super::super::cells::{Column, all};
    use super::super::goals::{Figures, verdict};
    use super::super::script::{Knowing, Script};
    use super::*;
    use crate::fire::face::Setup;
    use crate::fire::make_a::Sim;

    #[test]
    fn an_advised_crew_is_late_but_comes_once_for_each_call() {
        let plan = *all()
            .iter()
            .find(|p| p.pace == Pace::Advised && p.column == Column::Learned)
            .expect("there is one");
        for seed in 0..10 {
            let course = run::<Knowing, Script>(&plan, seed, 0.5);
            let gaps: Vec<f64> = course
                .readings
                .windows(2)
                .map(|pair| pair[1].at - pair[0].at)
                .collect();
            // Called every 4 min: never two readings for one call, and never long without one.
            assert!(gaps.len() >= 12, "{gaps:?}");
            assert!(
                gaps.iter().sum::<f64>() / f64::from(u32::try_from(gaps.len()).unwrap_or(1)) > 3.0,
                "{gaps:?}"
            );
            assert!(gaps.iter().all(|&gap| gap < 29.0), "{gaps:?}");
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_course() {
        let plan = all()[0];
        assert_eq!(
            run::<Baseline, Sim>(&plan, 5, 0.5),
            run::<Baseline, Sim>(&plan, 5, 0.5)
        );
    }

    #[test]
    fn a_course_has_its_moments_in_order() {
        for plan in all().iter().step_by(5) {
            for seed in 0..6 {
                let course = run::<Baseline, Sim>(plan, seed, 0.5);
                let finish = course.finish.expect("every boil gets there");
                assert!(course.not_yet.is_some() && course.end >= course.target + FAR_PAST);
                assert!(course.readings.iter().all(|told| told.at <= finish + 1e-9));
                assert!(
                    course
                        .readings
                        .windows(2)
                        .all(|pair| pair[0].at <= pair[1].at)
                );
                if let (Some(check), Some((_, draw))) = (course.check, course.draw) {
                    assert!(check <= draw, "{} seed {seed}", plan.name());
                }
            }
        }
    }

    /// A watcher that calls at once.
    struct Rash;

    impl Watch for Rash {
        fn start(_: &Setup) -> Self {
            Self
        }
        fn take(&mut self, _: Reading) {}
        fn look(&mut self, at: f64) -> Look {
            Look {
                call: Call::Draw,
                finish: None,
                next_reading: at + 5.0,
                wants_brix: false,
            }
        }
    }

    /// A watcher that never calls.
    struct Mute;

    impl Watch for Mute {
        fn start(_: &Setup) -> Self {
            Self
        }
        fn take(&mut self, _: Reading) {}
        fn look(&mut self, at: f64) -> Look {
            Look {
                call: Call::Going,
                finish: None,
                next_reading: at + 5.0,
                wants_brix: false,
            }
        }
    }

    #[test]
    fn who_knows_the_boil_beforehand_meets_every_goal() {
        for plan in all().iter().filter(|plan| plan.pace != Pace::Probe) {
            let courses: Vec<Course> = (0..3)
                .map(|seed| run::<Knowing, Script>(plan, seed, 0.5))
                .collect();
            let courses: Vec<&Course> = courses.iter().collect();
            let mut figures = Figures::of(&courses);
            // It is always right, and so holds more than 80 % should.
            assert!((figures.held - 1.0).abs() < 1e-9 && (figures.held_looks - 1.0).abs() < 1e-9);
            figures.held = 0.8;
            assert!(figures.error < 0.02, "{figures:?}");
            assert!((figures.check.0 - 10.0).abs() < 0.51, "{figures:?}");
            // Two of these readings may fall on the same minute as the draw.
            figures.nearer += figures.ties;
            assert!(
                verdict(plan, &figures).iter().flatten().all(|&met| met),
                "{} {figures:?}",
                plan.name()
            );
        }
    }

    #[test]
    fn the_jar_is_what_stands_in_the_pan_after_the_draw() {
        let plan = all()[0];
        let boil = run::<Knowing, Script>(&plan, 1, 0.5);
        let jar = jar::<Knowing, Script>(&plan, 1, 0.5).expect("drawn");
        assert!((jar - boil.drawn_at() - Script::AFTER).abs() < 1e-9);
        let real = super::jar::<Knowing, Sim>(&plan, 1, 0.5);
        assert!(real.is_none_or(|brix| brix > 5.0));
    }

    #[test]
    fn the_rash_and_the_mute_are_found_out() {
        let plan = *all()
            .iter()
            .find(|p| p.column == Column::Learned)
            .expect("there is one");
        let rash = run::<Rash, Sim>(&plan, 3, 0.5);
        assert!(rash.drawn_at() < 25.0 && rash.not_yet == Some(false) && rash.check_lead() > 5.0);
        let mute = run::<Mute, Sim>(&plan, 3, 0.5);
        assert!(mute.draw.is_none() && mute.drawn_at() >= mute.target + FAR_PAST);
        assert!(mute.not_yet == Some(true) && mute.check_lead() < 0.0);
    }
}
