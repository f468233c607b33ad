//! Which labels to print: what was asked, what was meant. The form is sent by GET: nothing is
//! stored, and a sheet can be printed again from its address.

use crate::calc::paper::label::JarLabel;
use crate::calc::paper::label_face::Face;
use crate::calc::paper::label_sheet::{COMMON, Dimensions, LabelSheet};
use crate::calc::paper::panel::Panel;
use crate::calc::paper::qr::Qr;
use crate::store::people::coop::Coop;
use crate::store::shares::lots::{Filled, Lot};
use crate::units::{BrixAt20C, Millimetres, Refused, Units, whole};
use crate::web::form::{Choice, Sheet};

/// Names of the boxes of the form.
pub(super) const BOXES: [&str; 9] = [
    "jar", "count", "sheet", "start", "shape", "high", "wide", "outline", "short",
];
/// Most labels printed at once.
const MOST: i64 = 600;

/// The labels to be printed.
pub(super) struct LabelOrder {
    /// The jars that the labels are for.
    pub jar: Filled,
    /// How many labels.
    pub count: u32,
    /// The sheet.
    pub sheet: LabelSheet,
    /// Labels of the first sheet that are gone already.
    pub gone: u32,
    /// The side of the jar that a buyer sees.
    pub panel: Panel,
    /// Whether to draw a line around each label, to cut along.
    pub outline: bool,
}

/// The word of a jar in the form: its net grams, and whether it is a part-jar.
pub(super) fn jar_word(jar: &Filled) -> String {
    let part = if jar.part { "-part" } else { "" };
    format!("{}{part}", jar.net.get())
}

/// The word of a sheet in the form: its paper and how many labels it holds.
pub(super) fn sheet_word(d: &Dimensions) -> String {
    format!("{}-{}", d.paper.word(), d.columns * d.rows)
}

/// The shapes of a jar.
pub(super) fn shapes() -> Vec<Choice> {
    vec![
        Choice::new("round", "Round"),
        Choice::new("flat", "With a flat face"),
    ]
}

/// The form before anything is order.
pub(super) fn blank(sheet: &mut Sheet, units: Units) {
    // A pint jar's straight body (common practice): the page asks to measure one's own.
    let (high, wide, first) = match units {
        Units::Us => ("4 in", "3 in", &COMMON[0]),
        Units::Metric => ("100 mm", "76 mm", &COMMON[2]),
    };
    sheet
        .put("sheet", sheet_word(first))
        .put("start", "1")
        .put("shape", "round")
        .put("high", high)
        .put("wide", wide);
}

/// A lot that does not hold what its label says is asked about, until somebody says that they know.
pub(super) fn ask_if_short(sheet: &mut Sheet, short: Option<&str>) {
    if let Some(size) = short.filter(|_| !sheet.ticked("short")) {
        sheet.refuse(
            "short",
            format!(
                "By the check weights, {size} jars of this lot do not hold what the label says. Top them up first, or say that you know."
            ),
        );
    }
}

/// Reads every box of the form; `None` when one cannot be read.
pub(super) fn read(sheet: &mut Sheet, filled: &[Filled], units: Units) -> Option<LabelOrder> {
    let jar = sheet.read("jar", |word| {
        let found = filled.iter().find(|jar| jar_word(jar) == word);
        found
            .cloned()
            .ok_or_else(|| Refused::new("Please choose one of the sizes that were filled."))
    });
    let asked_count = sheet.read_optional("count", |text| number(text, MOST));
    let layout = sheet.read("sheet", |word| {
        let found = COMMON.iter().find(|d| sheet_word(d) == word);
        found
            .and_then(|d| LabelSheet::new(*d).ok())
            .ok_or_else(|| Refused::new("Please choose one of the sheets."))
    });
    let places = layout.map_or(60, |layout| i64::from(layout.per_page()));
    let start = sheet.read("start", |text| number(text, places));
    let high = sheet.read("high", |text| Millimetres::parse(text, units));
    let wide = sheet.read("wide", |text| Millimetres::parse(text, units));
    let shape = sheet.read("shape", |word| match word {
        "round" | "flat" => Ok(word == "round"),
        _ => Err(Refused::new("Please choose the shape of the jar.")),
    });
    let jar = jar?;
    let count = match asked_count? {
        Some(count) => count,
        None => as_many(sheet, &jar)?,
    };
    let (height_mm, across_mm) = (high?.get(), wide?.get());
    Some(LabelOrder {
        jar,
        count,
        sheet: layout?,
        gone: start? - 1,
        panel: if shape? {
            Panel::Round {
                height_mm,
                diameter_mm: across_mm,
            }
        } else {
            Panel::Flat {
                height_mm,
                width_mm: across_mm,
            }
        },
        outline: sheet.ticked("outline"),
    })
}

fn number(text: &str, most: i64) -> Result<u32, Refused> {
    let count = whole(text, 1, most)?;
    u32::try_from(count).map_err(|_| Refused::new("Please write a smaller number."))
}

/// As many labels as jars were filled; `None` when that is more than are printed at once.
fn as_many(sheet: &mut Sheet, jar: &Filled) -> Option<u32> {
    let count = u32::try_from(jar.count)
        .ok()
        .filter(|n| i64::from(*n) <= MOST);
    if count.is_none() {
        sheet.refuse(
            "count",
            format!(
                "{} jars were filled. Please write how many labels to print now, up to {MOST}.",
                jar.count
            ),
        );
    }
    count
}

/// The label and how it is laid out; a refusal stands in the form.
pub(super) fn face(
    sheet: &mut Sheet,
    order: &LabelOrder,
    lot: &Lot,
    solids: BrixAt20C,
    coop: &Coop,
    qr: Option<&Qr>,
) -> Option<Face> {
    let packer = format!("{}, {}", coop.name, coop.place);
    let label = JarLabel::new(
        solids,
        order.jar.net,
        lot.code.clone(),
        &packer,
        lot.pressed,
        order.panel,
    );
    let label = match label {
        Ok(label) => label,
        Err(refusal) => {
            let sentences: Vec<String> = refusal.into_iter().map(|u| u.sentence).collect();
            sheet.problem = Some(sentences.join(" "));
            return None;
        }
    };
    let d = order.sheet.dimensions();
    match Face::of(&label, qr, d.label_w_mm, d.label_h_mm) {
        Ok(face) => Some(face),
        Err(refusal) => {
            sheet.refuse(refusal.at.unwrap_or("sheet"), refusal.sentence);
            None
        }
    }
}
