//! The pages of plantings, as text ready to print.

use crate::calc::season::plantings::{MATURITY_LEAST, MATURITY_MOST};
use crate::calc::turns::turn_cane::{AmountTold, Expected, Yields};
use crate::facts::season::plantings::{Again, ExpectedPlanting, planned};
use crate::store::people::members::Member;
use crate::store::season::plantings::Planting;
use crate::units::Units;
use crate::web::form::{Choice, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// One planting.
struct PlantingRow {
    variety: String,
    note: String,
    planted: String,
    length: String,
    apart: String,
    days: i64,
    ready: String,
    sum: String,
    edit: String,
    remove: String,
}

/// The page of what a member has in the field.
#[derive(Template)]
#[template(path = "season/plantings/list.html")]
pub(super) struct ListPage {
    shell: Shell,
    sheet: Sheet,
    own: bool,
    whose: String,
    card: String,
    new: String,
    /// Taking over from an earlier season, by its year; `None`: nothing is to be taken over.
    again: Option<Choice>,
    can_come: String,
    rows: Vec<PlantingRow>,
}

impl ListPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        me: &Me,
        member: &Member,
        (plantings, again): (&[ExpectedPlanting], Option<&Again>),
        sheet: Sheet,
    ) -> Self {
        let own = me.id == member.id;
        let title = if own {
            "Your plantings".to_owned()
        } else {
            format!("Plantings of {}", member.name)
        };
        let units = visit.units();
        Self {
            shell: Shell::new(app, visit, title).said_of_card(me, member.id, member.name.as_str()),
            sheet,
            own,
            whose: member.name.to_string(),
            card: paths::member(member.id),
            new: paths::new_planting(member.id),
            again: again
                .filter(|again| !again.plantings.is_empty())
                .map(|again| Choice::new(paths::plantings_again(member.id), again_words(again))),
            can_come: paths::can_come(member.id),
            rows: plantings
                .iter()
                .map(|p| row(&p.planting, p.yields, units))
                .collect(),
        }
    }
}

fn again_words(again: &Again) -> String {
    format!("Take over from {} into {}", again.from, again.year)
}

fn row(p: &Planting, yields: Yields, units: Units) -> PlantingRow {
    let sum = Expected::reckon(AmountTold::Row(p.row), yields, None, true, units).map_or_else(
        |refusal| refusal.sentence,
        |expected| expected.words(yields, units),
    );
    PlantingRow {
        variety: p.variety.clone(),
        note: p.note.clone(),
        planted: p.planted_on.show(),
        length: p.row.show(units),
        apart: p.apart.map_or_else(
            || "not said".to_owned(),
            |m| format!("{} {}", m.typed(units), unit(units)),
        ),
        days: p.maturity_days,
        ready: planned(p).ready().show(),
        sum,
        edit: paths::edit_planting(p.id),
        remove: paths::remove_planting(p.id),
    }
}

fn unit(units: Units) -> &'static str {
    match units {
        Units::Us => "ft",
        Units::Metric => "m",
    }
}

/// A planting, new or changed.
#[derive(Template)]
#[template(path = "season/plantings/form.html")]
pub(super) struct FormPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    words: &'static str,
    row_label: &'static str,
    apart_label: &'static str,
    days_hint: String,
}

impl FormPage {
    fn new(shell: Shell, units: Units, sheet: Sheet, action: String, back: String) -> Self {
        let (row_label, apart_label) = match units {
            Units::Us => (
                "Length of row, all rows together, ft",
                "From row to row, ft, if you know",
            ),
            Units::Metric => (
                "Length of row, all rows together, m",
                "From row to row, m, if you know",
            ),
        };
        Self {
            shell,
            sheet,
            action,
            back,
            words: "Save the planting",
            row_label,
            apart_label,
            days_hint: format!(
                "From planting to the day it is best cut: 100 to 120 for sweet kinds (common practice). {MATURITY_LEAST} to {MATURITY_MOST} are taken."
            ),
        }
    }

    pub(super) fn adding(app: &App, visit: &Visit, member: &Member, sheet: Sheet) -> Self {
        let shell = Shell::new(app, visit, format!("A planting of {}", member.name));
        let page = Self::new(
            shell,
            visit.units(),
            sheet,
            paths::new_planting(member.id),
            paths::plantings(member.id),
        );
        Self {
            words: "Add the planting",
            ..page
        }
    }

    pub(super) fn changing(app: &App, visit: &Visit, planting: &Planting, sheet: Sheet) -> Self {
        let shell = Shell::new(app, visit, format!("Change {}", planting.variety));
        Self::new(
            shell,
            visit.units(),
            sheet,
            paths::edit_planting(planting.id),
            paths::plantings(planting.member_id),
        )
    }
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let row = |n: i64| PlantingRow {
        variety: "Grandpa’s <b>sweet</b> & tall".to_owned(),
        note: if n % 2 == 0 {
            String::new()
        } else {
            "creek <bottom>".to_owned()
        },
        planted: "Mon 18 May 2026".to_owned(),
        length: "300 ft".to_owned(),
        apart: "3.3 ft".to_owned(),
        days: 110,
        ready: "Wed 26 Aug 2026 to Tue 15 Sep 2026".to_owned(),
        sum: "300 ft of row × 3.0239 lb a foot (the season’s rules) = 907.2 lb".to_owned(),
        edit: "/plantings/x/edit".to_owned(),
        remove: "/plantings/x/remove".to_owned(),
    };
    let list = |count: i64, own| ListPage {
        shell: Shell::sample("Your plantings"),
        sheet: Sheet::sample(),
        own,
        whose: "Maximiliana <b>Featherstonehaugh</b>".to_owned(),
        card: "/members/x".to_owned(),
        new: "/members/x/plantings/new".to_owned(),
        again: (count > 0).then(|| {
            Choice::new(
                "/members/x/plantings/again",
                "Take over from 2026 into 2027",
            )
        }),
        can_come: "/members/x/days".to_owned(),
        rows: (0..count).map(row).collect(),
    };
    let form = |sheet, units| {
        FormPage::new(
            Shell::sample("A planting"),
            units,
            sheet,
            "/members/x/plantings/new".to_owned(),
            "/members/x/plantings".to_owned(),
        )
    };
    let mut wrong = Sheet::sample();
    wrong
        .put("variety", "<script>")
        .refuse("row", "Please write a number here.")
        .refuse("apart", "Please write how far the rows are apart.");
    vec![
        Box::new(list(0, true)),
        Box::new(list(40, false)),
        Box::new(form(Sheet::sample(), Units::Us)),
        Box::new(form(wrong, Units::Metric)),
    ]
}
