//! Boxes that come back as they were shown: what is shown is rounded, so the figure that stands stored is meant.

use super::form::Sheet;

/// What a box means: the figure that it showed, where it came back as it was shown; else what was read from it.
pub(super) fn or_read<T>(
    sheet: &Sheet,
    name: &str,
    (stored, shown): (T, &str),
    read: Option<T>,
) -> Option<T> {
    if sheet.typed(name).trim() == shown {
        Some(stored)
    } else {
        read
    }
}
