//! Names, ways to reach a person, and what a person may do.

use super::Refused;
use super::look_alike::{hides_something, no_character};
use std::fmt;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// A text as people sort and look for it: é beside e, capitals beside small letters (Unicode Standard Annex 15, compatibility
/// decomposition, marks left out).
pub fn people_order(text: &str) -> String {
    let plain = text.nfkd().filter(|c| !is_combining_mark(*c));
    plain.collect::<String>().to_lowercase()
}

/// Rows as people look for a name in them: by what comes before the name, by the name as [`people_order`] has it, and where both are
/// alike as they came.
pub fn by_name<T, K: Ord>(mut rows: Vec<T>, key: impl Fn(&T) -> (K, &str)) -> Vec<T> {
    rows.sort_by_cached_key(|row| {
        let (before, name) = key(row);
        (before, people_order(name))
    });
    rows
}

/// What a person may do; each role can do all that the one before can.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, sqlx::Type)]
#[sqlx(rename_all = "lowercase")]
pub enum Role {
    /// Books, moves and cancels own turns; sees own records.
    Member,
    /// Works the mill: weighs, measures, boils, fills, hands over; for anybody.
    Crew,
    /// Keeps members, rules, days, corrections and money.
    Steward,
}

impl Role {
    /// Reads the word a form uses.
    ///
    /// # Errors
    /// None of the three words.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        match text.trim() {
            "member" => Ok(Self::Member),
            "crew" => Ok(Self::Crew),
            "steward" => Ok(Self::Steward),
            _ => Err(Refused::new("Please choose member, crew or steward.")),
        }
    }

    /// The word a form and the store use.
    pub fn word(self) -> &'static str {
        match self {
            Self::Member => "member",
            Self::Crew => "crew",
            Self::Steward => "steward",
        }
    }
}

/// Whether a character forces the direction of what follows it, so that another name or a number is read
/// the wrong way round: embeddings, overrides and isolates of Unicode Standard Annex 9, section 2; or shows nothing at all, so that
/// one name looks like another.
const fn turns_writing(c: char) -> bool {
    matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{61c}' | '\u{2028}' | '\u{2029}' | '\u{2060}' | '\u{206a}'..='\u{206f}' | '\u{feff}')
        || no_character(c)
}

/// Whether a character is of a script written from right to left: the blocks of Hebrew, Arabic, Syriac, Thaana, N'Ko and
/// their like, and the presentation forms (Unicode Standard Annex 9, classes R and AL).
const fn from_the_right(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{fefc}' | '\u{10800}'..='\u{10fff}' | '\u{1e800}'..='\u{1efff}')
}

/// Trims a line of text and refuses control characters, marks that force the direction of writing, and what
/// is longer than `most` characters.
///
/// # Errors
/// A sentence naming the limit.
pub fn plain_text(text: &str, least: usize, most: usize) -> Result<String, Refused> {
    let text = text.trim();
    let length = text.chars().count();
    if text.chars().any(|c| c.is_control() && c != '\n') {
        return Err(Refused::new(
            "Please leave out tabs and other control characters.",
        ));
    }
    if text.chars().any(turns_writing) {
        return Err(Refused::new(
            "Please leave out what cannot be seen: hidden marks, or signs that are no letters.",
        ));
    }
    if length < least {
        return Err(Refused::new("Please fill in this box."));
    }
    if length > most {
        return Err(Refused::new(format!(
            "Please keep this to {most} characters."
        )));
    }
    Ok(text.to_owned())
}

/// As [`plain_text`], on one line: names of things, places.
///
/// # Errors
/// As [`plain_text`], or a line break.
pub fn one_line(text: &str, least: usize, most: usize) -> Result<String, Refused> {
    let text = plain_text(text, least, most)?;
    if text.contains('\n') {
        return Err(Refused::new("Please write this on one line."));
    }
    Ok(text)
}

macro_rules! text_newtype {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, sqlx::Type)]
        #[sqlx(transparent)]
        pub struct $name(String);

        impl $name {
            /// The text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl fmt::Display for $name {
            /// In a sentence, text written from right to left is set apart (first strong isolate, Unicode Standard Annex 9),
            /// so that no number beside it is turned round.
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                if self.0.chars().any(from_the_right) {
                    write!(f, "\u{2068}{}\u{2069}", self.0)
                } else {
                    f.write_str(&self.0)
                }
            }
        }
    )*};
}

text_newtype! {
    /// A person's name as it stands on a statement: 1 to 60 characters.
    MemberName;
    /// The name typed to sign in: 2 to 40 of a-z, 0-9, dot, hyphen; lower case.
    SignInName;
    /// A telephone number as written: digits, spaces, `+ - ( ) .`, 5 to 24 characters.
    Phone;
    /// An e-mail address, only roughly checked: the post decides.
    Email;
}

impl MemberName {
    /// Reads a name.
    ///
    /// # Errors
    /// Empty, too long, or with control characters or others that nobody sees.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let text = plain_text(text, 1, 60)?;
        if text.contains('\n') {
            return Err(Refused::new("Please write the name on one line."));
        }
        if hides_something(&text) {
            return Err(Refused::new(
                "Please leave out the hidden characters: this name holds one that nobody sees.",
            ));
        }
        Ok(Self(text))
    }

    /// The first word of it, as one is called at the mill.
    pub fn first(&self) -> &str {
        self.0.split_whitespace().next().unwrap_or(&self.0)
    }
}

impl SignInName {
    /// Reads a sign-in name; capital letters are taken as small ones.
    ///
    /// # Errors
    /// Too short, too long, or with other characters.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let text = text.trim().to_lowercase();
        let good = text
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || ".-".contains(c));
        if good && (2..=40).contains(&text.len()) {
            Ok(Self(text))
        } else {
            Err(Refused::new(
                "Please choose 2 to 40 letters, digits, dots or hyphens, like ruth.bell.",
            ))
        }
    }
}

impl Phone {
    /// No telephone of one's own: somebody else is called.
    pub const fn none() -> Self {
        Self(String::new())
    }

    /// Reads a telephone number.
    ///
    /// # Errors
    /// Other characters, or fewer than five digits.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let text = text.trim();
        let good = text
            .chars()
            .all(|c| c.is_ascii_digit() || " +-().".contains(c));
        let digits = text.chars().filter(char::is_ascii_digit).count();
        if good && digits >= 5 && text.len() <= 24 {
            Ok(Self(text.to_owned()))
        } else {
            Err(Refused::new(
                "Please write a telephone number in digits, like 615 555 0134.",
            ))
        }
    }
}

impl Email {
    /// Reads an e-mail address.
    ///
    /// # Errors
    /// No `@` with something on both sides, more than one, marks that part two addresses (RFC 5322, section 3.4),
    /// spaces, or longer than 254.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        let text = text.trim();
        let good = text.len() <= 254
            && !text.chars().any(|c| c.is_whitespace() || c.is_control())
            && !text.contains([',', ';', ':', '<', '>', '(', ')', '[', ']', '\\', '"'])
            && text.split_once('@').is_some_and(|(a, b)| {
                !b.contains('@')
                    && !a.is_empty()
                    && b.contains('.')
                    && !b.starts_with('.')
                    && !b.ends_with('.')
            });
        if good {
            Ok(Self(text.to_owned()))
        } else {
            Err(Refused::new(
                "Please write an e-mail address, like ruth@example.org, or leave this empty.",
            ))
        }
    }
}

/// A passphrase as typed, byte for byte; never shown, never logged.
#[derive(Clone)]
pub struct Passphrase(String);

impl Passphrase {
    /// Takes a new passphrase: 8 to 200 characters, no other rule (OWASP ASVS 5.0.0, 6.2.1, 6.2.5,
    /// 6.2.9). The commonest ones are refused by the caller's list.
    ///
    /// # Errors
    /// Too short or too long.
    pub fn parse(text: &str) -> Result<Self, Refused> {
        match text.chars().count() {
            0..8 => Err(Refused::new(
                "Please choose at least 8 characters; 15 or more are better. Four or five words do well.",
            )),
            8..=200 => Ok(Self(text.to_owned())),
            _ => Err(Refused::new(
                "Please keep the passphrase to 200 characters.",
            )),
        }
    }

    /// Takes a new PIN for the mill's station: 4 to 6 digits, neither all alike nor counted up or down.
    ///
    /// # Errors
    /// Anything else than such digits.
    pub fn pin(text: &str) -> Result<Self, Refused> {
        let text = text.trim();
        let digits = text.as_bytes();
        if !(4..=6).contains(&digits.len()) || !digits.iter().all(u8::is_ascii_digit) {
            return Err(Refused::new("Please choose 4 to 6 digits."));
        }
        let steps: Vec<i16> = digits
            .windows(2)
            .map(|pair| i16::from(pair[1]) - i16::from(pair[0]))
            .collect();
        let first_tried = [-1, 0, 1]
            .iter()
            .any(|step| steps.iter().all(|s| s == step));
        if first_tried {
            return Err(Refused::new(
                "That is one of the first that anybody would try. Please choose other digits.",
            ));
        }
        Ok(Self(text.to_owned()))
    }

    /// Takes what was typed at sign-in, whatever its length.
    pub fn typed(text: &str) -> Self {
        Self(text.to_owned())
    }

    /// The bytes to hash.
    pub fn as_bytes(&self) -> &[u8] {
        self.0.as_bytes()
    }

    /// The text, to compare with a list of common ones.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Passphrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Passphrase(…)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_that_turn_the_direction_of_writing_are_refused_and_other_scripts_are_not() {
        for mark in ['\u{202a}', '\u{202e}', '\u{2066}', '\u{2069}'] {
            let refused = MemberName::parse(&format!("Ann{mark} Fenn")).unwrap_err();
            assert!(refused.to_string().contains("hidden marks"), "{refused}");
        }
        // A name in Hebrew letters is a name like any other.
        assert!(MemberName::parse("\u{5e8}\u{5d5}\u{5ea} Bell").is_ok());
    }

    #[test]
    fn an_e_mail_address_is_one() {
        assert!(Email::parse(" ruth@example.org ").is_ok());
        for two in [
            "ruth@example.org,amos@example.org",
            "ruth@example.org;amos@example.org",
            "Ruth<ruth@example.org>",
            "ruth@example.org@example.net",
            "a:ruth@example.org;",
            "ruth@example.org\r\nbcc:amos@example.org",
        ] {
            assert!(Email::parse(two).is_err(), "{two}");
        }
    }

    #[test]
    fn names_and_numbers_are_checked_at_the_door() {
        assert!(MemberName::parse("<b>Ruth</b> & “Söhne”").is_ok());
        assert!(MemberName::parse("  ").is_err());
        assert!(MemberName::parse("a\u{0}b").is_err());
        assert_eq!(
            SignInName::parse(" Ruth.Bell ").unwrap().as_str(),
            "ruth.bell"
        );
        assert!(SignInName::parse("ruth bell").is_err());
        assert!(Phone::parse("+1 (615) 555-0134").is_ok());
        assert!(Phone::parse("call me").is_err());
        assert!(Email::parse("ruth@example.org").is_ok());
        assert!(Email::parse("ruth@").is_err());
    }

    #[test]
    fn a_pin_is_four_to_six_digits_that_are_not_the_first_to_be_tried() {
        for good in ["2580", " 73914 ", "112233", "9871"] {
            assert!(Passphrase::pin(good).is_ok(), "{good}");
        }
        for bad in [
            "", "123", "1234567", "12a4", "0000", "12345", "9876", "١٢٣٥",
        ] {
            assert!(Passphrase::pin(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_passphrase_has_a_least_length_and_no_other_rule() {
        assert!(Passphrase::parse("aaaaaaa").is_err());
        assert!(Passphrase::parse("aaaaaaaa").is_ok());
        assert!(Passphrase::parse(&"x".repeat(128)).is_ok());
        assert_eq!(
            format!("{:?}", Passphrase::typed("secret")),
            "Passphrase(…)"
        );
    }

    #[test]
    fn e_with_an_accent_sorts_beside_e() {
        let mut names = ["Zoe", "Émile", "Eva", "eli", "Ed", "Ödön", "Otis"];
        names.sort_by_cached_key(|name| people_order(name));
        assert_eq!(names, ["Ed", "eli", "Émile", "Eva", "Ödön", "Otis", "Zoe"]);
    }
}
