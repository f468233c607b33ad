//! The pages of a weigh-in, as text ready to print.

use super::sample;
use crate::calc::cane::scale::Graduation;
use crate::calc::cane::second_reading;
use crate::calc::cane::tickets::{cane_cautions, grower_cautions};
use crate::facts::cane::tickets::FullTicket;
use crate::store::cane::juice::{Drawn, JuiceRow};
use crate::store::cane::tickets::LoadRow;
use crate::store::season::seasons::Rules;
use crate::units::{Grams, Units, UtcSecond, Zone};
use crate::web::cane::cane_words::{
    Undo, by_phone, by_station, clock_words, typed_in, undoable, yield_band, yield_figure,
    yield_medians,
};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::my_cane::Trail;
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, only_if, paths};
use askama::Template;

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
    /// How it is taken back just now; none: by others, too late, or not the latest.
    undo: Option<Undo>,
    version: i64,
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
    trail: Trail,
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
    /// Whether a load of it stands that was not crossed out.
    weighed: bool,
    /// A sample that was stripped, and what comes of it.
    sampled: Vec<String>,
    sample: String,
    juices: Vec<JuiceLine>,
    figure: Option<String>,
    sum: String,
    band: &'static str,
    look: &'static str,
    medians: String,
    closed: bool,
    /// Sentences on whose it was before, and where cane went that was not pressed.
    went: Vec<String>,
    sheet: Sheet,
    move_to: String,
    /// Address that closes it unpressed; empty: it has juice, or is closed so.
    end: String,
    /// Address that takes that back; empty: it is not closed so.
    reopen: String,
    new_load: String,
    new_juice: String,
    trace: String,
}

impl TicketPage {
    /// The page with the way of the cane on it.
    pub(super) fn with_trail(self, trail: Trail) -> Self {
        Self { trail, ..self }
    }

    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        parts: &FullTicket,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (units, zone, ticket) = (visit.units(), visit.zone()?, &parts.ticket);
        let closed = parts.divided.is_some();
        let seen = ticket.condition;
        let ended = parts.end.as_ref().is_some_and(|e| e.unpressed);
        let pressed = parts.juices.iter().any(|(juice, _)| !juice.void);
        let mut juices = Vec::new();
        for (juice, drawn) in &parts.juices {
            juices.push(juice_line(visit, &parts.rules, juice, *drawn)?);
        }
        let yields = &parts.yields;
        let (band, look) = yield_band(yields);
        let fixable = me.is_crew() && !closed;
        Ok(Self {
            trail: Trail::default(),
            shell: Shell::new(app, visit, format!("Ticket {}", ticket.ticket)),
            crew: me.is_crew(),
            name: ticket.member_name.to_string(),
            member: paths::member(ticket.member_id),
            date: ticket.date.show(),
            day: paths::day(ticket.date),
            condition: seen.words(),
            cut: ticket
                .cut_at
                .map_or_else(|| "not known".to_owned(), |at| cut_words(at, zone)),
            note: ticket.note.clone(),
            opened: opened(parts, zone),
            cautions: cautions(me, parts),
            total: total(&parts.loads, units),
            weighed: weighed(&parts.loads),
            sampled: sample::lines(parts, units, zone),
            sample: paths::sample(ticket.id),
            loads: load_lines(parts, (me, visit.at), units, zone, fixable),
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
            went: went(parts, zone),
            sheet,
            move_to: paths::move_ticket(ticket.id),
            end: only_if(!ended && !pressed, paths::end_ticket(ticket.id)),
            reopen: only_if(ended, paths::reopen_ticket(ticket.id)),
            new_load: paths::new_load(ticket.id),
            new_juice: paths::new_juice(ticket.id),
            trace: paths::ticket_trace(ticket.id),
        })
    }
}

/// Who opened the ticket and when; for one from paper, who wrote it there and when, and who typed it in.
fn opened(parts: &FullTicket, zone: &Zone) -> String {
    let ticket = &parts.ticket;
    let on_paper = |l: &&LoadRow| l.typed_by.is_some() && l.at == ticket.made_at;
    let at = parts.loads.iter().find(on_paper);
    format!(
        "{}, {}{}",
        ticket.made_by_name,
        zone.show(at.map_or(ticket.made_at, LoadRow::weighed)),
        typed_in(at.and_then(|l| l.typed_by.as_ref()), ticket.made_at, zone)
    )
}

/// The crew's cautions, or what the member whose cane it is can do otherwise next time.
/// Whether a load stands that was not crossed out: of each the latest version counts, which comes first.
fn weighed(loads: &[LoadRow]) -> bool {
    let mut last = 0;
    let mut latest = loads
        .iter()
        .filter(|load| std::mem::replace(&mut last, load.number) != load.number);
    latest.any(|load| !load.void)
}

/// When cane was cut; a day that was written without a time is kept as its beginning.
fn cut_words(at: UtcSecond, zone: &Zone) -> String {
    match zone.local(at) {
        (date, minute) if minute.get() == 0 => date.show(),
        _ => zone.show(at),
    }
}

fn cautions(me: &Me, parts: &FullTicket) -> Vec<String> {
    let ticket = &parts.ticket;
    if !me.is_crew() {
        return grower_cautions(ticket.condition);
    }
    cane_cautions(
        ticket.condition,
        ticket.cut_at,
        parts.loads.first().map_or(ticket.made_at, LoadRow::weighed),
        parts.rules.cane_warn_days,
    )
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

/// Gross, tare and net of a load, so that the pencil's sum comes out: as the scale showed them, and what the net is in the units
/// of whoever reads, where those are others.
fn weights(load: &LoadRow, units: Units) -> (String, String, String) {
    let weight = |grams| show(grams, load.graduation_g, plain(load), units);
    let alike = || (weight(load.gross), weight(load.tare), weight(load.kept_net));
    let Ok(scale) = Graduation::new(load.graduation_g) else {
        return alike();
    };
    let pounds = scale.pounds(load.gross).zip(scale.pounds(load.tare));
    match (units, pounds) {
        (Units::Metric, Some((gross, tare))) => {
            let net = format!("{} = {}", (gross - tare).show(), load.kept_net.exact(units));
            (gross.show(), tare.show(), net)
        }
        (Units::Us, None) if plain(load) => {
            let read = |grams: Grams| scale.show(grams.as_f64(), Units::Metric);
            let net = format!("{} = {}", read(load.kept_net), load.kept_net.show(units));
            (read(load.gross), read(load.tare), net)
        }
        _ => alike(),
    }
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

/// What became of a ticket beside its juice: moved from somebody else, gone home unpressed.
fn went(parts: &FullTicket, zone: &Zone) -> Vec<String> {
    let moved = parts.moves.iter().map(|m| {
        // Where the member is the same, only its turn was taken from it or given back.
        if m.from_member == parts.ticket.member_id {
            let turn = if m.from_turn.is_some() && parts.ticket.turn_id.is_none() {
                "Its turn was set free"
            } else {
                "Its turn was changed"
            };
            return format!("{turn} ({}, {}).", m.by_name, zone.show(m.at));
        }
        format!(
            "It was written for {} first; {} moved it, {}.",
            m.from_name,
            m.by_name,
            zone.show(m.at)
        )
    });
    let end = parts.end.iter().filter(|e| e.unpressed).map(|e| {
        format!(
            "Went home unpressed: {} ({}, {}).",
            e.went,
            e.by_name,
            zone.show(e.at)
        )
    });
    let lot = second_reading::drawn(
        parts.ticket.date,
        parts.ticket.id,
        parts.rules.read_again_one_in,
    );
    let counted = || parts.juices.iter().filter(|(juice, _)| !juice.void);
    let read = counted().next().is_some() && counted().all(|(juice, _)| juice.again.is_some());
    let drawn = lot.then(|| second_reading::drawn_words(parts.rules.read_again_one_in, read));
    end.chain(moved).chain(drawn).collect()
}

fn load_lines(
    parts: &FullTicket,
    (me, at): (&Me, UtcSecond),
    units: Units,
    zone: &Zone,
    fixable: bool,
) -> Vec<LoadLine> {
    let ticket = &parts.ticket;
    let mut last = 0;
    let mut lines = Vec::new();
    for load in &parts.loads {
        // The latest version comes first.
        let old = std::mem::replace(&mut last, load.number) == load.number;
        let (gross, tare, net) = weights(load, units);
        let did = if load.version == 1 {
            ""
        } else {
            "corrected by "
        };
        lines.push(LoadLine {
            number: load.number,
            gross,
            tare,
            net,
            by: format!(
                "{did}{}, {}, on {}{}{}{}{}",
                load.by_name,
                zone.show(load.weighed()),
                load.scale,
                if load.trailer.is_empty() {
                    String::new()
                } else {
                    format!(", {}", load.trailer)
                },
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
            undo: undoable(
                (load.by, load.at),
                &load.why,
                (me, zone, at),
                paths::undo_load(ticket.id, load.number),
            )
            .filter(|_| fixable && !old),
            version: load.version,
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
pub(super) use tests::samples;
