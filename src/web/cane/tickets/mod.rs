//! Weighing in: a new ticket, a ticket, its loads and their corrections.

mod form;
mod list;
mod put_right;
mod sample;
mod seen;
mod twin;
mod typed;
mod view;
mod weigh;

use super::of_path::{day_of, own_ticket, press_day, times};
use crate::actions::Act;
use crate::actions::cane::loads;
use crate::actions::cane::tickets as actions;
use crate::actions::cane::yard as put_right_by;
use crate::calc::shares::cane_way::Stop;
use crate::facts::cane::mill::{LEAST_FOR_CANE, scales_in_use};
use crate::facts::cane::tickets::{FullTicket, WeighIn, known_tares, ticket_of_phone};
use crate::facts::shares::cane_way::CaneWay;
use crate::facts::shares::my_cane::OneTicket;
use crate::store::Snapshot;
use crate::store::Together;
use crate::store::cane::mill::{self, Scale};
use crate::store::cane::tickets::{self, LoadRow, Ticket};
use crate::store::cane::yard::{self, KnownTare};
use crate::units::{Grams, PressDate, TurnId, plain_text};
use crate::web::cane_way;
use crate::web::error::PageError;
use crate::web::my_cane::Trail;
use crate::web::reader::Reader;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Me;
use crate::web::{Page, page, paths, see};
use axum::extract::{Path, Query};
use axum::http::HeaderMap;
pub(crate) use list::list;
use put_right::{EndPage, MovePage};
use sample::SamplePage;
use serde::Deserialize;
pub(crate) use typed::{paper, paper_form};
use view::TicketPage;
use weigh::{LoadPage, NewPage, Weighed};

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut views = view::samples();
    views.extend(list::samples());
    views.extend(weigh::samples());
    views.extend(put_right::samples());
    views.extend(sample::samples());
    views
}

/// The turn that the address of a new ticket may name.
#[derive(Deserialize)]
pub(crate) struct ForTurn {
    turn: Option<String>,
}

/// Refuses to go on while there is no scale to weigh on.
fn some_scale(scales: &[Scale], back: String) -> Result<(), PageError> {
    if scales.is_empty() {
        return Err(PageError::NotYet {
            sentence: "There is no scale at the mill yet. A steward adds it on the page “Mill”."
                .to_owned(),
            back,
        });
    }
    Ok(())
}

/// A press day, with scales to weigh on.
async fn weigh_in(db: &mut Snapshot, date: &str) -> Result<WeighIn, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    let of = WeighIn::read(db, date).await?.ok_or(PageError::NotFound)?;
    some_scale(&of.scales, paths::day(date))?;
    Ok(of)
}

/// `GET /days/{date}/tickets/new`
pub(crate) async fn new(
    mut request: PageRequest,
    Path(date): Path<String>,
    Query(whose): Query<ForTurn>,
) -> Page {
    let of = weigh_in(&mut request.db, &date).await?;
    if of.day.closed_at.is_some() {
        return Err(PageError::NotYet {
            sentence: format!(
                "{} is closed and takes no more cane. A steward can open it again.",
                of.day.date.show()
            ),
            back: paths::day(of.day.date),
        });
    }
    let mut sheet = request.blank();
    // Mostly one scale is in use for a day.
    if let Some(scale) = of.scale {
        sheet.put("scale", scale.to_string());
    }
    if let Some(turn) = whose.turn.as_deref().and_then(TurnId::parse) {
        if let Some(ticket) = tickets::of_turn(turn).ask(&mut request.db).await? {
            return see(&paths::ticket(ticket.id));
        }
        sheet.put("whose", format!("turn:{turn}"));
    }
    page(&NewPage::new(&request.app, &request.visit, sheet, &of)?)
}

/// `POST /days/{date}/tickets/new`
pub(crate) async fn create(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let day = press_day(form.db.now().await?, &date).await?;
    let times = times((&form.visit, form.said_at()), &day, None)?;
    let new = form::ticket(&mut form.sheet, form.visit.units(), &times);
    form.end(
        new,
        async |act: &Act, new| actions::open_ticket(act, day.id, new).await,
        paths::ticket,
        // Everybody's tares are read only for a page that shows them.
        async |mut form: FormRequest| {
            let of = weigh_in(form.db.now().await?, &date).await?;
            form.show(|app, visit, sheet| NewPage::new(app, visit, sheet, &of))
        },
    )
    .await
}

/// `GET /tickets/{id}`
pub(crate) async fn show(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let ticket = own_ticket(&mut request.db, &request.me, &id).await?;
    let when = (request.visit.zone()?, request.visit.at);
    let found = (
        OneTicket::of(&ticket, when),
        CaneWay::in_season(ticket.season_id, Vec::new()),
        FullTicket::of(ticket),
    );
    let db = &mut request.db;
    let (mine, way, full) = found.together().ask(db).await?;
    let mine = mine.member_view(db, when).await?;
    let way = way.through(mine.strands.clone());
    let sheet = request.blank();
    let PageRequest { app, visit, me, .. } = request;
    let stops = cane_way::stops(&way, &me, &Stop::Ticket(mine.ticket.id));
    let reader = Reader::of_card(&visit, &me, mine.ticket.member_id)?;
    let trail = Trail::new(&mine, reader, stops);
    page(&TicketPage::new(&app, &visit, &me, &full, sheet)?.with_trail(trail))
}

/// A ticket, with scales to weigh another load on.
async fn to_load(db: &mut Snapshot, me: &Me, id: &str) -> Result<(Ticket, Weighed), PageError> {
    let ticket = own_ticket(db, me, id).await?;
    let scales = scales_in_use().ask(db).await?;
    some_scale(&scales, paths::ticket(ticket.id))?;
    let tares = tares_of(db, &ticket).await?;
    let end = yard::end_of(ticket.id).ask(db).await?;
    Ok((ticket, Weighed { scales, tares, end }))
}

/// Tares weighed before, of the member's trailers and of the mill's.
async fn tares_of(db: &mut Snapshot, ticket: &Ticket) -> Result<Vec<KnownTare>, PageError> {
    let own = yard::tares_of_member(ticket.member_id).ask(db).await?;
    Ok(known_tares(own, yard::trailers().ask(db).await?))
}

/// `GET /tickets/{id}/loads/new`
pub(crate) async fn new_load(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let (ticket, of) = to_load(&mut request.db, &request.me, &id).await?;
    let loads = tickets::loads(ticket.id).ask(&mut request.db).await?;
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    if let Some(last) = loads.last() {
        sheet.put("scale", last.scale_id.to_string());
    }
    page(&LoadPage::adding(&app, &visit, sheet, &ticket, &of)?)
}

/// `GET /days/{date}/loads/new`: the form for a ticket that stands on a phone only. Phones keep it beforehand
/// and fill in the ticket; everybody else is led to the day.
pub(crate) async fn any_load(
    mut request: PageRequest,
    headers: HeaderMap,
    Path(date): Path<String>,
) -> Page {
    let of = weigh_in(&mut request.db, &date).await?;
    if !headers.contains_key("kept-page") {
        return see(&paths::day(of.day.date));
    }
    let by = request.me.id;
    let ticket = ticket_of_phone(&mut request.db, &of.day, by).await?;
    let mut sheet = request.blank();
    if let Some(scale) = of.scale {
        sheet.put("scale", scale.to_string());
    }
    let tares = yard::trailers().ask(&mut request.db).await?;
    let weighed = Weighed {
        scales: of.scales,
        tares: known_tares(Vec::new(), tares),
        end: None,
    };
    let (app, visit) = (&request.app, &request.visit);
    page(&LoadPage::of_phone(app, visit, sheet, &ticket, &weighed)?)
}

/// `POST /tickets/{id}/loads/new`
pub(crate) async fn add_load(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let (ticket, of) = to_load(db, &form.me, &id).await?;
    let day = day_of(db, ticket.press_day_id).await?;
    let times = times((&form.visit, form.said_at()), &day, None)?;
    let load = form::load(&mut form.sheet, form.visit.units(), &times);
    form.end_showing(
        load,
        async |act: &Act, load| loads::add_load(act, ticket.id, load).await,
        paths::ticket,
        |app, visit, sheet| LoadPage::adding(app, visit, sheet, &ticket, &of),
    )
    .await
}

/// The latest version of one load of a ticket, and the scales to choose from.
async fn one_load(
    db: &mut Snapshot,
    me: &Me,
    (id, number): (&str, &str),
) -> Result<(Ticket, LoadRow, Weighed), PageError> {
    let ticket = own_ticket(db, me, id).await?;
    let number: i64 = number.parse().map_err(|_| PageError::NotFound)?;
    let load = tickets::loads(ticket.id)
        .ask(db)
        .await?
        .into_iter()
        .find(|l| l.number == number)
        .ok_or(PageError::NotFound)?;
    let mut scales = mill::scales().ask(db).await?;
    scales.retain(|scale| scale.capacity >= LEAST_FOR_CANE);
    let tares = tares_of(db, &ticket).await?;
    let weighed = Weighed {
        scales,
        tares,
        end: None,
    };
    Ok((ticket, load, weighed))
}

/// `GET /tickets/{id}/loads/{number}/correct`
pub(crate) async fn fix_load(
    mut request: PageRequest,
    Path((id, number)): Path<(String, String)>,
) -> Page {
    let (ticket, load, of) = one_load(&mut request.db, &request.me, (&id, &number)).await?;
    let sheet = form::of(request.blank(), &load, request.visit.units());
    let PageRequest { app, visit, .. } = request;
    page(&LoadPage::fixing(&app, &visit, sheet, &ticket, &load, &of))
}

/// `POST /tickets/{id}/loads/{number}/correct`
pub(crate) async fn correct_load(
    Path((id, number)): Path<(String, String)>,
    mut form: FormRequest,
) -> Page {
    let db = form.db.now().await?;
    let (ticket, load, of) = one_load(db, &form.me, (&id, &number)).await?;
    let day = day_of(db, ticket.press_day_id).await?;
    let times = times((&form.visit, form.said_at()), &day, None)?;
    let fix = form::fix(&mut form.sheet, form.visit.units(), &times);
    form.next_try_names(fix.as_ref(), "seen", load.version);
    form.end_showing(
        fix,
        async |act: &Act, fix| loads::correct_load(act, ticket.id, load.number, fix).await,
        paths::ticket,
        |app, visit, sheet| Ok(LoadPage::fixing(app, visit, sheet, &ticket, &load, &of)),
    )
    .await
}

/// `POST /tickets/{id}/loads/{number}/undo`
pub(crate) async fn undo_load(
    Path((id, number)): Path<(String, String)>,
    mut form: FormRequest,
) -> Page {
    let ticket = own_ticket(form.db.now().await?, &form.me, &id).await?;
    let number: i64 = number.parse().map_err(|_| PageError::NotFound)?;
    let seen = form.sent.get("seen").parse().unwrap_or(0);
    let undo = async |act: &Act| put_right_by::undo_load(act, ticket.id, number, seen).await;
    form.press(undo, paths::ticket(ticket.id)).await
}

/// A ticket with its net cane, and who else is expected on its day.
async fn to_move(
    db: &mut Snapshot,
    me: &Me,
    id: &str,
) -> Result<(Ticket, Grams, WeighIn), PageError> {
    let ticket = own_ticket(db, me, id).await?;
    let net = tickets::net(ticket.id).ask(db).await?;
    let of = WeighIn::read(db, ticket.date)
        .await?
        .ok_or(PageError::NotFound)?;
    Ok((ticket, net, of))
}

/// `GET /tickets/{id}/move`
pub(crate) async fn move_form(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let (ticket, net, of) = to_move(&mut request.db, &request.me, &id).await?;
    let sheet = request.blank();
    let (app, visit) = (&request.app, &request.visit);
    page(&MovePage::new(app, visit, sheet, (&ticket, net), &of))
}

/// `POST /tickets/{id}/move`
pub(crate) async fn move_ticket(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let (ticket, net, of) = to_move(form.db.now().await?, &form.me, &id).await?;
    let to = form::whose_of(&mut form.sheet);
    form.end_showing(
        to,
        async |act: &Act, to| put_right_by::move_ticket(act, ticket.id, to).await,
        paths::ticket,
        |app, visit, sheet| Ok(MovePage::new(app, visit, sheet, (&ticket, net), &of)),
    )
    .await
}

/// `GET /tickets/{id}/unpressed`
pub(crate) async fn end_form(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let ticket = own_ticket(&mut request.db, &request.me, &id).await?;
    let net = tickets::net(ticket.id).ask(&mut request.db).await?;
    let sheet = request.blank();
    let (app, visit) = (&request.app, &request.visit);
    page(&EndPage::new(app, visit, sheet, (&ticket, net)))
}

/// `POST /tickets/{id}/unpressed`
pub(crate) async fn end_ticket(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let ticket = own_ticket(db, &form.me, &id).await?;
    let net = tickets::net(ticket.id).ask(db).await?;
    let went = form.sheet.read("went", |text| plain_text(text, 1, 200));
    form.end_showing(
        went,
        async |act: &Act, went| put_right_by::end_ticket(act, ticket.id, Some(went)).await,
        paths::ticket,
        |app, visit, sheet| Ok(EndPage::new(app, visit, sheet, (&ticket, net))),
    )
    .await
}

/// `POST /tickets/{id}/unpressed/back`
pub(crate) async fn reopen_ticket(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let ticket = own_ticket(form.db.now().await?, &form.me, &id).await?;
    let reopen = async |act: &Act| put_right_by::end_ticket(act, ticket.id, None).await;
    form.press(reopen, paths::ticket(ticket.id)).await
}

/// `GET /tickets/{id}/sample`
pub(crate) async fn sample_form(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let ticket = own_ticket(&mut request.db, &request.me, &id).await?;
    let of = FullTicket::of(ticket).ask(&mut request.db).await?;
    let sheet = request.blank();
    page(&SamplePage::new(&request.app, &request.visit, sheet, &of))
}

/// `POST /tickets/{id}/sample`
pub(crate) async fn sample(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let db = form.db.now().await?;
    let ticket = own_ticket(db, &form.me, &id).await?;
    let of = FullTicket::of(ticket).ask(db).await?;
    let meant = sample::read(&mut form.sheet, form.visit.units());
    form.end_showing(
        meant,
        async |act: &Act, new| put_right_by::sample(act, of.ticket.id, new).await,
        paths::ticket,
        |app, visit, sheet| Ok(SamplePage::new(app, visit, sheet, &of)),
    )
    .await
}
