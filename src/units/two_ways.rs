//! Numbers that can be read two ways, because their mark may group thousands or begin the decimals: asked about, never guessed.

use super::Refused;

/// A number such as "12,00" or "1.200", of one to three digits and so many more after its only mark; not what begins with a
/// zero, which groups nothing.
fn one_mark(text: &str, mark: char, after: usize) -> Option<(&str, &str)> {
    let (whole, part) = text.trim().split_once(mark)?;
    let digits = |text: &str| text.chars().all(|c| c.is_ascii_digit());
    let fits = (1..=3).contains(&whole.len()) && part.len() == after && !whole.starts_with('0');
    (fits && digits(whole) && digits(part)).then_some((whole, part))
}

/// A number as it can be read in one way only: no noughts at its end, and not just three digits after its mark.
pub(super) fn plainly(whole: &str, part: &str) -> String {
    match part.trim_end_matches('0') {
        "" => whole.to_owned(),
        part if part.len() == 3 => format!("{whole}.{part}0"),
        part => format!("{whole}.{part}"),
    }
}

fn asked(typed: &str, one: &str, other: &str) -> Refused {
    Refused::new(format!(
        "“{}” can be read two ways. Please write {one} or {other}.",
        typed.trim()
    ))
}

/// Asks about "12,00" of who reads US customary units, to whom a comma groups thousands: 12 or 1200, with a digit missing.
pub(super) fn ask_of_comma(number: &str) -> Result<(), Refused> {
    let Some((whole, part)) = one_mark(number, ',', 2) else {
        return Ok(());
    };
    Err(asked(
        number,
        &format!("{whole}{part}"),
        &plainly(whole, part),
    ))
}

/// Asks about "1.200" of who reads metric units, where `fits` says that 1200 would do, too. Not for what is read off a
/// scale or a vessel: its display has a point, and may well have three digits after it.
pub(super) fn ask_of_point(text: &str, fits: impl Fn(&str) -> bool) -> Result<(), Refused> {
    let end = text.find(char::is_alphabetic).unwrap_or(text.len());
    let number = text[..end].trim();
    match one_mark(number, '.', 3) {
        Some((whole, part)) if fits(&text.replacen('.', "", 1)) => Err(asked(
            number,
            &format!("{whole}{part}"),
            &plainly(whole, part),
        )),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_comma_before_two_digits_is_asked_about() {
        let said = ask_of_comma("12,00").unwrap_err();
        assert!(said.sentence().contains("1200 or 12."), "{said}");
        for typed in ["12,5", "0,25", "1,200", "12.00", "1,20,00", ",50", "12,0a"] {
            assert!(ask_of_comma(typed).is_ok(), "{typed}");
        }
    }

    #[test]
    fn a_point_before_three_digits_is_asked_about_where_both_readings_would_do() {
        let said = ask_of_point("1.200", |other| other == "1200").unwrap_err();
        assert!(said.sentence().contains("1200 or 1.2."), "{said}");
        let said = ask_of_point(" 12.345 kg", |_| true).unwrap_err();
        assert!(said.sentence().contains("12345 or 12.3450."), "{said}");
        assert!(ask_of_point("1.200", |_| false).is_ok());
        // What is offered is taken.
        for offered in ["1200", "1.2", "12345", "12.3450"] {
            assert!(ask_of_point(offered, |_| true).is_ok(), "{offered}");
        }
        for typed in ["0.200", "1.20", "1.200,5", "1200", "1.2000", "", "kg"] {
            assert!(ask_of_point(typed, |_| true).is_ok(), "{typed}");
        }
    }
}
