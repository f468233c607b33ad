//! Cards that a member acts for besides the own, on the home page.

use super::book;
use super::lines::HomeLine;
use super::waiting;
use crate::facts::home::MemberHome;
use crate::web::my_cane::{self, CaneCard};
use crate::web::paths;
use crate::web::reader::Reader;

/// One card that the reader acts for.
pub(super) struct OtherCardView {
    pub(super) name: String,
    pub(super) cane: Vec<CaneCard>,
    /// The card's places on waiting lists.
    pub(super) places: Vec<HomeLine>,
    /// The days that a turn can be booked for it on, or waited for.
    pub(super) book: Vec<HomeLine>,
    pub(super) statement: String,
    pub(super) card: String,
}

/// The cards, by name.
pub(super) fn cards(facts: &MemberHome, reader: Reader<'_>) -> Vec<OtherCardView> {
    let reader = Reader {
        own: false,
        ..reader
    };
    let views = facts.household.iter().map(|other| {
        let under_way = other.cane.iter().filter(|mine| mine.on_home(reader.at));
        let turns = other.turns.iter();
        OtherCardView {
            name: other.name.to_string(),
            cane: under_way
                .map(|mine| my_cane::of_ticket(mine, reader))
                .chain(turns.map(|t| my_cane::of_turn(t, facts.abouts.of_turn(t.id), reader)))
                .collect(),
            places: waiting::places(&other.places, &other.offers),
            book: book::lines(&facts.to_book, &other.places, Some(other.id)),
            statement: facts
                .year
                .map_or_else(String::new, |year| paths::statement(other.id, year)),
            card: paths::member(other.id),
        }
    });
    views.collect()
}

#[cfg(test)]
impl OtherCardView {
    pub(super) fn sample(n: usize) -> Self {
        let line = |n| {
            let href = format!("/waiting/{n}");
            HomeLine::new(href, "Sat 19 Sep 2026".to_owned(), "1st of 2".to_owned())
        };
        Self {
            name: "Tomás <b>Reyes</b>".to_owned(),
            cane: (0..n).map(CaneCard::sample).collect(),
            places: (0..n).map(line).collect(),
            book: (0..n).map(line).collect(),
            statement: "/members/2/statement/2026".to_owned(),
            card: "/members/2".to_owned(),
        }
    }
}
