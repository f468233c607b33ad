//! By which way the entries of a record came: kept on a phone before they were sent, or from the mill's own station.

use crate::store::people::stations;
use crate::store::{Question, Together, sent_from_phone};

/// By which way entries came.
#[derive(Debug, Clone, Default)]
pub struct CameBy {
    /// Kept on phones before they were sent.
    pub phones: Vec<sent_from_phone::SentRow>,
    /// Entered at the mill's own station.
    pub stations: Vec<stations::SentRow>,
}

impl CameBy {
    /// Of the record that actions answered with: its id, or its number.
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
