//! The set-up form: what was sent, what was meant.

use crate::actions::people::accounts::{JoinAnswers, NewCoop};
use crate::store::people::coop::Coop;
use crate::units::{MemberName, Passphrase, Phone, SignInName, Units, Zone, plain_text};
use crate::web::form::Sheet;

/// Reads every box of the form; `None` when one cannot be read.
pub(super) fn new_coop(sheet: &mut Sheet) -> Option<NewCoop> {
    let coop = sheet.read("coop", |t| plain_text(t, 1, 80));
    let place = sheet.read("place", |t| plain_text(t, 1, 120));
    let zone = sheet.read("zone", Zone::parse);
    let units = sheet.read("units", Units::parse);
    let name = sheet.read("name", MemberName::parse);
    let phone = sheet.read_optional("phone", Phone::parse);
    let sign_in = sheet.read("sign_in", SignInName::parse);
    let passphrase = sheet.read("passphrase", Passphrase::parse);
    let phone = phone?.unwrap_or_else(Phone::none);
    Some(NewCoop {
        coop: Coop {
            name: coop?,
            place: place?,
            zone: zone?,
            units: units?,
            altitude_m: 0.0,
            contact_phone: phone.to_string(),
            way: String::new(),
            bring: String::new(),
            lies_at: None,
        },
        name: name?,
        phone,
        sign_in: sign_in?,
        passphrase: passphrase?,
    })
}

/// Reads the answers of whoever joins; what was left open counts as a no.
pub(super) fn answers(sheet: &Sheet) -> JoinAnswers {
    let answer = |name| match sheet.typed(name) {
        "yes" => Some(true),
        "no" => Some(false),
        _ => None,
    };
    JoinAnswers {
        pools: answer("pools"),
        named: answer("named"),
        in_queue: answer("in_queue"),
    }
}
