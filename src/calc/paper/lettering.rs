//! How long a line of words is, how far it may be narrowed, and where it breaks. Knows one family of
//! metrics and draws nothing.

/// Widths of the printable characters of ASCII from the space on, in thousandths of the size they
/// are set in, for sans-serif faces of the common metrics: read from Liberation Sans 2.1, regular.
const WIDTHS: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];
/// Width of any other character, in thousandths: a full em.
const OTHER: u16 = 1000;
/// Bold letters are this much wider than regular ones, at most, in the words used here.
const BOLD: f64 = 1.09;

/// The length of a line set in size 1.
pub(in crate::calc) fn width_em(text: &str) -> f64 {
    text.chars()
        .map(|c| {
            let place = u32::from(c).checked_sub(32).map(|n| n as usize);
            let width = place.and_then(|n| WIDTHS.get(n)).copied();
            f64::from(width.unwrap_or(if c == '·' { WIDTHS[0] } else { OTHER }))
        })
        .sum::<f64>()
        / 1000.0
}

/// How long a line is drawn: its own length, or less down to its `narrowest` part of it; `None`
/// when it is too long even so.
pub(in crate::calc) fn fitted(
    text: &str,
    size_mm: f64,
    room_mm: f64,
    narrowest: f64,
    bold: bool,
) -> Option<f64> {
    let own = width_em(text) * size_mm * if bold { BOLD } else { 1.0 };
    (own * narrowest <= room_mm).then(|| own.min(room_mm))
}

/// Breaks a text between words into lines of at most `most_em`, a longer word alone.
pub(in crate::calc) fn wrap(text: &str, most_em: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if width_em(line) + width_em(" ") + width_em(word) <= most_em => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_break_between_words() {
        assert_eq!(wrap("aa aa aa", 2.6), ["aa aa", "aa"]);
        assert_eq!(wrap("Donaudampfschiff an", 3.0), ["Donaudampfschiff", "an"]);
        assert_eq!(wrap("", 3.0), Vec::<String>::new());
    }

    #[test]
    fn a_line_is_as_long_as_its_letters() {
        // Liberation Sans 2.1: N 722, e 556, t 278 thousandths.
        assert!((width_em("Net") - 1.556).abs() < 1e-9);
        assert_eq!(fitted("Net", 10.0, 20.0, 0.6, false), Some(15.56));
        assert_eq!(fitted("Net", 10.0, 12.0, 0.6, false), Some(12.0));
        assert_eq!(fitted("Net", 10.0, 9.0, 0.6, false), None);
    }
}
