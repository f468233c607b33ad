//! The additions of a boil, as text ready to print.

use crate::calc::boil::additions::{Noted, What, stands};
use crate::store::boil::additions::Addition;
use crate::store::boil::boils::BoilRow;
use crate::units::{Units, Zone};
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// One addition.
struct AdditionLine {
    number: i64,
    what: &'static str,
    maker: String,
    its_lot: String,
    dose: String,
    temp: String,
    noted: String,
    /// Why it does not count; empty when it does.
    gone: String,
    /// The addition that it puts right, and why; empty for a first one.
    rights: String,
}

/// The additions of a boil.
#[derive(Template)]
#[template(path = "boil/additions/show.html")]
pub(super) struct AdditionsPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    open: bool,
    rows: Vec<AdditionLine>,
    kinds: Vec<Choice>,
    earlier: Vec<Choice>,
    temp_label: &'static str,
}

/// Why an addition does not count any more; empty when it does.
fn gone(all: &[Addition], noted: &[Noted], one: &Addition) -> String {
    if stands(noted, one.number) {
        return String::new();
    }
    if one.what.void {
        return "crosses out".to_owned();
    }
    let by = all.iter().find(|a| a.what.replaces == Some(one.number));
    by.map_or_else(String::new, |by| {
        if by.what.void {
            "never went in".to_owned()
        } else {
            format!("put right by {}", by.number)
        }
    })
}

fn rows(added: &[Addition], zone: &Zone, units: Units) -> Vec<AdditionLine> {
    let noted: Vec<_> = added.iter().map(Addition::noted).collect();
    added
        .iter()
        .map(|one| AdditionLine {
            number: one.number,
            what: one.what.what.word(),
            maker: one.what.maker.clone(),
            its_lot: one.what.its_lot.clone(),
            dose: one.what.dose.as_str().to_owned(),
            temp: one
                .what
                .temp
                .map_or_else(|| "not read".to_owned(), |t| t.show(units)),
            noted: format!("{}, {}", zone.show(one.at), one.by_name),
            gone: gone(added, &noted, one),
            rights: one.what.replaces.map_or_else(String::new, |number| {
                format!("For {number}: {}", one.what.why)
            }),
        })
        .collect()
}

/// The choice of what is put right: nothing, or one that counts.
fn earlier(added: &[Addition]) -> Vec<Choice> {
    let noted: Vec<_> = added.iter().map(Addition::noted).collect();
    let mut choices = vec![Choice::new("", "Nothing: this is a new addition")];
    choices.extend(added.iter().filter(|a| stands(&noted, a.number)).map(|a| {
        let words = format!("{}: {}, {}", a.number, a.what.maker, a.what.dose.as_str());
        Choice::new(a.number.to_string(), words)
    }));
    choices
}

impl AdditionsPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        boil: &BoilRow,
        added: &[Addition],
    ) -> Result<Self, PageError> {
        let title = format!("Additions to lot {}", boil.lot);
        let shell = Shell::new(app, visit, title);
        let zone = visit.zone()?;
        let back = paths::boil(&boil.lot);
        let action = paths::additions(&boil.lot);
        let open = boil.divided_at.is_none();
        let ways = (action, back, open);
        Ok(Self::of(shell, sheet, ways, added, (zone, visit.units())))
    }

    fn of(
        shell: Shell,
        sheet: Sheet,
        (action, back, open): (String, String, bool),
        added: &[Addition],
        (zone, units): (&Zone, Units),
    ) -> Self {
        let words = |what| match what {
            What::Enzyme => "Enzyme",
            What::Defoamer => "Defoamer",
            What::Other => "Something else",
        };
        Self {
            shell,
            sheet,
            action,
            back,
            open,
            rows: rows(added, zone, units),
            kinds: What::ALL
                .into_iter()
                .map(|what| Choice::new(what.word(), words(what)))
                .collect(),
            earlier: earlier(added),
            temp_label: match units {
                Units::Us => "Temperature when it went in, °F",
                Units::Metric => "Temperature when it went in, °C",
            },
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    use crate::calc::boil::additions::Dose;
    use crate::store::boil::additions::NewAddition;
    use crate::units::{Celsius, MemberName, UtcSecond};
    let one = |number: i64, replaces: Option<i64>, void: bool| Addition {
        number,
        what: NewAddition {
            what: What::Enzyme,
            maker: "Clear-It <b>amylase</b> & Sons".to_owned(),
            its_lot: "A-113<2>".to_owned(),
            dose: Dose::parse("2½ tsp").unwrap(),
            temp: (number > 1).then(|| Celsius::new(72.5).unwrap()),
            void,
            replaces,
            why: replaces.map_or("", |_| "<i>spilt</i> half").to_owned(),
        },
        by_name: MemberName::parse("Maximiliana <b>Featherstonehaugh</b>").unwrap(),
        at: UtcSecond::new(1_789_822_800),
    };
    let many: Vec<_> = (1..=30)
        .map(|n| one(n, (n % 3 == 0).then_some(n - 1), n % 6 == 0))
        .collect();
    let zone = Zone::parse("America/Chicago").unwrap();
    let mut wrong = Sheet::sample();
    wrong
        .put("dose", "<b>some</b>")
        .refuse("dose", "Please write the dose as a number with its unit.");
    let show = |sheet, open, added: &[Addition], units| {
        let ways = (
            "/boils/26000Q/additions".to_owned(),
            "/boils/26000Q".to_owned(),
            open,
        );
        let shell = Shell::sample("Additions");
        Box::new(AdditionsPage::of(shell, sheet, ways, added, (&zone, units)))
    };
    vec![
        show(Sheet::sample(), true, &[], Units::Us),
        show(Sheet::sample(), false, &many, Units::Us),
        show(wrong, true, &many, Units::Metric),
    ]
}
