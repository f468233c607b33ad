//! The card of an invitation.

use crate::actions::{Stop, Token};
use crate::calc::paper::qr::Qr;
use crate::store::people::members::Member;
use crate::web::app::SAY_ADDRESS;
use crate::web::error::PageError;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// An invitation, to print or to show a phone.
#[derive(Template)]
#[template(path = "people/members/invite.html")]
pub(super) struct InvitePage {
    shell: Shell,
    name: String,
    link: String,
    /// QR code of the link; `None` when the site does not know its own address.
    qr: Option<Qr>,
    say_address: &'static str,
    back: String,
}

/// The address that opens an invitation, and its QR code where the whole address is known.
pub(super) fn link_and_code(app: &App, token: &Token) -> Result<(String, Option<Qr>), PageError> {
    let site = app.public_url.clone().unwrap_or_default();
    let link = format!("{site}{}", paths::join(token.as_str()));
    let whole = app.public_url.is_some();
    let qr = whole
        .then(|| Qr::of(&link))
        .transpose()
        .map_err(Stop::from)?;
    Ok((link, qr))
}

impl InvitePage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        member: &Member,
        token: &Token,
    ) -> Result<Self, PageError> {
        let (link, qr) = link_and_code(app, token)?;
        Ok(Self {
            shell: Shell::new(app, visit, format!("Invitation for {}", member.name)),
            name: member.name.to_string(),
            link,
            qr,
            say_address: SAY_ADDRESS,
            back: paths::member(member.id),
        })
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let invite = |qr| InvitePage {
        shell: Shell::sample("Invitation"),
        name: "Amos <b>Trout</b>".to_owned(),
        link: "https://mill.example/join/0123456789abcdef".to_owned(),
        qr,
        say_address: SAY_ADDRESS,
        back: paths::MEMBERS.to_owned(),
    };
    vec![
        Box::new(invite(None)),
        Box::new(invite(Qr::of("https://mill.example/join/0").ok())),
    ]
}
