//! Plantings: what a member has in the field, adding, changing and taking off the record; and the
//! row that a turn starts from.

mod form;
mod view;

use crate::actions::Stop;
use crate::actions::season::plantings as actions;
use crate::calc::season::plantings::{MATURITY_DAYS, Planting as Planned, row_on};
use crate::calc::turns::turn_cane::Yields;
use crate::facts::turns::learned;
use crate::store::Snapshot;
use crate::store::people::members;
use crate::store::people::members::Member;
use crate::store::season::plantings::{self, Planting};
use crate::store::season::seasons;
use crate::store::turns::press_days::PressDay;
use crate::units::{MemberId, PlantingId};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{FormPage, ListPage};

/// A member whose plantings this person may see: oneself, or anybody for crew.
async fn whose(snapshot: &mut Snapshot, me: &Me, id: &str) -> Result<Member, PageError> {
    let id = MemberId::parse(id)
        .filter(|id| *id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)?;
    members::find(snapshot, id)
        .await?
        .ok_or(PageError::NotFound)
}

/// What a planting's season expects of a row: learned from turns enough, else the rules'.
async fn expected(snapshot: &mut Snapshot, planting: &Planting) -> Result<Yields, PageError> {
    let rules = seasons::rules_in_force(snapshot, planting.season_id).await?;
    let habit = learned::of_season(snapshot, planting.season_id).await?;
    Ok(learned::yields_now(&rules, &habit))
}

/// `GET /members/{id}/plantings`
pub async fn list(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let mut snapshot = app.read().await?;
    let member = whose(&mut snapshot, &me, &id).await?;
    let mut rows = Vec::new();
    for planting in plantings::of_member(&mut snapshot, member.id).await? {
        let known = rows
            .iter()
            .find(|(p, _): &&(Planting, Yields)| p.season_id == planting.season_id);
        let yields = match known {
            Some((_, yields)) => *yields,
            None => expected(&mut snapshot, &planting).await?,
        };
        rows.push((planting, yields));
    }
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&ListPage::new(&app, &visit, &me, &member, &rows, sheet))
}

/// `GET /members/{id}/plantings/new`
pub async fn new(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let member = whose(&mut app.read().await?, &me, &id).await?;
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("days", MATURITY_DAYS.to_string());
    page(&FormPage::adding(&app, &visit, &member, sheet))
}

/// `POST /members/{id}/plantings/new`
pub async fn create(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let member = whose(&mut app.read().await?, &me, &id).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(new) = form::planting(&mut sheet, visit.units()) {
        match actions::add(&app.act(&me, visit.at, sent.key()), member.id, new).await {
            Ok(_) => return see(&paths::plantings(member.id)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    page_with(
        sheet.status(),
        &FormPage::adding(&app, &visit, &member, sheet),
    )
}

/// A planting that stands and that this person may change.
async fn own(app: &App, me: &Me, id: &str) -> Result<Planting, PageError> {
    let id = PlantingId::parse(id).ok_or(PageError::NotFound)?;
    plantings::find(&mut *app.read().await?, id)
        .await?
        .filter(|p| !p.void && (p.member_id == me.id || me.is_crew()))
        .ok_or(PageError::NotFound)
}

/// `GET /plantings/{id}/edit`
pub async fn edit(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let planting = own(&app, &me, &id).await?;
    let sheet = form::of(Sheet::blank(&visit, &app.ids), &planting, visit.units());
    page(&FormPage::changing(&app, &visit, &planting, sheet))
}

/// `POST /plantings/{id}/edit`
pub async fn update(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let planting = own(&app, &me, &id).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let seen = sheet.typed("version").parse().unwrap_or(0);
    if let Some(new) = form::planting(&mut sheet, visit.units()) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::change(&act, planting.id, seen, new).await {
            Ok(_) => return see(&paths::plantings(planting.member_id)),
            Err(stop) => {
                // Sent again, it is meant: the next try names the version that is there by then.
                sheet.put("version", planting.version.to_string());
                sheet.stop(stop)?;
            }
        }
    }
    page_with(
        sheet.status(),
        &FormPage::changing(&app, &visit, &planting, sheet),
    )
}

/// `POST /plantings/{id}/remove`
pub async fn remove(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = PlantingId::parse(&id).ok_or(PageError::NotFound)?;
    let found = plantings::find(&mut *app.read().await?, id)
        .await?
        .ok_or(PageError::NotFound)?;
    match actions::remove(&app.act(&me, visit.at, sent.key()), id).await {
        Ok(_) => see(&paths::plantings(found.member_id)),
        Err(Stop::Unmet(unmet)) => Err(PageError::NotYet {
            sentence: unmet.sentence,
            back: paths::plantings(found.member_id),
        }),
        Err(other) => Err(other.into()),
    }
}

/// Fills the boxes of a turn with the row that the member's plantings would bring on that day,
/// and says where it is from; nothing when nothing is on record.
pub(in crate::web) async fn remember(
    snapshot: &mut Snapshot,
    visit: &Visit,
    sheet: &mut Sheet,
    member: MemberId,
    day: &PressDay,
) -> Result<String, PageError> {
    let all = plantings::of_member(snapshot, member).await?;
    let planned: Vec<Planned> = all
        .iter()
        .filter(|p| p.season_id == day.season_id)
        .map(actions::planned)
        .collect();
    let Some(row) = row_on(day.date, &planned) else {
        return Ok(String::new());
    };
    sheet
        .put("told", "row")
        .put("amount", row.typed(visit.units()));
    Ok(format!(
        "From the planting record: {} of row for that day. Correct it as you like.",
        row.show(visit.units())
    ))
}
