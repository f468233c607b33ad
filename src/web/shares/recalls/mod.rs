//! Recalls, drills or real ones: begun, ticked off by several people at once, ended and kept.

mod form;
mod view;

use crate::actions::Act;
use crate::actions::shares::recalls as actions;
use crate::actions::shares::recalls::RecallNumber;
use crate::facts::shares::recalls::{CallRecord, RecallRecord};
use crate::store::Snapshot;
use crate::store::shares::recalls;
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, page_with, paths};
use axum::extract::{Path, Query};
use serde::Deserialize;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{CallPage, EndPage, ListPage, NewPage, RecallPage};

/// What the address of a new recall may say it starts from.
#[derive(Debug, Deserialize)]
pub(crate) struct RecallStart {
    #[serde(default)]
    kind: String,
    #[serde(default)]
    which: String,
}

/// `GET /recalls`
pub(crate) async fn list(mut request: PageRequest) -> Page {
    let all = recalls::list().ask(&mut request.db).await?;
    page(&ListPage::new(&request.app, &request.visit, &all)?)
}

/// `GET /recalls/new`
pub(crate) async fn new(request: PageRequest, Query(wanted): Query<RecallStart>) -> Page {
    let sheet = form::blank(request.blank(), &wanted.kind, &wanted.which);
    page(&NewPage::new(&request.app, &request.visit, sheet))
}

/// `POST /recalls/new`
pub(crate) async fn begin(mut form: FormRequest) -> Page {
    let today = form.visit.zone()?.local(form.visit.at).0;
    let new = form::recall(&mut form.sheet, today);
    form.end(
        new,
        async |act: &Act, new| actions::begin(act, new).await,
        |RecallNumber(number)| paths::recall(number),
        async |form| {
            let status = form.sheet.status();
            page_with(status, &NewPage::new(&form.app, &form.visit, form.sheet))
        },
    )
    .await
}

async fn recall_of(db: &mut Snapshot, number: &str) -> Result<RecallRecord, PageError> {
    let number = number.parse().map_err(|_| PageError::NotFound)?;
    let found = RecallRecord::read(db, number).await?;
    found.ok_or(PageError::NotFound)
}

/// `GET /recalls/{number}`
pub(crate) async fn show(mut request: PageRequest, Path(number): Path<String>) -> Page {
    let recall = recall_of(&mut request.db, &number).await?;
    page(&RecallPage::new(&request.app, &request.visit, &recall)?)
}

/// The call of a number in an address.
fn call_of<'a>(recall: &'a RecallRecord, call: &str) -> Result<&'a CallRecord, PageError> {
    let call: i64 = call.parse().map_err(|_| PageError::NotFound)?;
    let found = recall.calls.iter().find(|c| c.call == call);
    found.ok_or(PageError::NotFound)
}

/// `GET /recalls/{number}/calls/{id}`
pub(crate) async fn call_form(
    mut request: PageRequest,
    Path((number, call)): Path<(String, String)>,
) -> Page {
    let recall = recall_of(&mut request.db, &number).await?;
    let call = call_of(&recall, &call)?;
    let sheet = form::call_as_noted(request.blank(), call);
    let PageRequest { app, visit, .. } = request;
    page(&CallPage::new(&app, &visit, &recall, call, sheet)?)
}

/// `POST /recalls/{number}/calls/{id}`
pub(crate) async fn note_call(
    Path((number, call)): Path<(String, String)>,
    mut form: FormRequest,
) -> Page {
    let recall = recall_of(form.db.now().await?, &number).await?;
    let call = call_of(&recall, &call)?;
    let new = form::call(&mut form.sheet, call);
    let at = (recall.row.number, call.call);
    form.end(
        new,
        async |act: &Act, new| actions::note_call(act, at.0, at.1, new).await,
        |()| paths::recall(at.0),
        async |form| {
            let status = form.sheet.status();
            let view = CallPage::new(&form.app, &form.visit, &recall, call, form.sheet)?;
            page_with(status, &view)
        },
    )
    .await
}

/// `GET /recalls/{number}/end`
pub(crate) async fn end_form(mut request: PageRequest, Path(number): Path<String>) -> Page {
    let recall = recall_of(&mut request.db, &number).await?;
    let sheet = request.blank();
    let PageRequest { app, visit, .. } = request;
    page(&EndPage::new(&app, &visit, &recall, sheet))
}

/// `POST /recalls/{number}/end`
pub(crate) async fn end(Path(number): Path<String>, mut form: FormRequest) -> Page {
    let recall = recall_of(form.db.now().await?, &number).await?;
    let new = form::end(&mut form.sheet);
    let at = recall.row.number;
    form.end(
        new,
        async |act: &Act, (answers, says)| actions::end(act, at, answers, says).await,
        |()| paths::recall(at),
        async |form| {
            let status = form.sheet.status();
            let view = EndPage::new(&form.app, &form.visit, &recall, form.sheet);
            page_with(status, &view)
        },
    )
    .await
}
