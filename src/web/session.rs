//! Who is asking: the visit of each request, from its cookies.

use super::app::App;
pub(super) use super::cookies::{cookie, set_cookie};
use super::error::PageError;
use super::said::said;
use crate::actions::people::accounts as account_actions;
use crate::actions::people::stations as station_actions;
use crate::actions::{Actor, SentForm, Token, hash_token};
use crate::store::Snapshot;
use crate::store::people::stations::SignedInStation;
use crate::store::people::{accounts, coop, stations, visits};
use crate::units::{FormKey, MemberId, Role, Units, UtcSecond, Zone};
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue};
use std::sync::Arc;

/// A request as the site sees it: when, by whom, at which co-op.
#[derive(Debug, Clone)]
pub(super) struct Visit {
    /// The moment of the request.
    pub at: UtcSecond,
    /// The co-op; `None` before set-up.
    pub coop: Option<Arc<coop::Coop>>,
    /// The person who is signed in, or picked at the station.
    pub who: Option<Arc<accounts::Session>>,
    /// The mill's station, when the browser is one.
    pub station: Option<Arc<SignedInStation>>,
    /// The session's token, or that of a visitor not signed in; never shown.
    cookie: String,
    /// Whether the visitor's cookie is new and must be set.
    fresh: bool,
    /// Whether the clock is the demo's.
    pub demo: bool,
    /// The look chosen on this browser: "light", "dark", or empty: as the system has it.
    pub look: &'static str,
    /// What this page tells of the form that was just done; empty: nothing.
    pub said: &'static str,
}

/// The person who is signed in.
#[derive(Debug, Clone)]
pub(super) struct Me {
    /// Id of the member.
    pub id: MemberId,
    /// Name of the member.
    pub name: String,
    /// What this person may do.
    pub role: Role,
    /// Units this person reads and types in.
    pub units: Units,
    /// The cards that this person acts for besides the own.
    pub acts_for: Vec<MemberId>,
}

impl Me {
    /// Whether what is a member's is open to this person: the own, that of a card acted for, everybody's for crew.
    pub(super) fn may_see(&self, member: MemberId) -> bool {
        self.is_crew() || self.is_theirs(member)
    }

    /// Whether a card is this person's own, or one acted for.
    pub(super) fn is_theirs(&self, member: MemberId) -> bool {
        self.id == member || self.acts_for.contains(&member)
    }

    /// The own card, and those acted for.
    pub(super) fn cards(&self) -> Vec<MemberId> {
        let own = std::iter::once(self.id);
        own.chain(self.acts_for.iter().copied()).collect()
    }

    /// This person as the actor of an action.
    pub(super) fn actor(&self) -> Actor {
        Actor {
            id: self.id,
            role: self.role,
        }
    }

    /// Whether this person may do what crew do.
    pub(super) fn is_crew(&self) -> bool {
        self.role >= Role::Crew
    }

    /// Whether this person is a steward.
    pub(super) fn is_steward(&self) -> bool {
        self.role == Role::Steward
    }
}

/// The name of the session cookie; the prefix makes browsers insist on https, this host and `/`.
pub(super) fn cookie_name(secure: bool) -> &'static str {
    if secure {
        "__Host-canewright"
    } else {
        "canewright"
    }
}

fn visitor_name(secure: bool) -> &'static str {
    if secure {
        "__Host-canewright-visitor"
    } else {
        "canewright-visitor"
    }
}

/// The name of the cookie by which a device is known that somebody signed in with before.
pub(super) fn device_name(secure: bool) -> &'static str {
    if secure {
        "__Host-canewright-device"
    } else {
        "canewright-device"
    }
}

/// The cookie that keeps the look chosen on a browser.
pub(super) const LOOK: &str = "canewright-look";

/// The look of that word; empty: as the system has it.
pub(super) fn look(word: &str) -> &'static str {
    match word {
        "light" => "light",
        "dark" => "dark",
        _ => "",
    }
}

fn look_of(headers: &HeaderMap) -> &'static str {
    cookie(headers, LOOK).map_or("", look)
}

/// Notes that a session is in use, apart from the answer: a page never waits for a write, and is shown
/// even when nothing can be written.
fn note_use(app: &App, at: UtcSecond, token_hash: String) {
    let writer = app.writer.clone();
    tokio::spawn(async move {
        if let Err(error) = account_actions::touch_session(&writer, at, &token_hash).await {
            tracing::warn!(%error, "the use of a session was not noted");
        }
    });
}

/// The station of a token, unless it was not used for long.
async fn standing(
    now: &mut Snapshot,
    token: &str,
    at: UtcSecond,
) -> Result<Option<SignedInStation>, PageError> {
    let found = stations::standing(&hash_token(token)).ask(now).await?;
    Ok(found.filter(|s| at.get() - s.seen_at.get() < station_actions::STATION_IDLE_S))
}

/// Who stands at a station, as somebody of the crew, whatever more the person may do elsewhere.
fn picked(station: &SignedInStation, at: UtcSecond) -> Option<accounts::Session> {
    let picked = station.picked.as_ref()?;
    let left = station_actions::PICKED_S - (at.get() - picked.at.get());
    (left > 0).then(|| accounts::Session {
        member_id: picked.id,
        name: picked.name.clone(),
        role: Role::Crew,
        units: picked.units,
        clock: 24,
        acts_for: None,
        seen_at: picked.at,
        ends_at: at.plus(left),
    })
}

impl Visit {
    /// Notes that a station was used by whoever is picked there, at most once in half a minute, apart from
    /// the answer.
    pub(super) fn note_station_use(&self, app: &App) {
        let Some(station) = &self.station else {
            return;
        };
        let last = self.who.as_ref().map_or(station.seen_at, |w| w.seen_at);
        if self.at.get() - last.get() < 30 {
            return;
        }
        let (writer, at, id) = (app.writer.clone(), self.at, station.id);
        let member = self.who.as_ref().map(|w| w.member_id);
        tokio::spawn(async move {
            if let Err(error) = station_actions::touch(&writer, at, id, member).await {
                tracing::warn!(%error, "the use of the station was not noted");
            }
        });
    }

    /// Reads the visit of a request from its cookies and the moment that the request was lent.
    pub(super) async fn read(
        app: &App,
        headers: &HeaderMap,
        now: &mut Snapshot,
    ) -> Result<Self, PageError> {
        let at = app.clock.read();
        let token = cookie(headers, cookie_name(app.secure));
        let hash = token.map(hash_token).unwrap_or_default();
        let (coop, session) = visits::read(now, &hash).await?;
        let coop = coop.map(Arc::new);
        let live = session
            .filter(|s| at < s.ends_at && at.get() - s.seen_at.get() < account_actions::IDLE_S);
        if let (Some(session), Some(token)) = (live, token) {
            if at.get() - session.seen_at.get() >= 60 {
                note_use(app, at, hash_token(token));
            }
            let who = Some(Arc::new(session));
            return Ok(Self {
                at,
                coop,
                who,
                station: None,
                cookie: token.to_owned(),
                fresh: false,
                demo: app.demo,
                look: look_of(headers),
                said: said(headers),
            });
        }
        if let Some(token) = token
            && let Some(station) = standing(now, token, at).await?
        {
            return Ok(Self {
                at,
                coop,
                who: picked(&station, at).map(Arc::new),
                station: Some(Arc::new(station)),
                cookie: token.to_owned(),
                fresh: false,
                demo: app.demo,
                look: look_of(headers),
                said: said(headers),
            });
        }
        let visitor = cookie(headers, visitor_name(app.secure));
        let fresh = visitor.is_none();
        let cookie = visitor.map_or_else(|| Token::new().as_str().to_owned(), str::to_owned);
        Ok(Self {
            at,
            coop,
            who: None,
            station: None,
            cookie,
            fresh,
            demo: app.demo,
            look: look_of(headers),
            said: said(headers),
        })
    }

    /// The cookie to set for a visitor who came without.
    pub(super) fn new_cookie(&self, secure: bool) -> Option<HeaderValue> {
        self.fresh
            .then(|| set_cookie(visitor_name(secure), &self.cookie, 86_400, secure))
    }

    /// The token of a form: bound to the cookie and to the form's key, so that it differs from form
    /// to form and cannot be guessed out of a compressed page.
    pub(super) fn form_token(&self, key: FormKey) -> String {
        hash_token(&format!("form:{}:{key}", self.cookie))
            .chars()
            .take(40)
            .collect()
    }

    /// A secret for what a form makes, such as an invitation: known to this browser alone, by its cookie.
    /// The same form sent again gives the same, so that it can be shown again and need not be kept.
    pub(super) fn secret_of_form(&self, purpose: &str, form: &SentForm) -> Token {
        Token::derived(&format!(
            "{purpose}:{}:{}:{}",
            self.cookie, form.key, form.target
        ))
    }

    /// A secret that follows from a form's key, known to this browser alone, by its cookie; wherever the form is shown
    /// or sent.
    pub(super) fn secret_of(&self, purpose: &str, form_key: &str) -> Token {
        Token::derived(&format!("{purpose}:{}:{form_key}", self.cookie))
    }

    /// The cookie's token, to end its session.
    pub(super) fn cookie(&self) -> &str {
        &self.cookie
    }

    /// The units of whoever looks: their own, else the co-op's.
    pub(super) fn units(&self) -> Units {
        self.who
            .as_ref()
            .map(|s| s.units)
            .or_else(|| self.coop.as_ref().map(|c| c.units))
            .unwrap_or(Units::Us)
    }

    /// The co-op's card.
    ///
    /// # Errors
    /// Before set-up there is none; such requests are sent to the set-up page earlier.
    pub(super) fn coop(&self) -> Result<&coop::Coop, PageError> {
        self.coop.as_deref().ok_or(PageError::NotFound)
    }

    /// The co-op's time zone.
    ///
    /// # Errors
    /// As [`Visit::coop`].
    pub(super) fn zone(&self) -> Result<&Zone, PageError> {
        self.coop().map(|c| &c.zone)
    }

    /// The person who is signed in, if anybody is.
    pub(super) fn me(&self) -> Option<Me> {
        self.who.as_ref().map(|s| Me {
            id: s.member_id,
            name: s.name.to_string(),
            role: s.role,
            units: s.units,
            acts_for: s
                .acts_for
                .iter()
                .flat_map(|ids| ids.split(','))
                .filter_map(MemberId::parse)
                .collect(),
        })
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Visit {
    type Rejection = PageError;
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, PageError> {
        parts
            .extensions
            .get::<Self>()
            .cloned()
            .ok_or(PageError::Garbled)
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Me {
    type Rejection = PageError;
    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, PageError> {
        parts
            .extensions
            .get::<Visit>()
            .and_then(Visit::me)
            .ok_or(PageError::SignedOut)
    }
}
