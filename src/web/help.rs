//! Help for each role: what is done in which order, sample letters, papers that may be needed and whom to ask.

use crate::units::Role;
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use crate::web::{Page, page};
use askama::Template;

/// Help for whoever looks: a steward reads all of it, the crew what members and crew do.
#[derive(Template)]
#[template(path = "help.html")]
struct HelpPage {
    shell: Shell,
    crew: bool,
    steward: bool,
}

/// `GET /help`
pub(crate) async fn show(request: PageRequest) -> Page {
    let role = request.me.role;
    page(&HelpPage {
        shell: Shell::new(&request.app, &request.visit, "Help"),
        crew: role >= Role::Crew,
        steward: role >= Role::Steward,
    })
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let view = |crew, steward| HelpPage {
        shell: Shell::sample("Help"),
        crew,
        steward,
    };
    vec![
        Box::new(view(false, false)),
        Box::new(view(true, false)),
        Box::new(view(true, true)),
    ]
}
