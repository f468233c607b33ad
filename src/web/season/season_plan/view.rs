//! The season's plan, as text ready to print.

use super::picture::{self, Picture};
use crate::calc::cane::learned::Learned;
use crate::calc::season::season_plan::{BETWEEN_BOILS, Limit, SETTLES, Week};
use crate::calc::turns::turn_habit::{TURNS_LEAST, enough};
use crate::facts::season::season_plan::SeasonPlan;
use crate::store::season::seasons::JarSize;
use crate::units::{Grams, Minutes, SquareMetres, Units, fixed, show_row_yield};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths};
use askama::Template;

/// One week.
struct WeekRow {
    week: String,
    cane: String,
    juice: String,
    jars: String,
    days: i64,
    mill: String,
    pan: String,
    state: &'static str,
    look: &'static str,
    advice: String,
}

/// A figure that is learned, beside the rules' own.
struct Figure {
    name: &'static str,
    rules: String,
    learned: String,
    used: &'static str,
}

/// The plan of a season.
#[derive(Template)]
#[template(path = "season/season_plan/show.html")]
pub(super) struct PlanPage {
    shell: Shell,
    plantings: usize,
    picture: Option<Picture>,
    summary: String,
    rows: Vec<WeekRow>,
    total: String,
    jar: String,
    figures: Vec<Figure>,
    pan: String,
    reckoned: String,
    least: u32,
    /// Address of the season's proposal; empty to all but stewards.
    proposal: String,
    back: String,
}

impl PlanPage {
    pub(super) fn new(app: &App, visit: &Visit, me: &Me, of: &SeasonPlan) -> Self {
        let (weeks, sizes) = (&of.weeks, &of.season.sizes);
        let units = visit.units();
        let rows: Vec<WeekRow> = weeks.iter().map(|w| row(w, of, units)).collect();
        let short = weeks.iter().filter(|w| w.limit() != Limit::Neither).count();
        let cane: Grams = weeks.iter().map(|w| w.cane).sum();
        let syrup: Grams = weeks.iter().map(|w| w.syrup).sum();
        Self {
            shell: Shell::new(
                app,
                visit,
                format!("Plan of the season {}", of.season.season.year),
            ),
            plantings: of.plantings,
            picture: picture::of(weeks),
            summary: match short {
                0 => "The press days carry what is planted, week by week.".to_owned(),
                1 => "In one week the press days do not carry what is ready.".to_owned(),
                n => format!("In {n} weeks the press days do not carry what is ready."),
            },
            rows,
            total: format!(
                "{} of cane in all, {} of syrup, {}",
                cane.show(units),
                syrup.show(units),
                jars(syrup, sizes)
            ),
            jar: sizes
                .first()
                .map_or_else(|| "Jars".to_owned(), |size| format!("Jars ({})", size.name)),
            figures: figures(of, units),
            pan: pan_words(of, units),
            reckoned: format!(
                "Of {} °Bx to {} °Bx; {} % of the sugar in jars. The pan starts {} after the mill, when juice has settled, \
                 and boils until the last juice has waited {}; each boil takes {} beside boiling (common practice).",
                fixed(of.figures.brix, 1, units),
                fixed(of.figures.target_bx, 0, units),
                fixed(of.figures.recovery * 100.0, 0, units),
                SETTLES.show(),
                of.figures.hold.show(),
                BETWEEN_BOILS.show()
            ),
            least: TURNS_LEAST,
            proposal: only_if(
                me.is_steward(),
                paths::season_part(of.season.season.year, "proposal"),
            ),
            back: paths::season(of.season.season.year),
        }
    }
}

fn jars(syrup: Grams, sizes: &[JarSize]) -> String {
    match sizes.first() {
        Some(size) if size.net > Grams::ZERO => {
            format!(
                "about {} jars of {}",
                syrup.get() / size.net.get(),
                size.name
            )
        }
        _ => "no jar size set".to_owned(),
    }
}

fn of_hours((takes, has): (Minutes, Minutes), units: Units) -> String {
    let hours = |m: Minutes| fixed(Grams::new(m.get()).as_f64() / 60.0, 1, units);
    format!("{} of {} h", hours(takes), hours(has))
}

fn row(week: &Week, of: &SeasonPlan, units: Units) -> WeekRow {
    let (state, look) = match week.limit() {
        Limit::Neither if week.cane == Grams::ZERO => ("nothing ready", ""),
        Limit::Neither => ("fits", "ok"),
        Limit::Mill => ("the mill is the limit", "bad"),
        Limit::Pan => ("the pan is the limit", "bad"),
        Limit::NoDay => ("no press day", "warn"),
    };
    WeekRow {
        week: picture::monday(week),
        cane: week.cane.show(units),
        juice: week.juice.show(units),
        jars: match of.season.sizes.first() {
            Some(size) if size.net > Grams::ZERO => (week.syrup.get() / size.net.get()).to_string(),
            _ => "–".to_owned(),
        },
        days: week.days,
        mill: of_hours(week.mill, units),
        pan: week
            .pan
            .map_or_else(|| "no pan".to_owned(), |pan| of_hours(pan, units)),
        state,
        look,
        advice: advice(week, of, units),
    }
}

/// Words on what one more day or a larger pan would do.
fn advice(week: &Week, of: &SeasonPlan, units: Units) -> String {
    if week.limit() == Limit::Neither {
        return String::new();
    }
    let Some(day) = of.days.last() else {
        return "Plan a press day to see how much it carries.".to_owned();
    };
    let more = week.days_more(day, of.figures.hold);
    let days = match more {
        1 => "One more press day carries it".to_owned(),
        n => format!("{n} more press days carry it"),
    };
    match (week.pan_larger(), of.figures.pan) {
        (Some(times), Some(pan)) => {
            let area = SquareMetres::new(pan.area_m2 * times)
                .map_or_else(|_| "no pan we know".to_owned(), |area| area.show(units));
            let pressed = if week.mill.0 > week.mill.1 {
                ", but the mill would still be short"
            } else {
                ""
            };
            format!(
                "{days}. A pan of {area}, {times:.1} times this one, would boil it on the days there are{pressed}."
            )
        }
        _ => format!("{days}."),
    }
}

fn learned(figure: Option<Learned>, show: impl Fn(f64) -> String) -> String {
    match figure {
        None => "nothing yet".to_owned(),
        Some(l) => format!(
            "{} ± {} from {} {}",
            show(l.middle),
            show(l.spread),
            l.boils,
            if l.boils == 1 { "turn" } else { "turns" }
        ),
    }
}

fn figures(of: &SeasonPlan, units: Units) -> Vec<Figure> {
    let used = |figure| {
        if enough(figure).is_some() {
            "learned"
        } else {
            "the rules’"
        }
    };
    let row = |kg: f64| show_row_yield(kg, units);
    let percent = |p: f64| fixed(p, 1, units);
    let pace = |m: f64| format!("{} min", fixed(m, 1, units));
    let h = &of.habit;
    vec![
        Figure {
            name: "Cane of a row",
            rules: row(of.season.rules.row_kg_per_m),
            learned: learned(h.row_kg_per_m, row),
            used: used(h.row_kg_per_m),
        },
        Figure {
            name: "Juice for each 100 of cane",
            rules: percent(of.season.rules.juice_pct),
            learned: learned(h.juice_pct, percent),
            used: used(h.juice_pct),
        },
        Figure {
            name: "Brix of the juice, °Bx",
            rules: "15.0 (trade texts)".to_owned(),
            learned: learned(h.brix, percent),
            used: used(h.brix),
        },
        Figure {
            name: "Time for 100 kg (220 lb), juice to juice",
            rules: of.days.last().map_or_else(
                || "no press day yet".to_owned(),
                |day| {
                    let minutes = 6_000_000.0 / day.mill_per_h.as_f64().max(1.0);
                    format!("{} and the change-over", pace(minutes))
                },
            ),
            learned: learned(h.min_per_100kg, pace),
            used: "the press day’s own rate",
        },
    ]
}

fn pan_words(of: &SeasonPlan, units: Units) -> String {
    let Some(pan) = of.figures.pan else {
        return "No pan is set up, so only the mill is planned.".to_owned();
    };
    let water = crate::units::Millilitres::nearest(pan.water_kg_h * 1000.0);
    let from = match of.pan_boils {
        0 => "as it was set up".to_owned(),
        1 => "learned from 1 boil".to_owned(),
        n => format!("learned from {n} boils"),
    };
    format!(
        "The largest pan in use drives off {} of water an hour ({from}) and takes {} of juice.",
        water.show(units),
        pan.most.show(units)
    )
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    use crate::units::PressDate;
    let week = |n: i64| Week {
        monday: PressDate::parse("2026-08-31").unwrap().plus_days(7 * n),
        cane: Grams::new(1_400_000 * (n % 3)),
        juice: Grams::new(630_000 * (n % 3)),
        solids: Grams::new(94_500),
        syrup: Grams::new(96_923),
        days: n % 2,
        mill: (Minutes::new(430 * (n % 3)), Minutes::new(600 * (n % 2))),
        pan: Some((Minutes::new(516 * (n % 3)), Minutes::new(780 * (n % 2)))),
        boiling: Minutes::new(336),
    };
    let page = |count: i64| {
        let weeks: Vec<Week> = (0..count).map(week).collect();
        let row = |w: &Week| WeekRow {
            week: picture::monday(w),
            cane: w.cane.show(Units::Us),
            juice: w.juice.show(Units::Us),
            jars: "142".to_owned(),
            days: w.days,
            mill: of_hours(w.mill, Units::Us),
            pan: "no pan".to_owned(),
            state: "the pan is the limit",
            look: "bad",
            advice: "One more press day carries it.".to_owned(),
        };
        PlanPage {
            shell: Shell::sample("Plan of the season 2026"),
            plantings: weeks.len(),
            picture: picture::of(&weeks),
            summary: "In 2 weeks the press days do not carry what is ready.".to_owned(),
            rows: weeks.iter().map(row).collect(),
            total: "3,086.5 lb of cane in all".to_owned(),
            jar: "Jars (pint <wide>, 24 oz)".to_owned(),
            figures: vec![Figure {
                name: "Cane of a row",
                rules: "1.34 lb a foot".to_owned(),
                learned: "1.4 ± 0.2 from 12 turns".to_owned(),
                used: "learned",
            }],
            pan: "No pan is set up, so only the mill is planned.".to_owned(),
            reckoned: "Of 15.0 °Bx to 78 °Bx.".to_owned(),
            least: TURNS_LEAST,
            proposal: "/seasons/2026/proposal".to_owned(),
            back: "/seasons/2026".to_owned(),
        }
    };
    vec![Box::new(page(0)), Box::new(page(1)), Box::new(page(30))]
}
