//! The command: which cells, how many boils, from which seed; prints the table and says by its exit code whether
//! every goal is met.
#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "the table is for whoever asks for it"
)]

use super::bound::bound;
use super::cells::{Plan, all};
use super::course::Course;
use super::goals::{Figures, verdict};
use super::table;
use super::watching::{jar, run, trace};
use crate::fire::face::{Known, Watch};
use std::process::ExitCode;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// How to call it.
pub const USAGE: &str = "cargo bench --bench fire -- [--make a|b|c] [--watch own|baseline] [--boils 200] [--seeds 1000] [--only WORD,WORD..]
      [--look-sec 30] [--threads 2] [--trace SEED] [--truth] [--jar] [--bound] [--says-fire] [--list]
--seeds    first seed; tune on other seeds than those of the acceptance
--only     cells whose names have all these words as parts: fixed advised probe, refr learned unknown,
           eased not-eased, K1.0-1.3 K0.9-1.5, clean slips
--trace    one boil of the first such cell, line by line, instead of the table
--truth    what the boils of the first such cell are like, without any watcher
--jar      also boil each again with the fire drawn at the first draw, and say what stands in the pan then
--bound    what somebody would tell who knows all of this boil but the chance of its fire, at the same readings
--says-fire  the cook taps whether the fire was let down or stays, when told to check
--list     the names of the cells";

/// What was asked for on the command line.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a flag of its own")]
pub struct Asked {
    /// Make of the simulator, `a`, `b` or `c`.
    pub make: String,
    /// The watcher's name.
    pub watch: String,
    boils: u64,
    seeds: u64,
    only: Vec<String>,
    look_sec: f64,
    threads: usize,
    trace: Option<u64>,
    truth: bool,
    jar: bool,
    bound: bool,
    list: bool,
    says_fire: bool,
}

impl Asked {
    /// Reads the arguments (without the program's name).
    ///
    /// # Errors
    /// What is not understood, in words.
    pub fn read(args: impl Iterator<Item = String>) -> Result<Self, String> {
        let mut asked = Self {
            make: "a".into(),
            watch: "own".into(),
            boils: 200,
            seeds: 1000,
            only: Vec::new(),
            look_sec: 30.0,
            threads: 2,
            trace: None,
            truth: false,
            jar: false,
            bound: false,
            list: false,
            says_fire: false,
        };
        let mut args = args;
        while let Some(name) = args.next() {
            let flag = match name.as_str() {
                "--list" => Some(&mut asked.list),
                "--truth" => Some(&mut asked.truth),
                "--jar" => Some(&mut asked.jar),
                "--bound" => Some(&mut asked.bound),
                "--says-fire" => Some(&mut asked.says_fire),
                _ => None,
            };
            if let Some(flag) = flag {
                *flag = true;
                continue;
            }
            let value = args.next().ok_or_else(|| format!("{name} needs a value"))?;
            let bad = || format!("{name} cannot be {value}");
            match name.as_str() {
                "--make" => asked.make.clone_from(&value),
                "--watch" => asked.watch.clone_from(&value),
                "--boils" => asked.boils = value.parse().map_err(|_| bad())?,
                "--seeds" => asked.seeds = value.parse().map_err(|_| bad())?,
                "--only" => asked.only = value.split(',').map(str::to_owned).collect(),
                "--look-sec" => asked.look_sec = value.parse().map_err(|_| bad())?,
                "--threads" => asked.threads = value.parse().map_err(|_| bad())?,
                "--trace" => asked.trace = Some(value.parse().map_err(|_| bad())?),
                _ => return Err(format!("{name} is not known")),
            }
        }
        if asked.boils == 0 || asked.threads == 0 || asked.look_sec.is_nan() || asked.look_sec < 1.0
        {
            return Err("at least one boil, one thread and a second between looks".into());
        }
        Ok(asked)
    }

    fn plans(&self) -> Vec<Plan> {
        let wanted = |plan: &Plan| {
            let name = plan.name();
            self.only
                .iter()
                .all(|word| name.split('/').any(|part| part == word))
        };
        all()
            .into_iter()
            .filter(wanted)
            .map(|plan| Plan {
                says_fire: self.says_fire,
                ..plan
            })
            .collect()
    }
}

/// Boils in the crowd of the one who knows.
const CROWD: u32 = 100;

/// Boils all the seeds of all the plans, shared among threads; the order of the answer does not depend on them.
fn boil_all<W: Watch, B: Known>(asked: &Asked, plans: &[Plan]) -> Vec<(Plan, Vec<Course>)> {
    let boils = usize::try_from(asked.boils).unwrap_or(usize::MAX);
    let jobs = plans.len() * boils;
    let (taken, done) = (AtomicUsize::new(0), Mutex::new(Vec::new()));
    std::thread::scope(|scope| {
        for _ in 0..asked.threads {
            scope.spawn(|| {
                loop {
                    let job = taken.fetch_add(1, Ordering::Relaxed);
                    if job >= jobs {
                        break;
                    }
                    let (plan, boil) = (job / boils, job % boils);
                    let seed = asked.seeds + boil as u64;
                    let look_min = asked.look_sec / 60.0;
                    let mut course = if asked.bound {
                        bound::<W, B>(&plans[plan], seed, look_min, CROWD)
                    } else {
                        run::<W, B>(&plans[plan], seed, look_min)
                    };
                    if asked.jar {
                        course.jar = jar::<W, B>(&plans[plan], seed, look_min);
                    }
                    if boil + 1 == boils {
                        eprintln!("{} of {}: {}", plan + 1, plans.len(), plans[plan].name());
                    }
                    done.lock()
                        .expect("no other thread failed")
                        .push((job, course));
                }
            });
        }
    });
    let mut done = done.into_inner().expect("no thread failed");
    done.sort_by_key(|(job, _)| *job);
    let mut courses = done.into_iter().map(|(_, course)| course);
    plans
        .iter()
        .map(|plan| (*plan, courses.by_ref().take(boils).collect()))
        .collect()
}

/// Judges the watcher `W` on the make `B` as asked; success if every goal of every cell is met.
#[must_use]
pub fn judge<W: Watch, B: Known>(asked: &Asked) -> ExitCode {
    let plans = asked.plans();
    if asked.list || plans.is_empty() {
        for plan in if plans.is_empty() { all() } else { plans } {
            println!("{}", plan.name());
        }
        return ExitCode::from(u8::from(!asked.list) * 2);
    }
    if asked.truth {
        println!(
            "{}\n\n{}",
            plans[0].name(),
            super::truth::table::<B>(&plans[0], asked.seeds, asked.boils)
        );
        return ExitCode::SUCCESS;
    }
    if let Some(seed) = asked.trace {
        println!("{}", plans[0].name());
        print!("{}", trace::<W, B>(&plans[0], seed, asked.look_sec / 60.0));
        return ExitCode::SUCCESS;
    }
    let judged = boil_all::<W, B>(asked, &plans);
    let last = asked.seeds + asked.boils - 1;
    println!(
        "Watcher {}, make {}, seeds {} to {last}, a look every {} s\n",
        asked.watch, asked.make, asked.seeds, asked.look_sec
    );
    print!("{}", table::head());
    let (mut missed, mut goals, mut seeds) = (0, 0, String::new());
    for (plan, courses) in &judged {
        let courses: Vec<&Course> = courses.iter().collect();
        let figures = Figures::of(&courses);
        let met = verdict(plan, &figures);
        goals += met.iter().flatten().count();
        missed += met.iter().flatten().filter(|&&met| !met).count();
        print!("{}", table::line(&plan.name(), &figures, &met));
        seeds += &table::failures(plan, &courses, &met);
    }
    print!("{}", table::pools(&judged));
    if asked.jar {
        print!("\n{}", table::jars(&judged));
    }
    println!("\n{missed} of {goals} goals missed\n{seeds}");
    if missed == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

#[cfg(test)]
mod tests {
    use super::super::baseline::Baseline;
    use super::*;
    use crate::fire::make_a::Sim;

    fn asked(line: &str) -> Result<Asked, String> {
        Asked::read(line.split_whitespace().map(str::to_owned))
    }

    #[test]
    fn arguments_are_understood_or_refused() {
        let some = asked("--make b --boils 10 --only fixed,eased --seeds 7").expect("well formed");
        assert_eq!((some.make.as_str(), some.boils, some.seeds), ("b", 10, 7));
        assert_eq!(some.plans().len(), 12);
        for bad in [
            "--boils",
            "--boils x",
            "--boils 0",
            "--no 1",
            "--look-sec NaN",
        ] {
            assert!(asked(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn threads_do_not_change_the_answer() {
        let one =
            asked("--boils 3 --threads 1 --only advised,refr,eased,clean").expect("well formed");
        let two = Asked {
            threads: 2,
            ..one.clone()
        };
        let plans = one.plans();
        assert_eq!(
            boil_all::<Baseline, Sim>(&one, &plans),
            boil_all::<Baseline, Sim>(&two, &plans)
        );
    }
}
