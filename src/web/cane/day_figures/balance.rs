//! The balance of a press day: its sugar as a picture and a table, and what is asked about it.

use crate::calc::boil::balance as rule;
use crate::calc::boil::day_sum::{self, DayBoil, DayJuice, PouredInto};
use crate::calc::boil::flow_picture::{Flow, Stream, flow};
use crate::facts::boil::boil_sums::Stocked;
use crate::facts::boil::season_boils::SeasonBoils;
use crate::facts::cane::day_sugar::DaySugar;
use crate::store::boil::boils::{BoilRow, FillRow};
use crate::store::turns::press_days::PressDay;
use crate::units::{BoilId, Grams, Units};
use crate::web::cane::of_path::press_day;
use crate::web::request::PageRequest;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, paths};
use askama::Template;
use axum::extract::Path;

/// A stream of the picture.
struct Ribbon {
    outline: String,
    look: &'static str,
    x: f64,
    y: f64,
    /// Label that stands on the stream or at its end.
    label: String,
    words: String,
}

/// The picture of the day's sugar, ready to draw.
struct Picture {
    height: f64,
    ribbons: Vec<Ribbon>,
}

/// A line of the table.
struct Line {
    words: &'static str,
    grams: String,
    percent: String,
}

/// A boil of the day.
struct BoilLine {
    lot: String,
    href: String,
    stage: &'static str,
    poured: String,
    syrup: String,
    recovery: String,
    jars: String,
}

/// The page of a day's balance of sugar.
#[derive(Template)]
#[template(path = "cane/day_figures/balance.html")]
struct BalancePage {
    shell: Shell,
    day: String,
    day_href: String,
    mill: String,
    cane: String,
    alarm: String,
    questions: Vec<String>,
    picture: Option<Picture>,
    lines: Vec<Line>,
    boils: Vec<BoilLine>,
    habit: String,
}

/// `GET /days/{date}/balance`
pub(crate) async fn balance(mut request: PageRequest, Path(date): Path<String>) -> Page {
    let day = press_day(&mut request.db, &date).await?;
    let sugar = DaySugar::read(&mut request.db, day).await?;
    page(&BalancePage::new(&request.app, &request.visit, &sugar))
}

/// A juice as the day's sum takes it.
fn of_day(juice: &Stocked, day: &PressDay, season: &SeasonBoils) -> DayJuice {
    let went = |boil: BoilId| {
        let of_the_day = season
            .boils
            .iter()
            .find(|b| b.id == boil && b.press_day_id == day.id);
        match of_the_day {
            Some(boil) if boil.finish.is_some() => PouredInto::Finished,
            Some(_) => PouredInto::Boiling,
            None => PouredInto::Elsewhere,
        }
    };
    DayJuice {
        of_the_day: juice.row.press_day_id == day.id,
        sediment: juice.juice.as_ref().map_or(Grams::ZERO, |j| {
            day_sum::sediment_solids(juice.row.sediment, j.brix_20)
        }),
        parts: juice
            .draws
            .iter()
            .zip(&juice.poured.parts)
            .map(|(draw, part)| (went(draw.boil_id), part.solids))
            .collect(),
        left: juice.poured.left.solids + juice.lost.solids,
    }
}

impl BalancePage {
    fn new(app: &App, visit: &Visit, sugar: &DaySugar) -> Self {
        let units = visit.units();
        let (day, season) = (&sugar.day, &sugar.season);
        let juices: Vec<DayJuice> = season
            .juices
            .iter()
            .map(|j| of_day(j, day, season))
            .collect();
        let of_the_day = season.boils.iter().filter(|b| b.press_day_id == day.id);
        let finished: Vec<DayBoil> = of_the_day
            .clone()
            .filter_map(|b| {
                let finish = b.finish.as_ref()?;
                Some(DayBoil {
                    brought: season.in_boil(b.id),
                    skimmed: finish.skimmed,
                    spilt: finish.spilt,
                    syrup: finish.syrup,
                    brix: finish.brix_20,
                })
            })
            .collect();
        let (sum, boiling) = day_sum::day(&juices, &finished);
        let (alarm, questions) = if finished.is_empty() {
            (String::new(), Vec::new())
        } else {
            match rule::day(&sum, season.habit.recovery) {
                Ok(found) => (String::new(), found.questions),
                Err(refusal) => (refusal.sentence, Vec::new()),
            }
        };
        let drawn = rule::DaySolids {
            not_boiled: sum.not_boiled - boiling,
            ..sum
        };
        let juice_mass: Grams = season
            .juices
            .iter()
            .filter(|j| j.row.press_day_id == day.id)
            .map(|j| j.stock().mass)
            .sum();
        Self {
            shell: Shell::new(app, visit, format!("Sugar of {}", day.date.show())),
            day: day.date.show(),
            day_href: paths::day(day.date),
            mill: paths::mill_day(day.date),
            cane: cane_words(sugar.cane, sugar.waiting, juice_mass, units),
            alarm,
            questions,
            picture: flow(&drawn, boiling).map(|f| picture(&f, sum.measured, units)),
            lines: lines(&drawn, boiling, units),
            boils: of_the_day
                .map(|b| boil_line(b, season, sugar.fills.get(&b.id), units))
                .collect(),
            habit: habit_words(season),
        }
    }
}

fn cane_words(cane: Grams, waiting: Grams, juice: Grams, units: Units) -> String {
    let waits = if waiting > Grams::ZERO {
        format!(
            " {} of cane is weighed in and not pressed yet.",
            waiting.show(units)
        )
    } else {
        String::new()
    };
    if cane <= Grams::ZERO {
        return format!("No cane is pressed yet.{waits}");
    }
    format!(
        "{} of cane gave {} of juice, {:.1} of 100; the rest went out as pressed stalks.{waits}",
        cane.show(units),
        juice.show(units),
        100.0 * juice.as_f64() / cane.as_f64()
    )
}

fn habit_words(season: &SeasonBoils) -> String {
    match season.habit.recovery {
        Some(l) => format!(
            "This season {:.0} of 100 of the solids reach the syrup: the middle of {} finished boils, \
             spread ± {:.0}.",
            100.0 * l.middle,
            l.boils,
            100.0 * l.spread
        ),
        None => "No boil of this season is finished yet, so it has no habit to be held against."
            .to_owned(),
    }
}

/// Words and look of a stream.
fn stream(of: Stream) -> (&'static str, &'static str) {
    match of {
        Stream::Measured => ("in the juice", "in"),
        Stream::Poured => ("into the pan", "in"),
        Stream::Sediment => ("left in sediment", "out"),
        Stream::NotBoiled => ("still in tanks, lost, or boiled another day", "wait"),
        Stream::Astray => ("measured, and nowhere", "lost"),
        Stream::Skimmed => ("skimmed", "out"),
        Stream::Spilt => ("spilt", "out"),
        Stream::Unexplained => ("unexplained", "lost"),
        Stream::Syrup => ("in the syrup", "syrup"),
        Stream::Boiling => ("on the fire", "wait"),
    }
}

/// The stream's name where it is drawn.
const fn name(of: Stream) -> &'static str {
    match of {
        Stream::Measured => "juice",
        Stream::Poured => "to the pan",
        Stream::Sediment => "sediment",
        Stream::NotBoiled => "in tanks",
        Stream::Astray => "nowhere",
        Stream::Skimmed => "skimmed",
        Stream::Spilt => "spilt",
        Stream::Unexplained => "unexplained",
        Stream::Syrup => "syrup",
        Stream::Boiling => "on the fire",
    }
}

fn percent(of: Grams, whole: Grams) -> String {
    if whole <= Grams::ZERO {
        return "–".to_owned();
    }
    format!("{:.1} %", 100.0 * of.as_f64() / whole.as_f64())
}

fn picture(of: &Flow, measured: Grams, units: Units) -> Picture {
    Picture {
        height: of.height,
        ribbons: of
            .ribbons
            .iter()
            .map(|r| {
                let (words, look) = stream(r.stream);
                let amount = match r.stream {
                    Stream::Measured | Stream::Poured => r.grams.show(units),
                    _ => format!("{}, {}", r.grams.show(units), percent(r.grams, measured)),
                };
                Ribbon {
                    outline: r.outline.clone(),
                    look,
                    x: r.label.0,
                    y: r.label.1,
                    label: format!("{} {}", name(r.stream), r.grams.show(units)),
                    words: format!("{words}: {amount}"),
                }
            })
            .collect(),
    }
}

/// The table: every gram once, so that the column adds up to the juice.
fn lines(of: &rule::DaySolids, boiling: Grams, units: Units) -> Vec<Line> {
    let lost = of.boils.poured - of.boils.skimmed - of.boils.spilt - of.boils.syrup;
    let rows = [
        ("Measured in juice", of.measured),
        ("Left in sediment", of.sediment),
        ("Still in tanks, or boiled another day", of.not_boiled),
        ("On the fire", boiling),
        ("Skimmed off", of.boils.skimmed),
        ("Spilt or scorched, as told", of.boils.spilt),
        ("In the syrup", of.boils.syrup),
        ("Unexplained: on the pan, misread", lost),
    ];
    rows.into_iter()
        .map(|(words, grams)| Line {
            words,
            grams: grams.exact(units),
            percent: percent(grams, of.measured),
        })
        .collect()
}

fn boil_line(
    boil: &BoilRow,
    season: &SeasonBoils,
    fills: Option<&Vec<FillRow>>,
    units: Units,
) -> BoilLine {
    let brought = season.in_boil(boil.id);
    let syrup = boil.finish.as_ref().map(|finish| {
        day_sum::boil_solids(&DayBoil {
            brought,
            skimmed: finish.skimmed,
            spilt: finish.spilt,
            syrup: finish.syrup,
            brix: finish.brix_20,
        })
        .syrup
    });
    let jarred: Grams = fills.map_or(Grams::ZERO, |f| f.iter().map(FillRow::grams).sum());
    BoilLine {
        lot: boil.lot.to_string(),
        href: paths::boil(&boil.lot),
        stage: boil.stage().words(),
        poured: brought.solids.exact(units),
        syrup: syrup.map_or_else(|| "–".to_owned(), |s| s.exact(units)),
        recovery: syrup.map_or_else(|| "–".to_owned(), |s| percent(s, brought.solids)),
        jars: jarred.exact(units),
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let text = |t: &str| t.to_owned();
    let full = rule::DaySolids {
        measured: Grams::new(100_000),
        sediment: Grams::new(4_000),
        not_boiled: Grams::new(9_000),
        boils: rule::BoilSolids {
            poured: Grams::new(80_000),
            skimmed: Grams::new(2_000),
            spilt: Grams::new(700),
            syrup: Grams::new(66_000),
        },
    };
    let sample = |of: rule::DaySolids, boiling: i64, many: usize| {
        let boiling = Grams::new(boiling);
        BalancePage {
            shell: Shell::sample("Sugar of Sat 19 Sep 2026"),
            day: text("Sat 19 Sep 2026"),
            day_href: text("/days/2026-09-19"),
            mill: text("/days/2026-09-19/mill"),
            cane: cane_words(
                Grams::new(9_000_000 * i64::from(many > 0)),
                Grams::new(12),
                Grams::ZERO,
                Units::Us,
            ),
            alarm: text(if many > 9 {
                "That <b>cannot</b> be."
            } else {
                ""
            }),
            questions: vec![text("Is a draw <i>missing</i>?"); many],
            picture: flow(&of, boiling).map(|f| picture(&f, of.measured, Units::Us)),
            lines: lines(&of, boiling, Units::Us),
            boils: (0..many)
                .map(|_| BoilLine {
                    lot: text("26A9Z-P"),
                    href: text("/boils/26A9ZP"),
                    stage: "finished",
                    poured: text("31.435 lb"),
                    syrup: text("–"),
                    recovery: text("84.1 %"),
                    jars: text("0.000 lb"),
                })
                .collect(),
            habit: text("This season 84 of 100."),
        }
    };
    vec![
        Box::new(sample(rule::DaySolids::default(), 0, 0)),
        Box::new(sample(full, 7_000, 30)),
    ]
}
