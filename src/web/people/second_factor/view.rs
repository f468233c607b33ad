//! The pages of a second factor, as text ready to print.

use crate::actions::Stop;
use crate::actions::people::second_factor::Offered;
use crate::calc::paper::qr::Qr;
use crate::store::people::second_factor::SecondFactor;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// A new one, to be taken into an authenticator.
#[derive(Template)]
#[template(path = "people/second_factor/offer.html")]
pub(super) struct OfferPage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    qr: Qr,
    /// The secret in groups of four characters.
    secret: String,
    back: &'static str,
}

impl OfferPage {
    /// `offered`, and the name that is signed in with.
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        (offered, name): (&Offered, &str),
    ) -> Result<Self, PageError> {
        let address = offered.secret.address(&visit.coop()?.name, name);
        Ok(Self {
            shell: Shell::new(app, visit, "Set a second factor up"),
            sheet,
            action: paths::SECOND_FACTOR,
            qr: Qr::of(&address).map_err(Stop::from)?,
            secret: fours(&offered.secret.base32()),
            back: paths::SESSIONS,
        })
    }
}

/// Letters in groups of four, to be typed.
fn fours(text: &str) -> String {
    let letters: Vec<char> = text.chars().collect();
    let parts: Vec<String> = letters
        .chunks(4)
        .map(|four| four.iter().collect())
        .collect();
    parts.join(" ")
}

/// The page that shows the recovery codes, this once.
#[derive(Template)]
#[template(path = "people/second_factor/codes.html")]
pub(super) struct CodesPage {
    shell: Shell,
    codes: Vec<String>,
    back: &'static str,
}

impl CodesPage {
    pub(super) fn new(app: &App, visit: &Visit, offered: &Offered) -> Self {
        Self {
            shell: Shell::new(app, visit, "Your recovery codes"),
            codes: offered.codes.clone(),
            back: paths::SESSIONS,
        }
    }
}

/// The page of a second factor that is set.
#[derive(Template)]
#[template(path = "people/second_factor/set.html")]
pub(super) struct SetPage {
    shell: Shell,
    sheet: Sheet,
    since: String,
    left: i64,
    action: &'static str,
    back: &'static str,
}

impl SetPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        set: &SecondFactor,
    ) -> Result<Self, PageError> {
        Ok(Self {
            shell: Shell::new(app, visit, "Your second factor"),
            sheet,
            since: visit.zone()?.show(set.made_at),
            left: set.codes_left,
            action: paths::NO_SECOND_FACTOR,
            back: paths::SESSIONS,
        })
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong.refuse("code", "That is not the code of this moment.");
    let set = |left| SetPage {
        shell: Shell::sample("Your second factor"),
        sheet: Sheet::sample(),
        since: "Sat 19 Sep 2026, 08:00".to_owned(),
        left,
        action: paths::NO_SECOND_FACTOR,
        back: paths::SESSIONS,
    };
    vec![
        Box::new(OfferPage {
            shell: Shell::sample("Set a second factor up"),
            sheet: wrong,
            action: paths::SECOND_FACTOR,
            qr: Qr::of("otpauth://totp/A:ruth?secret=GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ&issuer=A")
                .expect("short"),
            secret: fours("GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"),
            back: paths::SESSIONS,
        }),
        Box::new(CodesPage {
            shell: Shell::sample("Your recovery codes"),
            codes: vec!["abcde-fghjk-mnpqr".to_owned(); 10],
            back: paths::SESSIONS,
        }),
        Box::new(set(10)),
        Box::new(set(1)),
    ]
}
