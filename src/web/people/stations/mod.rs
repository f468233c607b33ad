//! The mill's own station: signing a tablet in and out, PINs, and who stands at it.

mod view;

use crate::actions::people::stations as actions;
use crate::actions::{Act, Stop};
use crate::store::Snapshot;
use crate::store::people::stations::{self, Hand};
use crate::store::turns::press_days;
use crate::units::{MemberId, Passphrase, StationId, one_line};
use crate::web::error::PageError;
use crate::web::people::accounts::own_path;
use crate::web::people::members::own_card;
use crate::web::request::{FormRequest, PageRequest, Visitor};
use crate::web::session::{Visit, cookie_name, set_cookie};
use crate::web::{Page, page, page_with, paths, see};
use axum::extract::{Path, Query};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect};
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{ListPage, PickPage, PinPage, TypePage};

/// `GET /mill/stations`
pub(crate) async fn list(mut request: PageRequest) -> Page {
    let all = stations::list(&mut request.db).await?;
    let sheet = request.blank();
    page(&ListPage::new(&request.app, &request.visit, sheet, &all)?)
}

/// `POST /mill/stations`: this browser is a station from now on, and the steward is signed out in it.
pub(crate) async fn sign_in(mut form: FormRequest) -> Page {
    let name = form.sheet.read("name", |t| one_line(t, 1, 40));
    if let Some(name) = name {
        let token = form.visit.secret_of_form("station", &form.as_form());
        let old = form.visit.cookie().to_owned();
        let act = form.act();
        match actions::sign_in(&act, &name, &token, &old).await {
            Ok(_) => {
                tracing::info!(station = ?name, by = %form.me.id, "a station was signed in");
                let secure = form.app.secure;
                let seconds = actions::STATION_COOKIE_S;
                let cookie = set_cookie(cookie_name(secure), token.as_str(), seconds, secure);
                let to = Redirect::to(paths::STATION);
                return Ok(([(header::SET_COOKIE, cookie)], to).into_response());
            }
            Err(Stop::SentOtherwise { .. }) => return see(paths::STATIONS),
            Err(stop) => form.sheet.stop(stop)?,
        }
    }
    let all = stations::list(form.db.now().await?).await?;
    let status = form.sheet.status();
    let view = ListPage::new(&form.app, &form.visit, form.sheet, &all)?;
    page_with(status, &view)
}

/// `POST /mill/stations/{id}/sign-out`
pub(crate) async fn end(Path(id): Path<String>, form: FormRequest) -> Page {
    let id = StationId::parse(&id).ok_or(PageError::NotFound)?;
    let end = async |act: &Act| actions::end(act, id).await;
    form.press(end, paths::STATIONS).await
}

/// The person who is chosen, and the address to go on to.
#[derive(Debug, Deserialize)]
pub(crate) struct Chosen {
    #[serde(default)]
    who: String,
    #[serde(default)]
    next: String,
}

/// The one of the crew with this id, if that person has a PIN.
async fn hand(db: &mut Snapshot, id: &str) -> Result<Option<Hand>, PageError> {
    let id = MemberId::parse(id);
    let hands = stations::hands(db).await?;
    Ok(hands.into_iter().find(|h| Some(h.id) == id && h.has_pin))
}

/// The station of a visit; anywhere else there is no such page.
fn station_of(visit: &Visit) -> Result<StationId, PageError> {
    let station = visit.station.as_ref().ok_or(PageError::NotFound)?;
    Ok(station.id)
}

/// `GET /station`: large buttons, one a person; or the PIN of whoever was chosen.
pub(crate) async fn show(mut request: PageRequest<Visitor>, Query(chosen): Query<Chosen>) -> Page {
    station_of(&request.visit)?;
    let next = own_path(&chosen.next).to_owned();
    let sheet = request.blank();
    if let Some(hand) = hand(&mut request.db, &chosen.who).await? {
        return page(&TypePage::new(&request, sheet, &hand, &next));
    }
    let hands = stations::hands(&mut request.db).await?;
    let today = request.visit.zone()?.local(request.visit.at).0;
    let day = press_days::of_date(today).ask(&mut request.db).await?;
    page(&PickPage::new(
        &request,
        sheet,
        &hands,
        &next,
        day.as_ref(),
    )?)
}

/// `POST /station`: the PIN of whoever was chosen. Wrong ones are counted for the person and for the station.
pub(crate) async fn pick(mut form: FormRequest<Visitor>) -> Page {
    let station = station_of(&form.visit)?;
    let next = own_path(form.sent.get("next")).to_owned();
    let who = form.sent.get("who").to_owned();
    let hand = hand(form.db.now().await?, &who).await?;
    let hand = hand.ok_or(PageError::NotFound)?;
    form.db.give_back();
    let tried = (station, hand.id);
    if let Some(seconds) = actions::count_try(&form.app.writer, form.visit.at, tried).await? {
        tracing::warn!(member = %hand.id, %station, "PINs throttled");
        return Err(PageError::TooMany { seconds });
    }
    let hash = stations::pin_hash(form.db.now().await?, hand.id).await?;
    let pin = Passphrase::typed(form.sent.get("pin").trim());
    form.db.give_back();
    if form.app.hashing.matches(pin, hash).await? {
        actions::pick(&form.app.writer, form.visit.at, station, Some(hand.id)).await?;
        tracing::info!(member = %hand.id, %station, "picked at a station");
        return see(if next == paths::HOME {
            paths::STATION
        } else {
            &next
        });
    }
    tracing::warn!(member = %hand.id, %station, "wrong PIN");
    form.sheet.forget(&["pin"]);
    let problem = format!("That is not the PIN of {}. Please try again.", hand.name);
    form.sheet.refuse("pin", problem);
    let FormRequest {
        app, visit, sheet, ..
    } = form;
    let view = TypePage::of(&app, &visit, sheet, &hand, &next);
    page_with(StatusCode::UNPROCESSABLE_ENTITY, &view)
}

/// `POST /station/done`: nobody stands there any more.
pub(crate) async fn leave(mut form: FormRequest<Visitor>) -> Page {
    let station = station_of(&form.visit)?;
    form.db.give_back();
    actions::pick(&form.app.writer, form.visit.at, station, None).await?;
    see(paths::STATION)
}

/// `GET /members/{id}/pin`: one's own, or anybody's for stewards.
pub(crate) async fn pin_form(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let member = own_card(&mut request.db, &request.me, &id).await?;
    let sheet = request.blank();
    page(&PinPage::new(&request.app, &request.visit, sheet, &member))
}

/// `POST /members/{id}/pin`
pub(crate) async fn set_pin(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = own_card(form.db.now().await?, &form.me, &id).await?;
    let pin = form.sheet.read("pin", Passphrase::pin);
    let hashing = form.app.hashing.clone();
    form.end_showing(
        pin,
        async |act: &Act, pin| actions::set_pin(act, &hashing, member.id, pin).await,
        |()| paths::member(member.id),
        |app, visit, mut sheet| {
            sheet.forget(&["pin"]);
            Ok(PinPage::new(app, visit, sheet, &member))
        },
    )
    .await
}
