//! Rows and lines of the pages of boils, as text ready to print.

use super::form::part_box;
use crate::calc::boil::boil_rules::jars_of;
use crate::calc::boil::sums::{Stage, by_member};
use crate::calc::cane::juice::{Freshness, juice_clock};
use crate::calc::physics::elevation::{Factor, FactorFrom, WaterBoil, brix_boiling_at};
use crate::facts::boil::boil_sums::{InPan, Stocked};
use crate::facts::boil::boils::Boil;
use crate::facts::boil::finish_of_day::FinishOfDay;
use crate::store::boil::boil_readings::ReadingRow;
use crate::store::boil::boils::FillRow;
use crate::store::season::seasons::Rules;
use crate::units::{BrixAt20C, BrixRead, MemberId, Minutes, PressDayId, Units, Zone};
use crate::web::boil::boil_plans;
use crate::web::boil::boil_words::count_words;
use crate::web::cane::cane_words::{came_by, typed_in};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::paths;
use crate::web::session::{Me, Visit};

/// A juice that may be ticked.
pub(super) struct OfferedJuice {
    pub id: String,
    pub words: String,
    pub detail: String,
    pub tags: Vec<String>,
    pub ticked: bool,
    /// How much of it, where only a part was proposed or typed; empty: all that is left.
    pub part: String,
    pub part_problem: String,
}

impl OfferedJuice {
    /// Takes over what stands in its box for a part.
    pub(super) fn read_part(&mut self, sheet: &Sheet) {
        let field = sheet.at(&part_box(&self.id));
        self.part = field.typed;
        self.part_problem = field.problem.unwrap_or_default();
    }
}

/// A juice with something left, as lighting offers it.
pub(super) fn offered(
    visit: &Visit,
    rules: &Rules,
    day: PressDayId,
    juice: &Stocked,
    ticked: &[&str],
) -> Result<OfferedJuice, PageError> {
    let (units, row) = (visit.units(), &juice.row);
    let limits = rules.wait_limits();
    let (clock, left) = juice_clock(row.pressed_at, visit.at, limits);
    let waited = Minutes::new(limits.red.get() - left.get());
    let mut tags = Vec::new();
    match clock {
        Freshness::Fresh => {}
        Freshness::Soon => tags.push("boil it next".to_owned()),
        Freshness::Late => tags.push("past its limit: smell and test it".to_owned()),
    }
    if row.press_day_id != day {
        let (date, _) = visit.zone()?.local(row.pressed_at);
        tags.push(format!("pressed {}", date.show()));
    }
    if !row.pools {
        tags.push("boils alone".to_owned());
    }
    let brix = juice.juice.as_ref().map(|j| j.brix_20);
    if brix.is_some_and(|b| b.get() < rules.floor_bx) {
        tags.push(format!("thinner than {:.0} °Bx", rules.floor_bx));
    }
    let id = row.id.to_string();
    Ok(OfferedJuice {
        words: format!("Ticket {}: {}, {}", row.ticket, row.member_name, row.vessel),
        detail: format!(
            "{} left at {}, {} of solids; pressed {} ago",
            juice.poured.left.mass.show(units),
            brix.map_or_else(String::new, BrixAt20C::show),
            juice.poured.left.solids.show(units),
            waited.show()
        ),
        ticked: ticked.contains(&id.as_str()),
        tags,
        id,
        part: String::new(),
        part_problem: String::new(),
    })
}

#[cfg(test)]
impl OfferedJuice {
    pub(super) fn sample(n: i64) -> Self {
        Self {
            id: format!("01920000-0000-7000-8000-{n:012}"),
            words: format!("Ticket {n}: Maximiliana <b>Featherstonehaugh</b>, Blue barrel"),
            detail: "212.4 lb left at 14.80 °Bx, 31.4 lb of solids; pressed 5 h 10 min ago"
                .to_owned(),
            tags: vec!["past its limit: smell and test it".to_owned()],
            ticked: n % 2 == 0,
            part: if n % 3 == 0 { "12.5" } else { "" }.to_owned(),
            part_problem: if n % 6 == 0 { "<i>Too much.</i>" } else { "" }.to_owned(),
        }
    }
}

/// One juice in the pan.
pub(super) struct PanRow {
    pub ticket: String,
    pub href: String,
    pub name: String,
    pub mass: String,
    pub brix: String,
    pub solids: String,
    pub tag: String,
}

/// The name under which a member stands on a page: others’ only as far as they agreed.
fn shown_name(juice: &InPan, me: &Me) -> String {
    if me.may_see(juice.draw.member_id) || juice.draw.named {
        juice.draw.member_name.to_string()
    } else {
        "another member".to_owned()
    }
}

/// The juices in the pan, row by row.
pub(super) fn pan_rows(boil: &Boil, me: &Me, units: Units) -> Vec<PanRow> {
    boil.pan
        .iter()
        .map(|juice| {
            let open = me.may_see(juice.draw.member_id);
            PanRow {
                ticket: if open {
                    format!("{} ({})", juice.draw.ticket, juice.draw.vessel)
                } else {
                    "–".to_owned()
                },
                href: if open {
                    paths::juice(juice.draw.juice_id)
                } else {
                    String::new()
                },
                name: shown_name(juice, me),
                mass: juice.part.mass.exact(units),
                brix: juice
                    .juice
                    .as_ref()
                    .map_or_else(|| "–".to_owned(), |j| j.brix_20.show()),
                solids: juice.part.solids.exact(units),
                tag: if juice.draw.whole {
                    "all that was left".to_owned()
                } else {
                    String::new()
                },
            }
        })
        .collect()
}

/// What one member brought to the boil.
pub(super) struct MemberRow {
    pub name: String,
    pub mass: String,
    pub solids: String,
    pub percent: String,
}

/// What each member brought to the boil, when there are several.
pub(super) fn member_rows(boil: &Boil, me: &Me, units: Units) -> Vec<MemberRow> {
    let parts: Vec<(MemberId, _)> = boil
        .pan
        .iter()
        .map(|juice| (juice.draw.member_id, juice.part))
        .collect();
    let all = boil.brought.solids.as_f64().max(1.0);
    by_member(&parts)
        .into_iter()
        .filter_map(|(id, part)| {
            let juice = boil.pan.iter().find(|j| j.draw.member_id == id)?;
            Some(MemberRow {
                name: shown_name(juice, me),
                mass: part.mass.exact(units),
                solids: part.solids.exact(units),
                percent: format!("{:.2} %", 100.0 * part.solids.as_f64() / all),
            })
        })
        .collect()
}

/// Sentences about what must be looked at before the boil's figures can be trusted.
pub(super) fn alarms(boil: &Boil, units: Units) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for juice in &boil.pan {
        if juice.row.void {
            out.push(format!(
                "The juice of ticket {} was crossed out after it was poured: it counts nothing here. \
                 Take it out, or correct the juice.",
                juice.draw.ticket
            ));
        } else if juice.over.get() > 0 {
            out.push(format!(
                "{} more of ticket {} is written down in boils than the juice weighs since it was \
                 corrected. Put right how much was poured, or the juice.",
                juice.over.exact(units),
                juice.draw.ticket
            ));
        }
    }
    if let Some(balance) = boil.balance()
        && let Err(refusal) = balance.possible(units)
    {
        out.push(refusal.sentence);
    }
    out
}

/// Who lit it, and who typed that in, when it was written on paper first.
pub(super) fn cook(boil: &Boil, visit: &Visit) -> Result<String, PageError> {
    let typed = boil.typed.as_ref().map(|t| (&t.by_name, t.at));
    let (by, at) = typed.map_or((None, boil.row.lit_at), |(by, at)| (Some(by), at));
    Ok(format!(
        "{}{}",
        boil.row.cook_name,
        typed_in(by, at, visit.zone()?)
    ))
}

/// One reading.
pub(super) struct ReadingLine {
    pub time: String,
    pub temp: String,
    pub brix: String,
    pub about: String,
    pub note: String,
    pub by: String,
}

/// The readings, latest first: that is what the cook looks for.
pub(super) fn reading_lines(boil: &Boil, visit: &Visit) -> Result<Vec<ReadingLine>, PageError> {
    let (zone, units) = (visit.zone()?, visit.units());
    let dash = || "–".to_owned();
    // By the K of this boil, once what was read of it says another than the mill's.
    let lit = boil.row.stage() == Stage::Lit;
    let looked = lit.then(|| boil.looked_at(visit.at)).flatten();
    let own = looked.filter(|l| l.draws_off_elsewhere(boil.day.target.temp.get()).is_some());
    let own = own.and_then(|l| Factor::new(l.k.middle).ok());
    let factor = own.unwrap_or(boil.day.factor);
    let line = |r: &ReadingRow| ReadingLine {
        time: zone.local(r.read_at).1.show(),
        temp: r.temp.map_or_else(dash, |t| t.show(units)),
        brix: r.brix.map_or_else(dash, BrixRead::show),
        about: r
            .temp
            .and_then(|t| brix_boiling_at(t, boil.day.target.water, factor))
            .map_or_else(dash, |b| format!("{:.0} °Bx", b.get())),
        note: r.note.clone(),
        by: format!(
            "{}{}{}",
            r.by_name,
            typed_in(r.typed_by.as_ref(), r.at, zone),
            came_by(&boil.came, r.at, zone)
        ),
    };
    Ok(boil.readings.iter().rev().map(line).collect())
}

/// A reading as the list of those to put right names it.
pub(super) fn reading_words(r: &ReadingRow, visit: &Visit) -> Result<String, PageError> {
    let what = r
        .temp
        .map(|t| t.show(visit.units()))
        .or_else(|| r.brix.map(BrixRead::show))
        .unwrap_or_else(|| r.note.clone());
    let time = visit.zone()?.local(r.read_at).1.show();
    Ok(format!("It puts right the one of {time}: {what}"))
}

/// The finish of the day in the largest type, and how it came about.
pub(super) struct LargeFinish {
    pub out_by: String,
    pub how: String,
    pub least: String,
    pub factor: String,
}

pub(super) fn big(day: &FinishOfDay, target: f64, units: Units) -> LargeFinish {
    let (finish, least) = (day.target, day.least);
    let water = finish.water.show(units);
    let known = match day.water {
        WaterBoil::Measured(_) => {
            format!("Water boils at {water} here, as read this day in boiling water")
        }
        WaterBoil::Altitude(height) => format!(
            "Water should boil at {water} here, worked from the co-op’s height of {}; a reading in \
             boiling water with this thermometer would be surer",
            height.show(units)
        ),
    };
    LargeFinish {
        out_by: format!(
            "By the mill’s K it is drawn off at {} ± {}, which is ± {:.1} °Bx",
            finish.temp.show(units),
            finish.plus_minus.show(units),
            finish.brix_plus_minus
        ),
        how: format!(
            "{known}; syrup of {target:.1} °Bx boils {} above that.",
            finish.rise.show(units)
        ),
        least: format!(
            "74 °Bx, the least for sorghum syrup, boils at {}.",
            least.temp.show(units)
        ),
        factor: match day.from {
            FactorFrom::Learned(boils) if boils > 0 => format!(
                "The mill’s factor K is {:.2}, learned from {boils} finished boil{} of this season.",
                day.factor.get(),
                if boils == 1 { "" } else { "s" }
            ),
            FactorFrom::Guess | FactorFrom::Learned(_) => format!(
                "The mill’s factor K is {:.2}, the default for sorghum, until finished boils with a \
                 reading of boiling water teach its own.",
                day.factor.get()
            ),
        },
    }
}

/// What to expect, in sentences.
pub(super) fn expected(boil: &Boil, units: Units) -> Vec<String> {
    let planned = boil_plans::of_boil(boil, units);
    if !planned.is_empty() {
        return planned;
    }
    let Some(e) = boil.expected else {
        return Vec::new();
    };
    let sizes: Vec<String> = boil
        .sizes
        .iter()
        .map(|s| count_words(jars_of(e.syrup, s.net), &s.name))
        .collect();
    vec![
        format!(
            "{} of syrup at {:.1} °Bx if {:.0} of 100 of the solids reach the jars ({} if nothing is \
             lost); {} of water goes up as steam.",
            e.syrup.show(units),
            boil.row.target,
            boil.rules.recovery_pct,
            e.most.show(units),
            e.water.show(units)
        ),
        format!("Have jars ready: {}.", sizes.join(" or ")),
    ]
}

/// Jars of a boil in a few words.
pub(super) fn jars_words(fills: &[FillRow]) -> String {
    let words: Vec<String> = fills
        .iter()
        .map(|f| count_words(f.count, &size_words(f)))
        .collect();
    words.join(", ")
}

/// The jar size of a fill in words.
pub(super) fn size_words(fill: &FillRow) -> String {
    if fill.part {
        format!("part-filled {}", fill.size_name)
    } else {
        fill.size_name.clone()
    }
}

/// One fill of jars as the page shows it.
pub(super) struct FillLine {
    pub size: String,
    pub net: String,
    pub count: i64,
    pub sum: String,
    pub why: String,
    pub by: String,
    pub fix: String,
}

/// By whom and when jars were filled, or by whom and when a fill was put right.
fn filled_by(boil: &Boil, f: &FillRow, zone: &Zone) -> String {
    let told = if f.version == 1 { f.filled_at } else { f.at };
    let sent = if f.typed_by.is_some() { f.at } else { told };
    format!(
        "{}, {}{}{}",
        f.by_name,
        zone.show(told),
        typed_in(f.typed_by.as_ref(), f.at, zone),
        came_by(&boil.came, sent, zone)
    )
}

pub(super) fn fill_lines(boil: &Boil, units: Units, zone: &Zone) -> Vec<FillLine> {
    boil.fills
        .iter()
        .map(|f| FillLine {
            size: size_words(f),
            net: format!("{} ({})", f.net.small(units), f.net.grams_text(units)),
            count: f.count,
            sum: f.grams().exact(units),
            why: f.why.clone(),
            by: filled_by(boil, f, zone),
            fix: paths::fix_fill(&boil.row.lot, f.number),
        })
        .collect()
}
