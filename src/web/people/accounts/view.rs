//! The pages of accounts, as text ready to print.

use crate::web::App;
use crate::web::form::{Choice, Sheet};
use crate::web::paths;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use askama::Template;

/// Set-up.
#[derive(Template)]
#[template(path = "people/accounts/set_up.html")]
pub(super) struct SetUpPage {
    shell: Shell,
    sheet: Sheet,
    units: Vec<Choice>,
}

/// The choice of units, for forms.
pub(in crate::web) fn unit_choices() -> Vec<Choice> {
    vec![
        Choice::new("us", "Pounds, gallons, °F"),
        Choice::new("metric", "Kilograms, litres, °C"),
    ]
}

impl SetUpPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet) -> Self {
        Self {
            shell: Shell::new(app, visit, "Set up the co-op"),
            sheet,
            units: unit_choices(),
        }
    }
}

/// Sign in.
#[derive(Template)]
#[template(path = "people/accounts/sign_in.html")]
pub(super) struct SignInPage {
    shell: Shell,
    sheet: Sheet,
    next: String,
    contact: String,
}

impl SignInPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet, next: &str) -> Self {
        Self {
            shell: Shell::new(app, visit, "Sign in"),
            sheet,
            next: next.to_owned(),
            contact: visit
                .coop
                .as_ref()
                .map_or_else(String::new, |c| c.contact_phone.clone()),
        }
    }
}

/// The code of a second factor, after the passphrase was right.
#[derive(Template)]
#[template(path = "people/accounts/code.html")]
pub(super) struct CodePage {
    shell: Shell,
    sheet: Sheet,
    action: &'static str,
    /// Hidden boxes that go on with the form.
    carried: Vec<(&'static str, String)>,
    back: &'static str,
}

impl CodePage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet) -> Self {
        Self::of(Shell::new(app, visit, "Type the code"), sheet)
    }

    fn of(shell: Shell, sheet: Sheet) -> Self {
        let carried = ["sign_in", "said", "mark", "next"];
        let carried = carried.map(|name| (name, sheet.typed(name).to_owned()));
        Self {
            shell,
            action: paths::SIGN_IN_CODE,
            carried: carried.into(),
            sheet,
            back: paths::SIGN_IN,
        }
    }
}

/// Join by an invitation.
#[derive(Template)]
#[template(path = "people/accounts/join.html")]
pub(super) struct JoinPage {
    shell: Shell,
    sheet: Sheet,
    name: String,
    action: String,
}

impl JoinPage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet, name: &str, token: &str) -> Self {
        Self {
            shell: Shell::new(app, visit, "Join the co-op"),
            sheet,
            name: name.to_owned(),
            action: paths::join(token),
        }
    }
}

/// Change a passphrase.
#[derive(Template)]
#[template(path = "people/accounts/passphrase.html")]
pub(super) struct PassphrasePage {
    shell: Shell,
    sheet: Sheet,
}

impl PassphrasePage {
    pub(super) fn new(app: &App, visit: &Visit, sheet: Sheet) -> Self {
        Self {
            shell: Shell::new(app, visit, "Change passphrase"),
            sheet,
        }
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let mut wrong = Sheet::sample();
    wrong
        .put("coop", "<b>")
        .refuse("place", "Please fill in this box.");
    vec![
        Box::new(SetUpPage {
            shell: Shell::sample("Set up"),
            sheet: wrong,
            units: unit_choices(),
        }),
        Box::new(SignInPage {
            shell: Shell::sample("Sign in"),
            sheet: Sheet::sample(),
            next: "/\"><b>".to_owned(),
            contact: String::new(),
        }),
        Box::new(JoinPage {
            shell: Shell::sample("Join"),
            sheet: Sheet::sample(),
            name: "<i>Ann</i>".to_owned(),
            action: paths::join("abc"),
        }),
        Box::new(CodePage::of(
            Shell::sample("Type the code"),
            Sheet::sample(),
        )),
        Box::new(PassphrasePage {
            shell: Shell::sample("Passphrase"),
            sheet: Sheet::sample(),
        }),
    ]
}
