//! The pages of recalls, as text ready to print.

use super::form::boxes;
use crate::calc::shares::jar_places::Place;
use crate::calc::shares::ledger::jar_says;
use crate::calc::shares::recall::{Amount, Said, Tally};
use crate::facts::shares::recalls::{CallRecord, RecallRecord};
use crate::store::shares::recalls::{LineRow, RecallRow};
use crate::units::{LotCode, Minutes, Units, Zone};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A recall in the list.
struct ListLine {
    words: String,
    href: String,
    began: String,
    state: String,
}

/// Every recall.
#[derive(Template)]
#[template(path = "shares/recalls/list.html")]
pub(super) struct ListPage {
    shell: Shell,
    recalls: Vec<ListLine>,
    new: &'static str,
}

fn what(row: &RecallRow) -> String {
    let kind = if row.drill { "Drill" } else { "Recall" };
    format!("{kind} {}: {}", row.number, row.which)
}

impl ListPage {
    pub(super) fn new(app: &App, visit: &Visit, all: &[RecallRow]) -> Result<Self, PageError> {
        let zone = visit.zone()?;
        let line = |row: &RecallRow| ListLine {
            words: what(row),
            href: paths::recall(row.number),
            began: format!("{}, {}", zone.show(row.at), row.by_name),
            state: row.ended_at.map_or_else(
                || "open".to_owned(),
                |at| format!("ended {}", zone.show(at)),
            ),
        };
        Ok(Self {
            shell: Shell::new(app, visit, "Recalls and drills"),
            recalls: all.iter().map(line).collect(),
            new: paths::NEW_RECALL,
        })
    }
}

/// A new recall.
#[derive(Template)]
#[template(path = "shares/recalls/new.html")]
pub(super) struct NewPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    back: &'static str,
    drills: Vec<Choice>,
    kinds: Vec<Choice>,
}

impl NewPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet) -> Self {
        Self::with(Shell::new(app, visit, "Find every jar"), sheet)
    }

    fn with(shell: Shell, sheet: Sheet) -> Self {
        Self {
            shell,
            sheet,
            action: paths::NEW_RECALL,
            back: paths::RECALLS,
            drills: vec![
                Choice::new("drill", "A drill, to practise"),
                Choice::new("real", "A real recall"),
            ],
            kinds: vec![
                Choice::new("lot", "A lot, by its code"),
                Choice::new("ticket", "A ticket, by its number"),
                Choice::new("load", "A load: ticket/load, like 12/2"),
                Choice::new("vessel", "A vessel, by its name"),
                Choice::new("pack", "Something added, by the lot on its pack"),
                Choice::new("member", "A member’s cane, by name or number"),
                Choice::new("day", "A press day, by its date"),
            ],
        }
    }
}

/// One line of the table of what a recall came to.
struct SumLine {
    words: &'static str,
    jars: i64,
    grams: String,
}

fn sums(tally: &Tally, units: Units) -> Vec<SumLine> {
    let line = |words, of: Amount| SumLine {
        words,
        jars: of.jars,
        grams: of.grams.grams_text(units),
    };
    vec![
        line("Touched", tally.touched),
        line("Recovered", tally.back),
        line("Eaten, given away or broken", tally.gone),
        line("Not accounted for", tally.open),
    ]
}

/// A call in the list.
struct CallLine {
    who: String,
    phone: String,
    jars: Vec<String>,
    state: String,
    href: String,
}

/// A recall: its jars and calls.
#[derive(Template)]
#[template(path = "shares/recalls/show.html")]
pub(super) struct RecallPage {
    shell: Shell,
    drill: bool,
    why: String,
    began: String,
    lots: Vec<(String, String)>,
    read_out: String,
    sums: Vec<SumLine>,
    calls: Vec<CallLine>,
    open_calls: usize,
    /// Sentence on how it ended; empty while it is open.
    ended: String,
    says: String,
    end: String,
    back: &'static str,
}

/// The line to read out on the telephone.
fn read_out(coop: &str, drill: bool, lots: &[LotCode]) -> String {
    let codes: Vec<String> = lots.iter().map(LotCode::to_string).collect();
    let codes = match &codes[..] {
        [one] => format!("lot code {one}"),
        more => format!("one of the lot codes {}", more.join(", ")),
    };
    if drill {
        format!(
            "“This is {coop}. We are practising a recall; nothing is wrong with your syrup. Would you count the jars you still \
             have with {codes}, and tell me how many are eaten or given away?”"
        )
    } else {
        format!(
            "“This is {coop}. Please do not eat, sell or give away syrup with {codes}. Set the jars apart, and tell me how many you \
             still have and to whom you gave others. We will fetch them.”"
        )
    }
}

/// The one a call goes to, and the telephone if there is one.
fn who(call: &CallRecord) -> (String, String) {
    let Some((line, _)) = call.lines.first() else {
        return (String::new(), String::new());
    };
    let at_mill = "The shelf at the mill".to_owned();
    match (Place::parse(&line.place), &line.member_name, &line.given_to) {
        (Some(Place::Handed), Some(name), _) => {
            let phone = line.phone.as_ref().map(|p| p.as_str().to_owned());
            (name.to_string(), phone.unwrap_or_default())
        }
        (Some(Place::Handed | Place::Sold), _, Some(name)) => (
            format!("{name}, who took jars of the mill’s own"),
            String::new(),
        ),
        (Some(Place::Shelf | Place::Undivided), _, _) => (at_mill, String::new()),
        _ => (
            "Not accounted for: count again and look".to_owned(),
            String::new(),
        ),
    }
}

/// Jars of one line, and where they were.
fn jars(line: &LineRow, zone: &Zone, units: Units) -> String {
    let jar = jar_says(&line.size_name, line.net, line.part, units);
    let whose = line.member_name.as_ref();
    let place = match Place::parse(&line.place) {
        Some(Place::Shelf) => whose.map_or_else(
            || "on the shelf for the mill".to_owned(),
            |name| format!("on the shelf for {name}"),
        ),
        Some(Place::Undivided) => "at the mill, not divided yet".to_owned(),
        Some(Place::Handed | Place::Sold) => {
            let at = line.handed_at.map_or_else(String::new, |at| zone.show(at));
            let receipt = line.receipt.unwrap_or_default();
            format!("receipt {receipt}, {at}")
        }
        Some(Place::Broken) => "broken".to_owned(),
        _ => "not accounted for".to_owned(),
    };
    format!("{} × {jar}, lot {}: {place}", line.count, line.lot)
}

fn state(call: &CallRecord, zone: &Zone) -> String {
    let Some(noted) = &call.noted else {
        return String::new();
    };
    let said: Said = call.lines.iter().fold(Said::default(), |sum, (_, s)| Said {
        back: sum.back + s.back,
        gone: sum.gone + s.gone,
    });
    let what = if noted.reached {
        format!("{} there, {} gone", said.back, said.gone)
    } else {
        "not reached".to_owned()
    };
    let note = if noted.note.is_empty() {
        String::new()
    } else {
        format!(" {}", noted.note)
    };
    format!("{what}. {}, {}.{note}", noted.by_name, zone.show(noted.at))
}

impl RecallPage {
    pub(super) fn new(app: &App, visit: &Visit, recall: &RecallRecord) -> Result<Self, PageError> {
        let (zone, coop, units) = (visit.zone()?, visit.coop()?, visit.units());
        let row = &recall.row;
        let call = |c: &CallRecord| {
            let (who, phone) = who(c);
            CallLine {
                who,
                phone,
                jars: c.lines.iter().map(|(l, _)| jars(l, zone, units)).collect(),
                state: state(c, zone),
                href: paths::recall_call(row.number, c.call),
            }
        };
        let ended = recall.end.as_ref().map_or_else(String::new, |end| {
            let took = Minutes::new((end.at.get() - row.at.get()) / 60).show();
            format!(
                "Ended {} by {}. Answers for it: {}. It took {took}.",
                zone.show(end.at),
                end.by_name,
                end.answers
            )
        });
        let lots = recall.lots.iter();
        Ok(Self {
            shell: Shell::new(app, visit, what(row)),
            drill: row.drill,
            why: row.why.clone(),
            began: format!("Begun {} by {}.", zone.show(row.at), row.by_name),
            lots: lots.map(|l| (l.to_string(), paths::lot_trace(l))).collect(),
            read_out: read_out(&coop.name, row.drill, &recall.lots),
            sums: sums(&recall.tally, units),
            calls: recall.calls.iter().map(call).collect(),
            open_calls: recall.calls.iter().filter(|c| c.noted.is_none()).count(),
            ended,
            says: recall
                .end
                .as_ref()
                .map_or_else(String::new, |e| e.says.clone()),
            end: paths::end_recall(row.number),
            back: paths::RECALLS,
        })
    }
}

/// The boxes of one line.
struct LineBoxes {
    jars: String,
    back: String,
    gone: String,
}

/// A call to be noted.
#[derive(Template)]
#[template(path = "shares/recalls/call.html")]
pub(super) struct CallPage {
    shell: Shell,
    sheet: Sheet,
    who: String,
    phone: String,
    read_out: String,
    seen: String,
    noted: String,
    lines: Vec<LineBoxes>,
    reached: Vec<Choice>,
    action: String,
    back: String,
    open: bool,
}

impl CallPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        recall: &RecallRecord,
        call: &CallRecord,
        sheet: Sheet,
    ) -> Result<Self, PageError> {
        let (zone, units) = (visit.zone()?, visit.units());
        let (who, phone) = who(call);
        let number = recall.row.number;
        let boxes_of = |(line, _): &(LineRow, Said)| {
            let (back, gone) = boxes(line.line);
            LineBoxes {
                jars: jars(line, zone, units),
                back,
                gone,
            }
        };
        let spoken = if phone.is_empty() {
            String::new()
        } else {
            read_out(&visit.coop()?.name, recall.row.drill, &recall.lots)
        };
        Ok(Self {
            shell: Shell::new(
                app,
                visit,
                format!("{}, call {}", what(&recall.row), call.call),
            ),
            seen: sheet.typed("seen").to_owned(),
            sheet,
            who,
            phone,
            read_out: spoken,
            noted: state(call, zone),
            lines: call.lines.iter().map(boxes_of).collect(),
            reached: reached(),
            action: paths::recall_call(number, call.call),
            back: paths::recall(number),
            open: recall.end.is_none(),
        })
    }
}

fn reached() -> Vec<Choice> {
    vec![
        Choice::new("yes", "Reached, or looked through"),
        Choice::new("no", "Not reached"),
    ]
}

/// The end of a recall.
#[derive(Template)]
#[template(path = "shares/recalls/end.html")]
pub(super) struct EndPage {
    shell: Shell,
    sheet: Sheet,
    sums: Vec<SumLine>,
    open_calls: usize,
    action: String,
    back: String,
    open: bool,
}

impl EndPage {
    pub(super) fn new(app: &App, visit: &Visit, recall: &RecallRecord, sheet: Sheet) -> Self {
        let number = recall.row.number;
        Self {
            shell: Shell::new(app, visit, format!("End: {}", what(&recall.row))),
            sheet,
            sums: sums(&recall.tally, visit.units()),
            open_calls: recall.calls.iter().filter(|c| c.noted.is_none()).count(),
            action: paths::end_recall(number),
            back: paths::recall(number),
            open: recall.end.is_none(),
        }
    }
}

#[cfg(test)]
#[path = "samples.rs"]
mod samples;
#[cfg(test)]
pub(in crate::web) use samples::samples;
