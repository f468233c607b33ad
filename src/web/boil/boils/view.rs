//! The page of a boil as text ready to print.

use super::form::count_box;
use super::live::{Figures, figures, probes};
use super::parts::{
    FillLine, LargeFinish, MemberRow, PanRow, ReadingLine, alarms, big, cook, expected, fill_lines,
    member_rows, pan_rows, reading_lines, reading_words,
};
use super::read_back::ReadBack;
use super::step::Steps;
use super::sum::{balance, fuel_hint, fuel_label};
use crate::calc::boil::full_jars::{FillTarget, fill_target, shown};
use crate::calc::boil::sums::Stage;
use crate::calc::physics::energy::Fuel;
use crate::calc::physics::refractometer::Instrument;
use crate::facts::boil::boil_sums::Stocked;
use crate::facts::boil::boils::Boil;
use crate::facts::boil::jar_checks::declared;
use crate::store::boil::boils::{BoilRow, FinishRow};
use crate::units::{Grams, Units};
use crate::web::boil::boil_words::{Fact, degrees, in_words};
use crate::web::boil::probes::live::ProbesOfPage;
use crate::web::cane_way::StopView;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths, statics};
use askama::Template;

/// The four forms of the page, and what is wrong with the one that came back.
pub(super) struct Sheets {
    pub reading: Sheet,
    pub draw: Sheet,
    pub finish: Sheet,
    pub fill: Sheet,
    /// The pages along the way of the cane in it.
    pub stops: Vec<StopView>,
    /// A surprising figure of the reading, read back.
    pub ask_reading: Option<ReadBack>,
    wrong: String,
    /// Whether to ask if a thin syrup is known, and if a low recovery was looked at.
    ask_thin: bool,
    ask_low: bool,
    /// Whether to ask if far too much fuel was looked at.
    ask_fuel: bool,
}

impl Sheets {
    /// All four as a person first sees them.
    pub(super) fn blank(app: &App, visit: &Visit, boil: &Boil) -> Self {
        let blank = || Sheet::blank(visit, &app.ids);
        let units = visit.units();
        let mut sheets = Self {
            reading: blank(),
            draw: blank(),
            finish: blank(),
            fill: blank(),
            stops: Vec::new(),
            ask_reading: None,
            wrong: String::new(),
            ask_thin: false,
            ask_low: false,
            ask_fuel: false,
        };
        match &boil.row.finish {
            None => {
                let usual = Instrument::SelfCompensating.word();
                sheets.finish.put("instrument", usual);
            }
            Some(finish) => prefill(&mut sheets.finish, finish, units),
        }
        sheets
    }

    /// Says at the top of the page what is wrong further down.
    pub(super) fn refused(&mut self, sheet: &Sheet) {
        let asks = |name: &str| sheet.at(name).problem.is_some() || sheet.ticked(name);
        self.ask_thin = asks("thin");
        self.ask_low = asks("low");
        self.ask_fuel = asks("fuel_sure");
        self.wrong = sheet.problem.clone().unwrap_or_else(|| {
            let problems: Vec<String> = sheet.problems().into_iter().map(|(_, p)| p).collect();
            problems.join(" ")
        });
    }
}

fn prefill(sheet: &mut Sheet, finish: &FinishRow, units: Units) {
    sheet
        .put("syrup", finish.syrup.typed(units))
        .put("finish_brix", finish.brix.typed())
        .put("instrument", finish.instrument.word())
        .put("sample", finish.sample.typed(units))
        .put(
            "finish_temp",
            finish
                .finish_temp
                .map_or_else(String::new, |t| t.typed(units)),
        );
    if finish.skimmed > Grams::ZERO {
        sheet.put("skimmed", finish.skimmed.typed(units));
    }
    if finish.spilt > Grams::ZERO {
        sheet.put("spilt", finish.spilt.typed(units));
    }
    if let Some(burnt) = finish.burnt {
        sheet.put("fuel_burnt", burnt.typed(units));
    }
}

/// A size of jar to count.
struct SizeBox {
    name: String,
    /// Syrup in a jar of it, whole grams.
    net_g: i64,
    label: String,
    /// What the scale shows when a jar is filled right, the least and the most; empty without a scale for jars.
    target: String,
    least: String,
    most: String,
}

/// Readings that stand open while it is on the fire.
const NEWEST: usize = 3;

/// The page of a boil.
#[derive(Template)]
#[template(path = "boil/boils/show.html")]
#[expect(
    clippy::struct_excessive_bools,
    reason = "what a template shows or leaves out"
)]
pub(super) struct BoilPage {
    shell: Shell,
    crew: bool,
    lit: bool,
    done: bool,
    /// The jars alone: for a phone on which the finish is kept and not sent yet.
    only_jars: bool,
    stage: &'static str,
    day: String,
    day_href: String,
    facts: Vec<Fact>,
    alarms: Vec<String>,
    big: LargeFinish,
    pan: Vec<PanRow>,
    pan_mass: String,
    pan_brix: String,
    pan_solids: String,
    members: Vec<MemberRow>,
    expected: Vec<String>,
    live: Figures,
    probes: ProbesOfPage,
    live_href: String,
    here: String,
    script: String,
    keys: String,
    steps: Steps,
    readings: Vec<ReadingLine>,
    /// How many of them are shown without opening the list: a cook looks at the last, not at the whole day.
    newest: usize,
    balance: Vec<Fact>,
    /// Whether the whole boil was lost.
    lost: bool,
    fills: Vec<FillLine>,
    /// Syrup that was drawn off and what of it stands in jars, whole grams: a phone without network counts by them.
    syrup_g: i64,
    jarred_g: i64,
    jarred: String,
    left_over: String,
    divide: String,
    labels: String,
    weights: String,
    trace: String,
    additions: String,
    loss: String,
    /// Empty: not for this person, or the boil is divided.
    other_rules: String,
    draws: String,
    read: String,
    finish: String,
    fill: String,
    sheets: Sheets,
    juices: Vec<Choice>,
    replaces: Vec<Choice>,
    instruments: Vec<Choice>,
    sizes: Vec<SizeBox>,
    weight: &'static str,
    degrees: &'static str,
    small: &'static str,
    /// Label of the box for the fuel; empty: nobody knows what burns.
    fuel_label: String,
    fuel_hint: &'static str,
    fuel_kind: &'static str,
}

impl BoilPage {
    /// The form of the jars alone, which a phone keeps beforehand.
    pub(super) fn with_jars_only(mut self) -> Self {
        self.shell.title = format!(
            "Jars of boil {}",
            self.shell.title.trim_start_matches("Boil ")
        );
        self.only_jars = true;
        self
    }

    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        boil: &Boil,
        sheets: Sheets,
    ) -> Result<Self, PageError> {
        let (units, row, live) = (visit.units(), &boil.row, figures(boil, visit)?);
        let (stage, crew, fuel) = (row.stage(), me.is_crew(), boil.fuel());
        let part = |name| paths::boil_part(&row.lot, name);
        Ok(Self {
            shell: shell(app, visit, &live, row),
            crew,
            lit: stage == Stage::Lit,
            newest: newest(boil),
            done: stage == Stage::Finished,
            only_jars: false,
            stage: stage.words(),
            day: row.press_date.show(),
            day_href: paths::day(row.press_date),
            facts: facts(boil, visit, me)?,
            alarms: alarms(boil, units),
            big: big(&boil.day, row.target, units),
            pan: pan_rows(boil, me, units),
            pan_mass: boil.brought.mass.exact(units),
            pan_brix: boil
                .expected
                .map_or_else(|| "–".to_owned(), |e| e.brix.show()),
            pan_solids: boil.brought.solids.exact(units),
            members: member_rows(boil, me, units),
            expected: expected(boil, units),
            live,
            probes: probes(boil, visit, me)?,
            live_href: part("live"),
            here: paths::boil(&row.lot),
            script: statics::live_js(),
            keys: statics::keys_js(),
            steps: Steps::of(boil, units),
            readings: reading_lines(boil, visit)?,
            balance: balance(boil, visit)?,
            lost: boil.row.lost,
            fills: fill_lines(boil, units, visit.zone()?),
            syrup_g: row.finish.as_ref().map_or(0, |f| f.syrup.get()),
            jarred_g: boil.jarred().get(),
            jarred: boil.jarred().exact(units),
            left_over: left_over(boil, units),
            divide: part("divide"),
            labels: part("labels"),
            weights: paths::jar_weights(&row.lot),
            trace: part("trace"),
            additions: paths::additions(&row.lot),
            loss: only_if(me.is_steward(), part("loss")),
            other_rules: only_if(me.is_steward() && boil.may_be_moved(), part("rules")),
            draws: part("draws"),
            read: part("readings"),
            finish: part("finish"),
            fill: part("fills"),
            juices: juices(boil, units),
            replaces: replaces(boil, visit)?,
            instruments: instruments(),
            sizes: sizes(boil, units),
            sheets,
            weight: in_words(units, "lb", "kg"),
            degrees: degrees(units),
            small: in_words(units, "oz", "g"),
            fuel_label: fuel.map_or_else(String::new, |f| fuel_label(f, units)),
            fuel_hint: fuel.map_or("", |f| fuel_hint(f, units)),
            fuel_kind: fuel.map_or("", Fuel::word),
        })
    }
}

/// The frame of the page: what calls stands in its title, too, where it is looked at among others.
fn shell(app: &App, visit: &Visit, live: &Figures, row: &BoilRow) -> Shell {
    Shell {
        calling: if live.weight.is_empty() {
            ""
        } else {
            live.call
        },
        ..Shell::new(app, visit, format!("Boil {}", row.lot))
    }
}

/// How many readings are shown without opening the list.
fn newest(boil: &Boil) -> usize {
    let all = boil.readings.len();
    match boil.row.stage() {
        Stage::Lit => all.min(NEWEST),
        _ => all,
    }
}

fn instruments() -> Vec<Choice> {
    Instrument::ALL
        .map(|i| Choice::new(i.word(), i.name()))
        .into()
}

/// "version 2", and who moved the boil to it, and why.
fn rules_words(boil: &Boil) -> String {
    let version = format!("version {}", boil.rules.number);
    match &boil.moved {
        Some(moved) => format!("{version}, as {} put it: “{}”", moved.by_name, moved.why),
        None => version,
    }
}

fn facts(boil: &Boil, visit: &Visit, me: &Me) -> Result<Vec<Fact>, PageError> {
    let row = &boil.row;
    let alone = |name: &str| format!("{name}’s juice alone");
    let mut facts = vec![
        (
            "Boiled",
            match &row.solo_member {
                None => "pooled".to_owned(),
                Some((id, name)) if me.may_see(*id) => alone(name.as_str()),
                Some(_) => alone("one member"),
            },
        ),
        ("Cook", cook(boil, visit)?),
        ("Lit", visit.zone()?.show(row.lit_at)),
        ("Pan", pan_words(boil)),
        ("Finish aimed at", format!("{:.1} °Bx", row.target)),
        ("Rules", rules_words(boil)),
    ];
    if !row.note.is_empty() {
        facts.push(("Remark", row.note.clone()));
    }
    if let Some(at) = row.divided_at {
        facts.push(("Divided", visit.zone()?.show(at)));
    }
    Ok(facts)
}

fn pan_words(boil: &Boil) -> String {
    match (&boil.under, boil.row.pan_id) {
        (Some(pan), Some(_)) => pan.name.clone(),
        (Some(pan), None) => format!("not written down; taken as {}", pan.name),
        (None, _) => "none is set up".to_owned(),
    }
}

fn left_over(boil: &Boil, units: Units) -> String {
    boil.row.finish.as_ref().map_or_else(String::new, |f| {
        let left = f.syrup - boil.jarred();
        if left < Grams::ZERO {
            format!("{} more in jars than syrup drawn off", (-left).exact(units))
        } else {
            format!("{} of syrup is not in jars", left.exact(units))
        }
    })
}

fn juices(boil: &Boil, units: Units) -> Vec<Choice> {
    let words = |j: &Stocked| {
        let inside = j.draws.iter().any(|d| d.boil_id == boil.row.id);
        format!(
            "Ticket {}, {}, {}: {} left{}",
            j.row.ticket,
            j.row.member_name,
            j.row.vessel,
            j.poured.left.mass.show(units),
            if inside { ", already in this boil" } else { "" }
        )
    };
    boil.juices
        .iter()
        .map(|j| Choice::new(j.row.id.to_string(), words(j)))
        .collect()
}

fn replaces(boil: &Boil, visit: &Visit) -> Result<Vec<Choice>, PageError> {
    let mut choices = vec![Choice::new("", "It is a new reading")];
    for r in boil.readings.iter().rev() {
        choices.push(Choice::new(r.number.to_string(), reading_words(r, visit)?));
    }
    Ok(choices)
}

/// One figure of what to fill a jar to, as the scale shows it; empty when there is no scale for jars.
fn aim(boil: &Boil, net: Grams, of: impl Fn(FillTarget) -> f64, units: Units) -> String {
    boil.jar_scale.map_or_else(String::new, |d| {
        shown(of(fill_target(declared(net), d)), d, units)
    })
}

fn sizes(boil: &Boil, units: Units) -> Vec<SizeBox> {
    boil.sizes
        .iter()
        .enumerate()
        .map(|(place, size)| SizeBox {
            name: count_box(place),
            net_g: size.net.get(),
            target: aim(boil, size.net, |t| t.target_g, units),
            least: aim(boil, size.net, |t| t.least_g, units),
            most: aim(boil, size.net, |t| t.most_g, units),
            label: format!(
                "{}, {} ({}): how many",
                size.name,
                size.net.small(units),
                size.net.grams_text(units)
            ),
        })
        .collect()
}

#[cfg(test)]
#[path = "view_samples.rs"]
mod sampled;
#[cfg(test)]
pub(super) use sampled::samples;
