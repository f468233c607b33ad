//! Labels of a lot: choosing them, the sheet to print, and the public page that their QR code opens.

mod form;
mod view;

use crate::calc::paper::label;
use crate::calc::paper::qr::Qr;
use crate::store::shares::lots::{self, Filled, Lot};
use crate::units::{BrixAt20C, LotCode};
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::{App, Page, page, page_with, paths};
use axum::extract::{Path, RawQuery, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{ChoosePage, LotPage, Print, SheetPage, ShutPage};

fn code(text: &str) -> Result<LotCode, PageError> {
    LotCode::parse(text).map_err(|_| PageError::NotFound)
}

/// A lot and what was filled of it.
async fn find(app: &App, text: &str) -> Result<(Lot, Vec<Filled>), PageError> {
    let code = code(text)?;
    let mut snapshot = app.read().await?;
    let lot = lots::find(&mut snapshot, &code)
        .await?
        .ok_or(PageError::NotFound)?;
    let filled = lots::filled(&mut snapshot, &code).await?;
    Ok((lot, filled))
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
pub async fn choose(State(app): State<App>, visit: Visit, Path(text): Path<String>) -> Page {
    let (lot, filled) = find(&app, &text).await?;
    if let Err(why) = labelled(&lot, &filled) {
        return page(&ShutPage::new(&app, &visit, &lot, why));
    }
    let mut sheet = Sheet::blank(&visit, &app.ids);
    form::blank(&mut sheet, visit.units());
    let no_qr = lot_qr(&app, &lot.code).is_none();
    page(&ChoosePage::new(&app, &visit, &lot, &filled, sheet, no_qr))
}

/// `GET /boils/{lot}/labels/sheet`
pub async fn sheet(
    State(app): State<App>,
    visit: Visit,
    Path(text): Path<String>,
    RawQuery(query): RawQuery,
) -> Page {
    let (lot, filled) = find(&app, &text).await?;
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
    let mut sheet = Sheet::blank(&visit, &app.ids);
    for (name, typed) in pairs {
        if form::BOXES.contains(&name.as_str()) {
            sheet.put(&name, typed);
        }
    }
    let qr = lot_qr(&app, &lot.code);
    let asked = form::read(&mut sheet, &filled, visit.units());
    let face = asked.as_ref().and_then(|asked| {
        let coop = visit.coop().ok()?;
        form::face(&mut sheet, asked, &lot, solids, coop, qr.as_ref())
    });
    match asked.zip(face) {
        Some((asked, face)) => page(&SheetPage::new(&lot, &Print { asked, face, qr })),
        None => page_with(
            StatusCode::UNPROCESSABLE_ENTITY,
            &ChoosePage::new(&app, &visit, &lot, &filled, sheet, qr.is_none()),
        ),
    }
}

/// `GET /L/{lot}`: for whoever holds a jar.
pub async fn lot(State(app): State<App>, visit: Visit, Path(text): Path<String>) -> Page {
    let (lot, filled) = find(&app, &text).await?;
    let mut snapshot = app.read().await?;
    let growers = lots::named_growers(&mut snapshot, &lot.code).await?;
    page(&LotPage::new(&app, &visit, &lot, &filled, &growers)?)
}

/// `GET /l/{lot}`: as people type it.
pub async fn lot_typed(Path(text): Path<String>) -> Page {
    Ok(Redirect::permanent(&paths::lot(&code(&text)?)).into_response())
}
