//! What became of jars: what was sent, what was meant.

use crate::actions::shares::hand_overs::JarsOut;
use crate::actions::shares::jar_moves::NewMoves;
use crate::calc::shares::jar_places::Became;
use crate::store::shares::recalls::JarRow;
use crate::units::{Refused, plain_text, whole};
use crate::web::form::Sheet;

/// The box of the jars at a place in the list.
pub(super) fn box_of(place: usize) -> String {
    format!("count-{place}")
}

/// Reads every box, then decides. An empty box is none of these.
pub(super) fn moves(sheet: &mut Sheet, jars: &[JarRow], may: &[Became]) -> Option<NewMoves> {
    let became = sheet.read("became", |text| {
        let found = Became::parse(text).filter(|b| may.contains(b));
        found.ok_or_else(|| Refused::new("Please choose what happened."))
    });
    let counts: Vec<Option<JarsOut>> = jars
        .iter()
        .enumerate()
        .map(|(place, row)| {
            let count = sheet.read_optional(&box_of(place), |text| whole(text, 0, 10_000))?;
            Some(JarsOut {
                boil: row.boil,
                size_name: row.size_name.clone(),
                net: row.net,
                part: row.part,
                count: count.unwrap_or(0),
            })
        })
        .collect();
    let why = sheet.read("why", |text| plain_text(text, 1, 300));
    Some(NewMoves {
        became: became?,
        jars: counts.into_iter().collect::<Option<_>>()?,
        why: why?,
    })
}
