//! Times of day in a text, for who reads a 12-hour clock.

use std::fmt::Write as _;

/// Plain text with "19:05" written "7:05 pm": the text of a page, an entry of a calendar, a letter.
pub fn twelve_hours(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    times(text, &mut out);
    out
}

/// Two digits as a number, if both are digits.
fn two(bytes: &[u8]) -> Option<u8> {
    match bytes {
        [a, b] if a.is_ascii_digit() && b.is_ascii_digit() => Some((a - b'0') * 10 + (b - b'0')),
        _ => None,
    }
}

/// The hour and minute that `bytes` begin with, when a time of day stands there by itself.
fn time_at(bytes: &[u8], before: Option<u8>) -> Option<(u8, u8)> {
    let hour = two(bytes.get(..2)?)?;
    let minute = two(bytes.get(3..5)?)?;
    let joined = |b: u8| b.is_ascii_alphanumeric() || b == b':' || b == b'-';
    let alone = !before.is_some_and(|b| joined(b) || b == b'.')
        && !bytes
            .get(5)
            .is_some_and(|b| b.is_ascii_alphanumeric() || *b == b':');
    (bytes.get(2) == Some(&b':') && hour <= 24 && minute < 60 && alone).then_some((hour, minute))
}

fn times(text: &str, out: &mut String) {
    let bytes = text.as_bytes();
    let (mut from, mut at) = (0, 0);
    while at + 5 <= bytes.len() {
        let before = at.checked_sub(1).and_then(|b| bytes.get(b).copied());
        let Some((hour, minute)) = time_at(&bytes[at..], before) else {
            at += 1;
            continue;
        };
        let half = if (12..24).contains(&hour) { "pm" } else { "am" };
        let shown = match hour % 12 {
            0 => 12,
            h => h,
        };
        out.push_str(&text[from..at]);
        // Writing to a string does not fail.
        let _ = write!(out, "{shown}:{minute:02}\u{a0}{half}");
        at += 5;
        from = at;
    }
    out.push_str(&text[from..]);
}
