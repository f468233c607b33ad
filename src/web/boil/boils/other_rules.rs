//! The form that moves an undivided boil to another version of the rules.

use crate::actions::Act;
use crate::actions::boil::other_rules as actions;
use crate::store::Snapshot;
use crate::store::boil::boils::BoilRow;
use crate::store::season::seasons::{self, Rules};
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
    /// Empty: there is no other version.
    choices: Vec<Choice>,
}

impl OtherRulesPage {
    fn new((app, visit): (&App, &Visit), boil: &BoilRow, all: &[Rules], sheet: Sheet) -> Self {
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
            choices: others
                .map(|r| Choice::new(r.number.to_string(), words(r)))
                .collect(),
        }
    }
}

async fn read(db: &mut Snapshot, lot: &str) -> Result<(BoilRow, Vec<Rules>), PageError> {
    let boil = boil_of_path(db, lot).await?;
    let versions = seasons::rules_list(boil.season_id).ask(db).await?;
    Ok((boil, versions))
}

/// `GET /boils/{lot}/rules`
pub(crate) async fn form(Path(lot): Path<String>, mut request: PageRequest) -> Page {
    let (boil, versions) = read(&mut request.db, &lot).await?;
    let sheet = request.blank();
    let site = (&request.app, &request.visit);
    page(&OtherRulesPage::new(site, &boil, &versions, sheet))
}

/// `POST /boils/{lot}/rules`
pub(crate) async fn change(Path(lot): Path<String>, mut form: FormRequest) -> Page {
    let (boil, versions) = read(form.db.now().await?, &lot).await?;
    let number = form.sheet.read("version", |t| whole(t, 1, 10_000));
    let why = form.sheet.read("why", |t| plain_text(t, 1, 300));
    let lot = &boil.lot;
    form.end_showing(
        number.zip(why),
        async |act: &Act, (number, why)| actions::move_to_rules(act, lot, number, why).await,
        |_| paths::boil(lot),
        |app, visit, sheet| Ok(OtherRulesPage::new((app, visit), &boil, &versions, sheet)),
    )
    .await
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |choices, sheet| OtherRulesPage {
        shell: Shell::sample("Rules of boil 26001-2"),
        sheet,
        action: "/boils/26001-2/rules".to_owned(),
        back: "/boils/26001-2".to_owned(),
        present: "Version 1, holds from Thu 1 Jan 2026".to_owned(),
        choices,
    };
    let mut wrong = Sheet::sample();
    wrong.refuse("why", "Please fill in this box.");
    let other = vec![Choice::new("2", "Version 2, holds from Tue 6 Oct 2026")];
    vec![
        Box::new(page(Vec::new(), Sheet::sample())),
        Box::new(page(other, wrong)),
    ]
}
