//! Turns moved together: what would become of a day's turns, moving them, and whom that concerns.

mod form;
mod shown;
mod view;

use crate::actions::turns::day_changes as actions;
use crate::actions::turns::day_changes::NewChange;
use crate::actions::turns::day_changes_plan::{Look, Planned, Wish, plan};
use crate::calc::turns::repack::Kind;
use crate::store::Snapshot;
use crate::store::people::notices;
use crate::store::turns::day_changes::{self, Standing};
use crate::store::turns::press_days::{self, PressDay};
use crate::store::turns::standstills;
use crate::units::{DayChangeId, PressDate};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, State};
use shown::ChangePage;
use view::FormPage;

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = view::samples();
    views.extend(shown::samples());
    views
}

/// What the form is made from.
struct Before {
    day: PressDay,
    kind: Kind,
    /// The turns that can be ticked as killed.
    turns: Vec<Standing>,
    /// The days that turns can be moved to.
    days: Vec<PressDay>,
}

async fn before(
    snapshot: &mut Snapshot,
    visit: &Visit,
    (date, how): &(String, String),
) -> Result<Before, PageError> {
    let kind = paths::kind_of_change(how).ok_or(PageError::NotFound)?;
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    let day = press_days::of_date(snapshot, date)
        .await?
        .ok_or(PageError::NotFound)?;
    let today = visit.zone()?.local(visit.at).0;
    let mut turns = day_changes::standing(snapshot, day.season_id, day.date).await?;
    turns.retain(|turn| turn.ticket_id.is_none() && !turn.missed);
    let mut days = press_days::of_season(snapshot, day.season_id).await?;
    days.retain(|other| other.id != day.id && other.closed_at.is_none() && other.date >= today);
    Ok(Before {
        day,
        kind,
        turns,
        days,
    })
}

/// `GET /days/{date}/turns/{how}`
pub async fn form(
    State(app): State<App>,
    visit: Visit,
    Path(which): Path<(String, String)>,
) -> Page {
    let mut snapshot = app.read().await?;
    let before = before(&mut snapshot, &visit, &which).await?;
    let day = &before.day;
    if day.closed_at.is_some() || day.date < visit.zone()?.local(visit.at).0 {
        return Err(PageError::NotYet {
            sentence: format!(
                "{} is closed or past; its turns stay as they are.",
                day.date.show()
            ),
            back: paths::day(day.date),
        });
    }
    let sheet = form::blank(Sheet::blank(&visit, &app.ids), &visit, &before)?;
    page(&FormPage::new(&app, &visit, &before, sheet, None)?)
}

/// `POST /days/{date}/turns/{how}`: shows what would become of the turns, or does it as it was shown.
pub async fn send(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(which): Path<(String, String)>,
    sent: Sent,
) -> Page {
    let mut snapshot = app.read().await?;
    let before = before(&mut snapshot, &visit, &which).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let new = form::change(&mut sheet, &before, visit.zone()?, &sent);
    let mut planned = None;
    if let Some(new) = new {
        if sent.get("do") == "yes" {
            let act = app.act(&me, visit.at, sent.key());
            match actions::change(&act, before.day.id, new.clone()).await {
                Ok(id) => return see(&paths::change(id)),
                Err(stop) => sheet.stop(stop)?,
            }
            snapshot = app.read().await?;
        }
        planned = look(&mut snapshot, &visit, &before, &new.wish, &mut sheet).await?;
    }
    let code = if sheet.problem.is_none() && sheet.problems().is_empty() {
        axum::http::StatusCode::OK
    } else {
        sheet.status()
    };
    page_with(
        code,
        &FormPage::new(&app, &visit, &before, sheet, planned.as_ref())?,
    )
}

/// What would become of the turns; nothing when it cannot be, which the sheet says then.
async fn look(
    snapshot: &mut Snapshot,
    visit: &Visit,
    before: &Before,
    wish: &Wish,
    sheet: &mut Sheet,
) -> Result<Option<Planned>, PageError> {
    let look = Look {
        day: &before.day,
        zone: visit.zone()?,
        at: visit.at,
    };
    match plan(snapshot, &look, wish).await {
        Ok(planned) => {
            sheet.put("seen", planned.mark());
            Ok(Some(planned))
        }
        Err(stop) => {
            // Said once: sending it may have been refused for the same reason.
            if sheet.problem.is_none() && sheet.problems().is_empty() {
                sheet.stop(stop)?;
            }
            Ok(None)
        }
    }
}

/// `GET /changes/{id}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let id = DayChangeId::parse(&id).ok_or(PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    let change = day_changes::find(&mut snapshot, id)
        .await?
        .ok_or(PageError::NotFound)?;
    let turns = day_changes::turns(&mut snapshot, id).await?;
    let told = notices::of_change(&mut snapshot, id).await?;
    let stands = standstills::find(&mut snapshot, id).await?;
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&ChangePage::new(
        &app,
        &visit,
        &change,
        (&turns, &told),
        (stands.as_ref(), me.is_steward()),
        sheet,
    )?)
}

/// `POST /changes/{id}/runs-again`: the mill runs again before its time.
pub async fn runs_again(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let id = DayChangeId::parse(&id).ok_or(PageError::NotFound)?;
    actions::runs_again(&app.act(&me, visit.at, sent.key()), id).await?;
    see(&paths::change(id))
}
