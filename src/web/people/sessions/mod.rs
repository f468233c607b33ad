//! Where one is signed in: one's own devices, seen and signed out; a member signed out by a steward.

mod view;

use crate::actions::Act;
use crate::actions::people::sessions as actions;
use crate::store::people::second_factor;
use crate::web::people::members::of_path;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, paths};
use axum::extract::Path;
use view::SessionsPage;
#[cfg(test)]
pub(in crate::web) use view::samples;

/// `GET /sessions`
pub(crate) async fn show(mut request: PageRequest) -> Page {
    let (me, at) = (request.me.id, request.visit.at);
    let open = actions::open_of(&mut request.db, me, at).await?;
    let second = second_factor::find(me).ask(&mut request.db).await?;
    page(&SessionsPage::new(&request, &open, second.as_ref())?)
}

/// `POST /sessions/{number}/end`
pub(crate) async fn end(Path(mark): Path<String>, form: FormRequest) -> Page {
    let end = async |act: &Act| actions::end(act, &mark).await;
    form.press(end, paths::SESSIONS).await
}

/// `POST /sessions/end-others`
pub(crate) async fn end_others(form: FormRequest) -> Page {
    let token = form.visit.cookie().to_owned();
    let end = async |act: &Act| actions::end_others(act, &token).await;
    form.press(end, paths::SESSIONS).await
}

/// `POST /members/{id}/sign-out`
pub(crate) async fn end_all(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let member = of_path(form.db.now().await?, &id).await?.id;
    let end = async |act: &Act| actions::end_all(act, member).await;
    form.press(end, paths::member(member)).await
}
