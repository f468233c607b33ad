//! An addition: what was sent, what was meant.

use crate::calc::boil::additions::{Dose, What};
use crate::store::boil::additions::{Addition, NewAddition};
use crate::units::{Celsius, Refused, Units, plain_text, whole};
use crate::web::form::Sheet;

fn what(text: &str) -> Result<What, Refused> {
    What::parse(text).ok_or_else(|| Refused::new("Please choose what was added."))
}

/// Reads every box, then decides. What never went in needs no more than its number and a reason.
pub(super) fn addition(sheet: &mut Sheet, added: &[Addition], units: Units) -> Option<NewAddition> {
    let replaces = sheet.read_optional("replaces", |t| whole(t, 1, 10_000));
    let why = sheet.read_optional("why", |t| plain_text(t, 1, 200));
    let void = sheet.ticked("void");
    if void {
        let (replaces, why) = (replaces?, why?.unwrap_or_default());
        let Some(old) = added.iter().find(|a| Some(a.number) == replaces) else {
            sheet.refuse("replaces", "Please choose the addition that never went in.");
            return None;
        };
        return Some(NewAddition {
            void,
            replaces,
            why,
            ..old.what.clone()
        });
    }
    let what = sheet.read("what", what);
    let maker = sheet.read("maker", |t| plain_text(t, 1, 80));
    let its_lot = sheet.read("its_lot", |t| plain_text(t, 1, 40));
    let dose = sheet.read("dose", Dose::parse);
    let temp = sheet.read_optional("temp", |t| Celsius::parse(t, units));
    Some(NewAddition {
        what: what?,
        maker: maker?,
        its_lot: its_lot?,
        dose: dose?,
        temp: temp?,
        void,
        replaces: replaces?,
        why: why?.unwrap_or_default(),
    })
}
