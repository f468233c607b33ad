//! The pages of seasons, as text ready to print.

use super::form::PRICE_BOXES;
use super::older::{self, OlderBoil};
use super::weights;
use super::words::{self, Setting};
use crate::calc::Basis;
use crate::calc::season::rules::{NET_BOXES, SIZE_BOXES};
use crate::calc::shares::gain;
use crate::calc::shares::losses::LossRule;
use crate::calc::turns::turn_habit::TURNS_LEAST;
use crate::facts::season::older_rules::OlderRules;
use crate::facts::season::seasons::{RulesVersion, SeasonRules, SeasonVersions};
use crate::units::Units;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths};
use askama::Template;

/// One season of the list.
struct SeasonRow {
    year: i64,
    href: String,
    days: String,
    /// The version in words: "version 2, holds from …".
    version: String,
    basis: &'static str,
    toll: String,
}

/// The page that lists the seasons, with the form that opens one.
#[derive(Template)]
#[template(path = "season/seasons/list.html")]
pub(super) struct ListPage {
    shell: Shell,
    sheet: Sheet,
    steward: bool,
    open: &'static str,
    rows: Vec<SeasonRow>,
}

impl ListPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        seasons: &[SeasonRules],
        sheet: Sheet,
    ) -> Self {
        let rows = seasons
            .iter()
            .map(|SeasonRules { season, rules, .. }| SeasonRow {
                year: season.year,
                href: paths::season(season.year),
                days: paths::days_of(season.year),
                version: match rules.holds_from {
                    Some(from) => format!("version {}, from {}", rules.number, from.show()),
                    None => format!("version {}, a draft: please confirm it", rules.number),
                },
                basis: rules.basis.label(),
                toll: rules.toll.show(),
            })
            .collect();
        Self {
            shell: Shell::new(app, visit, "Rules, season by season"),
            sheet,
            steward: me.is_steward(),
            open: paths::SEASONS,
            rows,
        }
    }
}

/// A draft that a steward can confirm.
struct Draft {
    number: i64,
    confirm: String,
    /// What it says, in sentences.
    sentences: Vec<String>,
    /// What it changes of the version that is shown; empty: that is the draft itself, or nothing in the figures.
    changes: Vec<String>,
}

impl Draft {
    fn of(draft: &RulesVersion, of: (i64, Option<&RulesVersion>), units: Units) -> Self {
        let (year, shown) = of;
        let before = shown.filter(|shown| shown.rules.id != draft.rules.id);
        Self {
            number: draft.rules.number,
            confirm: paths::confirm_rules(year, draft.rules.number),
            // Where no other version is shown, the page shows the draft itself.
            sentences: before.map_or_else(Vec::new, |_| words::sentences(&draft.rules, units)),
            changes: before.map_or_else(Vec::new, |before| {
                words::changes(&settings_of(before, units), &settings_of(draft, units))
            }),
        }
    }
}

/// One version in the list of a season.
struct Version {
    number: i64,
    /// Words on from when it holds and who confirmed it, or that it is a draft.
    holds: String,
    /// Address where that day is put right; empty: not by this reader.
    day: String,
    made: String,
    by: String,
    jars: String,
    changes: Vec<String>,
    note: String,
}

/// A season's rules in plain words, and every version of them.
#[derive(Template)]
#[template(path = "season/seasons/show.html")]
pub(super) struct SeasonPage {
    shell: Shell,
    sheet: Sheet,
    /// Why no version holds today; empty: one does.
    none_holds: String,
    draft: Option<Draft>,
    /// Versions confirmed for a later day.
    to_come: Vec<String>,
    holds: String,
    number: i64,
    made: String,
    by: String,
    note: String,
    sentences: Vec<String>,
    settings: Vec<Setting>,
    versions: Vec<Version>,
    /// Boils that keep an older version than their day has, for stewards.
    older: Vec<OlderBoil>,
    /// Sentences on those of them that stay as they are.
    older_stay: Vec<String>,
    steward: bool,
    change: String,
    close: String,
    days: String,
    plan: String,
    back: &'static str,
}

impl SeasonPage {
    /// A season always has a version.
    pub(super) fn new(
        (app, visit, me): (&App, &Visit, &Me),
        (of, older): (&SeasonVersions, Vec<OlderRules>),
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (zone, units) = (visit.zone()?, visit.units());
        let (season, versions) = (&of.season, &of.versions);
        let today = zone.local(visit.at).0;
        let holding = of.holding(today);
        let shown = holding.or_else(|| versions.first());
        let RulesVersion { rules, made_by, .. } = shown.ok_or(PageError::NotFound)?;
        let settings: Vec<Vec<Setting>> = versions
            .iter()
            .map(|version| settings_of(version, units))
            .collect();
        let lines = versions
            .iter()
            .enumerate()
            .map(|(i, version)| Version {
                number: version.rules.number,
                holds: holds(version),
                day: only_if(
                    me.is_steward() && version.rules.holds_from.is_some(),
                    paths::rules_day(season.year, version.rules.number),
                ),
                made: zone.show(version.rules.made_at),
                by: version.made_by.to_string(),
                jars: words::jars(&version.sizes, units),
                changes: settings
                    .get(i + 1)
                    .map_or_else(Vec::new, |before| words::changes(before, &settings[i])),
                note: version.rules.note.clone(),
            })
            .collect();
        Ok(Self {
            shell: Shell::new(app, visit, format!("Rules of the season {}", season.year)),
            none_holds: only_if(holding.is_none(), words::not_yet(of, today)),
            draft: of
                .draft()
                .map(|draft| Draft::of(draft, (season.year, shown), units)),
            to_come: of
                .to_come(today)
                .map(|v| format!("Version {} {}", v.rules.number, holds(v)))
                .collect(),
            holds: shown.map_or_else(String::new, holds),
            sheet,
            number: rules.number,
            made: zone.show(rules.made_at),
            by: made_by.to_string(),
            note: rules.note.clone(),
            sentences: words::sentences(rules, units),
            settings: shown.map_or_else(Vec::new, |version| settings_of(version, units)),
            versions: lines,
            older_stay: older::that_stay(&older),
            older: older.into_iter().filter_map(OlderBoil::of).collect(),
            steward: me.is_steward(),
            change: paths::rules(season.year),
            close: paths::season_part(season.year, "close"),
            days: paths::days_of(season.year),
            plan: paths::season_plan(season.year),
            back: paths::SEASONS,
        })
    }
}

/// Every setting of a version, in the order of the form.
fn settings_of(version: &RulesVersion, units: Units) -> Vec<Setting> {
    let mut all = words::settings(&version.rules, &version.sizes, units);
    all.extend(weights::settings(&version.weights, units));
    all
}

/// "holds from Tue 6 Oct 2026, confirmed by Ruth", or "is a draft".
fn holds(version: &RulesVersion) -> String {
    match (version.rules.holds_from, &version.confirmed_by) {
        (Some(from), Some(by)) => format!("holds from {}, confirmed by {by}", from.show()),
        _ => "is a draft".to_owned(),
    }
}

/// One row of jars on the form.
struct JarRow {
    legend: String,
    size: &'static str,
    net: &'static str,
    price: &'static str,
}

/// Labels that name the units in which the person typing reads.
struct Labels {
    row: &'static str,
    stalk: &'static str,
    net: &'static str,
    day: &'static str,
    person: &'static str,
}

const US: Labels = Labels {
    row: "Stripped cane expected of a foot of row, lb",
    stalk: "Weight of a stripped stalk, oz",
    net: "Net weight, oz",
    day: "Opening the mill for a day, lb",
    person: "Each of the crew who comes, lb",
};
const METRIC: Labels = Labels {
    row: "Stripped cane expected of a metre of row, kg",
    stalk: "Weight of a stripped stalk, g",
    net: "Net weight, g",
    day: "Opening the mill for a day, kg",
    person: "Each of the crew who comes, kg",
};

/// The form of a new version.
#[derive(Template)]
#[template(path = "season/seasons/rules.html")]
pub(super) struct RulesPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    bases: Vec<Choice>,
    basis_hint: String,
    losses: Vec<Choice>,
    rates_in: Vec<Choice>,
    labels: Labels,
    juice_hint: String,
    row_hint: String,
    rows: Vec<JarRow>,
}

fn bases() -> Vec<Choice> {
    Basis::ALL
        .into_iter()
        .map(|basis| Choice::new(basis.word(), basis.label()))
        .collect()
}

fn losses() -> Vec<Choice> {
    LossRule::ALL
        .into_iter()
        .map(|rule| Choice::new(rule.word(), rule.label()))
        .collect()
}

/// The units that rates can be voted in.
fn rates_in() -> Vec<Choice> {
    vec![
        Choice::new(Units::Us.word(), "pound and gallon"),
        Choice::new(Units::Metric.word(), "kilogram and litre"),
    ]
}

fn labels(units: Units) -> Labels {
    match units {
        Units::Us => US,
        Units::Metric => METRIC,
    }
}

fn jar_rows() -> Vec<JarRow> {
    SIZE_BOXES
        .into_iter()
        .zip(NET_BOXES)
        .zip(PRICE_BOXES)
        .enumerate()
        .map(|(i, ((size, net), price))| JarRow {
            legend: format!("Jar size {}", i + 1),
            size,
            net,
            price,
        })
        .collect()
}

/// Sentence on how long the rules' figure is used, until turns have taught one.
fn until_learned(turns: &str) -> String {
    format!("Used until {TURNS_LEAST} {turns} have taught the mill’s own.")
}

impl RulesPage {
    pub(super) fn new(app: &App, visit: &Visit, year: i64, sheet: Sheet) -> Self {
        Self {
            shell: Shell::new(app, visit, format!("New version of the rules of {year}")),
            sheet,
            action: paths::rules(year),
            back: paths::season(year),
            bases: bases(),
            basis_hint: gain::words(),
            losses: losses(),
            rates_in: rates_in(),
            labels: labels(visit.units()),
            juice_hint: until_learned("turns"),
            row_hint: until_learned("turns booked by row"),
            rows: jar_rows(),
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |year| SeasonRow {
        year,
        href: paths::season(year),
        days: paths::days_of(year),
        version: "version 12, from Sat 18 Sep 2027".to_owned(),
        basis: "dissolved solids",
        toll: "33.33 %".to_owned(),
    };
    let list = |rows, sheet| ListPage {
        shell: Shell::sample("Rules, season by season"),
        sheet,
        steward: true,
        open: paths::SEASONS,
        rows,
    };
    let form = |sheet, labels| RulesPage {
        shell: Shell::sample("New version of the rules of 2027"),
        sheet,
        action: paths::rules(2027),
        back: paths::season(2027),
        bases: bases(),
        basis_hint: gain::words(),
        losses: losses(),
        rates_in: rates_in(),
        labels,
        juice_hint: until_learned("turns"),
        row_hint: until_learned("turns booked by row"),
        rows: jar_rows(),
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("toll", "120")
        .refuse("toll", "Please write a percentage from 0 to 100.")
        .put("size_2", "<script>")
        .refuse("net_2", "Row 2 is only half filled in.");
    vec![
        Box::new(list(Vec::new(), Sheet::sample())),
        Box::new(list((2000..2040).map(row).collect(), Sheet::sample())),
        Box::new(season_sample(1)),
        Box::new(season_sample(40)),
        Box::new(form(Sheet::sample(), US)),
        Box::new(form(wrong, METRIC)),
    ]
}

#[cfg(test)]
fn season_sample(count: i64) -> SeasonPage {
    let version = |number| Version {
        number,
        holds: "is a draft".to_owned(),
        day: format!("/seasons/2027/rules/{number}/day"),
        made: "Sat 18 Sep 2027 07:30".to_owned(),
        by: "Maximiliana <b>Featherstonehaugh</b>".to_owned(),
        jars: "quart <tall> 44 oz, jar $1.60; pint 22 oz, jar $1.20".to_owned(),
        changes: vec!["Toll, of the syrup: 10 % → 12 %".to_owned()],
        note: "Voted 14 to 3 & written down.".to_owned(),
    };
    SeasonPage {
        shell: Shell::sample("Rules of the season 2027"),
        sheet: Sheet::sample(),
        none_holds: only_if(
            count == 1,
            "No rules of this season <b>are</b> confirmed yet".to_owned(),
        ),
        draft: (count > 1).then(|| Draft {
            number: 12,
            confirm: paths::confirm_rules(2027, 12),
            sentences: vec!["The mill keeps 12 % of <every> lot.".to_owned()],
            changes: vec!["Toll, of the syrup: 10 % → 12 %".to_owned(); 2],
        }),
        to_come: vec!["Version 13 holds from Sat 18 Sep 2027, confirmed by <b>Ruth</b>".to_owned()],
        holds: "holds from Sat 18 Sep 2027, confirmed by <b>Ruth</b>".to_owned(),
        number: 12,
        made: "Sat 18 Sep 2027 07:30".to_owned(),
        by: "Ruth <b>".to_owned(),
        note: String::new(),
        sentences: vec!["The mill keeps no syrup.".to_owned()],
        settings: vec![Setting {
            name: "Toll, of the syrup",
            value: "10 %".to_owned(),
            source: "None until voted.".to_owned(),
        }],
        versions: (1..=count).map(version).collect(),
        older: older::sample(count - 1),
        older_stay: vec!["Divided already, and stays so: 26001-3.".to_owned()],
        steward: true,
        change: paths::rules(2027),
        close: paths::season_part(2027, "close"),
        plan: paths::season_plan(2027),
        days: paths::days_of(2027),
        back: paths::SEASONS,
    }
}
