//! A line of the home page's lists, and counts in words.

/// A line of the home page with its link.
pub(super) struct HomeLine {
    pub(super) href: String,
    pub(super) words: String,
    pub(super) more: String,
    pub(super) tag: &'static str,
    pub(super) look: &'static str,
}

impl HomeLine {
    pub(super) fn new(href: String, words: String, more: String) -> Self {
        Self {
            href,
            words,
            more,
            tag: "",
            look: "",
        }
    }
}

pub(super) use crate::units::count_of as count;
