//! The second factor of signing in: codes that go with time, as authenticators show them (TOTP, RFC 6238, over HOTP,
//! RFC 4226, with HMAC-SHA-1, six digits and steps of 30 seconds: what authenticators take without being asked).

use crate::units::UtcSecond;
use hmac::{Hmac, KeyInit, Mac};
use sha1::Sha1;

/// Seconds that a code holds (RFC 6238, section 5.2).
const STEP_S: i64 = 30;
/// Steps that a telephone's clock may be off, either way (RFC 6238, section 5.2 and 6).
const OFF: i64 = 1;
/// Number of different codes of six digits.
const CODES: u32 = 1_000_000;
/// The letters of base32 (RFC 4648, section 6).
const BASE32: &[u8; 32] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZ234567";

/// What an authenticator and the server both know: 160 bits, as RFC 4226, section 4 recommends.
#[derive(Clone, PartialEq, Eq)]
pub struct Secret([u8; 20]);

impl std::fmt::Debug for Secret {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Secret(…)")
    }
}

impl Secret {
    /// The secret made of these random bytes.
    pub fn of_bytes(bytes: [u8; 20]) -> Self {
        Self(bytes)
    }

    /// The secret as it is stored and typed: base32, 32 letters and digits.
    pub fn base32(&self) -> String {
        self.0
            .as_chunks::<5>()
            .0
            .iter()
            .flat_map(|five| {
                let bits = five.iter().fold(0_u64, |all, b| (all << 8) | u64::from(*b));
                (0..8).filter_map(move |n| {
                    let five = usize::try_from(bits >> (35 - 5 * n) & 31).ok()?;
                    BASE32.get(five).map(|b| char::from(*b))
                })
            })
            .collect()
    }

    /// Reads what [`Secret::base32`] wrote.
    pub fn parse(text: &str) -> Option<Self> {
        let mut secret = [0_u8; 20];
        let (letters, rest) = text.as_bytes().as_chunks::<8>();
        if letters.len() != 4 || !rest.is_empty() {
            return None;
        }
        for (eight, five) in letters.iter().zip(secret.as_chunks_mut::<5>().0) {
            let mut bits = 0_u64;
            for letter in eight {
                let value = BASE32.iter().position(|b| b == letter)?;
                bits = (bits << 5) | u64::try_from(value).ok()?;
            }
            five.copy_from_slice(&bits.to_be_bytes()[3..]);
        }
        Some(Self(secret))
    }

    /// The number that a step gives before it is cut to its digits (RFC 4226, section 5.3).
    fn number(&self, step: u64) -> u32 {
        let mut mac =
            Hmac::<Sha1>::new_from_slice(&self.0).expect("HMAC takes a key of any length");
        mac.update(&step.to_be_bytes());
        let digest = mac.finalize().into_bytes();
        let at = usize::from(digest[19] & 15);
        let four = [digest[at], digest[at + 1], digest[at + 2], digest[at + 3]];
        u32::from_be_bytes(four) & 0x7fff_ffff
    }

    /// The code of an instant, as an authenticator shows it: six digits.
    pub fn code(&self, at: UtcSecond) -> String {
        format!("{:06}", self.number(step_of(at)) % CODES)
    }

    /// The step whose code was typed, if it is one of this time and later than `last`, the step used last: a code
    /// opens once. Blanks between the digits do not count.
    pub fn accepts(&self, typed: &str, at: UtcSecond, last: i64) -> Option<i64> {
        let digits: String = typed.chars().filter(|c| !c.is_whitespace()).collect();
        if digits.len() != 6 || !digits.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let typed: u32 = digits.parse().ok()?;
        let step = at.get().div_euclid(STEP_S);
        ((step - OFF)..=(step + OFF)).find(|step| {
            *step > last
                && u64::try_from(*step).is_ok_and(|step| self.number(step) % CODES == typed)
        })
    }

    /// The address that authenticators read from a code on the screen. Their own convention, not a standard:
    /// `otpauth://totp/ISSUER:ACCOUNT?secret=…&issuer=…` (common practice, from memory).
    pub fn address(&self, issuer: &str, account: &str) -> String {
        let (issuer, account) = (escaped(issuer), escaped(account));
        format!(
            "otpauth://totp/{issuer}:{account}?secret={}&issuer={issuer}",
            self.base32()
        )
    }
}

fn step_of(at: UtcSecond) -> u64 {
    u64::try_from(at.get().div_euclid(STEP_S)).unwrap_or(0)
}

/// Everything but unreserved characters as % and two digits (RFC 3986, section 2.1).
fn escaped(text: &str) -> String {
    let one = |b: u8| match b {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
            char::from(b).to_string()
        }
        _ => format!("%{b:02X}"),
    };
    text.bytes().map(one).collect()
}

/// A recovery code as it was typed, as it is compared: without hyphens and blanks, in small letters, and with the
/// letters that are easily taken for digits read as those (Crockford's base 32).
pub fn recovery(typed: &str) -> String {
    let one = |c: char| match c {
        'o' => '0',
        'i' | 'l' => '1',
        c => c,
    };
    let lower = typed.to_lowercase();
    lower
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .map(one)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The secret of the test values of RFC 6238, appendix B: "12345678901234567890".
    fn published() -> Secret {
        Secret::of_bytes(*b"12345678901234567890")
    }

    #[test]
    fn codes_are_those_of_rfc_6238_appendix_b() {
        // The appendix shows eight digits; six are its last six. From memory, and worked again with Python's hmac.
        for (at, eight) in [
            (59, "94287082"),
            (1_111_111_109, "07081804"),
            (1_111_111_111, "14050471"),
            (1_234_567_890, "89005924"),
            (2_000_000_000, "69279037"),
            (20_000_000_000, "65353130"),
        ] {
            assert_eq!(published().code(UtcSecond::new(at)), eight[2..]);
        }
    }

    #[test]
    fn base32_is_that_of_rfc_4648() {
        // By Python's base64.b32encode.
        let text = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ";
        assert_eq!(published().base32(), text);
        assert_eq!(Secret::parse(text), Some(published()));
        for wrong in [
            "",
            "GEZDGNBV",
            "gezdgnbvgy3tqojqgezdgnbvgy3tqojq",
            "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJ1",
        ] {
            assert_eq!(Secret::parse(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_code_opens_once_and_only_near_its_time() {
        let secret = published();
        let at = UtcSecond::new(1_111_111_111);
        let step = 1_111_111_111 / 30;
        assert_eq!(secret.accepts("050 471", at, 0), Some(step));
        assert_eq!(secret.accepts("050471", at.plus(30), 0), Some(step));
        assert_eq!(secret.accepts("050471", at.plus(-30), 0), Some(step));
        assert_eq!(secret.accepts("050471", at.plus(61), 0), None);
        assert_eq!(secret.accepts("050471", at.plus(-61), 0), None);
        assert_eq!(secret.accepts("050471", at, step), None, "it was used");
        // The code of the step before is not accepted after a later one.
        assert_eq!(secret.accepts("081804", at, step), None);
        for wrong in ["", "50471", "0504711", "05047a", "050472", "０５０４７１"] {
            assert_eq!(secret.accepts(wrong, at, 0), None, "{wrong}");
        }
    }

    #[test]
    fn the_address_names_co_op_and_account() {
        assert_eq!(
            published().address("Coldwater Ridge: Co-op", "ruth"),
            "otpauth://totp/Coldwater%20Ridge%3A%20Co-op:ruth?secret=GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ&issuer=Coldwater%20Ridge%3A%20Co-op"
        );
    }

    #[test]
    fn a_recovery_code_is_read_as_it_is_written_by_hand() {
        assert_eq!(recovery(" ABCDE-fgh1O 23l45 "), "abcdefgh1023145");
    }
}
