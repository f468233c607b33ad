//! Jars to hand over: what was sent, what was meant.

use crate::actions::shares::hand_overs::{JarsOut, NewHandOver};
use crate::facts::shares::hand_overs::SetAside;
use crate::store::shares::hand_overs::AsideRow;
use crate::units::{MemberName, plain_text, whole};
use crate::web::form::Sheet;

/// More jars than any boil fills.
const MOST: i64 = 10_000;

/// Name of the box of one kind of jar of one lot: letters and digits only, so that it may be an id.
pub(super) fn name_of(row: &AsideRow) -> String {
    let mut name = format!("jar-{}-{}", row.lot.as_str(), row.net.get());
    if row.part {
        name.push_str("-part");
    }
    name.push('-');
    row.size_name.chars().fold(name, |name, c| {
        if c.is_ascii_alphanumeric() {
            format!("{name}{c}")
        } else {
            format!("{name}_{:x}_", u32::from(c))
        }
    })
}

/// Reads every box, then decides. An empty box is none of these.
pub(super) fn hand_over(sheet: &mut Sheet, aside: &[AsideRow]) -> Option<NewHandOver> {
    let counts: Vec<Option<JarsOut>> = aside
        .iter()
        .map(|row| {
            // What is left is the action's to check: sent twice, this was done already.
            let count = sheet.read_optional(&name_of(row), |text| whole(text, 0, MOST))?;
            Some(JarsOut {
                boil: row.boil_id,
                size_name: row.size_name.clone(),
                net: row.net,
                part: row.part,
                count: count.unwrap_or(0),
            })
        })
        .collect();
    let given_to = sheet.read("signed_by", MemberName::parse);
    let note = sheet.read("note", |text| plain_text(text, 0, 200));
    let short = sheet.ticked("short");
    Some(NewHandOver {
        short,
        jars: counts.into_iter().collect::<Option<_>>()?,
        given_to: given_to?,
        note: note?,
    })
}

/// The form with all that is waiting.
pub(super) fn of(mut sheet: Sheet, aside: &SetAside) -> Sheet {
    for row in aside.jars.iter().filter(|row| row.left() > 0) {
        let held = aside.held.iter().any(|h| h.boil == row.boil_id);
        let count = if held { 0 } else { row.left() };
        sheet.put(&name_of(row), count.to_string());
    }
    if let Some(name) = &aside.name {
        sheet.put("signed_by", name.to_string());
    }
    sheet
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{BoilId, Grams, LotCode, PressDate};
    use uuid::Uuid;

    #[test]
    fn every_kind_of_jar_has_a_box_of_its_own() {
        let row = |size: &str, part| AsideRow {
            boil_id: BoilId::new(Uuid::nil()),
            lot: LotCode::nth(2026, 1).unwrap(),
            press_date: PressDate::parse("2026-09-19").unwrap(),
            size_name: size.to_owned(),
            net: Grams::new(680),
            part,
            set_aside: 3,
            gone: 1,
        };
        let rows = [
            row("pint", false),
            row("pint", true),
            row("½ quart", false),
            row("2 quart", false),
            row("2-quart", false),
        ];
        let mut names: Vec<String> = rows.iter().map(name_of).collect();
        assert!(names.iter().all(|n| !n.contains(' ') && n.is_ascii()));
        names.sort();
        names.dedup();
        assert_eq!(names.len(), 5);
        assert_eq!(rows[0].left(), 2);
    }
}
