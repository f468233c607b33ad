//! A recall, a call and an end: what was sent, what was meant.

use crate::actions::shares::recalls::{NewCall, NewRecall};
use crate::calc::season::dates::has_come;
use crate::calc::shares::recall::{Said, StartKind};
use crate::facts::shares::recall_start::Sought;
use crate::facts::shares::recalls::CallRecord;
use crate::units::{MemberName, PressDate, Refused, plain_text, whole};
use crate::web::form::Sheet;

/// The form, with what the address says it starts from.
pub(super) fn blank(mut sheet: Sheet, kind: &str, which: &str) -> Sheet {
    let kind = StartKind::parse(kind).unwrap_or(StartKind::Lot);
    let which: String = which.chars().take(80).collect();
    sheet.put("kind", kind.word()).put("which", which);
    sheet
}

/// Reads every box of a new recall, then decides.
pub(super) fn recall(sheet: &mut Sheet, today: PressDate) -> Option<NewRecall> {
    let drill = sheet.read("drill", |text| match text {
        "drill" => Ok(true),
        "real" => Ok(false),
        _ => Err(Refused::new("Please say whether this is a drill.")),
    });
    let kind = sheet.read("kind", |text| {
        StartKind::parse(text).ok_or_else(|| Refused::new("Please choose what it starts from."))
    });
    let which = sheet.read("which", |text| plain_text(text, 1, 80));
    let day = sheet.read_optional("day", |text| has_come(PressDate::parse(text)?, today));
    let why = sheet.read("why", |text| plain_text(text, 1, 300));
    Some(NewRecall {
        drill: drill?,
        sought: Sought {
            kind: kind?,
            which: which?,
            day: day?,
        },
        why: why?,
    })
}

/// The boxes of a line: jars there, jars gone.
pub(super) fn boxes(line: i64) -> (String, String) {
    (format!("back-{line}"), format!("gone-{line}"))
}

/// The form of a call as it was noted last.
pub(super) fn call_as_noted(mut sheet: Sheet, call: &CallRecord) -> Sheet {
    let seen = call.noted.as_ref().map_or(0, |n| n.number);
    sheet.put("seen", seen.to_string());
    let Some(noted) = &call.noted else {
        return sheet;
    };
    let reached = if noted.reached { "yes" } else { "no" };
    sheet
        .put("reached", reached)
        .put("note", noted.note.clone());
    for (line, said) in &call.lines {
        let (back, gone) = boxes(line.line);
        sheet
            .put(&back, said.back.to_string())
            .put(&gone, said.gone.to_string());
    }
    sheet
}

/// Reads every box of a call, then decides. An empty box is none.
pub(super) fn call(sheet: &mut Sheet, call: &CallRecord) -> Option<NewCall> {
    let seen = sheet.read("seen", |text| whole(text, 0, 1_000_000));
    let reached = sheet.read("reached", |text| match text {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err(Refused::new("Please say whether you reached anybody.")),
    });
    let said: Vec<Option<(i64, Said)>> = call
        .lines
        .iter()
        .map(|(line, _)| {
            let (back, gone) = boxes(line.line);
            let back = sheet.read_optional(&back, |t| whole(t, 0, line.count));
            let gone = sheet.read_optional(&gone, |t| whole(t, 0, line.count));
            let said = Said {
                back: back?.unwrap_or(0),
                gone: gone?.unwrap_or(0),
            };
            Some((line.line, said))
        })
        .collect();
    let note = sheet.read("note", |text| plain_text(text, 0, 300));
    Some(NewCall {
        seen: seen?,
        reached: reached?,
        note: note?,
        said: said.into_iter().collect::<Option<_>>()?,
    })
}

/// Reads every box of the end, then decides.
pub(super) fn end(sheet: &mut Sheet) -> Option<(MemberName, String)> {
    let answers = sheet.read("signed_by", MemberName::parse);
    let says = sheet.read("says", |text| plain_text(text, 0, 600));
    answers.zip(says)
}
