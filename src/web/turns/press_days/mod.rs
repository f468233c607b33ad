//! Press days: the season's list, planning and changing a day, closing it, and the day itself: for
//! a member the own turn, for the crew what comes, waits and boils.

mod board;
mod changes;
pub(super) mod form;
mod next;
mod tag;
mod view;

use super::asked::{asker, day_of_path, today};
use crate::actions::Act;
use crate::actions::turns::press_days as actions;
use crate::actions::turns::press_days::NewPressDay;
use crate::calc::season::years;
use crate::facts::boil::on_fire;
use crate::facts::turns::press_days::{CrewDayFacts, DayFacts};
use crate::facts::turns::{room, turn_habit};
use crate::store::Together;
use crate::store::season::season_close;
use crate::store::season::seasons::{self, Season};
use crate::store::turns::{day_board, press_days};
use crate::units::{PressDate, SeasonId};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, page_with, paths};
use axum::extract::{Path, Query};
use board::{BoardPage, shut};
use serde::Deserialize;
use std::collections::BTreeMap;
use view::{DayPage, FormPage, ListPage};

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = view::samples();
    views.extend(board::samples());
    views
}

/// The season whose days the address asks for; this year's when none is named.
#[derive(Debug, Deserialize)]
pub(crate) struct ListQuery {
    season: Option<String>,
}

/// The season that is named, else this year's, else the latest.
fn chosen(
    seasons: &[Season],
    query: &ListQuery,
    this_year: i64,
) -> Result<Option<Season>, PageError> {
    let of_year = |year| seasons.iter().find(|s| s.year == year).cloned();
    match &query.season {
        Some(text) => {
            let year = text.parse().map_err(|_| PageError::NotFound)?;
            of_year(year).map(Some).ok_or(PageError::NotFound)
        }
        None => Ok(of_year(this_year).or_else(|| seasons.first().cloned())),
    }
}

/// `GET /days`
pub(crate) async fn list(request: PageRequest, Query(query): Query<ListQuery>) -> Page {
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let today = today(&visit)?;
    let seasons = seasons::list().ask(&mut db).await?;
    let season = chosen(&seasons, &query, i64::from(today.date().year()))?;
    let (days, rooms) = match &season {
        Some(season) => {
            let from = (today, visit.zone()?);
            (
                day_board::days(season.id).ask(&mut db).await?,
                room::of_season(&mut db, season.id, from, asker(&visit, &me)).await?,
            )
        }
        None => (Vec::new(), BTreeMap::new()),
    };
    page(&ListPage::new(
        &app,
        &visit,
        &me,
        season.as_ref(),
        &seasons,
        (&days, &rooms),
    )?)
}

/// `GET /days/new`
pub(crate) async fn new(request: PageRequest) -> Page {
    let mut sheet = request.blank();
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    let all = seasons::list().ask(&mut db).await?;
    if let Some(season) = all.first()
        && let Some(last) = press_days::of_season(season.id).ask(&mut db).await?.last()
    {
        sheet = form::like(sheet, last, visit.units());
    }
    let habit = turn_habit::of_latest_season(&mut db).await?;
    page(&FormPage::planning((&app, &visit), sheet, &habit, &all))
}

/// The season that a new day is planned in. The box of its date says so when there is none; where it may be of either of
/// two, it has to be said.
async fn season_of(
    form: &mut FormRequest,
    new: &NewPressDay,
) -> Result<Option<SeasonId>, PageError> {
    let all = seasons::list().ask(form.db.now().await?).await?;
    let mut may: Vec<Season> = all
        .into_iter()
        .filter(|season| years::of_season(season.year, new.date))
        .collect();
    if may.len() > 1 {
        let said = form.sheet.typed("season").to_owned();
        may.retain(|season| season.year.to_string() == said);
        if may.is_empty() {
            let sentence = format!(
                "{} may be of the season before New Year or of the one after: please choose.",
                new.date.show()
            );
            form.sheet.refuse("season", sentence);
        }
    } else if may.is_empty() {
        let year = new.date.date().year();
        form.sheet.refuse(
            "date",
            format!("The season of {year} is not open yet. Please open it first, under Rules."),
        );
    }
    Ok(may.first().map(|season| season.id))
}

/// `POST /days/new`
pub(crate) async fn create(mut form: FormRequest) -> Page {
    let new = form::day(&mut form.sheet, None, form.visit.units());
    let until = form.sheet.read_optional("until", PressDate::parse);
    let date = new.as_ref().map(|new| new.date);
    let meant = match new.zip(until) {
        Some((new, until)) => season_of(&mut form, &new)
            .await?
            .map(|season| (season, new, until)),
        None => None,
    };
    form.end(
        meant,
        async |act: &Act, (season, new, until)| actions::plan_weekly(act, season, new, until).await,
        |_| date.map_or_else(|| paths::DAYS.to_owned(), paths::day),
        async |mut form| {
            // What was stored may be a day of another date than the one sent this time.
            form.sheet.stored_at = form.sheet.stored_at.map(|_| paths::DAYS.to_owned());
            let habit = turn_habit::of_latest_season(form.db.now().await?).await?;
            let all = seasons::list().ask(form.db.now().await?).await?;
            let site = (&form.app, &form.visit);
            page_with(
                form.sheet.status(),
                &FormPage::planning(site, form.sheet, &habit, &all),
            )
        },
    )
    .await
}

/// `GET /days/{date}`
pub(crate) async fn show(request: PageRequest, Path(date): Path<String>) -> Page {
    let sheet = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let day = day_of_path(&mut db, &date).await?;
    let when = (today(&visit)?, visit.zone()?);
    let facts = DayFacts::read(&mut db, &day, when, asker(&visit, &me)).await?;
    if !me.is_crew() {
        return page(&DayPage::new(&app, &visit, &me, &day, &facts)?);
    }
    let mut facts = CrewDayFacts::read(&mut db, &day, facts).await?;
    facts.called = on_fire::calls(&mut db, &facts.burning(), visit.at).await?;
    let board = BoardPage::new(&app, &visit, &me, &day, &facts, sheet)?;
    if day.closed_at.is_none() {
        return page(&board);
    }
    let season = day.season_id;
    let shared = (
        season_close::losses_borne(season),
        season_close::margin_returned(season),
    );
    page(&board.with_shut(shut(shared.together().ask(&mut db).await?)))
}

/// `GET /days/{date}/edit`
pub(crate) async fn edit(request: PageRequest, Path(date): Path<String>) -> Page {
    let blank = request.blank();
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    let day = day_of_path(&mut db, &date).await?;
    let habit = turn_habit::of_season(&mut db, day.season_id).await?;
    let sheet = form::of(blank, &day, visit.units());
    page(&FormPage::changing(&app, &visit, day.date, sheet, &habit))
}

/// `POST /days/{date}/edit`
pub(crate) async fn update(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let day = day_of_path(form.db.now().await?, &date).await?;
    let seen = form.sheet.typed("version").parse().unwrap_or(0);
    let new = form::day(&mut form.sheet, Some(day.date), form.visit.units());
    form.next_try_names(new.as_ref(), "version", day.version);
    form.end(
        new,
        async |act: &Act, new| actions::change(act, day.id, seen, new).await,
        |_| paths::day(day.date),
        async |mut form| {
            let habit = turn_habit::of_season(form.db.now().await?, day.season_id).await?;
            page_with(
                form.sheet.status(),
                &FormPage::changing(&form.app, &form.visit, day.date, form.sheet, &habit),
            )
        },
    )
    .await
}

/// `POST /days/{date}/close`: `to` says which, so that two people pressing the button agree.
pub(crate) async fn close(date: Path<String>, form: FormRequest) -> Page {
    let closed = match form.sent.get("to") {
        "closed" => true,
        "open" => false,
        _ => return Err(PageError::Garbled),
    };
    set_closed(date, form, closed).await
}

/// `POST /days/{date}/open-again`
pub(crate) async fn open_again(date: Path<String>, form: FormRequest) -> Page {
    set_closed(date, form, false).await
}

async fn set_closed(Path(date): Path<String>, mut form: FormRequest, closed: bool) -> Page {
    let day = day_of_path(form.db.now().await?, &date).await?;
    let set = async |act: &Act| actions::set_closed(act, day.id, closed).await;
    form.press(set, paths::day(day.date)).await
}
