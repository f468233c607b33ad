//! The form that puts the day right from which a version of the rules holds.

use crate::actions::Act;
use crate::actions::season::rules_days as actions;
use crate::facts::season::seasons::{RulesVersion, SeasonVersions};
use crate::store::Snapshot;
use crate::units::{PressDate, plain_text};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, paths};
use askama::Template;
use axum::extract::Path;

/// The form that puts right from which day a version holds.
#[derive(Template)]
#[template(path = "season/rules_days/form.html")]
struct RulesDayPage {
    shell: Shell,
    sheet: Sheet,
    action: String,
    back: String,
    number: i64,
    from: String,
}

/// The season and the confirmed version of an address.
async fn of_path(
    db: &mut Snapshot,
    (year, number): &(String, String),
) -> Result<(SeasonVersions, RulesVersion), PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let number: i64 = number.parse().map_err(|_| PageError::NotFound)?;
    let season = SeasonVersions::of_year(db, year).await?;
    let season = season.ok_or(PageError::NotFound)?;
    let version = season.versions.iter().find(|v| v.rules.number == number);
    let version = version.filter(|v| v.rules.holds_from.is_some()).cloned();
    Ok((season, version.ok_or(PageError::NotFound)?))
}

impl RulesDayPage {
    fn new(
        (app, visit): (&App, &Visit),
        (season, version): &(SeasonVersions, RulesVersion),
        sheet: Sheet,
    ) -> Self {
        let (year, number) = (season.season.year, version.rules.number);
        let from = version.rules.holds_from;
        Self {
            shell: Shell::new(app, visit, format!("When version {number} holds")),
            sheet,
            action: paths::rules_day(year, number),
            back: paths::season(year),
            number,
            from: from.map_or_else(String::new, PressDate::show),
        }
    }
}

/// `GET /seasons/{year}/rules/{number}/day`
pub(crate) async fn form(Path(at): Path<(String, String)>, mut request: PageRequest) -> Page {
    let found = of_path(&mut request.db, &at).await?;
    let mut sheet = request.blank();
    if let Some(from) = found.1.rules.holds_from {
        sheet.put("holds_from", from.to_string());
    }
    page(&RulesDayPage::new(
        (&request.app, &request.visit),
        &found,
        sheet,
    ))
}

/// `POST /seasons/{year}/rules/{number}/day`
pub(crate) async fn put_right(Path(at): Path<(String, String)>, mut form: FormRequest) -> Page {
    let found = of_path(form.db.now().await?, &at).await?;
    let to = form.sheet.read("holds_from", PressDate::parse);
    let why = form.sheet.read("why", |t| plain_text(t, 1, 300));
    let (season, number) = (&found.0.season, found.1.rules.number);
    form.end_showing(
        to.zip(why),
        async |act: &Act, new| actions::put_right(act, season.id, number, new).await,
        |_| paths::season(season.year),
        |app, visit, sheet| Ok(RulesDayPage::new((app, visit), &found, sheet)),
    )
    .await
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |sheet| RulesDayPage {
        shell: Shell::sample("When version 4 holds"),
        sheet,
        action: "/seasons/2026/rules/4/day".to_owned(),
        back: "/seasons/2026".to_owned(),
        number: 4,
        from: "Thu 31 Dec 2026".to_owned(),
    };
    let mut wrong = Sheet::sample();
    wrong.refuse("why", "Please fill in this box.");
    vec![Box::new(page(Sheet::sample())), Box::new(page(wrong))]
}
