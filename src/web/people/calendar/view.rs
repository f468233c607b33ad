//! The pages of calendar addresses, as text ready to print.

use crate::actions::Token;
use crate::actions::people::calendar::Whose;
use crate::store::people::calendar::Feed;
use crate::web::app::SAY_ADDRESS;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::request::PageRequest;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::{App, paths};
use askama::Template;

/// One feed: whether it has an address.
struct FeedLine {
    /// A form of its own, as an address of each may be made from one page.
    sheet: Sheet,
    title: &'static str,
    words: &'static str,
    value: &'static str,
    made: Option<String>,
}

/// The feeds that this person may make an address for.
#[derive(Template)]
#[template(path = "people/calendar/show.html")]
pub(super) struct CalendarPage {
    shell: Shell,
    make: &'static str,
    revoke: &'static str,
    lines: Vec<FeedLine>,
}

impl CalendarPage {
    pub(super) fn new(
        request: &PageRequest,
        own: Option<Feed>,
        crew: Option<Feed>,
    ) -> Result<Self, PageError> {
        let zone = request.visit.zone()?;
        let made = |feed: Option<Feed>| feed.map(|f| zone.show(f.made_at));
        let mut lines = vec![line(Whose::Own, made(own), request.blank())];
        if request.me.is_steward() {
            lines.push(line(Whose::Crew, made(crew), request.blank()));
        }
        Ok(Self {
            shell: Shell::new(&request.app, &request.visit, "Turns in your calendar"),
            make: paths::CALENDAR,
            revoke: paths::REVOKE_FEED,
            lines,
        })
    }
}

fn line(whose: Whose, made: Option<String>, sheet: Sheet) -> FeedLine {
    let (title, words, value) = match whose {
        Whose::Own => (
            "Your own turns",
            "Shows your turns, moves and cancellations, in any calendar program.",
            "own",
        ),
        Whose::Crew => (
            "The crew’s calendar",
            "Shows everybody’s turns, with first names. Give its address to the crew only.",
            "crew",
        ),
    };
    FeedLine {
        sheet,
        title,
        words,
        value,
        made,
    }
}

/// The page that shows a new address, this once.
#[derive(Template)]
#[template(path = "people/calendar/address.html")]
pub(super) struct AddressPage {
    shell: Shell,
    link: String,
    /// Address for programs that subscribe at a tap; empty when the site does not know its own address.
    subscribe: String,
    /// What to set, when the site does not know the address that people reach it by.
    say_address: &'static str,
    back: &'static str,
}

impl AddressPage {
    pub(super) fn new(app: &App, visit: &Visit, whose: Whose, token: &Token) -> Self {
        let title = match whose {
            Whose::Own => "The address of your calendar",
            Whose::Crew => "The address of the crew’s calendar",
        };
        let site = app.public_url.clone().unwrap_or_default();
        let link = format!("{site}{}", paths::feed(token.as_str()));
        let subscribe = link
            .split_once("://")
            .map_or_else(String::new, |(_, rest)| format!("webcal://{rest}"));
        Self {
            shell: Shell::new(app, visit, title),
            link,
            subscribe,
            say_address: app.public_url.as_ref().map_or(SAY_ADDRESS, |_| ""),
            back: paths::CALENDAR,
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let page = |made: Option<&str>| CalendarPage {
        shell: Shell::sample("Turns in your calendar"),
        make: paths::CALENDAR,
        revoke: paths::REVOKE_FEED,
        lines: [Whose::Own, Whose::Crew]
            .map(|whose| line(whose, made.map(str::to_owned), Sheet::sample()))
            .into(),
    };
    let address = |subscribe: &str| AddressPage {
        shell: Shell::sample("The address of your calendar"),
        link: "https://mill.example/calendar/0123456789abcdefghjkmnpqrstvwxyz.ics".to_owned(),
        subscribe: subscribe.to_owned(),
        say_address: if subscribe.is_empty() {
            SAY_ADDRESS
        } else {
            ""
        },
        back: paths::CALENDAR,
    };
    vec![
        Box::new(page(None)),
        Box::new(page(Some("Sat 19 Sep 2026 08:00"))),
        Box::new(address("")),
        Box::new(address("webcal://mill.example/calendar/0.ics")),
    ]
}
