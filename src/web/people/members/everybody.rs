//! Invitations for everybody who has no account yet, on one print.

use super::invitation::link_and_code;
use crate::actions::people::many;
use crate::actions::{Token, hash_token};
use crate::calc::paper::qr::Qr;
use crate::store::people::accounts;
use crate::store::people::members::{self, MemberLine};
use crate::web::app::SAY_ADDRESS;
use crate::web::form::Sheet;
use crate::web::request::{FormRequest, PageRequest};
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, Page, page, page_with, paths};
use askama::Template;
use axum::http::StatusCode;

/// The card of one invitation.
struct Card {
    name: String,
    link: String,
    qr: Option<Qr>,
}

/// The page that invites everybody: names and a button, or the cards once they are made.
#[derive(Template)]
#[template(path = "people/members/invitations.html")]
struct CardsPage {
    shell: Shell,
    sheet: Sheet,
    names: Vec<String>,
    cards: Vec<Card>,
    /// The site does not know the address that people reach it by.
    unknown: bool,
    say_address: &'static str,
    action: &'static str,
    back: &'static str,
}

fn without_account(all: Vec<MemberLine>) -> Vec<MemberLine> {
    all.into_iter().filter(|m| !m.signs_in && !m.left).collect()
}

impl CardsPage {
    /// Who would be invited.
    fn names(app: &App, visit: &Visit, of: &[MemberLine], sheet: Sheet) -> Self {
        Self {
            shell: Shell::new(app, visit, "Invitations"),
            sheet,
            names: of.iter().map(|m| m.name.to_string()).collect(),
            cards: Vec::new(),
            unknown: app.public_url.is_none(),
            say_address: SAY_ADDRESS,
            action: paths::INVITE_ALL,
            back: paths::MEMBERS,
        }
    }
}

/// `GET /members/invitations`
pub(crate) async fn invite_all_form(mut request: PageRequest) -> Page {
    let of = without_account(members::list().ask(&mut request.db).await?);
    let sheet = request.blank();
    page(&CardsPage::names(&request.app, &request.visit, &of, sheet))
}

/// `POST /members/invitations`: shows the cards; the links are not kept, and the same form sent again shows the same ones.
pub(crate) async fn invite_all(mut form: FormRequest) -> Page {
    let of = without_account(members::list().ask(form.db.now().await?).await?);
    if form.app.public_url.is_none() {
        // Cards that open nothing would end those that were handed out.
        let view = CardsPage::names(&form.app, &form.visit, &of, form.sheet);
        return page_with(StatusCode::CONFLICT, &view);
    }
    let sent = form.as_form();
    let secret = |m: &MemberLine| {
        let purpose = format!("invitation of {}", m.number);
        (m.id, form.visit.secret_of_form(&purpose, &sent))
    };
    let tokens: Vec<(_, Token)> = of.iter().map(secret).collect();
    let act = form.act();
    let done = many::invite_many(&act, &tokens).await;
    form.ended(done, |()| String::new())?;
    let (at, mut cards) = (form.visit.at, Vec::new());
    for (member, (_, token)) in of.iter().zip(&tokens) {
        let hash = hash_token(token.as_str());
        let now = form.db.now().await?;
        // One that was used meanwhile, or ended by a newer one, is not shown.
        if accounts::find_invite(now, &hash, at).await?.is_some() {
            let (link, qr) = link_and_code(&form.app, token)?;
            let name = member.name.to_string();
            cards.push(Card { name, link, qr });
        }
    }
    page(&CardsPage {
        shell: Shell::new(&form.app, &form.visit, "Invitations"),
        names: Vec::new(),
        cards,
        unknown: false,
        say_address: SAY_ADDRESS,
        action: paths::INVITE_ALL,
        back: paths::MEMBERS,
        sheet: form.sheet,
    })
}

#[cfg(test)]
pub(super) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let name = || "Maximiliana <b>Featherstonehaugh</b> & Co".to_owned();
    let card = || Card {
        name: name(),
        link: "https://mill.example/join/0123456789abcdef".to_owned(),
        qr: Qr::of("https://mill.example/join/0").ok(),
    };
    let view = |names: usize, cards: usize, unknown: bool| CardsPage {
        shell: Shell::sample("Invitations"),
        sheet: Sheet::sample(),
        names: (0..names).map(|_| name()).collect(),
        cards: (0..cards).map(|_| card()).collect(),
        unknown,
        say_address: SAY_ADDRESS,
        action: paths::INVITE_ALL,
        back: paths::MEMBERS,
    };
    vec![
        Box::new(view(0, 0, false)),
        Box::new(view(40, 0, true)),
        Box::new(view(0, 5, false)),
    ]
}
