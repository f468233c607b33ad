//! Probes: letting one into a pan, its page, its offset; what it sends; what the boil's page shows of it.

pub(in crate::web) mod live;
mod readings;
mod sent;
mod view;

use crate::actions::boil::probes as actions;
use crate::actions::{Act, Stop};
use crate::facts::boil::probes::KnownProbe;
use crate::store::Snapshot;
use crate::store::boil::pans::{self, Pan};
use crate::units::{PanId, ProbeId, one_line};
use crate::web::error::PageError;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::{Page, page, page_with, paths, see};
use axum::extract::Path;
pub(crate) use readings::take;
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{FormPage, ProbePage, TokenPage};
pub(in crate::web) use view::{ProbeList, probe_list};

/// The pan in use whose id stands in an address.
async fn pan_of_path(db: &mut Snapshot, id: &str) -> Result<Pan, PageError> {
    let id = PanId::parse(id).ok_or(PageError::NotFound)?;
    let pan = pans::find(id).ask(db).await?.ok_or(PageError::NotFound)?;
    if pan.retired_at.is_some() {
        return Err(PageError::NotYet {
            sentence: format!("{} is out of use. Please choose another pan.", pan.name),
            back: paths::PANS.to_owned(),
        });
    }
    Ok(pan)
}

/// The probe whose id stands in an address.
async fn probe_of_path(db: &mut Snapshot, id: &str) -> Result<KnownProbe, PageError> {
    let id = ProbeId::parse(id).ok_or(PageError::NotFound)?;
    KnownProbe::find(id)
        .ask(db)
        .await?
        .ok_or(PageError::NotFound)
}

/// `GET /mill/pans/{id}/probes/new`
pub(crate) async fn new(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let pan = pan_of_path(&mut request.db, &id).await?;
    let sheet = request.blank();
    page(&FormPage::new(&request.app, &request.visit, &pan, sheet))
}

/// `POST /mill/pans/{id}/probes/new`: shows the token once; it is not kept.
pub(crate) async fn create(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let pan = pan_of_path(form.db.now().await?, &id).await?;
    if let Some(name) = form.sheet.read("probe_name", |t| one_line(t, 1, 60)) {
        match actions::make_token(&form.act(), pan.id, name.clone()).await {
            Ok(made) => {
                return match made.token {
                    Some(token) => {
                        let about = (made.id, name.as_str(), pan.name.as_str());
                        page(&TokenPage::new(&form.app, &form.visit, about, &token))
                    }
                    // Sent twice: the token was shown the first time and is kept nowhere.
                    None => see(&paths::probe(made.id)),
                };
            }
            Err(Stop::SentOtherwise { answer, .. }) => {
                let made = ProbeId::parse(&answer).ok_or(PageError::NotFound)?;
                return see(&paths::probe(made));
            }
            Err(stop) => form.sheet.stop(stop)?,
        }
    }
    let status = form.sheet.status();
    page_with(
        status,
        &FormPage::new(&form.app, &form.visit, &pan, form.sheet),
    )
}

/// `GET /mill/probes/{id}`
pub(crate) async fn show(mut request: PageRequest, Path(id): Path<String>) -> Page {
    let known = probe_of_path(&mut request.db, &id).await?;
    page(&ProbePage::new(&request, &known)?)
}

/// `POST /mill/probes/{id}/revoke`
pub(crate) async fn revoke(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let id = probe_of_path(form.db.now().await?, &id).await?.probe.id;
    let revoke = async |act: &Act| actions::revoke(act, id).await;
    form.press(revoke, paths::probe(id)).await
}

/// `POST /mill/probes/{id}/boiling-water`
pub(crate) async fn in_water(Path(id): Path<String>, mut form: FormRequest) -> Page {
    let id = probe_of_path(form.db.now().await?, &id).await?.probe.id;
    let units = form.visit.units();
    let learn = async |act: &Act| actions::learn_offset(act, id, units).await;
    form.press(learn, paths::probe(id)).await
}
