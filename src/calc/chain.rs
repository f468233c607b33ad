//! The chain of what was written: each record's digest takes in the one before, so that a record that is changed, removed or
//! moved shows. SHA-256, FIPS 180-4.

use sha2::{Digest, Sha256};
use std::fmt::Write as _;

/// One record of what was done, as far as its digest covers it.
#[derive(Debug, Clone, Copy)]
pub struct Link<'a> {
    /// The record's number, from 1 without gaps.
    pub number: i64,
    /// Name of the table that the row is in.
    pub what: &'a str,
    /// What was done to the row: made, changed, removed or found.
    pub op: &'a str,
    /// Key of the row.
    pub key: &'a str,
    /// Digest of the row's content.
    pub content_digest: &'a str,
    /// Who did it; empty when nobody is named.
    pub by: &'a str,
    /// When it was done, as a number in text; empty when it is not known.
    pub at: &'a str,
}

/// SHA-256 of a text, 64 hexadecimal digits.
pub fn sha256_hex(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    let mut hex = String::with_capacity(64);
    for byte in digest {
        // Writing into a string does not fail.
        let _ = write!(hex, "{byte:02x}");
    }
    hex
}

/// The digest of a record; `before` is the one of the record before it, empty for the first. Every part stands with its
/// length, so that no two records give the same text.
pub fn digest(before: &str, link: &Link<'_>) -> String {
    let number = link.number.to_string();
    let parts = [
        before,
        &number,
        link.what,
        link.op,
        link.key,
        link.content_digest,
        link.by,
        link.at,
    ];
    let mut text = String::new();
    for part in parts {
        let _ = write!(text, "{}:{part};", part.len());
    }
    sha256_hex(&text)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINK: Link<'static> = Link {
        number: 1,
        what: "ledger",
        op: "made",
        key: "[1]",
        content_digest: "c",
        by: "",
        at: "1789822800",
    };

    /// FIPS 180-4 example messages: "abc", and the empty text.
    #[test]
    fn the_digest_is_the_published_one() {
        assert_eq!(
            sha256_hex("abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        assert_eq!(
            sha256_hex(""),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
        );
    }

    #[test]
    fn each_part_and_the_record_before_change_the_digest() {
        let own = digest("", &LINK);
        let others = [
            digest("x", &LINK),
            digest("", &Link { number: 2, ..LINK }),
            digest(
                "",
                &Link {
                    what: "hours",
                    ..LINK
                },
            ),
            digest(
                "",
                &Link {
                    op: "found",
                    ..LINK
                },
            ),
            digest("", &Link { key: "[2]", ..LINK }),
            digest(
                "",
                &Link {
                    content_digest: "d",
                    ..LINK
                },
            ),
            digest("", &Link { by: "b", ..LINK }),
            digest(
                "",
                &Link {
                    at: "1789822801",
                    ..LINK
                },
            ),
            // What moves from one part into the next is another record.
            digest(
                "",
                &Link {
                    what: "ledgermade",
                    op: "",
                    ..LINK
                },
            ),
        ];
        for (i, other) in others.iter().enumerate() {
            assert_ne!(&own, other, "{i}");
            assert!(!others[..i].contains(other), "{i}");
        }
    }
}
