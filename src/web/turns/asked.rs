//! What a request about turns asks for: the press day in its address, as of which day, for whom; and
//! with which status a page with a form answers.

use crate::calc::turns::starts::Asker;
use crate::store::Conn;
use crate::store::turns::press_days::{self, PressDay};
use crate::units::PressDate;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::{Me, Visit};
use axum::http::StatusCode;

/// The press day whose date stands in an address.
pub(super) async fn day_of_path(db: &mut Conn, date: &str) -> Result<PressDay, PageError> {
    let date = PressDate::parse(date).map_err(|_| PageError::NotFound)?;
    press_days::of_date(date)
        .ask(db)
        .await?
        .ok_or(PageError::NotFound)
}

/// Today's date at the co-op.
pub(super) fn today(visit: &Visit) -> Result<PressDate, PageError> {
    Ok(visit.zone()?.local(visit.at).0)
}

/// Whoever looks, as the one who asks for starts.
pub(super) fn asker(visit: &Visit, me: &Me) -> Asker {
    Asker {
        at: visit.at,
        crew: me.is_crew(),
    }
}

/// 200 while nothing is wrong with the form of a page, else what its problem asks for.
pub(super) fn status(sheet: &Sheet) -> StatusCode {
    if sheet.problem.is_none() && sheet.problems().is_empty() {
        StatusCode::OK
    } else {
        sheet.status()
    }
}
