//! Lighting a boil: its juices, pooled or alone, and the day's reading of boiling water.

use super::form::{FormContext, part_box};
use super::parts::{OfferedJuice, offered};
use crate::actions::boil::boils as actions;
use crate::actions::{Act, FromPaper};
use crate::calc::boil::boil_rules::expect;
use crate::calc::boil::sums::total;
use crate::calc::sources::source;
use crate::facts::boil::boil_sums::Stocked;
use crate::facts::boil::lighting::Lighting;
use crate::store::Snapshot;
use crate::store::boil::pans::Pan;
use crate::store::people::stations::Hand;
use crate::units::{Grams, MemberId, PressDate, Refused, Units};
use crate::web::boil::boil_words::{degrees, in_words};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths, statics};
use askama::Template;
use axum::extract::{Path, Query};

/// The form of a new boil.
#[derive(Template)]
#[template(path = "boil/boils/new.html")]
struct NewPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    day: String,
    day_href: String,
    closed: bool,
    juices: Vec<OfferedJuice>,
    juice_problem: String,
    alone: Vec<Choice>,
    /// Empty: no pan is set up.
    pans: Vec<Choice>,
    /// Whether to ask if a charge that does not fit is known.
    ask_charge: bool,
    lit_hint: String,
    /// The crew, of whom one may have written it on paper.
    hands: Vec<Choice>,
    sum: String,
    target: String,
    /// The version of the rules, and from when it holds.
    rules: String,
    /// Whether nobody confirmed rules for this day.
    unconfirmed: bool,
    why_water: String,
    degrees: &'static str,
    weight: &'static str,
    keys: String,
}

async fn lighting(db: &mut Snapshot, date: &str) -> Result<Lighting, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    Lighting::read(db, date).await?.ok_or(PageError::NotFound)
}

/// `GET /days/{date}/boils/new`: with `juice`, `part`, `alone` and `pan` in the address (see
/// `paths::light_these`) those are filled in.
pub(crate) async fn new(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(proposed): Query<Vec<(String, String)>>,
) -> Page {
    let of = lighting(&mut request.db, &date).await?;
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    let water = of.water.map(|t| t.typed(visit.units()));
    sheet.put("water_boil", water.unwrap_or_default());
    let all = |name: &'static str| {
        let named = proposed.iter().filter(move |(n, _)| n == name);
        named.map(|(_, value)| value.as_str())
    };
    for (juice, grams) in all("part").filter_map(|p| p.split_once('_')) {
        if let Ok(grams) = grams.parse() {
            let part = Grams::new(grams).typed(visit.units());
            sheet.put(&part_box(juice), part);
        }
    }
    if let Some(member) = all("alone").next() {
        sheet.put("alone", member);
    }
    if let Some(pan) = all("pan").next() {
        sheet.put("pan", pan);
    }
    let ticked: Vec<&str> = all("juice").collect();
    page(&NewPage::new(&app, &visit, &of, sheet, &ticked)?)
}

/// `POST /days/{date}/boils/new`
pub(crate) async fn create(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let of = lighting(form.db.now().await?, &date).await?;
    let ticked = form.sent.all("juice");
    let here = FormContext::of(&form.visit, form.said_at())?;
    let new = super::form::light(&mut form.sheet, &of.day, &ticked, here);
    let by = written_by(&mut form.sheet);
    form.end(
        new.zip(by),
        async |act: &Act, (new, by)| {
            let paper = by.map(|by| FromPaper { by, at: None });
            let form = act.form.clone().on_paper(paper);
            let act = Act {
                form,
                ..act.clone()
            };
            actions::light(&act, new).await
        },
        |lot| paths::boil(&lot),
        async |mut form| {
            // The form has no box for an amount: what is wrong with one is shown beside the juices.
            if let Some(problem) = form.sheet.at("amount").problem {
                form.sheet.refuse("juice", problem);
            }
            let ticked = form.sent.all("juice");
            page_with(
                form.sheet.status(),
                &NewPage::new(&form.app, &form.visit, &of, form.sheet, &ticked)?,
            )
        },
    )
    .await
}

/// Reads who wrote it on paper, if it is keyed in: then it has its time as well.
#[expect(
    clippy::option_option,
    reason = "outer: was it readable; inner: is it from paper"
)]
fn written_by(sheet: &mut Sheet) -> Option<Option<MemberId>> {
    let by = sheet.read_optional("by", |text| {
        MemberId::parse(text)
            .ok_or_else(|| Refused::new("Please choose who wrote it on the paper."))
    })?;
    if by.is_some() && sheet.typed("lit_at").trim().is_empty() {
        sheet.refuse("lit_at", "Please write the time that stands on the paper.");
        return None;
    }
    Some(by)
}

impl NewPage {
    fn new(
        app: &App,
        visit: &Visit,
        of: &Lighting,
        sheet: Sheet,
        ticked: &[&str],
    ) -> Result<Self, PageError> {
        let units = visit.units();
        let juices = of
            .juices
            .iter()
            .map(|j| {
                let mut juice = offered(visit, &of.rules, of.day.id, j, ticked)?;
                juice.read_part(&sheet);
                Ok(juice)
            })
            .collect::<Result<_, PageError>>()?;
        let all = total(of.juices.iter().map(|j| j.poured.left));
        let sum = expect(all, of.rules.target_bx, of.rules.recovery_pct).map_or_else(
            String::new,
            |e| {
                format!(
                    "All together: {} of juice at {}, with {} of dissolved solids: about {} of syrup.",
                    all.mass.show(units),
                    e.brix.show(),
                    all.solids.show(units),
                    e.syrup.show(units)
                )
            },
        );
        Ok(Self {
            shell: Shell::new(app, visit, "Light a boil"),
            juice_problem: sheet.at("juice").problem.unwrap_or_default(),
            ask_charge: sheet.at("charge_known").problem.is_some() || sheet.ticked("charge_known"),
            sheet,
            action: paths::new_boil(of.day.date),
            day: of.day.date.show(),
            day_href: paths::day(of.day.date),
            closed: of.day.closed_at.is_some(),
            juices,
            alone: alone(&of.juices),
            pans: pans(&of.pans, units),
            lit_hint: lit_hint(of.day.date),
            hands: hands(&of.hands),
            sum,
            target: format!("{:.1} °Bx", of.rules.target_bx),
            rules: match of.rules.holds_from {
                Some(from) => format!(
                    "version {}, which holds from {}",
                    of.rules.number,
                    from.show()
                ),
                None => format!("version {}, a draft", of.rules.number),
            },
            unconfirmed: !of.rules.holds_on(of.day.date),
            degrees: degrees(units),
            weight: in_words(units, "lb", "kg"),
            keys: statics::keys_js(),
            why_water: source("unchecked_thermometer").map_or_else(String::new, |s| {
                format!("{} ({}).", s.text.trim_end_matches('.'), s.standing.words())
            }),
        })
    }
}

fn lit_hint(day: PressDate) -> String {
    format!(
        "Leave empty for just now. Keyed in from paper: a time of {}, like 9:40 or 2:15 pm.",
        day.show()
    )
}

/// Choices of who wrote it on paper: nobody, for what is not keyed in, then the crew.
fn hands(crew: &[Hand]) -> Vec<Choice> {
    let nobody = Choice::new("", "Not on paper");
    let crew = crew
        .iter()
        .map(|h| Choice::new(h.id.to_string(), h.name.to_string()));
    std::iter::once(nobody).chain(crew).collect()
}

/// The choices of whose juice is boiled: pooled, or one member's alone.
fn alone(juices: &[Stocked]) -> Vec<Choice> {
    let mut seen: Vec<MemberId> = Vec::new();
    let mut choices = vec![Choice::new("", "Pooled, of members who agreed to it")];
    for juice in juices {
        let id = juice.row.member_id;
        if !seen.contains(&id) {
            seen.push(id);
            choices.push(Choice::new(
                id.to_string(),
                format!("Alone: only {}’s juice", juice.row.member_name),
            ));
        }
    }
    choices
}

/// The pans in use, before them the one that fits; nothing to choose when none is set up.
fn pans(in_use: &[Pan], units: Units) -> Vec<Choice> {
    if in_use.is_empty() {
        return Vec::new();
    }
    let mut choices = vec![Choice::new("", "The smallest that takes what goes in")];
    choices.extend(in_use.iter().map(|pan| {
        let of = &pan.settings;
        let words = format!(
            "{}: {} to {}, {}",
            pan.name,
            of.least.show(units),
            of.most.show(units),
            of.fuel.name()
        );
        Choice::new(pan.id.to_string(), words)
    }));
    choices
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |juices, problem: &str| {
        let mut sheet = Sheet::sample();
        if !problem.is_empty() {
            for name in ["juice", "water_boil", "pan", "charge_known", "lit_at"] {
                sheet.refuse(name, problem);
            }
        }
        NewPage {
            shell: Shell::sample("Light a boil"),
            juice_problem: problem.to_owned(),
            sheet,
            action: "/days/2026-09-19/boils/new".to_owned(),
            day: "Sat 19 Sep 2026".to_owned(),
            day_href: "/days/2026-09-19".to_owned(),
            closed: !problem.is_empty(),
            juices,
            alone: alone(&[]),
            pans: if problem.is_empty() {
                Vec::new()
            } else {
                vec![Choice::new(
                    "1",
                    "<b>Long</b> pan: 40.0 gal to 130.0 gal, red oak",
                )]
            },
            ask_charge: !problem.is_empty(),
            lit_hint: "Leave empty for just now.".to_owned(),
            hands: vec![Choice::new("h", "Ida <b>Moss</b>")],
            sum: "All together: 812.0 lb of juice.".to_owned(),
            target: "78.0 °Bx".to_owned(),
            rules: "version 2, which holds from Tue 6 Oct 2026".to_owned(),
            unconfirmed: !problem.is_empty(),
            degrees: "°F",
            weight: "lb",
            keys: statics::keys_js(),
            why_water: "±1 °F (common practice).".to_owned(),
        }
    };
    vec![
        Box::new(page(Vec::new(), "")),
        Box::new(page(
            (0..40).map(OfferedJuice::sample).collect(),
            "Please tick at least one juice.",
        )),
    ]
}
