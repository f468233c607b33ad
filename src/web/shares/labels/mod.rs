//! Labels of a lot: choosing them, the sheet to print, and the public page that their QR code opens.

mod form;
mod view;

use crate::calc::paper::label;
use crate::calc::paper::qr::Qr;
use crate::facts::shares::lot_jars::LotJars;
use crate::store::Snapshot;
use crate::store::shares::lots::{self, Filled, Lot};
use crate::units::{BrixAt20C, LotCode};
use crate::web::error::PageError;
use crate::web::request::{PageRequest, Visitor};
use crate::web::{App, Page, page, page_with, paths};
use axum::extract::{Path, RawQuery};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{ChoosePage, LotPage, Print, SheetPage, ShutPage};

fn code(text: &str) -> Result<LotCode, PageError> {
    LotCode::parse(text).map_err(|_| PageError::NotFound)
}

/// A lot and what was filled of it.
async fn find(db: &mut Snapshot, text: &str) -> Result<LotJars, PageError> {
    let found = LotJars::read(db, &code(text)?).await?;
    found.ok_or(PageError::NotFound)
}

/// The solids of syrup that may be labelled, or why it may not be.
fn labelled(lot: &Lot, filled: &[Filled]) -> Result<BrixAt20C, String> {
    let Some(solids) = lot.solids else {
        return Err("This boil is not finished. Please note its finish first.".to_owned());
    };
    label::food_name(solids).map_err(|unmet| unmet.sentence)?;
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
    let LotJars { lot, filled } = find(&mut request.db, &text).await?;
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    if let Err(why) = labelled(&lot, &filled) {
        return page(&ShutPage::new(&app, &visit, &lot, why));
    }
    form::blank(&mut sheet, visit.units());
    let no_qr = lot_qr(&app, &lot.code).is_none();
    page(&ChoosePage::new(&app, &visit, &lot, &filled, sheet, no_qr))
}

/// `GET /boils/{lot}/labels/sheet`
pub(crate) async fn sheet(
    mut request: PageRequest,
    Path(text): Path<String>,
    RawQuery(query): RawQuery,
) -> Page {
    let LotJars { lot, filled } = find(&mut request.db, &text).await?;
    let mut sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    let solids = match labelled(&lot, &filled) {
        Ok(solids) => solids,
        Err(why) => {
            let shut = ShutPage::new(&app, &visit, &lot, why);
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
    let order = form::read(&mut sheet, &filled, visit.units());
    let face = order.as_ref().and_then(|order| {
        let coop = visit.coop().ok()?;
        form::face(&mut sheet, order, &lot, solids, coop, qr.as_ref())
    });
    match order.zip(face) {
        Some((order, face)) => page(&SheetPage::new(&lot, &Print { order, face, qr })),
        None => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &ChoosePage::new(&app, &visit, &lot, &filled, sheet, qr.is_none()),
        ),
    }
}

/// `GET /L/{lot}`: for whoever holds a jar.
pub(crate) async fn lot(mut request: PageRequest<Visitor>, Path(text): Path<String>) -> Page {
    let LotJars { lot, filled } = find(&mut request.db, &text).await?;
    let growers = lots::named_growers(&mut request.db, &lot.code).await?;
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
    Ok(Redirect::permanent(&paths::lot(&code(&text)?)).into_response())
}
