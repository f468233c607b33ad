//! Who acts for a card, a line each: for the page of the household, and for the member's own card.

use crate::store::people::household::Other;
use crate::units::{MemberId, Zone};
use crate::web::form::Sheet;
use crate::web::paths;

/// Somebody who acts for the card.
pub(in crate::web::people) struct PersonLine {
    pub(in crate::web::people) name: String,
    pub(in crate::web::people) since: String,
    /// Whether the card's letters go to them, too; the words and the address that change it.
    pub(in crate::web::people) gets: bool,
    pub(in crate::web::people) letters: String,
    pub(in crate::web::people) end: String,
    /// A form of its own, as several may be ended on one page.
    pub(in crate::web::people) sheet: Sheet,
}

/// The people who act for a card, each with the buttons that change it.
pub(in crate::web::people) fn lines(
    card: MemberId,
    people: &[Other],
    zone: &Zone,
    blank: &dyn Fn() -> Sheet,
) -> Vec<PersonLine> {
    let line = |other: &Other| PersonLine {
        name: other.name.to_string(),
        since: zone.show(other.since),
        gets: other.letters,
        letters: paths::household_letters(card, other.id, !other.letters),
        end: paths::end_household(card, other.id),
        sheet: blank(),
    };
    people.iter().map(line).collect()
}

#[cfg(test)]
impl PersonLine {
    pub(in crate::web::people) fn sample(n: usize) -> Self {
        Self {
            name: "Ana <i>Reyes</i>".to_owned(),
            since: "Sat 19 Sep 2026 11:40".to_owned(),
            gets: n > 1,
            letters: format!("/members/1/household/{n}/letters"),
            end: format!("/members/1/household/{n}/end"),
            sheet: Sheet::sample(),
        }
    }
}
