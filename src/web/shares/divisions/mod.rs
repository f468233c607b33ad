//! Shares: the division of a boil, proposed in full, then frozen; opened and divided again where it
//! was wrong.

mod exchanges;
pub mod sums;
mod view;

use crate::actions::shares::divisions as actions;
use crate::actions::shares::divisions::Signed;
use crate::calc::shares::division::Division;
use crate::calc::shares::split::Sharer;
use crate::store::Snapshot;
use crate::store::people::members;
use crate::store::shares::{divisions, ledger};
use crate::units::{LotCode, MemberName, plain_text};
use crate::web::error::PageError;
use crate::web::form::{Sent, Sheet};
use crate::web::session::{Me, Visit};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, Query, State};
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{DivisionPage, Names, Shown};

/// The tick boxes a division may ask for.
const TICKS: [&str; 2] = ["sure_thin", "sure_loose"];

/// Which version of the division is asked for; the latest when none is named.
#[derive(Debug, Deserialize)]
pub struct Asked {
    version: Option<String>,
}

/// The two forms of the page.
struct Sheets {
    divide: Sheet,
    correct: Sheet,
}

impl Sheets {
    fn blank(app: &App, visit: &Visit) -> Self {
        Self {
            divide: Sheet::blank(visit, &app.ids),
            correct: Sheet::blank(visit, &app.ids),
        }
    }
}

/// `GET /boils/{lot}/divide`, `?version=1`
pub async fn show(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    Query(asked): Query<Asked>,
) -> Page {
    let lot = LotCode::parse(&lot).map_err(|_| PageError::NotFound)?;
    let version = match asked.version {
        Some(text) => Some(text.parse().map_err(|_| PageError::NotFound)?),
        None => None,
    };
    let sheets = Sheets::blank(&app, &visit);
    page(&laid_out(&app, &visit, &me, (&lot, version), sheets).await?)
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
    if let Some(by) = sheet.read("signed_by", MemberName::parse) {
        let act = app.act(&me, visit.at, sent.key());
        let seen = sheet.typed("seen");
        let ticked = &ticked;
        match actions::divide(&act, &lot, Signed { seen, ticked, by }).await {
            Ok(_) => return see(&paths::boil_part(&lot, "divide")),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status = sheet.status();
    let mut sheets = Sheets::blank(&app, &visit);
    sheets.divide = sheet;
    page_with(
        status,
        &laid_out(&app, &visit, &me, (&lot, None), sheets).await?,
    )
}

/// `POST /boils/{lot}/correct`: opens a divided boil.
pub async fn correct(
    State(app): State<App>,
    visit: Visit,
    me: Me,
    Path(lot): Path<String>,
    sent: Sent,
) -> Page {
    let lot = LotCode::parse(&lot).map_err(|_| PageError::NotFound)?;
    let mut sheet = Sheet::of(&visit, &sent);
    if let Some(why) = sheet.read("why", |text| plain_text(text, 1, 300)) {
        let act = app.act(&me, visit.at, sent.key());
        match actions::open_correction(&act, &lot, &why).await {
            Ok(()) => return see(&paths::boil_part(&lot, "divide")),
            Err(stop) => sheet.stop(stop)?,
        }
    }
    let status = sheet.status();
    let mut sheets = Sheets::blank(&app, &visit);
    sheets.correct = sheet;
    page_with(
        status,
        &laid_out(&app, &visit, &me, (&lot, None), sheets).await?,
    )
}

/// The page of a boil's division as it stands: frozen, proposed, or why it cannot be divided; or an
/// earlier version of it.
async fn laid_out(
    app: &App,
    visit: &Visit,
    me: &Me,
    (lot, version): (&LotCode, Option<i64>),
    sheets: Sheets,
) -> Result<DivisionPage, PageError> {
    let mut snapshot = app.read().await?;
    let laid = actions::lay_out(&mut snapshot, lot)
        .await?
        .ok_or(PageError::NotFound)?;
    let versions = divisions::versions(&mut snapshot, laid.boil.id).await?;
    let frozen = match version {
        Some(wanted) => Some(
            versions
                .iter()
                .find(|v| v.version == wanted)
                .ok_or(PageError::NotFound)?,
        ),
        None if laid.put_right.is_some() => None,
        None => versions.first(),
    };
    let division = match frozen {
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
    let lines = ledger::of_boil(&mut snapshot, laid.boil.id).await?;
    let shown = Shown {
        basis: frozen.map_or(laid.rules.basis, |f| f.basis),
        laid: &laid,
        may_boil: me.is_crew() || poured,
        division: division.as_ref(),
        names: &names,
        frozen,
        versions: &versions,
        ledger: &lines,
    };
    DivisionPage::new(app, visit, me, &shown, sheets)
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
