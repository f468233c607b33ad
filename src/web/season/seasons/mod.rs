//! Seasons: the list, a season's rules in plain words with every version, and making a new one.
//! "Rules before results": any member may read them, stewards make them.

mod form;
mod view;
mod words;

use crate::actions::season::seasons as actions;
use crate::store::Snapshot;
use crate::store::season::seasons::{self, JarSize, Rules, Season};
use crate::units::whole;
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{ListPage, RulesPage, SeasonPage};

/// The seasons with the version in force in each, latest first.
async fn all(snapshot: &mut Snapshot) -> Result<Vec<(Season, Rules)>, PageError> {
    let mut out = Vec::new();
    for season in seasons::list(snapshot).await? {
        let rules = seasons::rules_in_force(snapshot, season.id).await?;
        out.push((season, rules));
    }
    Ok(out)
}

/// `GET /seasons`
pub async fn list(State(app): State<App>, visit: Visit, me: Me) -> Page {
    let mut snapshot = app.read().await?;
    let seasons = all(&mut snapshot).await?;
    let this_year = i64::from(visit.zone()?.local(visit.at).0.date().year());
    let next = seasons.first().map_or(this_year, |(s, _)| s.year + 1);
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("year", next.to_string());
    page(&ListPage::new(&app, &visit, &me, &seasons, sheet)?)
}

/// `POST /seasons`
pub async fn open(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(year) = sheet.read("year", |t| whole(t, 2000, 2199)) {
        match actions::open_as_before(&app.act(&me, visit.at, sent.key()), year).await {
            Ok(id) => {
                let opened = seasons::find(&mut *app.read().await?, id).await?;
                return see(&paths::season(opened.map_or(year, |s| s.year)));
            }
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let seasons = all(&mut app.read().await?).await?;
    page_with(
        sheet.status(),
        &ListPage::new(&app, &visit, &me, &seasons, sheet)?,
    )
}

async fn of_year(snapshot: &mut Snapshot, year: &str) -> Result<Season, PageError> {
    let year = year.parse().map_err(|_| PageError::NotFound)?;
    seasons::of_year(snapshot, year)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /seasons/{year}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(year): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let season = of_year(&mut snapshot, &year).await?;
    let makers = seasons::rules_makers(&mut snapshot, season.id).await?;
    let mut versions = Vec::new();
    for rules in seasons::rules_list(&mut snapshot, season.id).await? {
        let sizes = seasons::jar_sizes(&mut snapshot, rules.id).await?;
        versions.push((rules, sizes));
    }
    page(&SeasonPage::new(
        &app, &visit, &me, &season, &versions, &makers,
    )?)
}

async fn in_force(
    snapshot: &mut Snapshot,
    season: &Season,
) -> Result<(Rules, Vec<JarSize>), PageError> {
    let rules = seasons::rules_in_force(snapshot, season.id).await?;
    let sizes = seasons::jar_sizes(snapshot, rules.id).await?;
    Ok((rules, sizes))
}

/// `GET /seasons/{year}/rules`
pub async fn rules(State(app): State<App>, visit: Visit, Path(year): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let season = of_year(&mut snapshot, &year).await?;
    let (rules, sizes) = in_force(&mut snapshot, &season).await?;
    let sheet = form::of(
        Sheet::blank(&visit, &app.ids),
        &rules,
        &sizes,
        visit.units(),
    );
    page(&RulesPage::new(&app, &visit, season.year, sheet))
}

/// `POST /seasons/{year}/rules`
pub async fn change(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(year): Path<String>,
    sent: Sent,
) -> Page {
    let mut snapshot = app.read().await?;
    let season = of_year(&mut snapshot, &year).await?;
    let (latest, _) = in_force(&mut snapshot, &season).await?;
    drop(snapshot);
    let mut sheet = Sheet::of(&visit, &sent);
    let seen = sheet.typed("seen").parse().unwrap_or(0);
    if let Some(new) = form::rules(&mut sheet, visit.units()) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::change_rules(&act, season.id, seen, new).await {
            Ok(_) => return see(&paths::season(season.year)),
            Err(stop) => {
                // Sent again, it is meant: the next try names the version that is there by then.
                sheet.put("seen", latest.number.to_string());
                sheet.stop(stop)?;
            }
        }
    }
    page_with(
        sheet.status(),
        &RulesPage::new(&app, &visit, season.year, sheet),
    )
}
