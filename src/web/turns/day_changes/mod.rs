//! Turns moved together: what would become of a day's turns, moving them, and whom that concerns.

mod form;
mod shown;
mod view;

use super::asked::{day_of_path, status, today};
use crate::actions::turns::{bring_back, day_changes as actions};
use crate::actions::{Act, Stop};
use crate::calc::turns::day_board::is_over;
use crate::calc::turns::repack::MoveKind;
use crate::facts::turns::brought_back::WayBack;
use crate::facts::turns::day_changes::{ChangeChoices, DayAt, Planned, Wish, plan};
use crate::facts::turns::turn_habit::LatestHabit;
use crate::store::people::notices;
use crate::store::turns::day_changes;
use crate::store::turns::standstills;
use crate::store::{Conn, Together};
use crate::units::DayChangeId;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::{Page, page, page_with, paths};
use axum::extract::Path;
use shown::ChangePage;
use view::FormPage;

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = view::samples();
    views.extend(shown::samples());
    views
}

/// How turns are to be moved, by an address, and what the form chooses from.
async fn choices(
    db: &mut Conn,
    visit: &Visit,
    (date, how): &(String, String),
) -> Result<(MoveKind, ChangeChoices), PageError> {
    let kind = paths::kind_of_change(how).ok_or(PageError::NotFound)?;
    let day = day_of_path(db, date).await?;
    Ok((kind, ChangeChoices::read(db, day, today(visit)?).await?))
}

/// `GET /days/{date}/turns/{how}`
pub(crate) async fn form(request: PageRequest, Path(which): Path<(String, String)>) -> Page {
    let blank = request.blank();
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    let (kind, choices) = choices(&mut db, &visit, &which).await?;
    let day = &choices.day;
    if is_over((day.date, day.closed_at.is_some()), today(&visit)?) {
        return Err(PageError::NotYet {
            sentence: format!(
                "{} is closed or past; its turns stay as they are.",
                day.date.show()
            ),
            back: paths::day(day.date),
        });
    }
    let sheet = form::blank(blank, &visit, (kind, &choices))?;
    page(&FormPage::new(&app, &visit, (kind, &choices), sheet, None)?)
}

/// `POST /days/{date}/turns/{how}`: shows what would become of the turns, or does it as it was shown.
pub(crate) async fn send(Path(which): Path<(String, String)>, mut form: FormRequest) -> Page {
    let (kind, choices) = choices(form.db.now().await?, &form.visit, &which).await?;
    let zone = form.visit.zone()?;
    let new = form::change(&mut form.sheet, (kind, &choices), (zone, form.visit.at));
    let wish = new.as_ref().map(|new| new.wish.clone());
    let do_it = form.sent.get("do") == "yes";
    let day = choices.day.id;
    form.end(
        new.filter(|_| do_it),
        async |act: &Act, new| actions::change(act, day, new).await,
        paths::change,
        async |form| send_again(form, (kind, &choices), wish).await,
    )
    .await
}

/// The form with what would become of the turns.
async fn send_again(
    form: FormRequest,
    (kind, choices): (MoveKind, &ChangeChoices),
    wish: Option<Wish>,
) -> Page {
    let FormRequest {
        app,
        visit,
        mut sheet,
        mut db,
        ..
    } = form;
    let planned = match wish {
        Some(wish) => outcome(db.now().await?, &visit, choices, &wish, &mut sheet).await?,
        None => None,
    };
    page_with(
        status(&sheet),
        &FormPage::new(&app, &visit, (kind, choices), sheet, planned.as_ref())?,
    )
}

/// What would become of the turns; nothing when it cannot be, which the sheet says then.
async fn outcome(
    db: &mut Conn,
    visit: &Visit,
    choices: &ChangeChoices,
    wish: &Wish,
    sheet: &mut Sheet,
) -> Result<Option<Planned>, PageError> {
    let of = DayAt {
        day: &choices.day,
        zone: visit.zone()?,
        at: visit.at,
    };
    let habit = LatestHabit::read(db).await?;
    match plan(db, &of, wish, &habit).await? {
        Ok(planned) => {
            sheet.put("seen", planned.mark());
            Ok(Some(planned))
        }
        Err(refusal) => {
            // The sentence is shown once: sending the form may have been refused for the same reason.
            if sheet.problem.is_none() && sheet.problems().is_empty() {
                sheet.stop(Stop::RuleRefusal(refusal))?;
            }
            Ok(None)
        }
    }
}

/// `GET /changes/{id}`
pub(crate) async fn show(request: PageRequest, Path(id): Path<String>) -> Page {
    let sheet = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let id = DayChangeId::parse(&id).ok_or(PageError::NotFound)?;
    let change = day_changes::find(id)
        .ask(&mut db)
        .await?
        .ok_or(PageError::NotFound)?;
    let turns = day_changes::turns(id).ask(&mut db).await?;
    let told = notices::of_change(id).ask(&mut db).await?;
    let stands = (
        standstills::find(id),
        standstills::of_day(change.press_day_id),
    );
    let (standstill, of_day) = stands.together().ask(&mut db).await?;
    let (of, moment) = ((&change, standstill.as_ref()), (visit.zone()?, visit.at));
    let way_back = WayBack::read(&mut db, of, moment).await?;
    page(&ChangePage::new(
        &app,
        &visit,
        &change,
        (&turns, &told),
        (
            (standstill.as_ref(), &of_day),
            way_back.as_ref(),
            me.is_steward(),
        ),
        sheet,
    )?)
}

/// `POST /changes/{id}/runs-again`: the mill runs again before its time.
pub(crate) async fn runs_again(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = DayChangeId::parse(&id).ok_or(PageError::NotFound)?;
    let runs_again = async |act: &Act| actions::runs_again(act, id).await;
    form.press(runs_again, paths::change(id)).await
}

/// `POST /changes/{id}/bring-back`: turns that were put off go back to where they were.
pub(crate) async fn bring_back(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = DayChangeId::parse(&id).ok_or(PageError::NotFound)?;
    let bring_back = async |act: &Act| bring_back::bring_back(act, id).await;
    form.press(bring_back, paths::change(id)).await
}
