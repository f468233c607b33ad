//! The door every request comes through: a page that is looked at, or a form that was sent, each with the
//! site, the visit, who asks, and one moment of the database. A request is lent its moment; no handler
//! can take a second one while it holds the first.

use super::app::App;
use super::error::PageError;
use super::form::{Sent, Sheet};
use super::kept::{self, KeptEntry};
use super::moment::{Lent, Moments};
use super::page::{Page, page_with, see};
use super::session::{Me, Visit};
use crate::actions::{Act, Answer, Done, SentForm, Stop};
use crate::store::{Snapshot, form_keys};
use crate::units::UtcSecond;
use askama::Template;
use axum::body::Bytes;
use axum::extract::{FromRequest, FromRequestParts, Request};
use axum::http::request::Parts;

/// Kinds of people who ask for a page: somebody signed in ([`Me`]), or anybody ([`Visitor`]).
pub(super) trait Asker: Sized + Send {
    /// Finds in the visit who asks.
    ///
    /// # Errors
    /// Nobody is signed in where somebody must be.
    fn of(visit: &Visit) -> Result<Self, PageError>;
}

/// Anybody who asks, signed in or not.
#[derive(Debug, Clone, Copy)]
pub(super) struct Visitor;

impl Asker for Me {
    fn of(visit: &Visit) -> Result<Self, PageError> {
        visit.me().ok_or(PageError::SignedOut)
    }
}

impl Asker for Visitor {
    fn of(_: &Visit) -> Result<Self, PageError> {
        Ok(Self)
    }
}

fn visit_of(parts: &Parts) -> Result<Visit, PageError> {
    parts
        .extensions
        .get::<Visit>()
        .cloned()
        .ok_or_else(|| PageError::Fault("a request without its visit".to_owned()))
}

/// A page that is looked at.
#[derive(Debug)]
pub(super) struct PageRequest<W = Me> {
    /// The site's parts and settings.
    pub app: App,
    /// The visit: when, by whom, at which co-op.
    pub visit: Visit,
    /// The person who asks.
    pub me: W,
    /// The moment that the page shows; the visit was read from it as well.
    pub db: Snapshot,
}

impl<W> PageRequest<W> {
    /// An empty form with a fresh key.
    pub(super) fn blank(&self) -> Sheet {
        Sheet::blank(&self.visit, &self.app.ids)
    }
}

impl<W: Asker> FromRequestParts<App> for PageRequest<W> {
    type Rejection = PageError;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, PageError> {
        let visit = visit_of(parts)?;
        Ok(Self {
            app: app.clone(),
            me: W::of(&visit)?,
            visit,
            db: Lent::take(parts)?,
        })
    }
}

/// The moment of a form: lent until the form's action begins, and lent anew for the page that shows the
/// form again. Never two at once.
#[derive(Debug)]
pub(super) struct FormMoment {
    moments: Moments,
    held: Option<Snapshot>,
}

impl FormMoment {
    /// The moment to read from.
    ///
    /// # Errors
    /// The database failed.
    pub(super) async fn now(&mut self) -> Result<&mut Snapshot, PageError> {
        let opened = match self.held.take() {
            Some(held) => held,
            None => self.moments.open_moment().await?,
        };
        Ok(self.held.insert(opened))
    }

    /// Gives the moment back: what is read afterwards is read anew.
    pub(super) fn give_back(&mut self) {
        self.held = None;
    }
}

/// A form that was sent.
#[derive(Debug)]
pub(super) struct FormRequest<W = Me> {
    /// The site's parts and settings.
    pub app: App,
    /// The visit: when, by whom, at which co-op.
    pub visit: Visit,
    /// The person who sent it.
    pub me: W,
    /// The form as it would be shown again.
    pub sheet: Sheet,
    /// The boxes as they were sent.
    pub sent: Sent,
    /// The moment to read from.
    pub db: FormMoment,
    /// What the phone says of it, when it was kept there before it was sent.
    kept: Option<KeptEntry>,
    /// The address it was sent to.
    target: String,
}

impl<W: Asker> FromRequest<App> for FormRequest<W> {
    type Rejection = PageError;

    async fn from_request(request: Request, app: &App) -> Result<Self, PageError> {
        let (parts, body) = request.into_parts();
        let visit = visit_of(&parts)?;
        let me = W::of(&visit)?;
        let member = visit.me().filter(|me| !me.is_crew());
        if let Some(seconds) = member.and_then(|me| app.throttle.sends_too_often(me.id, visit.at)) {
            return Err(PageError::TooMany { seconds });
        }
        let kept = KeptEntry::read(&parts.headers, &visit)?;
        let held = Some(Lent::take(&parts)?);
        let target = parts.uri.path().to_owned();
        let body = Bytes::from_request(Request::from_parts(parts, body), app)
            .await
            .map_err(|_| PageError::Garbled)?;
        let sent = Sent::read(&body, &visit, kept.is_some())?;
        Ok(Self {
            app: app.clone(),
            sheet: Sheet::of(&visit, &sent),
            me,
            visit,
            sent,
            db: FormMoment {
                moments: app.moments.clone(),
                held,
            },
            kept,
            target,
        })
    }
}

impl<W> FormRequest<W> {
    /// The form so far as it tells one sending from another.
    pub(super) fn as_form(&self) -> SentForm {
        let phone = self.kept.map(|kept| kept.phone);
        let station = self.visit.station.as_ref().map(|s| s.id);
        self.sent.as_form(&self.target).kept(phone).sent_at(station)
    }

    /// Whether a button of [`out_of_use`](../../templates/parts/form.html) takes a thing out of use, and not back.
    pub(super) fn out_of_use(&self) -> bool {
        self.sent.get("out") != "no"
    }

    /// When whoever sent it said so: the tap, where a phone kept it before it was sent; else just now.
    pub(super) fn said_at(&self) -> UtcSecond {
        let kept = self.kept;
        kept.map_or(self.visit.at, |kept| kept.phone.said_at(self.visit.at))
    }

    /// On to the result: as an address to a phone's script, by a redirect to everybody else.
    pub(super) fn went_to(&self, address: &str) -> Page {
        match self.kept {
            Some(_) => Ok(kept::taken(address)),
            None => see(address),
        }
    }

    /// Ends the form by what became of its action: the address to go on to; or nothing, and the form holds
    /// the problem and is to be shown again.
    ///
    /// # Errors
    /// A missing record, or what broke.
    pub(super) fn ended<T: Answer>(
        &mut self,
        done: Done<T>,
        to: impl FnOnce(T) -> String,
    ) -> Result<Option<String>, PageError> {
        self.db.give_back();
        match done {
            Ok(answer) => Ok(Some(to(answer))),
            Err(Stop::SentOtherwise { answer, differs }) => {
                let answer = T::read(&answer).ok_or(PageError::NotFound)?;
                self.sheet.stored_otherwise(&differs, to(answer));
                Ok(None)
            }
            Err(stop) => {
                self.sheet.stop(stop)?;
                if let Some(trouble) = self.sheet.trouble() {
                    self.app.writer.lookout().notice(trouble);
                }
                Ok(None)
            }
        }
    }
}

impl FormRequest<Me> {
    /// What an action is handed. The moment read from is given back: an action waits for the one writer,
    /// and must not keep a reader waiting meanwhile.
    pub(super) fn act(&mut self) -> Act {
        self.db.give_back();
        Act {
            writer: self.app.writer.clone(),
            reader: self.app.moments.reader(),
            at: self.visit.at,
            ids: self.app.ids.clone(),
            actor: self.me.actor(),
            form: self.as_form(),
        }
    }

    /// The one exit of a form: does what was meant and goes on to `to`; or, when a box is wrong (`meant` is
    /// nothing) or a rule is not met, shows the form again by `again`, with everything that was typed.
    ///
    /// # Errors
    /// A missing record, or what broke.
    pub(super) async fn end<M, T: Answer>(
        mut self,
        meant: Option<M>,
        action: impl AsyncFnOnce(&Act, M) -> Done<T>,
        to: impl FnOnce(T) -> String,
        again: impl AsyncFnOnce(Self) -> Page,
    ) -> Page {
        if let Some(meant) = meant {
            let act = self.act();
            let done = action(&act, meant).await;
            if let Some(address) = self.ended(done, to)? {
                return self.went_to(&address);
            }
        } else {
            let form = self.as_form();
            let done = form_keys::was_done(form.key, &form.target);
            let now = self.db.now().await?;
            self.sheet.sent_before = done.ask(now).await?;
        }
        again(self).await
    }

    /// As [`Self::end`], for a page that needs nothing but the form to be `shown` again.
    ///
    /// # Errors
    /// A missing record, or what broke.
    pub(super) async fn end_showing<M, T: Answer, V: Template>(
        self,
        meant: Option<M>,
        action: impl AsyncFnOnce(&Act, M) -> Done<T>,
        to: impl FnOnce(T) -> String,
        shown: impl FnOnce(&App, &Visit, Sheet) -> Result<V, PageError>,
    ) -> Page {
        self.end(meant, action, to, async |form: Self| form.show(shown))
            .await
    }

    /// The page on which the form stands again.
    ///
    /// # Errors
    /// What the page cannot be made without.
    pub(super) fn show<V: Template>(
        self,
        shown: impl FnOnce(&App, &Visit, Sheet) -> Result<V, PageError>,
    ) -> Page {
        let status = self.sheet.status();
        page_with(status, &shown(&self.app, &self.visit, self.sheet)?)
    }

    /// Writes the version that stands now into a form whose boxes could all be read. Shown again it was refused, and
    /// said so; sent again it is meant.
    pub(super) fn next_try_names<M>(&mut self, meant: Option<&M>, box_name: &str, version: i64) {
        if meant.is_some() {
            self.sheet.put(box_name, version.to_string());
        }
    }

    /// The one exit of a button, which has no boxes to go back to: does it and goes on to `page`; when a rule
    /// is not met, says so with the way back to it.
    ///
    /// # Errors
    /// A rule is not met, a missing record, or what broke.
    pub(super) async fn press<T: Answer>(
        mut self,
        action: impl AsyncFnOnce(&Act) -> Done<T>,
        page: impl Into<String>,
    ) -> Page {
        let act = self.act();
        let done = action(&act).await;
        let page: String = page.into();
        match self.ended(done, |_| page.clone())? {
            Some(address) => self.went_to(&address),
            None if let Some(trouble) = self.sheet.trouble() => Err(PageError::Trouble(trouble)),
            None => Err(PageError::NotYet {
                sentence: self.sheet.first_problem(),
                back: self.sheet.stored_at.unwrap_or(page),
            }),
        }
    }
}
