//! Seasons: the list, a season's rules in plain words with every version, and making a new one.
//! "Rules before results": any member may read them, stewards make them.

mod form;
mod older;
mod view;
mod weights;
mod words;

use crate::actions::Act;
use crate::actions::season::seasons as actions;
use crate::calc::season::dates::of_season;
use crate::facts::season::older_rules::{self, OlderRules};
use crate::facts::season::seasons::{SeasonRules, SeasonVersions};
use crate::store::Snapshot;
use crate::store::season::weights as voted;
use crate::units::{PressDate, whole};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::{Me, Visit};
use crate::web::{Page, page, page_with, paths};
use axum::extract::Path;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{ListPage, RulesPage, SeasonPage};

/// `GET /seasons`
pub(crate) async fn list(mut request: PageRequest) -> Page {
    let mut sheet = request.blank();
    let today = request.visit.zone()?.local(request.visit.at).0;
    let seasons = SeasonRules::all(&mut request.db, today).await?;
    let PageRequest { app, visit, me, .. } = request;
    let this_year = i64::from(today.date().year());
    let next = seasons.first().map_or(this_year, |s| s.season.year + 1);
    sheet.put("year", next.to_string());
    page(&ListPage::new(&app, &visit, &me, &seasons, sheet))
}

/// `POST /seasons`
pub(crate) async fn open(mut form: FormRequest) -> Page {
    let year = form.sheet.read("year", |t| whole(t, 2000, 2199));
    let sure = form.sheet.ticked("sure");
    form.end(
        year.map(|year| (year, sure)),
        actions::open_as_before,
        |_| year.map_or_else(|| paths::SEASONS.to_owned(), paths::season),
        async |mut form| {
            let today = form.visit.zone()?.local(form.visit.at).0;
            let seasons = SeasonRules::all(form.db.now().await?, today).await?;
            let status = form.sheet.status();
            page_with(
                status,
                &ListPage::new(&form.app, &form.visit, &form.me, &seasons, form.sheet),
            )
        },
    )
    .await
}

/// `GET /seasons/{year}`
pub(crate) async fn show(Path(year): Path<String>, mut request: PageRequest) -> Page {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let season = versions(&mut request.db, year).await?;
    let mut sheet = request.blank();
    if season
        .holding(request.visit.zone()?.local(request.visit.at).0)
        .is_none()
    {
        // The first rules hold for all of the season, unless somebody says otherwise.
        sheet.put("holds_from", format!("{year:04}-01-01"));
    }
    let older = lit_before(&mut request.db, &season, (&request.visit, &request.me)).await?;
    let site = (&request.app, &request.visit, &request.me);
    page(&SeasonPage::new(site, (&season, older), sheet)?)
}

async fn versions(db: &mut Snapshot, year: i64) -> Result<SeasonVersions, PageError> {
    SeasonVersions::of_year(db, year)
        .await?
        .ok_or(PageError::NotFound)
}

/// The boils that keep an older version than their day has: for stewards, who can move them.
async fn lit_before(
    db: &mut Snapshot,
    season: &SeasonVersions,
    (visit, me): (&Visit, &Me),
) -> Result<Vec<OlderRules>, PageError> {
    if me.is_steward() {
        Ok(older_rules::of_season(db, season, visit.zone()?).await?)
    } else {
        Ok(Vec::new())
    }
}

/// `POST /seasons/{year}/rules/{number}/confirm`
pub(crate) async fn confirm(
    Path((year, number)): Path<(String, String)>,
    mut form: FormRequest,
) -> Page {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let id = versions(form.db.now().await?, year).await?.season.id;
    let from = form.sheet.read("holds_from", |text| {
        of_season(PressDate::parse(text)?, year)
    });
    form.end(
        from,
        async |act: &Act, from| actions::confirm(act, id, number, from).await,
        |_| paths::season(year),
        async |mut form| {
            let season = versions(form.db.now().await?, year).await?;
            let status = form.sheet.status();
            let older = lit_before(form.db.now().await?, &season, (&form.visit, &form.me)).await?;
            let site = (&form.app, &form.visit, &form.me);
            page_with(
                status,
                &SeasonPage::new(site, (&season, older), form.sheet)?,
            )
        },
    )
    .await
}

/// The season whose year stands in an address, with the version that was made last.
async fn of_path(db: &mut Snapshot, year: &str) -> Result<SeasonRules, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    SeasonRules::made_last(db, year)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /seasons/{year}/rules`
pub(crate) async fn rules(Path(year): Path<String>, mut request: PageRequest) -> Page {
    let of = of_path(&mut request.db, &year).await?;
    let voted = voted::of_rules(of.rules.id).ask(&mut request.db).await?;
    let blank = request.blank();
    let (app, visit) = (&request.app, &request.visit);
    let mut sheet = form::of(blank, &of.rules, &of.sizes, visit.units());
    weights::put(&mut sheet, &voted, visit.units());
    page(&RulesPage::new(app, visit, of.season.year, sheet))
}

/// `POST /seasons/{year}/rules`
pub(crate) async fn change(Path(year): Path<String>, mut form: FormRequest) -> Page {
    let SeasonRules { season, rules, .. } = of_path(form.db.now().await?, &year).await?;
    let seen = form.sheet.typed("seen").parse().unwrap_or(0);
    let units = form.visit.units();
    let weights = weights::read(&mut form.sheet, units);
    let new = form::rules(&mut form.sheet, (units, &rules), weights);
    form.next_try_names(new.as_ref(), "seen", rules.number);
    form.end_showing(
        new,
        async |act: &Act, new| actions::change_rules(act, season.id, seen, new).await,
        |_| paths::season(season.year),
        |app, visit, sheet| Ok(RulesPage::new(app, visit, season.year, sheet)),
    )
    .await
}
