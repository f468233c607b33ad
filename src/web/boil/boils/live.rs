//! What stands beside the pan while a boil is on the fire: where it is, when it will be done, what
//! to do; as a part of the boil's page and, for renewing it, by itself.

use super::chart::{ChartView, chart};
use super::found;
use super::learned::learned;
use super::load::{Boil, load};
use crate::calc::boil::boil_call::{self, Call, Last, Weight};
use crate::calc::boil::boil_watch::{self, Estimate, Forecast, Reading, Stage, Watched};
use crate::calc::boil::pan;
use crate::calc::boil::sums::Stage as Step;
use crate::units::{BrixAt20C, Grams, Minutes, Units, UtcSecond, Zone};
use crate::web::boil::boil_plans::{self, Charged};
use crate::web::boil::probes::live::{ProbesOfPage, of_page};
use crate::web::error::PageError;
use crate::web::paths;
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page};
use askama::Template;
use axum::extract::{Path, State};

/// Nobody should go longer than this without a reading, minutes.
const STALE_MIN: i64 = 25;

/// The figures, as text ready to print.
#[derive(Default)]
pub(super) struct Figures {
    /// The boil is finished: nothing to watch.
    pub over: bool,
    pub worked: String,
    pub call: &'static str,
    pub weight: &'static str,
    pub advice: &'static str,
    pub more: Vec<String>,
    pub brix: String,
    pub brix_out: String,
    pub to_go: String,
    pub to_go_out: String,
    pub facts: Vec<(&'static str, String)>,
    pub learned: Vec<String>,
    pub chart: Option<ChartView>,
    pub pans: &'static str,
}

/// The figures by themselves, for `live.js`.
#[derive(Template)]
#[template(path = "boil/boils/live.html")]
struct LivePage {
    live: Figures,
    probes: ProbesOfPage,
}

/// `GET /boils/{lot}/live`
pub async fn live(State(app): State<App>, visit: Visit, me: Me, Path(lot): Path<String>) -> Page {
    let boil = found(&app, &lot).await?;
    let loaded = load(&app, &visit, boil).await?;
    if !me.is_crew() && !loaded.holds(me.id) {
        return Err(PageError::NotFound);
    }
    page(&LivePage {
        live: figures(&loaded, &visit)?,
        probes: probes(&loaded, &visit, &me)?,
    })
}

/// What the page shows of the boil's probes.
pub(super) fn probes(boil: &Boil, visit: &Visit, me: &Me) -> Result<ProbesOfPage, PageError> {
    of_page(&boil.probes, boil.row.stage() == Step::Lit, visit, me)
}

impl Boil {
    /// The readings as the watch takes them, with what they came from; remarks alone are left out,
    /// and so is a Brix read before the pan is known to boil, which says nothing of when it does.
    fn readings_for_watch(&self) -> Vec<Reading> {
        let hot = |t: f64| t >= self.day.target.water.get() - 1.5;
        let boils_at = self
            .readings
            .iter()
            .position(|r| r.temp.is_some_and(|t| hot(t.get())));
        self.readings
            .iter()
            .enumerate()
            .filter(|(n, r)| r.temp.is_some() || boils_at.is_some_and(|b| *n >= b))
            .map(|(_, r)| Reading {
                at: r.read_at,
                temp: r.temp,
                brix: r.brix.and_then(|b| BrixAt20C::new(b.get()).ok()),
                depth_mm: None,
            })
            .filter(|r| r.temp.is_some() || r.brix.is_some())
            .collect()
    }

    /// The boil as the watch takes it; nothing without a pan, juice or a target above the juice.
    fn for_watch(&self) -> Option<boil_watch::Boil> {
        let under = self.under.as_ref()?;
        let settings = &under.settings;
        let (pan, rate_boils) = self
            .habit
            .pan(settings.area.get(), Some(settings.rate_l_m2_h));
        Some(boil_watch::Boil {
            lit: self.row.lit_at,
            solids: self.brought.solids,
            juice: self.expected?.brix,
            target: self.target()?,
            water: self.day.target.water,
            factor: self.habit.factor,
            pan,
            rate_boils,
        })
    }

    /// The finish aimed at.
    pub(super) fn target(&self) -> Option<BrixAt20C> {
        BrixAt20C::new(self.row.target).ok()
    }
}

/// What the page says at this moment.
pub(super) fn figures(boil: &Boil, visit: &Visit) -> Result<Figures, PageError> {
    let (units, zone) = (visit.units(), visit.zone()?);
    if boil.row.stage() != Step::Lit {
        return Ok(Figures {
            over: true,
            ..Figures::default()
        });
    }
    let readings = boil.readings_for_watch();
    let (Some(of), Some(target)) = (boil.for_watch(), boil.target()) else {
        return Ok(Figures {
            worked: format!("At {}.", clock(zone, visit.at)),
            call: "Nothing to tell yet",
            advice: "Pour in the juice, and see that a pan is set up: its surface says how fast \
                     water goes, and so when this boil will be done.",
            pans: paths::PANS,
            chart: chart(boil, None, &[], visit)?,
            ..Figures::default()
        });
    };
    let watched = boil_watch::watch(&of, &readings);
    let read = readings.last();
    let last = Last {
        temp: read.and_then(|r| r.temp),
        brix: read.and_then(|r| r.brix),
        at: visit.at,
    };
    let call = boil_call::call(&watched, &last, target, &boil.day.target);
    let mut out = Figures {
        worked: worked(&readings, &watched, visit.at, zone),
        call: call.words(),
        weight: match call.weight() {
            Weight::Plain => "",
            Weight::Note => "note",
            Weight::Alarm => "alarm",
        },
        advice: call.advice(),
        more: more(boil, &of, call, &watched, &readings, visit)?,
        learned: learned(boil, &of, units),
        chart: chart(boil, Some(&watched), &readings, visit)?,
        ..Figures::default()
    };
    match &watched.stage {
        Stage::Heating => "No reading at the boil yet".clone_into(&mut out.to_go),
        Stage::TooEarly(at) => {
            estimate(&mut out, at, zone, units);
            "Too early to tell".clone_into(&mut out.to_go);
        }
        Stage::Going(at, forecast) => {
            estimate(&mut out, at, zone, units);
            time_to_go(&mut out, forecast, visit.at, zone);
        }
        Stage::There(at, forecast) => {
            estimate(&mut out, at, zone, units);
            "there, as likely as not".clone_into(&mut out.to_go);
            out.to_go_out = format!(
                "nine times in ten not later than {}",
                clock(zone, forecast.latest)
            );
        }
    }
    Ok(out)
}

fn clock(zone: &Zone, at: UtcSecond) -> String {
    zone.local(at).1.show()
}

fn estimate(out: &mut Figures, of: &Estimate, zone: &Zone, units: Units) {
    out.brix = format!("{:.1} °Bx", of.brix.get());
    out.brix_out = format!(
        "± {:.1}, four times in five, at {}",
        of.brix_plus_minus,
        clock(zone, of.at)
    );
    out.facts = vec![
        ("Water driven off", of.evaporated.show(units)),
        ("Still to drive off", of.water_left.show(units)),
        (
            "The pan drives off",
            pan::rate(of.rate_l_m2_h.max(0.0), units),
        ),
    ];
}

fn time_to_go(out: &mut Figures, of: &Forecast, at: UtcSecond, zone: &Zone) {
    let left = of.finish.minutes_since(at);
    out.to_go = if left > 0 {
        Minutes::new(left).show()
    } else {
        "due: read it".to_owned()
    };
    out.to_go_out = format!(
        "done about {}; four times in five between {} and {}",
        clock(zone, of.finish),
        clock(zone, of.earliest),
        clock(zone, of.latest)
    );
}

fn worked(readings: &[Reading], watched: &Watched, at: UtcSecond, zone: &Zone) -> String {
    let used = readings.len() - watched.doubtful.len();
    let plural = if used == 1 { "reading" } else { "readings" };
    format!("At {}, from {used} {plural}.", clock(zone, at))
}

/// What else the cook should know, in sentences.
fn more(
    boil: &Boil,
    of: &boil_watch::Boil,
    call: Call,
    watched: &Watched,
    readings: &[Reading],
    visit: &Visit,
) -> Result<Vec<String>, PageError> {
    let (units, zone) = (visit.units(), visit.zone()?);
    let mut out = Vec::new();
    if call >= Call::Past
        && let Some((water, at)) = thin(boil, of, watched, readings)
    {
        out.push(boil_call::thinning(water, at, of.target, units));
    }
    let since = readings.last().map_or(of.lit, |r| r.at);
    let age = visit.at.minutes_since(since);
    if age > STALE_MIN {
        let what = if readings.is_empty() {
            "Nothing has been read since it was lit"
        } else {
            "The last reading is old"
        };
        out.push(format!(
            "{what}: {}. Please read it.",
            Minutes::new(age).show()
        ));
    }
    if call == Call::Check
        && let Some(seconds) = boil_call::last_two_s(of.solids, of.target, of.pan)
    {
        out.push(format!(
            "The last 2 °Bx before the target go by in about {seconds} seconds on this pan, so the \
             fire must be drawn before the mark."
        ));
    }
    for place in &watched.doubtful {
        if let Some(reading) = readings.get(*place) {
            out.push(format!(
                "The reading of {} does not fit the others and was left out. If it was mistyped, put \
                 it right below.",
                clock(zone, reading.at)
            ));
        }
    }
    Ok(out)
}

/// Water to thin with, and the Brix it is thinned from: as read last, else as estimated.
fn thin(
    boil: &Boil,
    of: &boil_watch::Boil,
    watched: &Watched,
    readings: &[Reading],
) -> Option<(Grams, BrixAt20C)> {
    let last = readings.last()?;
    let by_temp = last.temp.and_then(|t| {
        crate::calc::physics::elevation::brix_boiling_at(t, boil.day.target.water, boil.day.factor)
    });
    let by_watch = match &watched.stage {
        Stage::There(e, _) | Stage::Going(e, _) | Stage::TooEarly(e) => Some(e.brix),
        Stage::Heating => None,
    };
    let at = last.brix.or(by_temp).or(by_watch)?;
    Some((boil_call::water_to_thin(of.solids, at, of.target)?, at))
}

/// When a boil on the fire should be done: as its readings say, else as planned; never before the
/// present.
pub(in crate::web) fn done_about(boil: &Boil, at: UtcSecond) -> UtcSecond {
    let Some(of) = boil.for_watch() else {
        return at;
    };
    let done = match boil_watch::watch(&of, &boil.readings_for_watch()).stage {
        Stage::Going(_, forecast) | Stage::There(_, forecast) => forecast.finish,
        Stage::Heating | Stage::TooEarly(_) => {
            let water = boil.expected.map_or(Grams::ZERO, |e| e.water);
            of.lit.plus(60 * of.pan.minutes_from_lighting(water).get())
        }
    };
    done.max(at)
}

/// The plan of a boil in sentences: water, heat, fuel by kind, hours, jars.
pub(super) fn plan_lines(boil: &Boil, units: Units) -> Vec<String> {
    let (Some(of), Some(under), Some(temp)) =
        (boil.for_watch(), boil.under.as_ref(), boil.warmth())
    else {
        return Vec::new();
    };
    let charge = Charged {
        brought: boil.brought,
        temp,
        target: of.target,
        finish: boil.day.target,
        recovery: boil.habit.recovery_or(boil.rules.recovery_pct / 100.0),
        pan: of.pan,
        fuel: under.settings.fuel,
        efficiency: boil
            .habit
            .efficiency(under.id, under.settings.fuel_for_plan()),
    };
    boil_plans::lines(&charge, &boil.sizes, units)
}

#[cfg(test)]
impl Figures {
    /// Samples: `many` of everything, in the worst case.
    pub(super) fn sample(call: Call, many: usize) -> Self {
        let text = |t: &str| t.to_owned();
        Self {
            worked: text("At 12:31, from 6 readings."),
            call: call.words(),
            weight: "alarm",
            advice: call.advice(),
            more: vec![text("The reading of <b>11:10</b> does not fit the others."); many],
            brix: text("62.4 °Bx"),
            brix_out: text("± 3.0, four times in five, at 12:20"),
            to_go: text("1 h 25 min"),
            to_go_out: text("done about 13:56; four times in five between 13:40 and 14:20"),
            facts: vec![("Water driven off", text("312.4 lb"))],
            learned: vec![text("Factor K 1.12"); many],
            chart: (many > 0).then(|| ChartView::sample(many)),
            pans: "",
            over: false,
        }
    }

    /// The figures of a boil that is done.
    pub(super) fn sample_over() -> Self {
        Self {
            over: true,
            ..Self::default()
        }
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let none = Figures {
        call: "Nothing to tell yet",
        pans: paths::PANS,
        ..Figures::default()
    };
    let all = [
        Figures::sample(Call::Heating, 0),
        Figures::sample(Call::Candy, 40),
        Figures::sample_over(),
        none,
    ];
    all.into_iter()
        .map(|live| {
            let probes = ProbesOfPage::sample(2);
            Box::new(LivePage { live, probes }) as Box<dyn askama::DynTemplate>
        })
        .collect()
}
