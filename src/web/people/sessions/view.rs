//! The page of where one is signed in, as text ready to print.

use crate::actions::hash_token;
use crate::actions::people::accounts::{ABSOLUTE_S, IDLE_S};
use crate::actions::people::sessions::mark;
use crate::store::people::second_factor::SecondFactor;
use crate::store::people::sessions::Open;
use crate::web::error::PageError;
use crate::web::form::Sheet;
use crate::web::paths;
use crate::web::request::PageRequest;
use crate::web::shell::Shell;
use askama::Template;

/// A device on which one is signed in.
struct Device {
    name: String,
    since: String,
    used: String,
    /// Address that signs it out; empty: it is this device.
    end: String,
    words: String,
}

/// The page of the devices on which one is signed in.
#[derive(Template)]
#[template(path = "people/sessions/show.html")]
pub(super) struct SessionsPage {
    shell: Shell,
    sheet: Sheet,
    devices: Vec<Device>,
    end_others: &'static str,
    hours: i64,
    days: i64,
    passphrase: &'static str,
    second: String,
    second_factor: &'static str,
    second_words: &'static str,
}

impl SessionsPage {
    pub(super) fn new(
        request: &PageRequest,
        open: &[Open],
        second: Option<&SecondFactor>,
    ) -> Result<Self, PageError> {
        let (visit, zone) = (&request.visit, request.visit.zone()?);
        let here = hash_token(visit.cookie());
        let devices = open.iter().map(|open| {
            let name = match open.device.as_str() {
                "" => "A browser that does not say what it is".to_owned(),
                known => known.to_owned(),
            };
            let since = zone.show(open.made_at);
            Device {
                end: if open.token_hash == here {
                    String::new()
                } else {
                    paths::end_session(&mark(open))
                },
                words: format!("Sign out {name}, since {since}"),
                used: zone.show(open.seen_at),
                name,
                since,
            }
        });
        let second_words = if second.is_some() {
            "Look at the second factor"
        } else {
            "Set a second factor up"
        };
        Ok(Self {
            shell: Shell::new(&request.app, visit, "Sign-in and devices"),
            sheet: request.blank(),
            devices: devices.collect(),
            end_others: paths::END_OTHERS,
            hours: IDLE_S / 3600,
            days: ABSOLUTE_S / 86_400,
            passphrase: paths::PASSPHRASE,
            second: second.map_or_else(
                || "Signing in takes your passphrase alone.".to_owned(),
                |second| {
                    format!(
                        "Signing in takes your passphrase and a code of your authenticator, since {}.",
                        zone.show(second.made_at)
                    )
                },
            ),
            second_factor: paths::SECOND_FACTOR,
            second_words,
        })
    }
}

#[cfg(test)]
pub(in crate::web) fn samples() -> Vec<Box<dyn askama::DynTemplate>> {
    let device = |end: &str| Device {
        name: "Firefox <on> Android".to_owned(),
        since: "Sat 19 Sep 2026, 08:00".to_owned(),
        used: "Sat 19 Sep 2026, 09:00".to_owned(),
        end: end.to_owned(),
        words: "Sign out Firefox <on> Android, since Sat 19 Sep 2026, 08:00".to_owned(),
    };
    let page = |devices| SessionsPage {
        shell: Shell::sample("Sign-in and devices"),
        sheet: Sheet::sample(),
        devices,
        end_others: paths::END_OTHERS,
        hours: 12,
        days: 30,
        passphrase: paths::PASSPHRASE,
        second: "Signing in takes your passphrase alone.".to_owned(),
        second_factor: paths::SECOND_FACTOR,
        second_words: "Set a second factor up",
    };
    vec![
        Box::new(page(vec![device("")])),
        Box::new(page(vec![device(""), device("/sessions/0/end")])),
    ]
}
