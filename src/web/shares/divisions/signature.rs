//! The second person's signature: chosen by name, given with that person's own passphrase or PIN.

use crate::facts::shares::division_inputs::DivisionInputs;
use crate::store::people::accounts::{self, Signer};
use crate::units::{LotCode, MemberId, Passphrase, Refused};
use crate::web::error::PageError;
use crate::web::form::Choice;
use crate::web::request::FormRequest;
use crate::web::session::Me;
use crate::web::throttle::Guess;

/// Everybody but oneself who can sign, after an empty line.
pub(super) fn choices(all: &[Signer], me: &Me) -> Vec<Choice> {
    let others = all.iter().filter(|s| s.id != me.id);
    let choice = |s: &Signer| Choice::new(s.number.to_string(), s.name.to_string());
    let none = Choice::new("", "Please choose");
    std::iter::once(none).chain(others.map(choice)).collect()
}

/// Whether the passphrase or the PIN is this person's.
async fn right(form: &FormRequest, signer: Signer, typed: &str) -> Result<bool, PageError> {
    let hashing = &form.app.hashing;
    for hash in [signer.pin_hash, signer.passphrase_hash] {
        if hash.is_some() && hashing.matches(Passphrase::typed(typed), hash).await? {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Who signed, if the rules of the boil ask for it; `None`: a box is wrong, which the sheet says.
///
/// # Errors
/// There is no such boil, too many signatures were wrong, or what broke.
pub(super) async fn signer(
    form: &mut FormRequest,
    lot: &LotCode,
) -> Result<Option<Option<MemberId>>, PageError> {
    let db = form.db.now().await?;
    let inputs = DivisionInputs::read(db, lot).await?;
    let all = accounts::signers().ask(db).await?;
    if !inputs.ok_or(PageError::NotFound)?.rules.second_signature {
        return Ok(Some(None));
    }
    let typed = form.sent.get("signature").trim().to_owned();
    form.sheet.forget(&["signature"]);
    let found = form.sheet.read("signed_by", |number| {
        let found = all.into_iter().find(|s| s.number.to_string() == number);
        found.ok_or_else(|| Refused::new("Please choose who looked the figures over and signs."))
    });
    if typed.is_empty() {
        let sentence = "Whoever signs types the own passphrase here, or the PIN of the station.";
        form.sheet.refuse("signature", sentence);
        return Ok(None);
    }
    let Some(signer) = found else {
        return Ok(None);
    };
    let (id, name) = (signer.id, signer.name.clone());
    let (person, place) = (format!("sign {id}"), format!("signatures {}", form.me.id));
    let guess = Guess::from_address(&person, &place);
    if let Err(seconds) = form.app.throttle.count(&guess, form.visit.at) {
        tracing::warn!(member = %id, "signatures throttled");
        return Err(PageError::TooMany { seconds });
    }
    form.db.give_back();
    if right(form, signer, &typed).await? {
        form.app.throttle.succeeded(&guess);
        return Ok(Some(Some(id)));
    }
    form.app.throttle.failed(&guess, form.visit.at);
    tracing::warn!(member = %id, "wrong signature");
    let problem = format!("That is neither the passphrase nor the PIN of {name}.");
    form.sheet.refuse("signature", problem);
    Ok(None)
}
