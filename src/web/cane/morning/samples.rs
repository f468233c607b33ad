//! Samples of the morning page, the awkward ones included.

use super::{FinishWords, MorningPage};
use crate::calc::boil::boil_habit::BoilHabit;
use crate::calc::cane::morning::{CheckWeight, Found, Item, WaterBrix};
use crate::calc::cane::scale::Graduation;
use crate::calc::physics::elevation::FactorFrom;
use crate::facts::boil::finish_of_day::FinishOfDay;
use crate::store::cane::morning::OpeningCheck;
use crate::units::{Altitude, Celsius, Grams, MemberName, ScaleId, Units, UtcSecond, Zone};
use crate::web::form::{Choice, Sheet};
use crate::web::shell::Shell;

fn check(version: i64, found: Found) -> OpeningCheck {
    OpeningCheck {
        version,
        found,
        scale_name: matches!(found, Found::Weight(_)).then(|| "Platform <b>1</b>".to_owned()),
        sure: false,
        note: if version > 1 {
            "dropped & <i>wiped</i>"
        } else {
            ""
        }
        .to_owned(),
        by_name: MemberName::parse("Maximiliana <b>Featherstonehaugh</b>").unwrap(),
        at: UtcSecond::new(1_789_822_800),
    }
}

fn weight(reading: i64) -> Found {
    Found::Weight(CheckWeight {
        scale: ScaleId::parse("01920000-0000-7000-8000-000000000000").unwrap(),
        graduation: Graduation::new(226.796_185).unwrap(),
        capacity: Grams::new(900_000),
        known: Grams::new(22_680),
        reading: Grams::new(reading),
    })
}

fn all_checks() -> Vec<OpeningCheck> {
    let mut checks = vec![
        check(2, weight(22_680)),
        check(1, weight(25_000)),
        check(3, Found::Zero(WaterBrix::new(0.9).unwrap())),
        check(1, Found::WaterBoil(Celsius::new(99.3).unwrap())),
    ];
    for item in [Item::Guards, Item::Extinguisher, Item::Engine, Item::Pan] {
        checks.push(check(1, Found::Seen(item)));
    }
    checks.push(check(2, Found::Waived(Item::FirstAid)));
    checks
}

fn page(sheet: Sheet, checks: &[OpeningCheck], units: Units) -> MorningPage {
    let zone = Zone::parse("America/Chicago").unwrap();
    let height = Altitude::new(180.0).unwrap();
    let shell = Shell::sample("Morning of Sat 19 Sep 2026");
    let mut page = MorningPage::of(shell, sheet, (checks, height), (&zone, units));
    let water = (checks.len() > 3).then(|| Celsius::new(99.3).unwrap());
    let finish = FinishOfDay::of(&BoilHabit::none(), water, height, 78.0).unwrap();
    let finish = FinishOfDay {
        from: FactorFrom::Learned(2),
        ..finish
    };
    page.finish = Some(FinishWords::new(&finish, 78.0, units));
    page.action = "/days/2026-09-19/morning".to_owned();
    page.scales = vec![Choice::new("01920000", "Platform <b>1</b>")];
    page
}

/// Nothing done; everything done, with doubts; a form come back; a closed day without a finish.
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong
        .put("water_boil", "<b>hot</b>")
        .refuse("water_boil", "“<b>hot</b>” is not a number.")
        .refuse("sure_weight", "The scale shows 4.6 lb more.")
        .refuse("note_pan", "Please write why it is waived.");
    let mut closed = page(Sheet::sample(), &all_checks(), Units::Metric);
    closed.closed = true;
    closed.finish = None;
    let mut no_scale = page(Sheet::sample(), &[], Units::Metric);
    no_scale.scales = Vec::new();
    vec![
        Box::new(page(Sheet::sample(), &[], Units::Us)),
        Box::new(no_scale),
        Box::new(page(Sheet::sample(), &all_checks(), Units::Us)),
        Box::new(page(wrong, &all_checks()[..3], Units::Us)),
        Box::new(closed),
    ]
}
