//! What phones keep beforehand, so that the yard's pages open without network: which pages of a press day, and a
//! few ticket numbers of their own.

use super::error::PageError;
use super::request::{FormRequest, PageRequest};
use super::{Page, paths};
use crate::actions::cane::numbers;
use crate::store::cane::{juice, tickets};
use crate::store::shares::hand_overs;
use crate::store::turns::press_days::{self, PressDay};
use crate::store::{Snapshot, home, sent_from_phone};
use crate::units::{PressDate, Refused};
use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// Most tickets whose pages a phone keeps: a full day has 30 turns.
const TICKETS_MOST: usize = 40;
/// Most members whose hand-over a phone keeps.
const MEMBERS_MOST: usize = 30;

/// The press day of the date in an address.
async fn press_day(db: &mut Snapshot, date: &str) -> Result<PressDay, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    press_days::of_date(date)
        .ask(db)
        .await?
        .ok_or(PageError::NotFound)
}

fn json(told: &serde_json::Value) -> Response {
    let kind = [(header::CONTENT_TYPE, "application/json")];
    (kind, told.to_string()).into_response()
}

/// `GET /days/{date}/pages`: the addresses that a phone keeps, those needed first at the head.
pub(super) async fn pages(mut request: PageRequest, Path(date): Path<String>) -> Page {
    let db = &mut request.db;
    let day = press_day(db, &date).await?;
    let mut all = vec![
        paths::day(day.date),
        paths::new_ticket(day.date),
        paths::any_juice(day.date),
        paths::any_load(day.date),
        paths::new_boil(day.date),
        paths::HOME.to_owned(),
        paths::BOILS.to_owned(),
        paths::HAND_OVERS.to_owned(),
    ];
    let boils = home::open_boils().ask(db).await?;
    for boil in &boils {
        all.push(paths::boil(&boil.lot));
        all.push(paths::any_jars(&boil.lot));
    }
    let tickets = tickets::of_day(day.id).ask(db).await?;
    for ticket in tickets.iter().rev().take(TICKETS_MOST) {
        all.push(paths::ticket(ticket.id));
        all.push(paths::new_juice(ticket.id));
        all.push(paths::new_load(ticket.id));
        all.push(paths::move_ticket(ticket.id));
        all.push(paths::end_ticket(ticket.id));
        all.push(paths::sample(ticket.id));
    }
    for juice in juice::of_day(day.id)
        .ask(db)
        .await?
        .iter()
        .rev()
        .take(TICKETS_MOST)
    {
        all.push(paths::juice(juice.id));
        all.push(paths::lose_juice(juice.id));
    }
    let mut waiting: Vec<_> = hand_overs::waiting().ask(db).await?;
    waiting.truncate(MEMBERS_MOST);
    for row in waiting {
        all.push(
            row.member_id
                .map_or_else(|| paths::MILL_HAND_OVER.to_owned(), paths::new_hand_over),
        );
    }
    Ok(json(&serde_json::json!(all)))
}

/// `POST /days/{date}/numbers`: ticket numbers for a phone to give out without network; the numbers that it
/// holds and no ticket bears yet.
pub(super) async fn numbers(Path(date): Path<String>, mut form: FormRequest) -> Page {
    let day = press_day(form.db.now().await?, &date).await?;
    let phone = form.sheet.read("phone", |text| {
        let plain = (1..=60).contains(&text.len()) && text.chars().all(|c| c.is_ascii_graphic());
        if plain {
            Ok(text.to_owned())
        } else {
            Err(Refused::new("Which phone?"))
        }
    });
    let phone = phone.ok_or(PageError::Garbled)?;
    let act = form.act();
    numbers::hold(&act, day.season_id, &phone).await?;
    let held = sent_from_phone::held_numbers(day.season_id)
        .ask(form.db.now().await?)
        .await?;
    let own: Vec<i64> = held
        .iter()
        .filter(|held| held.phone == phone)
        .map(|held| held.number)
        .collect();
    Ok(json(&serde_json::json!(own)))
}
