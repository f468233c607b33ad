//! Turns: booking one on a phone, looking at it, moving it, giving it up.

mod day_rooms;
mod form;
mod remembered;
mod says;
mod starts;
mod view;
mod waits;

use super::asked::{asker, day_of_path, status, today};
use crate::actions::turns::turn as actions;
use crate::actions::turns::turn_undo::undo_turn;
use crate::actions::turns::waiting;
use crate::actions::{Act, Stop};
use crate::calc::turns::day_board::is_over;
use crate::calc::turns::turn_cane::{Expected, FAR_FROM_TOLD};
use crate::facts::turns::room::DayRoom;
use crate::facts::turns::roster::{DayRoster, hours_of};
use crate::facts::turns::turn::{ChangeLimits, TurnFacts, said_of_day};
use crate::facts::turns::turn_habit;
use crate::store::people::members;
use crate::store::turns::press_days::PressDay;
use crate::store::turns::turn::Turn;
use crate::store::turns::{press_days, turn};
use crate::store::{Conn, Question, Together};
use crate::units::{ClockTyped, MemberId, Minutes, PressDate, TurnId};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page_with, paths};
use axum::extract::rejection::QueryRejection;
use axum::extract::{Path, Query};
use day_rooms::DayRooms;
use form::CaneTold;
use starts::Starts;
use std::collections::BTreeMap;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{BookPage, MovePage, Offer, Step, TurnPage};
use waits::Waits;

/// The part of an address behind the question mark.
type InAddress = Result<Query<BTreeMap<String, String>>, QueryRejection>;

/// `GET /days/{date}/book`: first how much cane, then, with that in the address, the free starts.
pub(crate) async fn form(request: PageRequest, Path(date): Path<String>, typed: InAddress) -> Page {
    let mut sheet = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let day = day_of_path(&mut db, &date).await?;
    if day.closed_at.is_some() {
        return Err(PageError::NotYet {
            sentence: format!(
                "{} is closed and takes no more turns. Please choose another press day.",
                day.date.show()
            ),
            back: paths::DAYS.to_owned(),
        });
    }
    let Query(typed) = typed.map_err(|_| PageError::Garbled)?;
    sheet.put("told", "weight");
    // What was filled in for one card does not count for another that was chosen after.
    let filled_for = typed.get("filled_for");
    let other = filled_for.is_some_and(|filled| typed.get("member") != Some(filled));
    let boxes = ["member", "told", "amount", "cane", "sure"];
    for name in boxes.into_iter().take(if other { 1 } else { boxes.len() }) {
        if let Some(typed) = typed.get(name) {
            sheet.put(name, typed.as_str());
        }
    }
    let first = other || !typed.contains_key("amount");
    let several = me.is_crew() || !me.acts_for.is_empty();
    let mut remembered = String::new();
    if first {
        // Where there are several cards, only for the one in the address: an amount must not go on to another's.
        let named = MemberId::parse(sheet.typed("member")).filter(|named| me.may_see(*named));
        if let Some(whose) = named.or((!several).then_some(me.id)) {
            remembered = remembered::fill(&mut db, &visit, &mut sheet, (whose, &day)).await?;
        }
        if other && remembered.is_empty() {
            "Please write how much cane it is.".clone_into(&mut remembered);
        }
    }
    if !me.is_crew() && several && sheet.typed("member").is_empty() {
        sheet.put("member", me.id.to_string());
    }
    let cane = if first {
        None
    } else {
        form::cane(&mut sheet, &me, visit.units())
    };
    let step = Step {
        remembered,
        first,
        ..Step::default()
    };
    book_page((&app, &visit, &me), &mut db, &day, sheet, (step, cane)).await
}

/// `POST /days/{date}/book`: books the start that was tapped, or only reckons again.
pub(crate) async fn book(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let day = day_of_path(form.db.now().await?, &date).await?;
    let cane = form::cane(&mut form.sheet, &form.me, form.visit.units());
    let second = form.sheet.ticked(actions::SECOND);
    let only_reckons = !form.sent.get("again").is_empty();
    let new = if only_reckons {
        None
    } else {
        form::turn(&mut form.sheet, cane)
    };
    form.end(
        new,
        async |act: &Act, new| actions::book_asking(act, day.id, new, second).await,
        paths::turn,
        async |form| book_again(form, &day, cane).await,
    )
    .await
}

/// `POST /days/{date}/waiting`: a place on the day's waiting list, for cane that finds no start.
pub(crate) async fn wait(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let day = day_of_path(form.db.now().await?, &date).await?;
    let cane = form::cane(&mut form.sheet, &form.me, form.visit.units());
    let second = form.sheet.ticked(actions::SECOND);
    form.end(
        cane.map(CaneTold::joins),
        async |act: &Act, joins| waiting::join_asking(act, day.id, joins, second).await,
        paths::waiting,
        async |form| book_again(form, &day, cane).await,
    )
    .await
}

async fn book_again(mut form: FormRequest, day: &PressDay, cane: Option<CaneTold>) -> Page {
    let with = (Step::default(), cane);
    let of = (&form.app, &form.visit, &form.me);
    book_page(of, form.db.now().await?, day, form.sheet, with).await
}

/// The page of both steps; there is no cane before the first step, and when it does not read.
async fn book_page(
    (app, visit, me): (&App, &Visit, &Me),
    db: &mut Conn,
    day: &PressDay,
    mut sheet: Sheet,
    (mut step, cane): (Step, Option<CaneTold>),
) -> Page {
    let single = (!me.is_crew() && me.acts_for.is_empty()).then_some(me.id);
    let whose = single.or(MemberId::parse(sheet.typed("member")).filter(|one| me.may_see(*one)));
    let found = (
        Question::when(single.is_none().then(members::list)),
        Question::when(whose.filter(|_| !step.first).map(|_| Waits::asked(day))),
    );
    let (everybody, waits) = found.together().ask(db).await?;
    let mut everybody = everybody.unwrap_or_default();
    everybody.retain(|one| me.is_crew() || me.is_theirs(one.id));
    if let (Some(whose), Some((list, on_offer))) = (whose, waits) {
        step.waits = Waits::of((&list, &on_offer), me, visit.at, whose);
    }
    if !step.remembered.is_empty()
        && let Some(one) = view::named(&everybody, &sheet)
    {
        step.remembered_of = one.name.to_string();
        step.filled_for = one.id.to_string();
    }
    step.doubted = sheet.ticked("sure");
    if let Some(cane) = cane {
        let room = DayRoom::read(db, day, (visit.zone()?, visit.at), &[]).await?;
        match offer(&room, (visit, me), &sheet, cane) {
            Ok(offer) => step.offer = Some(offer),
            Err(refusal) => {
                step.doubted |= refusal.code == FAR_FROM_TOLD;
                sheet.stop(Stop::RuleRefusal(refusal))?;
            }
        }
    }
    let code = status(&sheet);
    page_with(
        code,
        &BookPage::new(app, visit, me, day, sheet, &everybody, step),
    )
}

/// What the cane comes to, and where a turn for it finds room.
fn offer(
    room: &DayRoom,
    (visit, me): (&Visit, &Me),
    sheet: &Sheet,
    cane: CaneTold,
) -> Result<Offer, crate::calc::RuleRefusal> {
    let units = visit.units();
    let rooms = room.rooms();
    let yields = turn_habit::yields_now(&room.rules, &room.habit);
    let expected = Expected::reckon(cane.told, yields, cane.corrected, cane.sure, units)?;
    let minutes = rooms.day.minutes_for(expected.cane, units)?;
    let wanted = room.wanted(cane.member, minutes, expected.cane);
    let cane = expected.cane;
    let free = rooms.free(wanted, asker(visit, me));
    let tapped = ClockTyped::parse(sheet.typed("start")).ok();
    Ok(Offer {
        cane: expected.words(yields, units),
        over: room.is_over(visit.at),
        minutes: rooms.day.minutes_words(cane, minutes, units),
        pan: rooms.boiling.words(cane, units),
        late: late(rooms.behind(visit.at)),
        starts: Starts::new(visit, &rooms.day.clock, minutes, (&free, tapped)),
    })
}

/// Sentence on how late the mill runs on the day that is booked; empty: it does not.
fn late(behind: Option<Minutes>) -> String {
    behind
        .filter(|late| *late > Minutes::new(0))
        .map_or_else(String::new, |late| {
            format!(
                "The mill runs {} late today: a new turn begins after those who are there and those who booked.",
                late.show()
            )
        })
}

/// A turn that this person may see: one's own, or anybody's for crew.
async fn seen_by(db: &mut Conn, me: &Me, id: &str) -> Result<Turn, PageError> {
    let id = TurnId::parse(id).ok_or(PageError::NotFound)?;
    turn::find(id)
        .ask(db)
        .await?
        .filter(|turn| me.may_see(turn.member_id))
        .ok_or(PageError::NotFound)
}

/// `GET /turns/{id}`
pub(crate) async fn show(request: PageRequest, Path(id): Path<String>) -> Page {
    let sheet = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    turn_page((&app, &visit, &me), &mut db, &id, sheet).await
}

async fn turn_page(
    (app, visit, me): (&App, &Visit, &Me),
    db: &mut Conn,
    id: &str,
    sheet: Sheet,
) -> Page {
    let turn = seen_by(db, me, id).await?;
    let facts = TurnFacts::read(db, turn, (visit.zone()?, visit.at))
        .await?
        .ok_or(PageError::NotFound)?;
    let open = facts.turn.held && facts.limits.ticket.is_none() && facts.day.closed_at.is_none();
    let few = if open {
        let (zone, turn) = (visit.zone()?, &facts.turn);
        let roster = DayRoster::read(db, &facts.day, zone, false).await?;
        let clock = zone.clock(turn.date);
        roster.few_within(hours_of(&clock, turn.start, turn.minutes))
    } else {
        Vec::new()
    };
    let code = status(&sheet);
    page_with(code, &TurnPage::new(app, visit, me, (&facts, &few), sheet)?)
}

async fn turn_again(mut form: FormRequest, id: &str) -> Page {
    let of = (&form.app, &form.visit, &form.me);
    turn_page(of, form.db.now().await?, id, form.sheet).await
}

/// `POST /turns/{id}/cancel`
pub(crate) async fn cancel(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let turn = seen_by(form.db.now().await?, &form.me, &id).await?.id;
    let why = form.sent.get("why").to_owned();
    form.end(
        Some(why),
        async |act: &Act, why: String| actions::cancel(act, turn, &why).await,
        paths::turn,
        async |form| turn_again(form, &id).await,
    )
    .await
}

/// `POST /turns/{id}/undo`
pub(crate) async fn undo(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let turn = seen_by(form.db.now().await?, &form.me, &id).await?.id;
    form.end(Some(turn), undo_turn, paths::turn, async |form| {
        turn_again(form, &id).await
    })
    .await
}

/// `POST /turns/{id}/confirm`
pub(crate) async fn confirm(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let turn = seen_by(form.db.now().await?, &form.me, &id).await?.id;
    form.end(Some(turn), actions::confirm, paths::turn, async |form| {
        turn_again(form, &id).await
    })
    .await
}

/// `POST /turns/{id}/missed`: `to` says which, so that two people pressing the button agree.
pub(crate) async fn miss(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let turn = seen_by(form.db.now().await?, &form.me, &id).await?;
    let missed = match form.sent.get("to") {
        "missed" => true,
        "came" => false,
        _ => return Err(PageError::Garbled),
    };
    form.end(
        Some(missed),
        async |act: &Act, missed| actions::set_missed(act, turn.id, missed).await,
        |_| paths::day(turn.date),
        async |form| turn_again(form, &id).await,
    )
    .await
}

/// `GET /turns/{id}/move`: the free starts of its day, or of the day in the address.
pub(crate) async fn move_form(
    request: PageRequest,
    Path(id): Path<String>,
    typed: InAddress,
) -> Page {
    let mut sheet = request.blank();
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let turn = seen_by(&mut db, &me, &id).await?;
    let limits = ChangeLimits::read(&mut db, &turn)
        .await?
        .ok_or(PageError::NotFound)?;
    limits
        .allow_change(&turn, visit.zone()?, asker(&visit, &me))
        .map_err(|refusal| PageError::NotYet {
            sentence: refusal.sentence,
            back: paths::turn(turn.id),
        })?;
    let Query(typed) = typed.map_err(|_| PageError::Garbled)?;
    let date = typed
        .get("day")
        .cloned()
        .unwrap_or_else(|| turn.date.to_string());
    sheet.put("day", date);
    move_page((&app, &visit, &me), &mut db, &turn, sheet).await
}

/// `POST /turns/{id}/move`
pub(crate) async fn move_to(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let turn = seen_by(db, &form.me, &id).await?.id;
    let day = match form.sheet.read("day", PressDate::parse) {
        Some(date) => press_days::of_date(date)
            .ask(db)
            .await?
            .ok_or(PageError::NotFound)
            .map(Some)?,
        None => None,
    };
    let to = form::place(&mut form.sheet, day.map(|day| day.id));
    form.end(
        to,
        async |act: &Act, to| actions::move_turn(act, turn, to).await,
        paths::turn,
        async |form| move_again(form, &id).await,
    )
    .await
}

async fn move_again(mut form: FormRequest, id: &str) -> Page {
    let db = form.db.now().await?;
    let turn = seen_by(db, &form.me, id).await?;
    let of = (&form.app, &form.visit, &form.me);
    move_page(of, db, &turn, form.sheet).await
}

async fn move_page(
    (app, visit, me): (&App, &Visit, &Me),
    db: &mut Conn,
    turn: &Turn,
    mut sheet: Sheet,
) -> Page {
    // When a place is chosen again, the move starts from where the turn is by then.
    sheet.put("version", turn.version.to_string());
    let (zone, today) = (visit.zone()?, today(visit)?);
    let mut days = press_days::beside(turn.press_day_id).ask(db).await?;
    days.retain(|day| !is_over((day.date, day.closed_at.is_some()), today));
    let rooms = DayRooms::read(db, &days, (turn, (zone, visit.at))).await?;
    let typed = sheet.typed("day").to_owned();
    let chosen = days
        .iter()
        .find(|day| day.date.to_string() == typed)
        .or(days.first());
    let (mut starts, mut waits) = (None, None);
    if let Some((day, room)) = chosen.and_then(|day| Some((day, rooms.of(day)?))) {
        sheet.put("day", day.date.to_string());
        let rooms = room.rooms();
        let cane = turn.cane;
        match rooms.day.minutes_for(cane, visit.units()) {
            Ok(minutes) => {
                let wanted = room.wanted(turn.member_id, minutes, cane);
                let mut free = rooms.free(wanted, asker(visit, me));
                let tapped = ClockTyped::parse(sheet.typed("start")).ok();
                let clock = rooms.day.clock;
                if (day.id, minutes) == (turn.press_day_id, turn.minutes) {
                    free.starts.retain(|start| clock.time(*start) != turn.start);
                }
                starts = Some(Starts::new(visit, &clock, minutes, (&free, tapped)));
            }
            Err(refusal) => sheet.stop(Stop::RuleRefusal(said_of_day(refusal)))?,
        }
        if day.id != turn.press_day_id && starts.as_ref().is_some_and(Starts::none_free) {
            waits = Waits::read(db, me, (day, visit.at), turn.member_id).await?;
        }
    }
    let choices = rooms.choices(&days, turn, asker(visit, me));
    let code = status(&sheet);
    page_with(
        code,
        &MovePage::new(
            app,
            (visit, zone),
            turn,
            sheet,
            (chosen, choices),
            (starts, waits),
        ),
    )
}
