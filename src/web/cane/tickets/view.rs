//! The pages of a weigh-in, as text ready to print.

use crate::calc::cane::scale::Graduation;
use crate::calc::cane::tickets::{Condition, cane_cautions};
use crate::facts::cane::tickets::{FullTicket, WeighIn};
use crate::store::cane::juice::{Drawn, JuiceRow};
use crate::store::cane::mill::Scale;
use crate::store::cane::tickets::{LoadRow, Ticket};
use crate::store::season::seasons::Rules;
use crate::units::{Grams, Units, Zone};
use crate::web::cane::cane_words::{
    by_phone, by_station, clock_words, typed_in, yield_band, yield_figure, yield_medians,
};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

fn weight_unit(units: Units) -> &'static str {
    match units {
        Units::Us => "lb",
        Units::Metric => "kg",
    }
}

const WHEN_JUST_NOW: &str =
    "A time of the press day, like 9:40, for a weighing noted on paper; leave empty for just now.";
const WHEN_AS_BEFORE: &str =
    "A time of the press day, like 9:40; leave empty to keep the one that stands.";

/// The boxes of one weighing.
struct LoadBoxes {
    scales: Vec<Choice>,
    gross: String,
    tare: String,
    when: &'static str,
    /// Whether to ask “the scale really showed this”: only once something was questioned.
    ask: bool,
}

impl LoadBoxes {
    fn new(sheet: &Sheet, scales: &[Scale], units: Units) -> Self {
        let unit = weight_unit(units);
        let choices = scales.iter().map(|s| {
            let step = Graduation::new(s.graduation_g)
                .map(|d| format!(", steps of {}", d.show(s.graduation_g, units)))
                .unwrap_or_default();
            Choice::new(s.id.to_string(), format!("{}{step}", s.name))
        });
        let mut scales: Vec<Choice> = choices.collect();
        if sheet.typed("scale").is_empty() {
            scales.insert(0, Choice::new("", "Choose the scale"));
        }
        Self {
            scales,
            gross: format!("Gross, {unit}"),
            tare: format!("Tare, {unit}"),
            when: WHEN_JUST_NOW,
            ask: sheet.ticked("sure")
                || ["gross", "tare"]
                    .iter()
                    .any(|name| sheet.at(name).problem.is_some()),
        }
    }
}

/// A new ticket with its first load.
#[derive(Template)]
#[template(path = "cane/tickets/new.html")]
pub(super) struct NewPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    opened: bool,
    morning: String,
    whose: Vec<Choice>,
    load: LoadBoxes,
    /// Whether to ask “it is another load”: only once one like it was found in the book.
    ask_another: bool,
}

impl NewPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet, of: &WeighIn) -> Self {
        let units = visit.units();
        let mut whose = vec![Choice::new("", "Choose whose cane it is")];
        whose.extend(of.waiting.iter().map(|turn| {
            let words = format!(
                "{}, turn at {}, {} expected",
                turn.member_name,
                turn.start.show(),
                turn.cane.show(units)
            );
            Choice::new(format!("turn:{}", turn.id), words)
        }));
        let members = of.members.iter().filter(|m| !m.left);
        whose.extend(members.map(|m| {
            Choice::new(
                format!("walk:{}", m.id),
                format!("{}, no. {}: walked in", m.name, m.number),
            )
        }));
        Self {
            shell: Shell::new(app, visit, format!("Weigh in, {}", of.day.date.show())),
            action: paths::new_ticket(of.day.date),
            opened: of.opened,
            morning: paths::morning(of.day.date),
            whose,
            ask_another: sheet.ticked("another") || sheet.at("another").problem.is_some(),
            load: LoadBoxes::new(&sheet, &of.scales, units),
            sheet,
        }
    }
}

/// Another load, or the correction of one.
#[derive(Template)]
#[template(path = "cane/tickets/load.html")]
pub(super) struct LoadPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    whose: String,
    fixing: bool,
    load: LoadBoxes,
}

impl LoadPage {
    pub(super) fn adding(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        ticket: &Ticket,
        scales: &[Scale],
    ) -> Self {
        Self {
            shell: Shell::new(
                app,
                visit,
                format!("Another load, ticket {}", ticket.ticket),
            ),
            action: paths::new_load(ticket.id),
            back: paths::ticket(ticket.id),
            whose: ticket.member_name.to_string(),
            fixing: false,
            load: LoadBoxes::new(&sheet, scales, visit.units()),
            sheet,
        }
    }

    pub(super) fn fixing(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        ticket: &Ticket,
        load: &LoadRow,
        scales: &[Scale],
    ) -> Self {
        Self {
            shell: Shell::new(
                app,
                visit,
                format!("Correct load {}, ticket {}", load.number, ticket.ticket),
            ),
            action: paths::fix_load(ticket.id, load.number),
            back: paths::ticket(ticket.id),
            whose: ticket.member_name.to_string(),
            fixing: true,
            load: LoadBoxes {
                when: WHEN_AS_BEFORE,
                ..LoadBoxes::new(&sheet, scales, visit.units())
            },
            sheet,
        }
    }
}

/// One version of one load.
struct LoadLine {
    number: i64,
    gross: String,
    tare: String,
    net: String,
    by: String,
    why: String,
    /// Struck through: an older version, or crossed out.
    struck: bool,
    tag: &'static str,
    /// Address of its correction; empty for older versions and for members.
    fix: String,
}

/// One juice of the ticket.
struct JuiceLine {
    href: String,
    vessel: String,
    brix: String,
    mass: String,
    solids: String,
    clock: String,
    look: &'static str,
    void: bool,
}

/// A ticket.
#[derive(Template)]
#[template(path = "cane/tickets/show.html")]
pub(super) struct TicketPage {
    shell: Shell,
    number: i64,
    crew: bool,
    name: String,
    member: String,
    date: String,
    day: String,
    condition: String,
    cut: String,
    note: String,
    opened: String,
    cautions: Vec<String>,
    loads: Vec<LoadLine>,
    total: String,
    juices: Vec<JuiceLine>,
    figure: Option<String>,
    sum: String,
    band: &'static str,
    look: &'static str,
    medians: String,
    closed: bool,
    new_load: String,
    new_juice: String,
    trace: String,
}

impl TicketPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        parts: &FullTicket,
    ) -> Result<Self, PageError> {
        let (units, zone, ticket) = (visit.units(), visit.zone()?, &parts.ticket);
        let closed = parts.divided.is_some();
        let seen = Condition {
            stripped: ticket.stripped,
            headed: ticket.headed,
            clean: ticket.clean,
            frosted: ticket.frosted,
        };
        let mut juices = Vec::new();
        for (juice, drawn) in &parts.juices {
            juices.push(juice_line(visit, &parts.rules, juice, *drawn)?);
        }
        let yields = &parts.yields;
        let (band, look) = yield_band(yields);
        let fixable = me.is_crew() && !closed;
        Ok(Self {
            shell: Shell::new(app, visit, format!("Ticket {}", ticket.ticket)),
            number: ticket.ticket,
            crew: me.is_crew(),
            name: ticket.member_name.to_string(),
            member: paths::member(ticket.member_id),
            date: ticket.date.show(),
            day: paths::day(ticket.date),
            condition: condition_words(seen),
            cut: ticket
                .cut_at
                .map_or_else(|| "not known".to_owned(), |at| zone.show(at)),
            note: ticket.note.clone(),
            opened: format!("{}, {}", ticket.made_by_name, zone.show(ticket.made_at)),
            cautions: cane_cautions(
                seen,
                ticket.cut_at,
                parts.loads.first().map_or(ticket.made_at, LoadRow::weighed),
                parts.rules.cane_warn_days,
            ),
            total: total(&parts.loads, units),
            loads: load_lines(parts, units, zone, fixable),
            juices,
            figure: yield_figure(yields),
            sum: yield_figure(yields).map_or_else(String::new, |figure| {
                format!(
                    "100 × {} juice ÷ {} cane = {figure}",
                    yields.juice.show(units),
                    yields.cane.show(units)
                )
            }),
            band,
            look,
            medians: yield_medians(yields),
            closed,
            new_load: paths::new_load(ticket.id),
            new_juice: paths::new_juice(ticket.id),
            trace: paths::ticket_trace(ticket.id),
        })
    }
}

fn condition_words(seen: Condition) -> String {
    [
        if seen.stripped {
            "leaves off"
        } else {
            "leaves on"
        },
        if seen.headed { "heads off" } else { "heads on" },
        if seen.clean { "clean" } else { "not clean" },
        if seen.frosted { "frosted" } else { "no frost" },
    ]
    .join(", ")
}

/// A weight with the decimals that a scale of graduation `d` (g) needs; to the gram when one of
/// the readings it comes from is none that the scale shows.
fn show(grams: Grams, d: f64, plain: bool, units: Units) -> String {
    match Graduation::new(d) {
        Ok(d) if plain => d.show(grams.as_f64(), units),
        _ => grams.exact(units),
    }
}

/// Whether both readings of a load are ones that its scale shows.
fn plain(load: &LoadRow) -> bool {
    Graduation::new(load.graduation_g)
        .is_ok_and(|d| d.can_show(load.gross) && d.can_show(load.tare))
}

fn total(loads: &[LoadRow], units: Units) -> String {
    let mut last = 0;
    let latest: Vec<&LoadRow> = loads
        .iter()
        .filter(|l| std::mem::replace(&mut last, l.number) != l.number)
        .collect();
    let finest = latest
        .iter()
        .map(|l| l.graduation_g)
        .fold(f64::INFINITY, f64::min);
    let all_plain = latest.iter().all(|l| plain(l));
    show(
        latest.iter().map(|l| l.net()).sum(),
        finest,
        all_plain,
        units,
    )
}

fn load_lines(parts: &FullTicket, units: Units, zone: &Zone, fixable: bool) -> Vec<LoadLine> {
    let mut last = 0;
    let mut lines = Vec::new();
    for load in &parts.loads {
        // The latest version comes first.
        let old = std::mem::replace(&mut last, load.number) == load.number;
        let weight = |grams| show(grams, load.graduation_g, plain(load), units);
        let did = if load.version == 1 {
            ""
        } else {
            "corrected by "
        };
        lines.push(LoadLine {
            number: load.number,
            gross: weight(load.gross),
            tare: weight(load.tare),
            net: weight(load.gross - load.tare),
            by: format!(
                "{did}{}, {}, on {}{}{}{}",
                load.by_name,
                zone.show(load.weighed()),
                load.scale,
                by_phone(&parts.sent, load.weighed(), zone),
                by_station(&parts.at_station, load.at),
                typed_in(load.typed_by.as_ref(), load.at, zone)
            ),
            why: load.why.clone(),
            struck: old || load.void,
            tag: match (old, load.void) {
                (true, _) => "before",
                (false, true) => "crossed out",
                (false, false) => "",
            },
            fix: if fixable && !old {
                paths::fix_load(parts.ticket.id, load.number)
            } else {
                String::new()
            },
        });
    }
    lines
}

fn juice_line(
    visit: &Visit,
    rules: &Rules,
    juice: &JuiceRow,
    drawn: Drawn,
) -> Result<JuiceLine, PageError> {
    let units = visit.units();
    let reckoned = juice.reckon()?;
    let (clock, look) = clock_words(juice, drawn, reckoned.mass, rules, visit.at);
    Ok(JuiceLine {
        href: paths::juice(juice.id),
        vessel: juice.vessel.clone(),
        brix: reckoned.brix_20.show(),
        mass: reckoned.mass.show(units),
        solids: reckoned.solids.show(units),
        clock,
        look,
        void: juice.void,
    })
}

#[cfg(test)]
#[path = "view_samples.rs"]
mod tests;
#[cfg(test)]
pub(in crate::web) use tests::samples;
