//! Turns: booking one on a phone, looking at it, moving it, giving it up.

mod form;
mod view;

use crate::actions::Stop;
use crate::actions::turns::rooms::{self, DayRoom};
use crate::actions::turns::turn as actions;
use crate::actions::turns::turn::{NewPlace, NewTurn};
use crate::actions::turns::waiting;
use crate::calc::turns::day_room::Wanted;
use crate::calc::turns::starts::Asker;
use crate::calc::turns::turn_cane::{Expected, FAR_FROM_TOLD};
use crate::store::people::members;
use crate::store::season::seasons;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::Turn;
use crate::store::turns::{press_days, turn};
use crate::units::{ClockTyped, MemberId, PressDate, TurnId};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::season::plantings;
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page_with, paths, see};
use axum::extract::rejection::QueryRejection;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use form::Asked;
use std::collections::BTreeMap;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{BookPage, MovePage, Offer, Starts, Step, TurnPage, TurnRecords};

/// What stood behind the question mark of an address.
type Asking = Result<Query<BTreeMap<String, String>>, QueryRejection>;

/// Who asks for starts, and when.
fn asker(visit: &Visit, me: &Me) -> Asker {
    Asker {
        at: visit.at,
        crew: me.is_crew(),
    }
}

/// 200 while nothing is wrong with the form, else what its problem asks for.
fn status(sheet: &Sheet) -> StatusCode {
    if sheet.problem.is_none() && sheet.problems().is_empty() {
        StatusCode::OK
    } else {
        sheet.status()
    }
}

async fn day(app: &App, date: &str) -> Result<PressDay, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    press_days::of_date(&mut snapshot, date)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /days/{date}/book`: first how much cane, then, with that in the address, the free starts.
pub async fn form(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(date): Path<String>,
    asking: Asking,
) -> Page {
    let day = day(&app, &date).await?;
    if day.closed_at.is_some() {
        return Err(PageError::NotYet {
            sentence: format!(
                "{} is closed and takes no more turns. Please choose another press day.",
                day.date.show()
            ),
            back: paths::DAYS.to_owned(),
        });
    }
    let Query(asking) = asking.map_err(|_| PageError::Garbled)?;
    let mut sheet = Sheet::blank(&visit, &app.ids);
    sheet.put("told", "weight");
    for name in ["member", "told", "amount", "cane", "sure"] {
        if let Some(typed) = asking.get(name) {
            sheet.put(name, typed.as_str());
        }
    }
    let first = !asking.contains_key("amount");
    let mut remembered = String::new();
    if first {
        let named = asking.get("member").and_then(|text| MemberId::parse(text));
        let whose = if me.is_crew() { named } else { Some(me.id) };
        if let Some(whose) = whose {
            let mut snapshot = app.read().await?;
            remembered =
                plantings::remember(&mut snapshot, &visit, &mut sheet, whose, &day).await?;
        }
    }
    let asked = if first {
        None
    } else {
        form::asked(&mut sheet, &me, visit.units())
    };
    book_page(&app, &visit, &me, &day, sheet, (remembered, first, asked)).await
}

/// `POST /days/{date}/book`: books the start that was tapped, or only reckons again.
pub async fn book(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(date): Path<String>,
    sent: Sent,
) -> Page {
    let day = day(&app, &date).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let asked = form::asked(&mut sheet, &me, visit.units());
    if sent.get("again").is_empty() {
        let start = sheet.read("start", ClockTyped::parse);
        if let (Some(asked), Some(start)) = (asked, start) {
            let new = NewTurn {
                member: asked.member,
                start,
                told: asked.told,
                corrected: asked.corrected,
                sure: asked.sure,
            };
            match actions::book(&app.act(&me, visit.at, sent.key()), day.id, new).await {
                Ok(id) => return see(&paths::turn(id)),
                Err(stop) => sheet.stop(stop)?,
            }
        }
    }
    book_page(
        &app,
        &visit,
        &me,
        &day,
        sheet,
        (String::new(), false, asked),
    )
    .await
}

/// `POST /days/{date}/waiting`: a place on the day's waiting list, for cane that finds no start.
pub async fn wait(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(date): Path<String>,
    sent: Sent,
) -> Page {
    let day = day(&app, &date).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let asked = form::asked(&mut sheet, &me, visit.units());
    if let Some(asked) = asked {
        let joins = waiting::Joins {
            member: asked.member,
            told: asked.told,
            corrected: asked.corrected,
            sure: asked.sure,
        };
        match waiting::join(&app.act(&me, visit.at, sent.key()), day.id, joins).await {
            Ok(id) => return see(&paths::waiting(id)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let step = (String::new(), false, asked);
    book_page(&app, &visit, &me, &day, sheet, step).await
}

/// The page of both steps; `asked` is nothing before the first step, and when it does not read.
async fn book_page(
    app: &App,
    visit: &Visit,
    me: &Me,
    day: &PressDay,
    mut sheet: Sheet,
    (remembered, first, asked): (String, bool, Option<Asked>),
) -> Page {
    let mut snapshot = app.read().await?;
    let everybody = if me.is_crew() {
        members::list(&mut snapshot).await?
    } else {
        Vec::new()
    };
    let mut step = Step {
        remembered,
        first,
        doubted: sheet.ticked("sure"),
        offer: None,
    };
    if let Some(asked) = asked {
        let rules = seasons::rules_in_force(&mut snapshot, day.season_id).await?;
        let room = DayRoom::load(&mut snapshot, day, &rules, visit.zone()?, &[]).await?;
        let rooms = room.rooms();
        let yields = actions::yields_now(&rules, &room.habit);
        let units = visit.units();
        let expected = Expected::reckon(asked.told, yields, asked.corrected, asked.sure, units)
            .and_then(|e| Ok((e, rooms.day.minutes_for(e.cane, units)?)));
        match expected {
            Ok((expected, minutes)) => {
                let cane = expected.cane;
                let free = rooms.free(Wanted { minutes, cane }, asker(visit, me));
                let wanted = ClockTyped::parse(sheet.typed("start")).ok();
                step.offer = Some(Offer {
                    cane: expected.words(yields, units),
                    minutes: rooms.day.minutes_words(cane, minutes, units),
                    pan: rooms.boiling.words(cane, units),
                    starts: Starts::new(visit, &rooms.day.clock, minutes, (&free, wanted)),
                });
            }
            Err(unmet) => {
                step.doubted |= unmet.code == FAR_FROM_TOLD;
                sheet.stop(Stop::Unmet(unmet))?;
            }
        }
    }
    let code = status(&sheet);
    page_with(
        code,
        &BookPage::new(app, visit, me, day, sheet, &everybody, step),
    )
}

/// A turn that this person may see: one's own, or anybody's for crew.
async fn turn(app: &App, me: &Me, id: &str) -> Result<Turn, PageError> {
    let id = TurnId::parse(id).ok_or(PageError::NotFound)?;
    let mut snapshot = app.read().await?;
    turn::find(&mut snapshot, id)
        .await?
        .filter(|turn| turn.member_id == me.id || me.is_crew())
        .ok_or(PageError::NotFound)
}

/// `GET /turns/{id}`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(id): Path<String>) -> Page {
    let turn = turn(&app, &me, &id).await?;
    let sheet = Sheet::blank(&visit, &app.ids);
    turn_page(&app, &visit, &me, turn, sheet).await
}

async fn turn_page(app: &App, visit: &Visit, me: &Me, turn: Turn, sheet: Sheet) -> Page {
    let mut snapshot = app.read().await?;
    let day = press_days::find(&mut snapshot, turn.press_day_id)
        .await?
        .ok_or(PageError::NotFound)?;
    let versions = seasons::rules_list(&mut snapshot, day.season_id).await?;
    let records = TurnRecords {
        cutoff_h: versions.first().ok_or(PageError::NotFound)?.cutoff_h,
        boiling: rooms::boiling(&mut snapshot, versions.first().ok_or(PageError::NotFound)?)
            .await?,
        yields: actions::yields_of(&actions::rules_then(versions, &turn)?).kept(turn.row_kg_per_m),
        events: turn::events(&mut snapshot, turn.id).await?,
        ticket: turn::ticket(&mut snapshot, turn.id).await?,
        turn,
        day,
    };
    let code = status(&sheet);
    page_with(code, &TurnPage::new(app, visit, me, &records, sheet)?)
}

/// `POST /turns/{id}/cancel`
pub async fn cancel(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let before = turn(&app, &me, &id).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let act = app.act(&me, visit.at, sent.key());
    match actions::cancel(&act, before.id, sent.get("why")).await {
        Ok(id) => return see(&paths::turn(id)),
        Err(stop) => sheet.stop(stop)?,
    }
    let turn = turn(&app, &me, &id).await?;
    turn_page(&app, &visit, &me, turn, sheet).await
}

/// `POST /turns/{id}/confirm`
pub async fn confirm(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let before = turn(&app, &me, &id).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let act = app.act(&me, visit.at, sent.key());
    match actions::confirm(&act, before.id).await {
        Ok(id) => return see(&paths::turn(id)),
        Err(stop) => sheet.stop(stop)?,
    }
    turn_page(&app, &visit, &me, before, sheet).await
}

/// `POST /turns/{id}/missed`: `to` says which, so that two people pressing the button agree.
pub async fn miss(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let before = turn(&app, &me, &id).await?;
    let missed = match sent.get("to") {
        "missed" => true,
        "came" => false,
        _ => return Err(PageError::Garbled),
    };
    let mut sheet = Sheet::of(&visit, &sent);
    let act = app.act(&me, visit.at, sent.key());
    match actions::set_missed(&act, before.id, missed).await {
        Ok(_) => return see(&paths::day(before.date)),
        Err(stop) => sheet.stop(stop)?,
    }
    turn_page(&app, &visit, &me, before, sheet).await
}

/// `GET /turns/{id}/move`: the free starts of its day, or of the day in the address.
pub async fn move_form(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    asking: Asking,
) -> Page {
    let turn = turn(&app, &me, &id).await?;
    let mut snapshot = app.read().await?;
    let ticket = turn::ticket(&mut snapshot, turn.id).await?;
    let cutoff_h = actions::cutoff(&mut snapshot, &turn).await?;
    actions::changeable(&turn, ticket, visit.zone()?, asker(&visit, &me), cutoff_h).map_err(
        |unmet| PageError::NotYet {
            sentence: unmet.sentence,
            back: paths::turn(turn.id),
        },
    )?;
    let Query(asking) = asking.map_err(|_| PageError::Garbled)?;
    let mut sheet = Sheet::blank(&visit, &app.ids);
    let date = asking
        .get("day")
        .cloned()
        .unwrap_or_else(|| turn.date.to_string());
    sheet.put("day", date);
    move_page(&app, &visit, &me, &turn, sheet).await
}

/// `POST /turns/{id}/move`
pub async fn move_to(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(id): Path<String>,
    sent: Sent,
) -> Page {
    let before = turn(&app, &me, &id).await?;
    let mut sheet = Sheet::of(&visit, &sent);
    let date = sheet.read("day", PressDate::parse);
    let start = sheet.read("start", ClockTyped::parse);
    if let (Some(date), Some(start)) = (date, start) {
        let to = NewPlace {
            day: day(&app, &date.to_string()).await?.id,
            start,
            why: sent.get("why").to_owned(),
            seen: sent.get("version").parse().unwrap_or(0),
        };
        match actions::move_turn(&app.act(&me, visit.at, sent.key()), before.id, to).await {
            Ok(id) => return see(&paths::turn(id)),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let turn = turn(&app, &me, &id).await?;
    move_page(&app, &visit, &me, &turn, sheet).await
}

async fn move_page(app: &App, visit: &Visit, me: &Me, turn: &Turn, mut sheet: Sheet) -> Page {
    // Chosen again, it is meant from where the turn is by then.
    sheet.put("version", turn.version.to_string());
    let mut snapshot = app.read().await?;
    let own = press_days::find(&mut snapshot, turn.press_day_id)
        .await?
        .ok_or(PageError::NotFound)?;
    let zone = visit.zone()?;
    let today = zone.local(visit.at).0;
    let mut days = press_days::of_season(&mut snapshot, own.season_id).await?;
    days.retain(|day| day.closed_at.is_none() && day.date >= today);
    let typed = sheet.typed("day").to_owned();
    let chosen = days
        .iter()
        .find(|day| day.date.to_string() == typed)
        .or(days.first());
    let mut starts = None;
    if let Some(day) = chosen {
        sheet.put("day", day.date.to_string());
        let rules = seasons::rules_in_force(&mut snapshot, day.season_id).await?;
        let room = DayRoom::load(&mut snapshot, day, &rules, zone, &[turn.id]).await?;
        let rooms = room.rooms();
        let cane = turn.cane;
        match rooms.day.minutes_for(cane, visit.units()) {
            Ok(minutes) => {
                let free = rooms.free(Wanted { minutes, cane }, asker(visit, me));
                let wanted = ClockTyped::parse(sheet.typed("start")).ok();
                starts = Some(Starts::new(
                    visit,
                    &rooms.day.clock,
                    minutes,
                    (&free, wanted),
                ));
            }
            Err(unmet) => sheet.stop(Stop::Unmet(actions::beside_day(unmet)))?,
        }
    }
    let code = status(&sheet);
    page_with(
        code,
        &MovePage::new(app, (visit, zone), turn, sheet, &days, starts),
    )
}
