//! The form that moves an undivided boil to another version of the rules.

use crate::actions::Act;
use crate::actions::boil::other_rules as actions;
use crate::store::boil::boils::BoilRow;
use crate::store::boil::boils_rules;
use crate::store::season::seasons::{self, Rules};
use crate::store::{Snapshot, Together};
use crate::units::{PressDate, plain_text, whole};
use crate::web::boil::boil_of_path::boil_of_path;
use crate::web::error::PageError;
use crate::web::form::{Choice, Sheet};
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, paths};
use askama::Template;
use axum::extract::Path;

/// The form that moves a boil to another version of the rules.
#[derive(Template)]
#[template(path = "boil/boils/rules.html")]
struct OtherRulesPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    present: String,
    /// Why it cannot be moved; empty: it can.
    stays: String,
    /// Empty: there is no other version.
    choices: Vec<Choice>,
}

impl OtherRulesPage {
    fn new((app, visit): (&App, &Visit), of: &Versions, sheet: Sheet) -> Self {
        let Versions { boil, all, .. } = of;
        let words = |r: &Rules| {
            let from = r.holds_from.map_or_else(String::new, PressDate::show);
            format!("Version {}, holds from {from}", r.number)
        };
        let own = |r: &&Rules| r.id == boil.rules_id;
        let others = all.iter().filter(|r| !own(r) && r.holds_from.is_some());
        Self {
            shell: Shell::new(app, visit, format!("Rules of boil {}", boil.lot)),
            sheet,
            action: paths::boil_part(&boil.lot, "rules"),
            back: paths::boil(&boil.lot),
            present: all.iter().find(own).map_or_else(String::new, words),
            stays: of.stays(),
            choices: others
                .map(|r| Choice::new(r.number.to_string(), words(r)))
                .collect(),
        }
    }
}

/// A boil with the versions of its season's rules.
struct Versions {
    boil: BoilRow,
    all: Vec<Rules>,
    was_divided: bool,
}

impl Versions {
    async fn read(db: &mut Snapshot, lot: &str) -> Result<Self, PageError> {
        let boil = boil_of_path(db, lot).await?;
        let found = (
            seasons::rules_list(boil.season_id),
            boils_rules::was_divided(boil.id),
        );
        let (all, was_divided) = found.together().ask(db).await?;
        Ok(Self {
            boil,
            all,
            was_divided,
        })
    }

    /// Why the boil keeps the version that it has; empty: it can be moved.
    fn stays(&self) -> String {
        match (self.boil.divided_at.is_some(), self.was_divided) {
            (true, _) => "It is divided or was lost, and stays so.".to_owned(),
            (false, true) => "It was divided and is open for a correction, which keeps the rules that it was divided by: it cannot be \
                              moved to another version."
                .to_owned(),
            (false, false) => String::new(),
        }
    }
}

/// `GET /boils/{lot}/rules`
pub(crate) async fn form(Path(lot): Path<String>, mut request: PageRequest) -> Page {
    let of = Versions::read(&mut request.db, &lot).await?;
    let sheet = request.blank();
    page(&OtherRulesPage::new(
        (&request.app, &request.visit),
        &of,
        sheet,
    ))
}

/// `POST /boils/{lot}/rules`
pub(crate) async fn change(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let of = Versions::read(form.db.now().await?, &lot).await?;
    let number = form.sheet.read("version", |t| whole(t, 1, 10_000));
    let why = form.sheet.read("why", |t| plain_text(t, 1, 300));
    let lot = &of.boil.lot;
    form.end_showing(
        number.zip(why),
        async |act: &Act, (number, why)| actions::move_to_rules(act, lot, number, why).await,
        |_| paths::boil(lot),
        |app, visit, sheet| Ok(OtherRulesPage::new((app, visit), &of, sheet)),
    )
    .await
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |choices, sheet, stays: &str| OtherRulesPage {
        shell: Shell::sample("Rules of boil 26001-2"),
        sheet,
        action: "/boils/26001-2/rules".to_owned(),
        back: "/boils/26001-2".to_owned(),
        present: "Version 1, holds from Thu 1 Jan 2026".to_owned(),
        stays: stays.to_owned(),
        choices,
    };
    let mut wrong = Sheet::sample();
    wrong.refuse("why", "Please fill in this box.");
    let other = vec![Choice::new("2", "Version 2, holds from Tue 6 Oct 2026")];
    vec![
        Box::new(page(Vec::new(), Sheet::sample(), "")),
        Box::new(page(other.clone(), wrong, "")),
        Box::new(page(
            other,
            Sheet::sample(),
            "It is divided or was lost, and stays so.",
        )),
    ]
}
