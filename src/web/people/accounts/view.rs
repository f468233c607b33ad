//! The pages of accounts, as text ready to print.

use crate::store::people::accounts::Invite;
use crate::store::restores::RestoreRow;
use crate::units::{SignInName, Zone};
use crate::web::App;
use crate::web::form::{Choice, Sheet};
use crate::web::paths;
use crate::web::session::Visit;
use crate::web::shell::Shell;
use crate::web::statics;
use askama::Template;

/// The form that sets the site up.
#[derive(Template)]
#[template(path = "people/accounts/set_up.html")]
pub(super) struct SetUpPage {
    shell: Shell,
    sheet: Sheet,
    units: Vec<Choice>,
    zones: Vec<Choice>,
}

/// Zones that American mills lie in, with the words people call them by.
const USUAL_ZONES: [(&str, &str); 9] = [
    ("America/New_York", "Eastern: New York"),
    ("America/Kentucky/Louisville", "Eastern: Louisville"),
    ("America/Indiana/Indianapolis", "Eastern: Indianapolis"),
    ("America/Chicago", "Central: Chicago"),
    ("America/Denver", "Mountain: Denver"),
    ("America/Phoenix", "Mountain, clocks never changed: Phoenix"),
    ("America/Los_Angeles", "Pacific: Los Angeles"),
    ("America/Anchorage", "Alaska: Anchorage"),
    ("Pacific/Honolulu", "Hawaii: Honolulu"),
];

/// The choice of time zones: the usual ones, then all.
pub(in crate::web) fn zone_choices() -> Vec<Choice> {
    let mut choices = vec![Choice::new("", "Please choose")];
    choices.extend(USUAL_ZONES.map(|(zone, words)| Choice::new(zone, words)));
    let others = Zone::names();
    let known = |name: &String| USUAL_ZONES.iter().any(|(zone, _)| zone == name);
    let others = others.into_iter().filter(|name| !known(name));
    choices.extend(others.map(|name| Choice::new(name.clone(), name.replace('_', " "))));
    choices
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
            zones: zone_choices(),
        }
    }
}

/// The page to sign in on.
#[derive(Template)]
#[template(path = "people/accounts/sign_in.html")]
pub(super) struct SignInPage {
    shell: Shell,
    sheet: Sheet,
    next: String,
    contact: String,
    dials: String,
    /// Until when passphrases that hold were chosen, where a backup was put in place lately; empty: none was.
    older: String,
    /// Address of the script that says what waits on this phone.
    waiting: String,
}

impl SignInPage {
    pub(super) fn new(
        (app, visit): (&App, &Visit),
        sheet: Sheet,
        next: &str,
        restored: Option<&RestoreRow>,
    ) -> Self {
        let zone = visit.zone().ok();
        let older = restored.zip(zone).map(|(restored, zone)| {
            // Nobody wrote anything into the backup: then all passphrases are of its first day.
            zone.show(restored.written_until.unwrap_or(restored.at))
        });
        let contact = visit.coop.as_ref().map_or("", |c| c.contact_phone.as_str());
        Self {
            shell: Shell::new(app, visit, "Sign in"),
            sheet,
            next: next.to_owned(),
            dials: paths::dials_written(contact),
            contact: contact.to_owned(),
            older: older.unwrap_or_default(),
            waiting: statics::waiting_js(),
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

fn yes_or_no() -> Vec<Choice> {
    vec![Choice::new("yes", "Yes"), Choice::new("no", "No")]
}

/// The form to join by an invitation.
#[derive(Template)]
#[template(path = "people/accounts/join.html")]
pub(super) struct JoinPage {
    shell: Shell,
    sheet: Sheet,
    name: String,
    /// The name that this member signed in with before; empty: joins for the first time.
    known: String,
    /// What the card says so far of what is asked.
    says: String,
    yes_or_no: Vec<Choice>,
    action: String,
}

fn card_says(invite: &Invite) -> String {
    let word = |yes| if yes { "yes" } else { "no" };
    format!(
        "Your card says now: boiled together, {}; on the jars’ page, {}; in the queue, {}.",
        word(invite.pools),
        word(invite.named),
        word(invite.in_queue)
    )
}

impl JoinPage {
    pub(super) fn new(
        app: &App,
        visit: &Visit,
        sheet: Sheet,
        (invite, known): (&Invite, Option<&SignInName>),
        token: &str,
    ) -> Self {
        let title = match known {
            Some(_) => "A new passphrase",
            None => "Join the co-op",
        };
        Self {
            shell: Shell::new(app, visit, title),
            sheet,
            name: invite.name.to_string(),
            says: card_says(invite),
            known: known.map_or_else(String::new, SignInName::to_string),
            yes_or_no: yes_or_no(),
            action: paths::join(token),
        }
    }
}

/// The form that changes a passphrase.
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
            zones: zone_choices(),
        }),
        Box::new(SignInPage {
            shell: Shell::sample("Sign in"),
            sheet: Sheet::sample(),
            next: "/\"><b>".to_owned(),
            contact: "615 555 0100".to_owned(),
            dials: "tel:6155550100".to_owned(),
            older: "Sat 19 Sep 2026 08:00".to_owned(),
            waiting: statics::waiting_js(),
        }),
        Box::new(JoinPage {
            shell: Shell::sample("Join"),
            sheet: Sheet::sample(),
            name: "<i>Ann</i>".to_owned(),
            known: String::new(),
            says: "Your card says now: boiled together, yes.".to_owned(),
            yes_or_no: yes_or_no(),
            action: paths::join("abc"),
        }),
        Box::new(JoinPage {
            shell: Shell::sample("A new passphrase"),
            sheet: Sheet::sample(),
            name: "<i>Ann</i>".to_owned(),
            known: "ann.fenn".to_owned(),
            says: "Your card says now: boiled together, yes.".to_owned(),
            yes_or_no: yes_or_no(),
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
