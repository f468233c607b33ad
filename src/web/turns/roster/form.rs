//! A roster and hours worked: read from the form, written into it.

use crate::actions::season::hours::NewHours;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::roster::RosterShift;
use crate::units::{MemberId, hours_typed};
use crate::web::form::Sheet;

/// Name of the box for who takes a shift.
pub(super) fn who_box(number: i64) -> String {
    format!("who-{number}")
}

/// Name of the box for somebody's hours.
pub(super) fn hours_box(id: MemberId) -> String {
    format!("hours-{id}")
}

/// The shifts as the form carries them: task, from and to, parted by commas.
pub(super) fn write_shifts(shifts: &[RosterShift]) -> String {
    let one = |s: &RosterShift| format!("{} {} {}", s.task, s.from, s.to);
    shifts.iter().map(one).collect::<Vec<_>>().join(",")
}

/// Reads those shifts back, with who was chosen; `None`: it is no form of ours.
pub(super) fn shifts(sheet: &Sheet) -> Option<Vec<RosterShift>> {
    (1..)
        .zip(sheet.typed("shifts").split(','))
        .map(|(number, line)| {
            let mut parts = line.split(' ');
            let who = sheet.typed(&who_box(number));
            Some(RosterShift {
                number,
                task: parts.next()?.to_owned(),
                from: parts.next()?.parse().ok()?,
                to: parts.next()?.parse().ok()?,
                member_id: if who.is_empty() {
                    None
                } else {
                    Some(MemberId::parse(who)?)
                },
                name: None,
            })
        })
        .collect()
}

/// Hours for each person whose box is filled.
pub(super) fn hours(sheet: &mut Sheet, day: &PressDay) -> Option<Vec<(MemberId, NewHours)>> {
    let people: Vec<MemberId> = sheet
        .typed("people")
        .split(',')
        .filter_map(MemberId::parse)
        .collect();
    let read: Vec<Option<Option<(MemberId, i64)>>> = people
        .into_iter()
        .map(|id| {
            let minutes = sheet.read_optional(&hours_box(id), hours_typed)?;
            Some(minutes.map(|m| (id, m)))
        })
        .collect();
    let read: Option<Vec<Option<(MemberId, i64)>>> = read.into_iter().collect();
    let new = |minutes| NewHours {
        season: day.season_id,
        minutes,
        what: format!("Helped at the mill on {}", day.date.show()),
        on: Some(day.date),
    };
    Some(
        read?
            .into_iter()
            .flatten()
            .map(|(id, minutes)| (id, new(minutes)))
            .collect(),
    )
}
