//! The pages of juice, as text ready to print.

use super::again;
use super::boxes::Boxes;
use super::sums;
use super::vessels::{self, VesselButton};
use crate::calc::cane::juice::{Amount, Juice};
use crate::calc::cane::second_reading::drawn_words;
use crate::facts::came_by::CameBy;
use crate::facts::cane::juice::{FullJuice, JuiceToMeasure};
use crate::store::cane::juice::JuiceRow;
use crate::units::{BrixRead, Grams, PressDate, Units, Zone};
use crate::web::cane::after_all::AfterAll;
use crate::web::cane::cane_words::{
    Undo, came_by, clock_words, typed_in, undoable, yield_band, yield_figure, yield_medians,
};
use crate::web::cane::pressed_times::mornings;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::my_cane::Trail;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths, statics};
use askama::Template;

fn amount(amount: Amount, units: Units) -> String {
    match amount {
        Amount::Weight(g) => g.show(units),
        Amount::Volume(ml, at) => format!("{} at {}", ml.show(units), at.show(units)),
    }
}

/// Measuring a juice, or correcting it.
#[derive(Template)]
#[template(path = "cane/juice/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    whose: String,
    vessels: Vec<VesselButton>,
    ask_empty: bool,
    after_all: AfterAll,
    /// Where its cane is weighed; empty: some of it was.
    weigh_first: String,
    fixing: bool,
    script: String,
    when: String,
    mornings: Vec<Choice>,
    boxes: Boxes,
    versions: Vec<VersionLine>,
}

impl FormPage {
    pub(super) fn adding(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        of: &JuiceToMeasure,
    ) -> Result<Self, PageError> {
        let units = visit.units();
        Ok(Self {
            shell: Shell::new(app, visit, format!("Juice of ticket {}", of.ticket.ticket)),
            action: paths::new_juice(of.ticket.id),
            back: paths::ticket(of.ticket.id),
            whose: format!("{}: {} of cane", of.ticket.member_name, of.cane.show(units)),
            vessels: vessels::of(of, units),
            ask_empty: sheet.at("vessel").problem.is_some() || sheet.ticked("vessel_empty"),
            after_all: AfterAll::new(&sheet, of.end.as_ref(), visit.zone()?),
            weigh_first: only_if(of.cane == Grams::ZERO, paths::new_load(of.ticket.id)),
            fixing: false,
            script: statics::steps_js(),
            when: "A time like 9:40; leave empty for just now. The juice’s clock starts here."
                .to_owned(),
            mornings: mornings(&sheet, "pressed", of.ticket.date),
            boxes: Boxes::new(&sheet, units),
            versions: Vec::new(),
            sheet,
        })
    }

    /// The page for a ticket that stands on a phone only: the phone fills in its id.
    pub(super) fn of_phone(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        of: &JuiceToMeasure,
    ) -> Result<Self, PageError> {
        Ok(Self {
            shell: Shell::new(app, visit, "Juice of a ticket on this phone"),
            whose: "The ticket is kept on this phone and goes to the mill before its juice."
                .to_owned(),
            back: paths::day(of.ticket.date),
            weigh_first: String::new(),
            ..Self::adding(app, visit, sheet, of)?
        })
    }

    pub(super) fn fixing(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        juice: &JuiceRow,
        (versions, came, date): (&[JuiceRow], &CameBy, PressDate),
    ) -> Result<Self, PageError> {
        let units = visit.units();
        Ok(Self {
            shell: Shell::new(
                app,
                visit,
                format!("Correct the juice of ticket {}", juice.ticket),
            ),
            action: paths::fix_juice(juice.id),
            back: paths::juice(juice.id),
            whose: format!("{}, in {}", juice.member_name, juice.vessel),
            vessels: Vec::new(),
            ask_empty: false,
            after_all: AfterAll::new(&sheet, None, visit.zone()?),
            weigh_first: String::new(),
            fixing: true,
            script: statics::steps_js(),
            when: format!(
                "A time like 9:40; leave empty to keep {}. The juice’s clock starts here.",
                visit.zone()?.show(juice.pressed_at)
            ),
            mornings: mornings(&sheet, "pressed", date),
            boxes: Boxes::new(&sheet, units),
            versions: version_lines(versions, came, units, visit.zone()?),
            sheet,
        })
    }
}

/// One version of what was measured.
struct VersionLine {
    amount: String,
    sediment: String,
    readings: String,
    how: String,
    by: String,
    why: String,
    struck: bool,
    tag: &'static str,
}

fn version_lines(
    versions: &[JuiceRow],
    came: &CameBy,
    units: Units,
    zone: &Zone,
) -> Vec<VersionLine> {
    let latest = versions.first().map_or(0, |v| v.version);
    versions
        .iter()
        .map(|v| VersionLine {
            amount: amount(v.amount, units),
            sediment: v
                .sediment
                .map_or_else(|| "none".to_owned(), |s| amount(s, units)),
            readings: readings(&v.readings),
            how: format!("{}, {}", v.temp.show(units), v.instrument.name()),
            by: format!(
                "{}{}, {}{}{}",
                if v.version == 1 { "" } else { "corrected by " },
                v.by_name,
                zone.show(if v.typed_by.is_some() {
                    v.pressed_at
                } else {
                    v.at
                }),
                typed_in(v.typed_by.as_ref(), v.at, zone),
                came_by(came, v.at, zone)
            ),
            why: v.why.clone(),
            struck: v.void || v.version < latest,
            tag: match (v.version < latest, v.void) {
                (true, _) => "before",
                (false, true) => "never was",
                (false, false) => "counts",
            },
        })
        .collect()
}

fn readings(all: &[BrixRead]) -> String {
    let shown: Vec<String> = all.iter().map(|r| r.show()).collect();
    shown.join(", ")
}

/// The page of a juice.
#[derive(Template)]
#[template(path = "cane/juice/show.html")]
pub(super) struct JuicePage {
    shell: Shell,
    trail: Trail,
    name: String,
    vessel: String,
    ticket: i64,
    ticket_at: String,
    pressed: String,
    clock: String,
    look: &'static str,
    left: String,
    lost: Vec<LostLine>,
    lose: String,
    undo: Option<Undo>,
    sheet: Sheet,
    void: bool,
    solids: String,
    brix: String,
    mass: String,
    volume: String,
    sum: Vec<String>,
    cautions: Vec<String>,
    figure: Option<String>,
    yield_sum: String,
    band: &'static str,
    band_look: &'static str,
    medians: String,
    versions: Vec<VersionLine>,
    fix: String,
    /// Address of the lots and jars that the cane is in; empty to whoever may not see it.
    trace: String,
    closed: bool,
    /// The sentence when its ticket was drawn by lot; empty: it was not.
    drawn: String,
    /// Where a second person reads it again; empty: not drawn, read already, or by who measured it.
    again: String,
}

impl JuicePage {
    /// The page with the way of the cane on it.
    pub(super) fn with_trail(self, trail: Trail) -> Self {
        Self { trail, ..self }
    }

    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        parts: &FullJuice,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (units, zone, row) = (visit.units(), visit.zone()?, &parts.juice);
        let juice = row.reckon()?;
        let (clock, look) = clock_words(row, parts.drawn, juice.mass, &parts.rules, visit.at);
        let (band, band_look) = yield_band(&parts.yields);
        let closed = parts.divided.is_some();
        let figure = yield_figure(&parts.yields).filter(|_| !row.void);
        Ok(Self {
            trail: Trail::default(),
            shell: Shell::new(app, visit, format!("Juice of ticket {}", row.ticket)),
            name: row.member_name.to_string(),
            vessel: row.vessel.clone(),
            ticket: row.ticket,
            ticket_at: paths::ticket(row.ticket_id),
            pressed: zone.show(row.pressed_at),
            clock,
            look,
            left: parts.drawn.left(juice.mass).show(units),
            lost: lost_lines(parts, units, zone),
            lose: only_if(
                me.is_crew() && !closed && !row.void,
                paths::lose_juice(row.id),
            ),
            undo: undoable(
                (row.by, row.at),
                &row.why,
                (me, zone, visit.at),
                paths::undo_juice(row.id),
            )
            // A loss noted since is what would be meant: it has its own way back, beside it.
            .filter(|_| !closed && parts.drawn.lost == Grams::ZERO),
            sheet,
            void: row.void,
            solids: juice.solids.show(units),
            brix: juice.brix_20.show(),
            mass: juice.mass.show(units),
            volume: juice.volume_20c.show(units),
            sum: sums::lines(row, &juice, units),
            cautions: cautions(&juice, parts.rules.floor_bx),
            yield_sum: figure.as_ref().map_or_else(String::new, |figure| {
                format!(
                    "All juice of the ticket: 100 × {} ÷ {} of cane = {figure}",
                    parts.yields.juice.show(units),
                    parts.yields.cane.show(units)
                )
            }),
            figure,
            band,
            band_look,
            medians: yield_medians(&parts.yields),
            versions: version_lines(&parts.versions, &parts.came, units, zone),
            trace: only_if(me.is_crew(), paths::ticket_trace(row.ticket_id)),
            fix: only_if(me.is_crew() && !closed, paths::fix_juice(row.id)),
            closed,
            drawn: if parts.drawn_by_lot && !row.void {
                drawn_words(parts.rules.read_again_one_in, row.again.is_some())
            } else {
                String::new()
            },
            again: only_if(again::waits_for(parts, me), paths::read_again(row.id)),
        })
    }
}

/// One part of a juice that is lost.
struct LostLine {
    words: String,
    by: String,
    /// Address that takes it back; empty: it cannot be taken back.
    back: String,
}

/// How juice was lost, to follow its amount: "12.0 lb spilt".
pub(super) fn lost_words(what: &str) -> &'static str {
    match what {
        "spilt" => "spilt",
        "spoilt" => "spoilt",
        _ => "measured twice",
    }
}

fn lost_lines(parts: &FullJuice, units: Units, zone: &Zone) -> Vec<LostLine> {
    parts
        .losses
        .iter()
        .filter(|l| l.amount > Grams::ZERO)
        .map(|l| LostLine {
            words: format!(
                "{} {}{}",
                l.amount.show(units),
                lost_words(&l.what),
                if l.note.is_empty() {
                    String::new()
                } else {
                    format!(": {}", l.note)
                }
            ),
            by: format!(
                "{}, {}{}",
                l.by_name,
                zone.show(l.at),
                came_by(&parts.came, l.at, zone)
            ),
            back: if parts.divided.is_none() {
                paths::take_loss_back(parts.juice.id, l.number)
            } else {
                String::new()
            },
        })
        .collect()
}

fn cautions(juice: &Juice, floor_bx: f64) -> Vec<String> {
    let mut out: Vec<String> = juice.cautions.iter().map(|c| (*c).to_owned()).collect();
    if juice.brix_20.get() < floor_bx {
        out.push(format!(
            "{} is below the season’s floor of {floor_bx:.1} °Bx: it takes more fire for less syrup. \
             Boil it with sweeter juice, or let the cane ripen.",
            juice.brix_20.show()
        ));
    }
    out
}

#[cfg(test)]
#[path = "view_tests.rs"]
mod tests;
#[cfg(test)]
pub(super) use tests::samples;
