//! Labels of a lot: choosing them, the sheet to print, and the public page that their QR code opens.

mod form;
mod view;

use crate::calc::paper::label;
use crate::calc::paper::qr::Qr;
use crate::facts::shares::lot_jars::LotJars;
use crate::store::Snapshot;
use crate::store::shares::lots;
use crate::units::{BrixAt20C, LotCode};
use crate::web::error::PageError;
use crate::web::people::accounts::Address;
use crate::web::request::{PageRequest, Visitor};
use crate::web::{App, Page, page, page_with, paths, see};
use axum::extract::{Path, Query, RawQuery};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{ChoosePage, LotPage, Print, SheetPage, ShutPage};

/// Longest code that is led on as it was typed, characters.
const LONGEST: usize = 40;

fn code(text: &str) -> Result<LotCode, PageError> {
    LotCode::parse(text).map_err(|_| PageError::NotFound)
}

/// A lot and what was filled of it.
async fn find(db: &mut Snapshot, text: &str) -> Result<LotJars, PageError> {
    let found = LotJars::read(db, &code(text)?).await?;
    found.ok_or(PageError::NotFound)
}

/// The solids of syrup that may be labelled, or why it may not be.
fn labelled(
    LotJars {
        lot, filled, held, ..
    }: &LotJars,
) -> Result<BrixAt20C, String> {
    if let Some(why) = held {
        return Err(format!(
            "This lot is held: {why}. It is labelled once a steward has released it."
        ));
    }
    let Some(solids) = lot.solids else {
        return Err("This boil is not finished. Please note its finish first.".to_owned());
    };
    label::food_name(solids).map_err(|refusal| refusal.sentence)?;
    if filled.is_empty() {
        return Err("No jars of this lot are noted yet. Please note what was filled first.".into());
    }
    Ok(solids)
}

/// The QR code of a lot's public page. In capitals: that makes it smaller, and both the name of a
/// host and our own address of a lot may be written so.
fn lot_qr(app: &App, code: &LotCode) -> Option<Qr> {
    let site = app.public_url.as_ref()?;
    Qr::of(&format!("{site}{}", paths::lot(code)).to_uppercase()).ok()
}

/// `GET /boils/{lot}/labels`
pub(crate) async fn choose(mut request: PageRequest, Path(text): Path<String>) -> Page {
    let jars = find(&mut request.db, &text).await?;
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    let LotJars { lot, filled, .. } = &jars;
    if let Err(why) = labelled(&jars) {
        return page(&ShutPage::new(&app, &visit, lot, why));
    }
    form::blank(&mut sheet, visit.units());
    let no_qr = lot_qr(&app, &lot.code).is_none();
    page(&ChoosePage::new(&app, &visit, lot, filled, sheet, no_qr))
}

/// `GET /boils/{lot}/labels/sheet`
pub(crate) async fn sheet(
    mut request: PageRequest,
    Path(text): Path<String>,
    RawQuery(query): RawQuery,
) -> Page {
    let jars = find(&mut request.db, &text).await?;
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    let LotJars { lot, filled, .. } = &jars;
    let solids = match labelled(&jars) {
        Ok(solids) => solids,
        Err(why) => {
            let shut = ShutPage::new(&app, &visit, lot, why);
            return page_with(StatusCode::CONFLICT, &shut);
        }
    };
    let pairs: Vec<(String, String)> =
        serde_urlencoded::from_str(query.as_deref().unwrap_or_default())
            .map_err(|_| PageError::Garbled)?;
    for (name, typed) in pairs {
        if form::BOXES.contains(&name.as_str()) {
            sheet.put(&name, typed);
        }
    }
    let qr = lot_qr(&app, &lot.code);
    form::ask_if_short(&mut sheet, jars.short.as_deref());
    let order = form::read(&mut sheet, filled, visit.units());
    let face = order.as_ref().and_then(|order| {
        let coop = visit.coop().ok()?;
        form::face(&mut sheet, order, lot, solids, coop, qr.as_ref())
    });
    let order = order.filter(|_| sheet.problems().is_empty());
    match order.zip(face) {
        Some((order, face)) => page(&SheetPage::new(lot, &Print { order, face, qr })),
        None => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &ChoosePage::new(&app, &visit, lot, filled, sheet, qr.is_none()),
        ),
    }
}

/// Whether the public page is wanted by somebody who would be led inside.
#[derive(Debug, Deserialize)]
pub(crate) struct AsPublic {
    #[serde(default)]
    public: String,
}

/// A public page by what stands in its address, whatever that is: an unknown, a malformed and a withheld code
/// take the same queries and get the same answer. Withheld is a lot with no jar filled.
async fn public(db: &mut Snapshot, text: &str) -> Result<LotJars, PageError> {
    // No boil has the code of all noughts: it is looked for in place of what is no code.
    let code = LotCode::parse(text).unwrap_or_else(|_| LotCode::of_no_boil());
    let lot = lots::find(&code).ask(db).await?;
    let filled = lots::filled(&code).ask(db).await?;
    let held = lots::held(db, &code).await?;
    match lot {
        Some(lot) if !filled.is_empty() => Ok(LotJars::public(lot, filled, held)),
        _ => Err(PageError::NotFound),
    }
}

/// `GET /L/{lot}`: for whoever holds a jar. The crew are led to the inside of the lot.
pub(crate) async fn lot(
    address: Address,
    mut request: PageRequest<Visitor>,
    Path(text): Path<String>,
    Query(wanted): Query<AsPublic>,
) -> Page {
    let crew = request.visit.me().is_some_and(|me| me.is_crew());
    if crew && wanted.public != "yes" {
        return see(&paths::lot_trace(&code(&text)?));
    }
    let at = request.visit.at;
    let throttle = &request.app.throttle;
    if !crew && let Some(seconds) = throttle.looked_up_too_often(address.as_str(), at) {
        return Err(PageError::TooMany { seconds });
    }
    let LotJars { lot, filled, .. } = public(&mut request.db, &text).await?;
    let growers = lots::named_growers(&lot.code).ask(&mut request.db).await?;
    page(&LotPage::new(
        &request.app,
        &request.visit,
        &lot,
        &filled,
        &growers,
    )?)
}

/// `GET /l/{lot}`: as people type it.
pub(crate) async fn lot_typed(Path(text): Path<String>) -> Page {
    // What is no code is led on as well: the page itself answers.
    let typed: String = text.chars().take(LONGEST).collect();
    let there = LotCode::parse(&typed)
        .map_or_else(|_| paths::lot_as_typed(&typed), |code| paths::lot(&code));
    Ok(Redirect::permanent(&there).into_response())
}
