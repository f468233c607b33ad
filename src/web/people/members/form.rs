//! A member's card: what was sent, what was meant.

use crate::actions::people::members::NewMember;
use crate::facts::people::members::MemberCard;
use crate::units::{
    Email, Grams, MemberName, Phone, Refused, Role, Units, one_line, plain_text, whole,
};
use crate::web::form::Sheet;

/// Reads every box of the form; `None` when one cannot be read.
pub(super) fn member(sheet: &mut Sheet, units: Units) -> Option<NewMember> {
    let name = sheet.read("name", MemberName::parse);
    let call_by = sheet.read_optional("call_by", |t| one_line(t, 1, 80));
    let phone = sheet.read_optional("phone", Phone::parse);
    let email = sheet.read_optional("email", Email::parse);
    let own_units = sheet.read("units", Units::parse);
    let role = sheet.read("role", Role::parse);
    let clock = sheet.read_optional("clock", |t| whole(t, 12, 24));
    let address = sheet.read_optional("address", |t| plain_text(t, 0, 200));
    let wishes = sheet.read_optional("wishes", |text| wishes(text, units));
    Some(NewMember {
        name: name?,
        phone: phone?.unwrap_or_else(Phone::none),
        email: email?,
        units: own_units?,
        // A form from before there was a choice has no such box.
        clock: clock?.unwrap_or(24),
        address: address?.unwrap_or_default(),
        wishes: wishes?.unwrap_or_default(),
        pools: sheet.ticked("pools"),
        named: sheet.ticked("named"),
        in_queue: sheet.ticked("in_queue"),
        call_by: call_by?.unwrap_or_default(),
        role: role?,
    })
}

/// Reads jar sizes by net weight, with semicolons, commas or "and" between: "24 oz and 3 lb".
fn wishes(text: &str, units: Units) -> Result<Vec<Grams>, Refused> {
    let mut out = Vec::new();
    for part in text
        .replace(" and ", ";")
        .replace(", ", ";")
        .split(';')
        .filter(|p| !p.trim().is_empty())
    {
        let net = Grams::parse_small(part, units)?;
        if !(Grams::new(50)..=Grams::new(10_000)).contains(&net) {
            return Err(Refused::new(
                "Please write jar sizes from 50 g to 10 kg (2 oz to 22 lb), like 24 oz and 3 lb.",
            ));
        }
        if !out.contains(&net) {
            out.push(net);
        }
    }
    if out.len() > 6 {
        return Err(Refused::new("Please name at most six sizes."));
    }
    Ok(out)
}

/// The card as the form shows it.
pub(super) fn of(mut sheet: Sheet, card: &MemberCard, units: Units) -> Sheet {
    let MemberCard { member, wishes, .. } = card;
    let yes = |on: bool| if on { "yes" } else { "" };
    let sizes: Vec<String> = wishes.iter().map(|w| w.typed_jar(units)).collect();
    sheet
        .put("version", member.version.to_string())
        .put("name", member.name.as_str())
        .put("phone", member.phone.as_str())
        .put("email", member.email.as_ref().map_or("", Email::as_str))
        .put("units", member.units.word())
        .put("clock", member.clock.to_string())
        .put("address", member.address.as_str())
        .put("role", member.role.word())
        .put("wishes", sizes.join(" and "))
        .put("pools", yes(member.pools))
        .put("named", yes(member.named))
        .put("in_queue", yes(member.in_queue))
        .put("call_by", member.call_by.as_str());
    sheet
}
