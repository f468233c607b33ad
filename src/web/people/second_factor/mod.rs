//! One's own second factor: set up with an authenticator, looked at, taken away.

mod view;

use crate::actions::people::second_factor::{self as actions, Offered};
use crate::actions::{Act, Stop};
use crate::store::people::{accounts, second_factor};
use crate::units::Passphrase;
use crate::web::error::PageError;
use crate::web::people::accounts::Address;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::throttle::Guess;
use crate::web::{Page, page, page_with, paths};
#[cfg(test)]
pub(in crate::web) use view::samples;
use view::{CodesPage, OfferPage, SetPage};

/// `GET /second-factor`: what is set; or the secret of a new one, which follows from the form's key and this browser's
/// cookie, and is kept nowhere until it is taken.
pub(crate) async fn show(mut request: PageRequest) -> Page {
    let sheet = request.blank();
    let set = second_factor::find(request.me.id)
        .ask(&mut request.db)
        .await?;
    if let Some(set) = set {
        return page(&SetPage::new(&request.app, &request.visit, sheet, &set)?);
    }
    let name = accounts::sign_in_of(&mut request.db, request.me.id).await?;
    let offered = Offered::of(&request.visit.secret_of("second factor", &sheet.form_key));
    let name = name.map_or_else(String::new, |name| name.as_str().to_owned());
    page(&OfferPage::new(
        &request.app,
        &request.visit,
        sheet,
        (&offered, &name),
    )?)
}

/// Counts a guess at one's own passphrase, as where a new one is set; refuses where there were too many.
fn count(form: &FormRequest, from: &Address) -> Result<Guess, PageError> {
    let guess = Guess::from_address(&format!("old {}", form.me.id), from.as_str());
    let counted = form.app.throttle.count(&guess, form.visit.at);
    counted.map_err(|seconds| PageError::TooMany { seconds })?;
    Ok(guess)
}

/// `POST /second-factor`: shows the recovery codes; the same form sent again shows the same ones.
pub(crate) async fn turn_on(address: Address, mut form: FormRequest) -> Page {
    let guess = count(&form, &address)?;
    let offered = Offered::of(&form.visit.secret_of("second factor", &form.sheet.form_key));
    let passphrase = Passphrase::typed(form.sent.get("passphrase"));
    let typed = form.sent.get("code").to_owned();
    let (hashing, cookie) = (form.app.hashing.clone(), form.visit.cookie().to_owned());
    let act = form.act();
    let done = actions::turn_on(&act, &hashing, passphrase, (&offered, &typed), &cookie).await;
    if done.is_ok() {
        form.app.throttle.succeeded(&guess);
        tracing::info!(member = %form.me.id, "a second factor was set");
    }
    form.sheet.forget(&["passphrase", "code"]);
    if form.ended(done, |()| String::new())?.is_some() {
        return page(&CodesPage::new(&form.app, &form.visit, &offered));
    }
    let now = form.db.now().await?;
    let set = second_factor::find(form.me.id).ask(now).await?;
    let name = accounts::sign_in_of(now, form.me.id).await?;
    let status = form.sheet.status();
    if let Some(set) = set {
        let view = SetPage::new(&form.app, &form.visit, form.sheet, &set)?;
        return page_with(status, &view);
    }
    let name = name.map_or_else(String::new, |name| name.as_str().to_owned());
    let view = OfferPage::new(&form.app, &form.visit, form.sheet, (&offered, &name))?;
    page_with(status, &view)
}

/// `POST /second-factor/take-away`
pub(crate) async fn turn_off(address: Address, mut form: FormRequest) -> Page {
    let guess = count(&form, &address)?;
    let passphrase = Passphrase::typed(form.sent.get("passphrase"));
    let set = second_factor::find(form.me.id)
        .ask(form.db.now().await?)
        .await?;
    let hashing = form.app.hashing.clone();
    let throttle = form.app.throttle.clone();
    form.end_showing(
        Some(passphrase),
        async |act: &Act, passphrase| {
            let done = actions::turn_off(act, &hashing, passphrase).await;
            match &done {
                Ok(()) => {
                    throttle.succeeded(&guess);
                    tracing::info!(member = %act.actor.id, "a second factor was taken away");
                }
                Err(Stop::RuleRefusal(refusal)) if refusal.code == "passphrase-wrong" => {}
                Err(_) => throttle.undo(&guess),
            }
            done
        },
        |()| paths::SESSIONS.to_owned(),
        |app, visit, mut sheet| {
            sheet.forget(&["passphrase"]);
            let Some(set) = set else {
                return Err(PageError::NotYet {
                    sentence: sheet.first_problem(),
                    back: paths::SECOND_FACTOR.to_owned(),
                });
            };
            SetPage::new(app, visit, sheet, &set)
        },
    )
    .await
}
