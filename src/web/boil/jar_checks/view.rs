//! The page of full jars on the scale, as text ready to print.

use super::form::word;
use crate::calc::boil::full_jars::{Holds, Weighed, sample_of, shown};
use crate::calc::cane::scale::Graduation;
use crate::calc::paper::chart::tenth;
use crate::facts::boil::jar_checks::{KindOfLot, LotWeights};
use crate::units::Units;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// One size on the page.
struct KindLine {
    words: String,
    target: String,
    least: String,
    most: String,
    gross: String,
    asked: String,
    verdict: String,
    look: &'static str,
}

/// One lot of the season's picture.
struct Dot {
    x: f64,
    y: f64,
    top: f64,
    bottom: f64,
}

/// One lot of the season's table.
struct SeasonLine {
    lot: String,
    href: String,
    kind: String,
    weighed: usize,
    mean: String,
    lightest: String,
    verdict: &'static str,
}

/// The page on which full jars are weighed.
#[derive(Template)]
#[template(path = "boil/jar_checks/show.html")]
pub(super) struct WeightsPage {
    shell: Shell,
    sheet: Sheet,
    /// What scale, and in which unit it shows; empty when there is none for jars.
    scale: String,
    unit: &'static str,
    kinds: Vec<KindLine>,
    choices: Vec<Choice>,
    dots: Vec<Dot>,
    season: Vec<SeasonLine>,
    action: String,
    back: String,
    labels: String,
}

/// What the weights of a kind say, in words.
pub(in crate::web) fn verdict(of: &Weighed, d: Option<Graduation>, units: Units) -> String {
    let g = |grams: f64| d.map_or_else(|| format!("{grams:.0} g"), |d| shown(grams, d, units));
    let counted = format!("{} weighed, {} asked for.", of.weighed, of.asked);
    let mean = format!(
        "On average {} net, the lightest {}.",
        g(of.mean_g),
        g(of.lightest_g)
    );
    match of.holds {
        Holds::NotWeighed => format!("Not weighed yet: please weigh {}.", of.asked),
        Holds::TooFew => {
            format!("Good so far. {mean} {counted} Please weigh more before you rely on it.")
        }
        Holds::Yes => format!("The lot holds what its label says. {mean} {counted}"),
        Holds::MeanLow => format!(
            "In doubt: the average is below the label, though by no more than chance may do ({}). {mean} {counted} Weigh more jars, or \
             top them up.",
            g(of.chance_g)
        ),
        Holds::MeanShort => format!(
            "Short: the average is below the label by more than chance. {mean} {counted} Top the jars up, or label them lower."
        ),
        Holds::JarShort => format!(
            "Short: {} of the jars lack more than the {} that a single jar may. {mean} {counted} Weigh every jar and top the short ones \
             up.",
            of.short,
            g(of.allowed_g)
        ),
    }
}

fn look(holds: Holds) -> &'static str {
    match holds {
        Holds::Yes => "good",
        Holds::NotWeighed | Holds::TooFew => "note",
        Holds::MeanLow | Holds::MeanShort | Holds::JarShort => "alarm",
    }
}

fn short_word(holds: Holds) -> &'static str {
    match holds {
        Holds::Yes | Holds::TooFew => "holds",
        Holds::NotWeighed => "not weighed",
        Holds::MeanLow => "in doubt",
        Holds::MeanShort | Holds::JarShort => "short",
    }
}

fn kind_line(kind: &KindOfLot, d: Option<Graduation>, units: Units) -> KindLine {
    let g = |grams: f64| d.map_or_else(String::new, |d| shown(grams, d, units));
    let over = |grams: f64| kind.target.map_or_else(String::new, |_| g(grams));
    let target = kind.target.map_or(0.0, |t| t.target_g);
    KindLine {
        words: format!(
            "{} of {}, {} filled",
            kind.size_name,
            kind.net.small(units),
            kind.count
        ),
        target: over(target),
        least: over(kind.target.map_or(0.0, |t| t.least_g)),
        most: over(kind.target.map_or(0.0, |t| t.most_g)),
        gross: match (kind.tare_g, kind.target) {
            (Some(tare), Some(t)) => format!(
                "With the jar and its lid ({}) the scale shows {}.",
                g(tare),
                g(t.target_g + tare)
            ),
            _ => "Set the scale to zero with an empty jar and its lid on it.".to_owned(),
        },
        asked: format!("Weigh {} of them.", sample_of(kind.count)),
        verdict: verdict(&kind.judged, d, units),
        look: look(kind.judged.holds),
    }
}

/// Width and half the height of the picture.
const WIDE: f64 = 340.0;
const HALF: f64 = 50.0;

/// Where the means lie: the line in the middle is the label, the edges what a jar may be short by, or over.
fn dots(season: &[(f64, f64, f64)]) -> Vec<Dot> {
    let step = WIDE / f64::from(u32::try_from(season.len() + 1).unwrap_or(u32::MAX));
    let at = |part: f64| tenth(HALF - HALF * part.clamp(-1.0, 1.0));
    (1_u32..)
        .zip(season)
        .map(|(n, (mean, chance, allowed))| Dot {
            x: tenth(step * f64::from(n)),
            y: at(mean / allowed),
            top: at((mean + chance) / allowed),
            bottom: at((mean - chance) / allowed),
        })
        .collect()
}

impl WeightsPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        lot: &LotWeights,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let units = visit.units();
        let code = &lot.boil.lot;
        let d = lot.scale.as_ref().map(|(_, d)| *d);
        let g = |grams: f64, d: f64| {
            Graduation::new(d).map_or_else(|_| String::new(), |d| shown(grams, d, units))
        };
        let over = |(c, w): &(crate::store::boil::jar_checks::CheckRow, Weighed)| {
            (w.mean_g - c.declared.as_f64(), w.chance_g, w.allowed_g)
        };
        let means: Vec<_> = lot.season.iter().map(over).collect();
        let line = |(c, w): &(crate::store::boil::jar_checks::CheckRow, Weighed)| SeasonLine {
            lot: c.lot.to_string(),
            href: paths::jar_weights(&c.lot),
            kind: c.size_name.clone(),
            weighed: w.weighed,
            mean: g(w.mean_g, c.graduation_g),
            lightest: g(w.lightest_g, c.graduation_g),
            verdict: short_word(w.holds),
        };
        visit.coop()?;
        Ok(Self {
            shell: Shell::new(app, visit, format!("Full jars of lot {code} on the scale")),
            sheet,
            scale: lot.scale.as_ref().map_or_else(String::new, |(s, d)| {
                format!("{}, in steps of {}", s.name, shown(d.get(), *d, units))
            }),
            unit: d.map_or("g", |d| {
                if crate::calc::boil::full_jars::in_ounces(d) {
                    "oz"
                } else {
                    "g"
                }
            }),
            kinds: lot.kinds.iter().map(|k| kind_line(k, d, units)).collect(),
            choices: lot
                .kinds
                .iter()
                .map(|k| {
                    Choice::new(
                        word(k),
                        format!("{} of {}", k.size_name, k.net.small(units)),
                    )
                })
                .collect(),
            dots: dots(&means),
            season: lot.season.iter().map(line).collect(),
            action: paths::jar_weights(code),
            back: paths::boil(code),
            labels: paths::boil_part(code, "labels"),
        })
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |many: usize, scale: &str| {
        let mut sheet = Sheet::sample();
        if many > 3 {
            sheet
                .put("weights", "<b>")
                .refuse("weights", "“<b>” is not a number.");
        }
        WeightsPage {
            shell: Shell::sample("Full jars of lot 26A9Z-P on the scale"),
            sheet,
            scale: scale.to_owned(),
            unit: "g",
            kinds: (0..many)
                .map(|n| KindLine {
                    words: "quart <wide> of 48 oz, 9 filled".to_owned(),
                    target: "1,363 g".to_owned(),
                    least: "1,320 g".to_owned(),
                    most: "1,406 g".to_owned(),
                    gross: "Set the scale to zero.".to_owned(),
                    asked: "Weigh 9 of them.".to_owned(),
                    verdict: "Short: 1 of the jars lacks too much.".to_owned(),
                    look: if n % 2 == 0 { "alarm" } else { "good" },
                })
                .collect(),
            choices: vec![Choice::new("1360/quart", "quart of 48 oz")],
            dots: dots(&vec![(2.0, 1.0, 25.0); many]),
            season: (0..many)
                .map(|n| SeasonLine {
                    lot: "26A9Z-P".to_owned(),
                    href: "/boils/26A9ZP/weights".to_owned(),
                    kind: "quart <wide>".to_owned(),
                    weighed: n,
                    mean: "1,364 g".to_owned(),
                    lightest: "1,359 g".to_owned(),
                    verdict: "holds",
                })
                .collect(),
            action: "/boils/26A9ZP/weights".to_owned(),
            back: "/boils/26A9ZP".to_owned(),
            labels: "/boils/26A9ZP/labels".to_owned(),
        }
    };
    vec![
        Box::new(page(0, "")),
        Box::new(page(1, "")),
        Box::new(page(3, "Kitchen <scale>, in steps of 1 g")),
        Box::new(page(30, "Kitchen <scale>, in steps of 1 g")),
    ]
}
