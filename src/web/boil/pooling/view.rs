//! The plan of a day's boils, as text ready to print.

use crate::calc::RuleRefusal;
use crate::calc::boil::day_sum::mass_of_part;
use crate::calc::boil::pan;
use crate::calc::boil::pooling::{Proposal, Proposals};
use crate::calc::boil::sums::{total, warmth};
use crate::calc::cane::juice::{Freshness, Portion, Stock, juice_clock};
use crate::facts::boil::boil_sums::Stocked;
use crate::facts::boil::pooling::{Pooling, label};
use crate::units::{Grams, JuiceId, Millilitres, Units};
use crate::web::boil::boil_plans::{self, Charged};
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// One juice of a proposal.
struct Draw {
    words: String,
    href: String,
    amount: String,
}

/// One proposed boil.
struct Proposed {
    title: String,
    sentence: String,
    tags: Vec<&'static str>,
    draws: Vec<Draw>,
    plan: Vec<String>,
    light: String,
}

/// A juice that waits.
struct WaitingJuice {
    words: String,
    href: String,
    amount: String,
    brix: String,
    left: String,
    look: &'static str,
}

/// A pan to choose.
struct OtherPan {
    name: String,
    href: String,
}

/// The page that proposes the next boils.
#[derive(Template)]
#[template(path = "boil/pooling/show.html")]
pub(super) struct PoolingPage {
    shell: Shell,
    day: String,
    day_href: String,
    new_boil: String,
    pans: &'static str,
    pan: String,
    others: Vec<OtherPan>,
    free: String,
    closed: bool,
    problem: String,
    proposed: Vec<Proposed>,
    waiting: Vec<WaitingJuice>,
}

impl PoolingPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        of: &Pooling,
        proposals: Option<Result<Proposals, RuleRefusal>>,
    ) -> Result<Self, PageError> {
        let units = visit.units();
        let (problem, boils) = match proposals {
            None => (String::new(), Vec::new()),
            Some(Err(refusal)) => (refusal.sentence, Vec::new()),
            Some(Ok(found)) => (String::new(), found.boils),
        };
        let proposed = boils
            .iter()
            .zip(1..)
            .map(|(boil, number)| proposed(of, boil, number, visit))
            .collect::<Result<_, PageError>>()?;
        let others = of.season.pans.iter().enumerate();
        Ok(Self {
            shell: Shell::new(
                app,
                visit,
                format!("Boils to light, {}", of.day.date.show()),
            ),
            day: of.day.date.show(),
            day_href: paths::day(of.day.date),
            new_boil: paths::new_boil(of.day.date),
            pans: paths::PANS,
            pan: of
                .pan()
                .map_or_else(String::new, |p| pan_words(of, p, units)),
            others: others
                .filter(|(n, _)| Some(*n) != of.pan)
                .map(|(_, p)| OtherPan {
                    name: p.name.clone(),
                    href: paths::plan_in(of.day.date, p.id),
                })
                .collect(),
            free: if of.free > visit.at {
                format!(
                    "The fire is free about {}: what is on it now comes first.",
                    visit.zone()?.local(of.free).1.show()
                )
            } else {
                String::new()
            },
            closed: of.day.closed_at.is_some(),
            problem,
            proposed,
            waiting: of.waiting.iter().map(|j| line(of, j, visit)).collect(),
        })
    }
}

fn pan_words(of: &Pooling, pan: &crate::store::boil::pans::Pan, units: Units) -> String {
    let rate = of
        .pan_to_plan()
        .map_or(pan.settings.rate_l_m2_h, |p| p.rate_l_m2_h);
    let from = match of.season.habit.rate {
        Some(l) if l.boils == 1 => "learned from 1 finished boil of this season".to_owned(),
        Some(l) => format!("learned from {} finished boils of this season", l.boils),
        None => "as it was set up, until finished boils teach its own".to_owned(),
    };
    format!(
        "{} takes {} to {} and drives off {} ({from}).",
        pan.name,
        pan.settings.least.show(units),
        pan.settings.most.show(units),
        pan::rate(rate, units)
    )
}

fn proposed(
    of: &Pooling,
    boil: &Proposal,
    number: u32,
    visit: &Visit,
) -> Result<Proposed, PageError> {
    let (units, zone) = (visit.units(), visit.zone()?);
    let clock = |at| zone.local(at).1.show();
    let parts: Vec<(&Stocked, Portion)> = boil
        .draws
        .iter()
        .filter_map(|draw| {
            let juice = of.waiting.get(draw.juice)?;
            Some((juice, part(juice, draw.volume)))
        })
        .collect();
    let whole = |juice: &Stocked, part: &Portion| part.mass >= juice.poured.left.mass;
    let asked: Vec<(JuiceId, Option<Grams>)> = parts
        .iter()
        .map(|(j, p)| (j.row.id, (!whole(j, p)).then_some(p.mass)))
        .collect();
    let alone = parts
        .iter()
        .find(|(juice, _)| !juice.row.pools)
        .map(|(juice, _)| juice.row.member_id);
    let mut tags = Vec::new();
    if !boil.late.is_empty() {
        tags.push("late: smell and test it");
    }
    if boil.short > Millilitres::ZERO {
        tags.push("less than the pan’s least");
    }
    if alone.is_some() {
        tags.push("boiled alone, as asked");
    }
    Ok(Proposed {
        title: format!(
            "{number}. Light at {}, done about {}",
            clock(boil.light),
            clock(boil.done)
        ),
        sentence: boil.sentence.clone(),
        tags,
        draws: parts
            .iter()
            .map(|(juice, part)| Draw {
                words: label(juice),
                href: paths::juice(juice.row.id),
                amount: if whole(juice, part) {
                    format!("all {}", part.mass.show(units))
                } else {
                    format!(
                        "{} of {}",
                        part.mass.show(units),
                        juice.poured.left.mass.show(units)
                    )
                },
            })
            .collect(),
        plan: plan(of, &parts, units),
        light: paths::light_these(of.day.date, &asked, alone, of.pan().map(|p| p.id)),
    })
}

/// The part that these millilitres are of what is left of a juice.
fn part(juice: &Stocked, volume: Millilitres) -> Portion {
    let left = juice.poured.left;
    let mass = mass_of_part(left, volume);
    if mass >= left.mass {
        return left;
    }
    let stock = Stock {
        volume: left.volume,
        mass: left.mass,
        solids: left.solids,
    };
    stock.draw(Millilitres::ZERO, volume).unwrap_or(left)
}

fn plan(of: &Pooling, parts: &[(&Stocked, Portion)], units: Units) -> Vec<String> {
    let (Some(pan), Some(under)) = (of.pan_to_plan(), of.pan()) else {
        return Vec::new();
    };
    let brought = total(parts.iter().map(|(_, p)| *p));
    let Some(temp) = warmth(parts.iter().map(|(j, p)| (j.row.temp, p.mass))) else {
        return Vec::new();
    };
    let habit = &of.season.habit;
    let charged = Charged {
        brought,
        temp,
        target: of.target,
        finish: of.finish.target,
        recovery: habit.recovery_or(of.rules.recovery_pct / 100.0),
        pan,
        fuel: under.settings.fuel,
        efficiency: habit.efficiency(under.id, under.settings.fuel_for_plan()),
    };
    boil_plans::lines(&charged, &of.sizes, units)
}

fn line(of: &Pooling, juice: &Stocked, visit: &Visit) -> WaitingJuice {
    let limits = of.rules.wait_limits();
    let (clock, left) = juice_clock(juice.row.pressed_at, visit.at, limits);
    WaitingJuice {
        words: label(juice),
        href: paths::juice(juice.row.id),
        amount: juice.poured.left.volume.show(visit.units()),
        brix: juice
            .juice
            .as_ref()
            .map_or_else(String::new, |j| j.brix_20.show()),
        left: if left.get() < 0 {
            format!("{} past", crate::units::Minutes::new(-left.get()).show())
        } else {
            format!("{} left", left.show())
        },
        look: match clock {
            Freshness::Fresh => "ok",
            Freshness::Soon => "warn",
            Freshness::Late => "bad",
        },
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    const NAME: &str = "Maximiliana <b>Featherstonehaugh</b> & Co, ticket 12 (Blue barrel)";
    let text = |t: &str| t.to_owned();
    let page = |many: usize, pan: &str, problem: &str| PoolingPage {
        shell: Shell::sample("Boils to light"),
        day: text("Sat 19 Sep 2026"),
        day_href: text("/days/2026-09-19"),
        new_boil: text("/days/2026-09-19/boils/new"),
        pans: paths::PANS,
        pan: text(pan),
        others: (0..many)
            .map(|_| OtherPan {
                name: text(NAME),
                href: text("/days/2026-09-19/plan?pan=1"),
            })
            .collect(),
        free: text(problem),
        closed: !problem.is_empty(),
        problem: text(problem),
        proposed: (0..many)
            .map(|_| Proposed {
                title: text("1. Light at 10:30, done about 14:45"),
                sentence: text(NAME),
                tags: vec!["late: smell and test it"; many],
                draws: (0..many)
                    .map(|_| Draw {
                        words: text(NAME),
                        href: text("/juices/1"),
                        amount: text("212.4 lb of 300.0 lb"),
                    })
                    .collect(),
                plan: vec![text(NAME); many],
                light: text("/days/2026-09-19/boils/new?juice=1"),
            })
            .collect(),
        waiting: (0..many)
            .map(|_| WaitingJuice {
                words: text(NAME),
                href: text("/juices/1"),
                amount: text("41.2 gal"),
                brix: text("14.80 °Bx"),
                left: text("1 h 10 min past"),
                look: "bad",
            })
            .collect(),
    };
    vec![
        Box::new(page(0, "", "")),
        Box::new(page(0, "Long pan takes 40 gal.", "")),
        Box::new(page(30, "Long pan takes 40 gal.", "")),
        Box::new(page(
            2,
            "Long pan",
            "Please set the greatest charge of the pan.",
        )),
    ]
}
