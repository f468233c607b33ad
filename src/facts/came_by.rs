//! By which way the entries of a record came: kept on a phone before they were sent, or from the mill's own station.

use crate::store::people::stations;
use crate::store::{Question, Together, sent_from_phone};

/// The ways by which the entries of a record came.
#[derive(Debug, Clone, Default)]
pub struct CameBy {
    /// Entries kept on phones before they were sent.
    pub phones: Vec<sent_from_phone::SentRow>,
    /// Entries made at the mill's own station.
    pub stations: Vec<stations::SentRow>,
}

impl CameBy {
    /// How the entries of a record came; `record`: the id or number that the actions answered with.
    pub fn of(record: &str) -> Question<Self> {
        let found = (
            sent_from_phone::of_record(record),
            stations::sent_of(record),
        );
        found
            .together()
            .map(|(phones, stations)| Self { phones, stations })
    }
}
