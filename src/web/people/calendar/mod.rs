//! Turns in calendar programs: making and revoking a secret address, the feed behind it, and one
//! turn as a file. The address is not kept and written to no log.

mod events;
mod view;

use crate::actions::people::calendar as actions;
use crate::actions::people::calendar::Whose;
use crate::actions::{Act, hash_token};
use crate::calc::paper::ics;
use crate::facts::people::calendar::FeedTurns;
use crate::facts::turns::queue::StartEstimates;
use crate::store::people::calendar;
use crate::units::TurnId;
use crate::web::error::PageError;
use crate::web::form::Sent;
use crate::web::request::{FormRequest, PageRequest, Visitor};
use crate::web::{Page, page, paths};
use axum::extract::Path;
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use axum::response::IntoResponse;
use events::Reads;
use std::collections::BTreeSet;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{AddressPage, CalendarPage};

/// `GET /calendar`
pub(crate) async fn show(mut request: PageRequest) -> Page {
    let own = calendar::of(&mut request.db, Some(request.me.id)).await?;
    let crew = calendar::of(&mut request.db, None).await?;
    page(&CalendarPage::new(&request, own, crew)?)
}

fn whose(sent: &Sent) -> Result<Whose, PageError> {
    match sent.get("whose") {
        "own" => Ok(Whose::Own),
        "crew" => Ok(Whose::Crew),
        _ => Err(PageError::Garbled),
    }
}

/// `POST /calendar`: shows the address; it is not kept, and the same form sent again shows the same one.
pub(crate) async fn make(mut form: FormRequest) -> Page {
    let whose = whose(&form.sent)?;
    let token = form.visit.secret_of_form("calendar", &form.as_form());
    let act = form.act();
    let done = actions::make(&act, whose, &token).await;
    let sentence = if form.ended(done, |_| paths::CALENDAR.to_owned())?.is_none() {
        form.sheet.first_problem()
    } else {
        let hash = hash_token(token.as_str());
        if calendar::find(form.db.now().await?, &hash).await?.is_some() {
            return page(&AddressPage::new(&form.app, &form.visit, whose, &token));
        }
        // The form was done long ago, and its address is not the latest any more.
        "This address was revoked, or a newer one was made. Please make a new one.".to_owned()
    };
    Err(PageError::NotYet {
        sentence,
        back: paths::CALENDAR.to_owned(),
    })
}

/// `POST /calendar/revoke`
pub(crate) async fn revoke(form: FormRequest) -> Page {
    let whose = whose(&form.sent)?;
    form.press(
        async |act: &Act| actions::revoke(act, whose).await,
        paths::CALENDAR,
    )
    .await
}

/// `GET /calendar/{token}`: the feed, for whoever has its address.
pub(crate) async fn feed(
    Path(file): Path<String>,
    headers: HeaderMap,
    request: PageRequest<Visitor>,
) -> Page {
    let PageRequest {
        app, visit, mut db, ..
    } = request;
    let token = file
        .strip_suffix(".ics")
        .filter(|token| token.len() == 32)
        .ok_or(PageError::NotFound)?;
    let coop = visit.coop()?;
    let moment = (&coop.zone, visit.at);
    let FeedTurns { member, turns } = FeedTurns::of_token(&mut db, &hash_token(token), moment)
        .await?
        .ok_or(PageError::NotFound)?;
    // A calendar is no visit: its member's card says how its weights and times are read.
    let reads = Reads {
        units: member.as_ref().map_or(coop.units, |m| m.units),
        clock: member.as_ref().map_or(24, |m| m.clock),
        named: member.is_none(),
    };
    let name = if reads.named {
        format!("All turns, {}", coop.name)
    } else {
        format!("My turns, {}", coop.name)
    };
    let dates = turns.iter().map(|turn| turn.date).collect();
    let abouts = StartEstimates::read(&mut db, dates, moment).await?;
    let text = ics::calendar(&name, &events::of((&turns, &abouts), coop, &app, reads));
    answer(text, &headers, None)
}

/// `GET /turns/{id}/ics`: one turn as a file.
pub(crate) async fn turn(Path(id): Path<String>, headers: HeaderMap, request: PageRequest) -> Page {
    let PageRequest {
        app,
        visit,
        me,
        mut db,
    } = request;
    let id = TurnId::parse(&id).ok_or(PageError::NotFound)?;
    let turn = calendar::turn(&mut db, id)
        .await?
        .filter(|turn| me.may_see(turn.member_id))
        .ok_or(PageError::NotFound)?;
    let coop = visit.coop()?;
    let reads = Reads {
        units: visit.units(),
        clock: visit.who.as_ref().map_or(24, |who| who.clock),
        named: turn.member_id != me.id,
    };
    let date = turn.date;
    let moment = (&coop.zone, visit.at);
    let abouts = StartEstimates::read(&mut db, BTreeSet::from([date]), moment).await?;
    let turns = (std::slice::from_ref(&turn), &abouts);
    let text = ics::calendar(&coop.name, &events::of(turns, coop, &app, reads));
    let file = format!("attachment; filename=\"turn-{date}.ics\"");
    answer(text, &headers, Some(file))
}

/// The text, or 304 to a program that has it already (RFC 9110, section 13.1.2). The tag is weak:
/// the answer may be compressed.
fn answer(text: String, headers: &HeaderMap, file: Option<String>) -> Page {
    let hash: String = hash_token(&text).chars().take(32).collect();
    let tag = format!("W/\"{hash}\"");
    let has = headers
        .get_all(header::IF_NONE_MATCH)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|line| line.split(','))
        .map(|one| one.trim().trim_start_matches("W/").trim_matches('"'))
        .any(|one| one == hash || one == "*");
    if has {
        return Ok((StatusCode::NOT_MODIFIED, [(header::ETAG, tag)]).into_response());
    }
    let mut fields: Vec<(HeaderName, String)> = vec![
        (
            header::CONTENT_TYPE,
            "text/calendar; charset=utf-8; method=PUBLISH".to_owned(),
        ),
        (header::ETAG, tag),
    ];
    fields.extend(file.map(|file| (header::CONTENT_DISPOSITION, file)));
    let mut response = text.into_response();
    for (name, value) in fields {
        let value = value
            .parse()
            .map_err(|_| PageError::Fault(format!("no such {name}")))?;
        response.headers_mut().insert(name, value);
    }
    Ok(response)
}
