//! Press days: the season's list, planning and changing a day, closing it, and the day itself: for
//! a member the own turn, for the crew what comes, waits and boils.

mod board;
mod changes;
mod form;
mod view;

use crate::actions::Stop;
use crate::actions::turns::press_days as actions;
use crate::actions::turns::rooms::{self, DayRoom};
use crate::actions::turns::turn::day_of;
use crate::calc::turns::day_room::{Held, Room, Rooms};
use crate::calc::turns::starts::{Asker, Span};
use crate::calc::turns::turn_habit::Habit;
use crate::store::Snapshot;
use crate::store::season::seasons::{self, Season};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::{day_board, day_changes, offers, standstills, turn, turn_habit, waiting};
use crate::units::{Grams, Minutes, PressDate};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, Query, State};
use board::BoardPage;
use serde::Deserialize;
use std::collections::BTreeMap;
use view::{DayPage, FormPage, ListPage};

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = view::samples();
    views.extend(board::samples());
    views
}

/// Which season's days are asked for; this year's when none is.
#[derive(Debug, Deserialize)]
pub struct Asked {
    season: Option<String>,
}

/// Today in the co-op's place.
fn today(visit: &Visit) -> Result<PressDate, PageError> {
    Ok(visit.zone()?.local(visit.at).0)
}

/// The season asked for, else this year's, else the latest.
fn chosen(seasons: &[Season], asked: &Asked, this_year: i64) -> Result<Option<Season>, PageError> {
    let of_year = |year| seasons.iter().find(|s| s.year == year).cloned();
    match &asked.season {
        Some(text) => {
            let year = text.parse().map_err(|_| PageError::NotFound)?;
            of_year(year).map(Some).ok_or(PageError::NotFound)
        }
        None => Ok(of_year(this_year).or_else(|| seasons.first().cloned())),
    }
}

/// `GET /days`
pub async fn list(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Query(asked): Query<Asked>,
) -> Page {
    let today = today(&visit)?;
    let mut snapshot = app.read().await?;
    let seasons = seasons::list(&mut snapshot).await?;
    let season = chosen(&seasons, &asked, i64::from(today.date().year()))?;
    let (days, rooms) = match &season {
        Some(season) => (
            day_board::days(&mut snapshot, season.id).await?,
            rooms_left(&mut snapshot, &visit, &me, season, today).await?,
        ),
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

/// What each open day to come has room for.
async fn rooms_left(
    snapshot: &mut Snapshot,
    visit: &Visit,
    me: &Me,
    season: &Season,
    today: PressDate,
) -> Result<BTreeMap<PressDate, Room>, PageError> {
    let rules = seasons::rules_in_force(snapshot, season.id).await?;
    let boiling = rooms::boiling(snapshot, &rules).await?;
    let turns = turn::held_of_season(snapshot, season.id).await?;
    let on_offer = offers::standing_of_season(snapshot, season.id).await?;
    let stands = standstills::of_season(snapshot, season.id).await?;
    let zone = visit.zone()?;
    let mut left = BTreeMap::new();
    for day in press_days::of_season(snapshot, season.id).await? {
        if day.closed_at.is_some() || day.date < today {
            continue;
        }
        let reckoned = day_of(&day, zone);
        let held: Vec<Held> = turns
            .iter()
            .filter(|turn| turn.press_day_id == day.id)
            .map(|turn| (turn.start, turn.minutes, turn.cane))
            .chain(
                on_offer
                    .iter()
                    .filter(|offer| offer.press_day_id == day.id)
                    .map(|offer| (offer.start, offer.minutes, offer.cane)),
            )
            .chain(
                stands
                    .iter()
                    .filter(|mill| mill.press_day_id == day.id)
                    .map(|mill| (mill.start, mill.minutes, Grams::ZERO)),
            )
            .map(|(start, minutes, cane)| Held {
                span: Span::kept(&reckoned.clock, start, minutes),
                cane,
            })
            .collect();
        let rooms = Rooms {
            day: reckoned,
            boiling: &boiling,
            held: &held,
        };
        left.insert(day.date, rooms.room(asker(visit, me)));
    }
    Ok(left)
}

fn asker(visit: &Visit, me: &Me) -> Asker {
    Asker {
        at: visit.at,
        crew: me.is_crew(),
    }
}

/// What the latest season's turns have taught, for the form of a new day.
async fn latest_habit(app: &App) -> Result<Habit, PageError> {
    let mut snapshot = app.read().await?;
    match seasons::list(&mut snapshot).await?.first() {
        Some(season) => Ok(turn_habit::read(&mut snapshot, season.id).await?),
        None => Ok(Habit::default()),
    }
}

/// `GET /days/new`
pub async fn new(State(app): State<App>, visit: Visit) -> Page {
    let mut snapshot = app.read().await?;
    let mut sheet = Sheet::blank(&visit, &app.ids);
    if let Some(season) = seasons::list(&mut snapshot).await?.first()
        && let Some(last) = press_days::of_season(&mut snapshot, season.id)
            .await?
            .last()
    {
        sheet = form::like(sheet, last, visit.units());
    }
    drop(snapshot);
    let habit = latest_habit(&app).await?;
    page(&FormPage::planning(&app, &visit, sheet, &habit))
}

/// `POST /days/new`
pub async fn create(State(app): State<App>, visit: Visit, me: Me, sent: Sent) -> Page {
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::day(&mut sheet, None, visit.units()) {
        let (date, year) = (new.date, i64::from(new.date.date().year()));
        let season = seasons::of_year(&mut *app.read().await?, year).await?;
        if let Some(season) = season {
            let act = app.act(&me, visit.at, sent.key());
            match actions::plan(&act, season.id, new).await {
                Ok(_) => return see(&paths::day(date)),
                Err(stop) => sheet.stop(stop)?,
            }
        } else {
            sheet.refuse(
                "date",
                format!("The season of {year} is not open yet. Please open it first, under Rules."),
            );
        }
    }
    let habit = latest_habit(&app).await?;
    page_with(
        sheet.status(),
        &FormPage::planning(&app, &visit, sheet, &habit),
    )
}

async fn of_date(snapshot: &mut Snapshot, date: &str) -> Result<PressDay, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    press_days::of_date(snapshot, date)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /days/{date}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(date): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let day = of_date(&mut snapshot, &date).await?;
    let turns = day_board::turns(&mut snapshot, day.id).await?;
    let tickets = day_board::tickets(&mut snapshot, day.id).await?;
    let rules = seasons::rules_in_force(&mut snapshot, day.season_id).await?;
    let open = day.closed_at.is_none() && day.date >= today(&visit)?;
    let room = DayRoom::load(&mut snapshot, &day, &rules, visit.zone()?, &[]).await?;
    let left = open.then(|| room.rooms().room(asker(&visit, &me)));
    let taken = room.held.iter().map(|held| held.span.minutes.get()).sum();
    let seen = view::Seen {
        turns,
        tickets,
        changes: day_changes::of_day(&mut snapshot, day.id).await?,
        left,
        taken: Minutes::new(taken),
        list: waiting::of_day(&mut snapshot, day.id).await?,
    };
    if !me.is_crew() {
        return page(&DayPage::new(&app, &visit, &me, &day, &seen)?);
    }
    let seen = board::Seen {
        day: seen,
        rules,
        waiting: day_board::waiting(&mut snapshot, day.season_id).await?,
        boils: day_board::boils(&mut snapshot, day.id).await?,
    };
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&BoardPage::new(&app, &visit, &me, &day, &seen, sheet)?)
}

/// `GET /days/{date}/edit`
pub async fn edit(State(app): State<App>, visit: Visit, Path(date): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let day = of_date(&mut snapshot, &date).await?;
    let habit = turn_habit::read(&mut snapshot, day.season_id).await?;
    let sheet = form::of(Sheet::blank(&visit, &app.ids), &day, visit.units());
    page(&FormPage::changing(&app, &visit, day.date, sheet, &habit))
}

/// `POST /days/{date}/edit`
pub async fn update(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(date): Path<String>,
    sent: Sent,
) -> Page {
    let day = of_date(&mut app.read().await?, &date).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let seen = sheet.typed("version").parse().unwrap_or(0);
    if let Some(new) = form::day(&mut sheet, Some(day.date), visit.units()) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::change(&act, day.id, seen, new).await {
            Ok(_) => return see(&paths::day(day.date)),
            Err(stop) => {
                // Sent again, it is meant: the next try names the version that is there by then.
                sheet.put("version", day.version.to_string());
                sheet.stop(stop)?;
            }
        }
    }
    let habit = turn_habit::read(&mut *app.read().await?, day.season_id).await?;
    page_with(
        sheet.status(),
        &FormPage::changing(&app, &visit, day.date, sheet, &habit),
    )
}

/// `POST /days/{date}/close`: `to` says which, so that two people pressing the button agree.
pub async fn close(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(date): Path<String>,
    sent: Sent,
) -> Page {
    let day = of_date(&mut app.read().await?, &date).await?;
    let closed = match sent.get("to") {
        "closed" => true,
        "open" => false,
        _ => return Err(PageError::Garbled),
    };
    let act = app.act(&me, visit.at, sent.key());
    match actions::set_closed(&act, day.id, closed).await {
        Ok(_) => see(&paths::day(day.date)),
        Err(Stop::Unmet(unmet)) => Err(PageError::NotYet {
            sentence: unmet.sentence,
            back: paths::day(day.date),
        }),
        Err(other) => Err(other.into()),
    }
}
