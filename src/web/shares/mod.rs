//! Shares: the division of a boil, proposed in full, then frozen.

pub mod sums;
mod view;

use super::error::PageError;
use super::form::{Sent, Sheet};
use super::session::{Me, Visit};
use super::{App, Page, page, page_with, paths, see};
use crate::actions::divisions as actions;
use crate::calc::division::Division;
use crate::calc::split::Sharer;
use crate::store::{Snapshot, divisions, ledger, members};
use crate::units::LotCode;
use axum::extract::{Path, State};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{DivisionPage, Names, Shown};

/// The tick boxes a division may ask for.
const TICKS: [&str; 2] = ["sure_thin", "sure_loose"];

/// `GET /boils/{lot}/divide`
pub async fn show(State(app): State<App>, visit: Visit, me: Me, Path(lot): Path<String>) -> Page {
    let lot = LotCode::parse(&lot).map_err(|_| PageError::NotFound)?;
    let sheet = Sheet::blank(&visit, &app.ids);
    page(&laid_out(&app, &visit, &me, &lot, sheet).await?)
}

/// `POST /boils/{lot}/divide`
pub async fn divide(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    if !me.is_crew() {
        return Err(PageError::Forbidden);
    }
    let lot = LotCode::parse(&lot).map_err(|_| PageError::NotFound)?;
    let mut sheet = Sheet::of(&visit, &sent);
    let ticked: Vec<&str> = TICKS.into_iter().filter(|t| sheet.ticked(t)).collect();
    let act = app.act(&me, visit.at, sent.key());
    match actions::divide(&act, &lot, sheet.typed("seen"), &ticked).await {
        Ok(_) => see(&paths::boil_part(&lot, "divide")),
        Err(stop) => {
            sheet.stop(stop)?;
            let status = sheet.status();
            page_with(status, &laid_out(&app, &visit, &me, &lot, sheet).await?)
        }
    }
}

/// The page of a boil's division as it stands: frozen, proposed, or why it cannot be divided.
async fn laid_out(
    app: &App,
    visit: &Visit,
    me: &Me,
    lot: &LotCode,
    sheet: Sheet,
) -> Result<DivisionPage, PageError> {
    let mut snapshot = app.read().await?;
    let laid = actions::lay_out(&mut snapshot, lot)
        .await?
        .ok_or(PageError::NotFound)?;
    let frozen = divisions::of_boil(&mut snapshot, laid.boil.id).await?;
    let division = match &frozen {
        Some(row) => Ok(actions::recall(&mut snapshot, &laid.boil, row).await?),
        None => laid.propose(visit.units()),
    };
    let poured = laid.pours.iter().any(|p| p.draw.member_id == me.id);
    let has_part = division.as_ref().is_ok_and(|d| has_part(d, me));
    if !me.is_crew() && !poured && !has_part {
        return Err(PageError::NotFound);
    }
    let mut sharers: Vec<Sharer> = laid
        .pours
        .iter()
        .map(|p| Sharer::Member(p.draw.member_id))
        .collect();
    if let Ok(division) = &division {
        sharers.extend(division.parts.iter().map(|p| p.sharer));
    }
    let names = names(&mut snapshot, me, sharers).await?;
    let zone = visit.zone()?;
    let lines = ledger::of_boil(&mut snapshot, laid.boil.id).await?;
    let shown = Shown {
        basis: frozen.as_ref().map_or(laid.rules.basis, |f| f.basis),
        laid: &laid,
        may_boil: me.is_crew() || poured,
        division: division.as_ref(),
        names: &names,
        frozen: frozen.map_or_else(String::new, |f| {
            format!("{} by {}", zone.show(f.at), f.by_name)
        }),
        ledger: &lines,
    };
    DivisionPage::new(app, visit, me, &shown, sheet)
}

fn has_part(division: &Division, me: &Me) -> bool {
    let own = Sharer::Member(me.id);
    division.parts.iter().any(|p| p.sharer == own)
}

/// Sharers by name: crew read all; a member reads the own and those who agreed to be named.
async fn names(
    snapshot: &mut Snapshot,
    me: &Me,
    mut sharers: Vec<Sharer>,
) -> Result<Names, PageError> {
    sharers.sort_unstable();
    sharers.dedup();
    let mut names = Names::new();
    let mut others = 0;
    for sharer in sharers {
        let Sharer::Member(id) = sharer else { continue };
        let Some(card) = members::find(snapshot, id).await? else {
            continue;
        };
        let name = if me.is_crew() || card.named || id == me.id {
            card.name.to_string()
        } else {
            others += 1;
            format!("another member ({others})")
        };
        names.insert(sharer, name);
    }
    Ok(names)
}
