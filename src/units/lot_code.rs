//! Lot codes: what stands on every jar of one boil. Short, fixed in length, and with a check
//! character that catches any single wrong character and any two neighbours changed round.
//!
//! A code is six symbols of the 32 that Douglas Crockford's base 32 uses (0-9 and A-Z without
//! I, L, O and U): two digits of the year, three of a serial, and the check character of ISO 7064
//! MOD 37-2 over those five. It is printed with a hyphen before the check character: `26A9Z-P`
//! has the body `26A9Z`. Serials whose check character would be I, L, O, U or `*` are never used,
//! so every printed code keeps to the 32 symbols, and any ISO 7064 library can verify it.
//!
//! The year's two digits come round again after a hundred years.

use super::Refused;
use std::fmt;

/// Crockford's base 32, in order of value.
const SYMBOLS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// The characters of ISO 7064 MOD 37-2, in order of value.
const ISO_7064: &[u8; 37] = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*";
/// Symbols before the check character.
const BODY: usize = 5;
/// Serials in a year before those with an unfit check character are left out: 32 × 32 × 32.
const SERIALS: u32 = 32 * 32 * 32;

/// A lot code in its plain form: six symbols, no hyphen.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, sqlx::Type)]
#[sqlx(transparent)]
pub struct LotCode(String);

/// The weighted sum of ISO 7064 MOD 37-2 over a run of its characters; `None` on any other. A
/// whole code, check character included, comes to 1.
fn sum_37_2(text: &str) -> Option<usize> {
    text.bytes().try_fold(0, |sum, byte| {
        let value = ISO_7064.iter().position(|&c| c == byte)?;
        Some((sum * 2 + value) % 37)
    })
}

/// The check character of a body by ISO 7064 MOD 37-2: 0-9, A-Z or `*`. `None` when the body
/// holds anything but 0-9, A-Z and `*`.
///
/// Source: ISO 7064 (system MOD 37-2), from memory; agrees with python-stdnum 2.2.
pub fn check_character(body: &str) -> Option<char> {
    let sum = sum_37_2(body)?;
    let value = (38 - sum * 2 % 37) % 37;
    Some(char::from(ISO_7064[value]))
}

/// A code as typed in its plain form: capitals, without spaces and hyphens, I and L as 1, O as 0.
fn plain(text: &str) -> String {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '-' | '\u{2010}'..='\u{2015}' | '−'))
        .map(|c| match c.to_ascii_uppercase() {
            'I' | 'L' => '1',
            'O' => '0',
            other => other,
        })
        .collect()
}

/// Whether two texts are the same, or one becomes the other by one character changed, left out or put in, or by two
/// neighbours changed round.
fn one_slip(a: &[char], b: &[char]) -> bool {
    let same_from = a.iter().zip(b).take_while(|(x, y)| x == y).count();
    let (a, b) = (&a[same_from..], &b[same_from..]);
    let rest = |from_a: usize, from_b: usize| a.get(from_a..) == b.get(from_b..);
    if a.is_empty() && b.is_empty() {
        return true;
    }
    let round = a.len() >= 2 && b.len() >= 2 && a[0] == b[1] && a[1] == b[0] && rest(2, 2);
    let both = !a.is_empty() && !b.is_empty();
    round || (both && rest(1, 1)) || (!a.is_empty() && rest(1, 0)) || (!b.is_empty() && rest(0, 1))
}

impl LotCode {
    /// The `n`-th code of a year, counted from 1; about 28,300 a year.
    ///
    /// # Errors
    /// `n` is 0 or the year's codes are used up.
    pub fn nth(year: i32, n: u32) -> Result<Self, Refused> {
        let skip = n.checked_sub(1).and_then(|n| usize::try_from(n).ok());
        skip.and_then(|skip| Self::of_year(year).nth(skip))
            .ok_or_else(|| {
                Refused::new(format!(
                    "There is no lot code number {n} in {year}: all codes of the year are used."
                ))
            })
    }

    /// The place of this code among those of its year, counted from 1; `None`: it is none of them.
    pub fn place(&self, year: i32) -> Option<u32> {
        let before = Self::of_year(year).position(|code| code == *self)?;
        u32::try_from(before + 1).ok()
    }

    /// Every code of a year, in order of their serials.
    pub fn of_year(year: i32) -> impl Iterator<Item = Self> {
        (0..SERIALS).filter_map(move |serial| {
            let symbol = |place: u32| char::from(SYMBOLS[(serial >> place & 31) as usize]);
            let mut code = format!("{:02}", year.rem_euclid(100));
            code.extend([symbol(10), symbol(5), symbol(0)]);
            let check = check_character(&code)?;
            let fit = u8::try_from(check).is_ok_and(|c| SYMBOLS.contains(&c));
            fit.then(|| {
                code.push(check);
                Self(code)
            })
        })
    }

    /// Reads a code as people write it: small letters, spaces and hyphens anywhere, I and L for 1,
    /// O for 0.
    ///
    /// # Errors
    /// Not six symbols, a symbol that no code has, or a check character that does not fit.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let said = |sentence: &str| Err(Refused::new(sentence));
        let plain = plain(text);
        if plain.is_empty() {
            return said("Please write the lot code from the label, like 26A9Z-P.");
        }
        if let Some(odd) = plain
            .chars()
            .find(|c| !u8::try_from(*c).is_ok_and(|c| SYMBOLS.contains(&c)))
        {
            let hint = if odd == 'U' { "; it may be a V" } else { "" };
            return Err(Refused::new(format!(
                "No lot code has a “{odd}”{hint}. Please look at the label again."
            )));
        }
        if plain.len() != BODY + 1 || !plain.bytes().take(2).all(|c| c.is_ascii_digit()) {
            return said(
                "A lot code is two digits of the year, three symbols and, after the hyphen, one \
                 more: like 26A9Z-P. Please look at the label again.",
            );
        }
        if sum_37_2(&plain) != Some(1) {
            return said(
                "That is no lot code: one character is wrong or two have changed places. Please \
                 look at the label again.",
            );
        }
        Ok(Self(plain))
    }

    /// A code that no boil ever has: to look for in place of what is no code.
    pub fn of_no_boil() -> Self {
        Self("000000".to_owned())
    }

    /// The codes that are one slip of the pen from what was typed: one character wrong, missing or too many, or two
    /// neighbours changed round. At most three, in the order given; what was typed itself is among them when it is
    /// one of the codes.
    pub fn near(typed: &str, among: &[Self]) -> Vec<Self> {
        let typed: Vec<char> = plain(typed).chars().collect();
        let one_slip = |code: &&Self| one_slip(&typed, &code.0.chars().collect::<Vec<char>>());
        among.iter().filter(one_slip).take(3).cloned().collect()
    }

    /// The six symbols without the hyphen, as an address or a QR code carries them.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// The code as it is printed: `26A9Z-P`.
impl fmt::Display for LotCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0.split_at_checked(BODY) {
            Some((body, check)) => write!(f, "{body}-{check}"),
            None => f.write_str(&self.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashSet;

    #[test]
    fn a_code_with_one_slip_names_the_codes_it_may_have_been() {
        let codes: Vec<LotCode> = LotCode::of_year(2026).take(40).collect();
        let one = codes[7].to_string();
        let near = |typed: &str| LotCode::near(typed, &codes);
        assert!(near(&one.to_lowercase()).contains(&codes[7]));
        let text: Vec<char> = codes[7].as_str().chars().collect();
        for place in 0..text.len() {
            let mut wrong = text.clone();
            wrong[place] = if wrong[place] == 'Z' { 'Y' } else { 'Z' };
            assert!(
                near(&wrong.iter().collect::<String>()).contains(&codes[7]),
                "{place}"
            );
            let mut short = text.clone();
            short.remove(place);
            assert!(
                !near(&short.iter().collect::<String>()).is_empty(),
                "{place}"
            );
            let mut long = text.clone();
            long.insert(place, 'Q');
            assert!(
                near(&long.iter().collect::<String>()).contains(&codes[7]),
                "{place}"
            );
        }
        let mut round = text.clone();
        round.swap(1, 2);
        assert!(near(&round.iter().collect::<String>()).contains(&codes[7]));
        // Two slips are too many, and so is nothing at all.
        let mut two = text;
        (two[0], two[5]) = ('9', 'Q');
        assert!(near(&two.iter().collect::<String>()).is_empty());
        assert!(near("").is_empty() && near("<script>").is_empty());
        assert!(near("26000").len() <= 3);
    }

    #[test]
    fn the_codes_of_a_year_are_many_distinct_and_read_back() {
        let codes: Vec<LotCode> = LotCode::of_year(2026).collect();
        // 5 of 37 check characters are unfit, so about 86.5 % of 32,768 serials stay.
        assert!((28_000..29_000).contains(&codes.len()), "{}", codes.len());
        let distinct: HashSet<_> = codes.iter().collect();
        assert_eq!(distinct.len(), codes.len());
        for code in &codes {
            assert!(code.as_str().starts_with("26") && code.as_str().len() == 6);
            assert!(code.as_str().bytes().all(|c| SYMBOLS.contains(&c)));
            assert_eq!(LotCode::parse(&code.to_string()).as_ref(), Ok(code));
        }
        assert_eq!(LotCode::nth(2026, 1).unwrap(), codes[0]);
        assert_eq!(LotCode::nth(2026, 300).unwrap(), codes[299]);
        assert!(LotCode::nth(2026, 0).is_err());
        assert!(LotCode::nth(2026, 32_000).is_err());
        assert_eq!(LotCode::nth(2009, 1).unwrap().as_str().get(..2), Some("09"));
    }

    #[test]
    fn any_single_wrong_character_and_any_swap_of_neighbours_is_caught() {
        // Every thirteenth code of a year: 31 wrong characters in each of six places, and each
        // of the five swaps.
        for code in LotCode::of_year(2026).step_by(13) {
            let right = code.as_str().as_bytes();
            for place in 0..right.len() {
                for &wrong in SYMBOLS.iter().filter(|&&c| c != right[place]) {
                    let mut typed = right.to_vec();
                    typed[place] = wrong;
                    let typed = String::from_utf8(typed).unwrap();
                    assert!(LotCode::parse(&typed).is_err(), "{typed} for {code}");
                }
            }
            for place in 1..right.len() {
                let mut typed = right.to_vec();
                typed.swap(place - 1, place);
                let typed = String::from_utf8(typed).unwrap();
                if typed != code.as_str() {
                    assert!(LotCode::parse(&typed).is_err(), "{typed} for {code}");
                }
            }
        }
    }

    #[test]
    fn a_code_is_read_however_it_is_written() {
        let code = LotCode::of_year(2026)
            .find(|c| c.as_str().contains('1') && c.as_str().contains('0'))
            .unwrap();
        let shown = code.to_string();
        let sloppy = shown.to_lowercase().replace('0', "o").replace('1', "l");
        for typed in [
            shown.replace('-', ""),
            shown.replace('-', " – "),
            format!("  {sloppy} "),
            sloppy.replace('l', "I"),
        ] {
            assert_eq!(LotCode::parse(&typed).as_ref(), Ok(&code), "{typed}");
        }
        assert_eq!(
            LotCode::parse("26U00-1").unwrap_err().sentence(),
            "No lot code has a “U”; it may be a V. Please look at the label again."
        );
        for typed in [
            "", "26A9", "26A9ZPP", "A6A9Z-G", "26A9Z*", "ä6A9Z-G", "26A9Z-Z",
        ] {
            assert!(LotCode::parse(typed).is_err(), "{typed}");
        }
    }
}
