//! The hand-over sheet: jars that wait, with places for who takes them, as text ready to print.

use crate::store::Snapshot;
use crate::store::shares::hand_overs;
use crate::units::Units;
use crate::web::error::PageError;
use crate::web::leaf::{Leaf, columns, leaves, page_words};
use crate::web::request::PageRequest;
use crate::web::{Page, page, paths, statics};
use askama::Template;

/// How many rows a leaf has.
const ROWS: usize = 23;

/// The hand-over sheet, on paper.
#[derive(Template)]
#[template(path = "shares/hand_overs/paper.html")]
struct PaperPage {
    title: &'static str,
    coop: String,
    css: String,
    icon: String,
    back: &'static str,
    day: String,
    leaves: Vec<Leaf>,
}

/// One row a sharer, lot and kind of jar, of what is at the mill.
async fn rows(db: &mut Snapshot, units: Units) -> Result<Vec<Vec<String>>, PageError> {
    let shelf = hand_overs::shelf().ask(db).await?.into_iter();
    let rows = shelf.map(|row| {
        let jar = row.jars;
        let kind = if jar.part { "part-jar" } else { &jar.size_name };
        vec![
            super::view::who(row.name.as_ref()),
            jar.lot.to_string(),
            format!("{kind}, {}", jar.net.small(units)),
            jar.left().to_string(),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
        ]
    });
    Ok(rows.collect())
}

fn sheet(rows: Vec<Vec<String>>) -> Vec<Leaf> {
    let columns = columns(&[
        "Whose|l",
        "Lot|m",
        "Jar|l",
        "Waiting|s",
        "Given|s",
        "Given to, signs|r",
        "At|s",
        "By|s",
    ]);
    let hint = "Count the jars out together. True times; after midnight with the date. By: who handed over.";
    let mut leaves = leaves(("Hand-over sheet", hint), &columns, rows, ROWS);
    let of = leaves.len();
    for (n, leaf) in leaves.iter_mut().enumerate() {
        leaf.page = page_words(n + 1, of);
    }
    leaves
}

/// `GET /hand-overs/sheet`
pub(crate) async fn paper(mut request: PageRequest) -> Page {
    let rows = rows(&mut request.db, request.visit.units()).await?;
    let coop = request.visit.coop()?;
    page(&PaperPage {
        title: "Hand-over sheet",
        coop: coop.name.clone(),
        css: statics::print_css(),
        icon: statics::icon(),
        back: paths::HAND_OVERS,
        day: coop.zone.local(request.visit.at).0.show(),
        leaves: sheet(rows),
    })
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = || vec!["Amos <b>Trout</b>".to_owned(); 8];
    let paper = |count| PaperPage {
        title: "Hand-over sheet",
        coop: "Coldwater <Ridge>".to_owned(),
        css: statics::print_css(),
        icon: statics::icon(),
        back: paths::HAND_OVERS,
        day: "Sat 19 Sep 2026".to_owned(),
        leaves: sheet(vec![row(); count]),
    };
    vec![Box::new(paper(0)), Box::new(paper(24))]
}
