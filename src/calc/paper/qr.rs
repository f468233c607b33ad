//! A QR code as one SVG path, with its quiet zone. Chooses no colours and no address.
//!
//! Level Q mends a quarter of the code: jars are round and sticky. Capital letters, digits and
//! `$ % * + - . / :` take less room than small letters, so an address in capitals makes a smaller
//! code (ISO/IEC 18004, alphanumeric mode).

use crate::calc::RuleRefusal;
use qrcodegen::{QrCode, QrCodeEcc};
use std::fmt::Write;

/// Modules of quiet zone on each side (ISO/IEC 18004).
const QUIET: i32 = 4;
/// The smallest module that a phone at hand reads off a jar, with margin.
const MODULE_MM: f64 = 0.5;
/// The smallest module without that margin: the rule of thumb (common practice).
const TIGHT_MODULE_MM: f64 = 0.4;

/// A QR code ready to draw.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Qr {
    /// The dark modules as the `d` of one SVG path; one unit is one module, the quiet zone included.
    pub path: String,
    /// Modules along a side, the quiet zone included: the view box is `0 0 modules modules`.
    pub modules: i32,
}

impl Qr {
    /// The code of a text at level Q, or H where that needs no more room.
    ///
    /// # Errors
    /// More text than a QR code holds at that level.
    pub fn of(text: &str) -> Result<Self, RuleRefusal> {
        let code = QrCode::encode_text(text, QrCodeEcc::Quartile).map_err(|_| {
            RuleRefusal::new(
                "too-long-for-a-qr-code",
                "That address is too long for a QR code. Please shorten the site's address in the \
                 settings.",
            )
        })?;
        assert!(
            code.error_correction_level() >= QrCodeEcc::Quartile,
            "the encoder keeps at least the level asked for"
        );
        Ok(Self {
            path: path(&code),
            modules: code.size() + 2 * QUIET,
        })
    }

    /// The least side in millimetres at which it should be printed, the quiet zone included.
    pub fn least_side_mm(&self) -> f64 {
        f64::from(self.modules) * MODULE_MM
    }

    /// The least side in millimetres where room is short: a phone still reads it, but must be held well.
    pub fn tight_side_mm(&self) -> f64 {
        f64::from(self.modules) * TIGHT_MODULE_MM
    }

    /// The width in millimetres of the quiet zone when the whole is printed `side_mm` wide.
    pub fn quiet_mm(&self, side_mm: f64) -> f64 {
        side_mm * f64::from(QUIET) / f64::from(self.modules)
    }
}

/// One rectangle for each unbroken run of dark modules in a row: no hairlines between modules.
fn path(code: &QrCode) -> String {
    let mut path = String::new();
    for y in 0..code.size() {
        let mut x = 0;
        while x < code.size() {
            let from = x;
            while code.get_module(x, y) {
                x += 1;
            }
            let run = x - from;
            if run > 0 {
                let (left, top) = (from + QUIET, y + QUIET);
                // Writing to a String cannot fail.
                let _ = write!(path, "M{left} {top}h{run}v1h-{run}z");
            }
            x += 1;
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reads the path back into rows of modules.
    fn drawn(qr: &Qr) -> Vec<Vec<bool>> {
        let side = usize::try_from(qr.modules).unwrap();
        let mut rows = vec![vec![false; side]; side];
        for run in qr.path.split('z').filter(|r| !r.is_empty()) {
            let numbers: Vec<usize> = run
                .split(|c: char| !c.is_ascii_digit())
                .filter(|n| !n.is_empty())
                .map(|n| n.parse().unwrap())
                .collect();
            let [x, y, across, 1, back] = numbers[..] else {
                panic!("{run}");
            };
            assert_eq!(across, back);
            for cell in &mut rows[y][x..x + across] {
                assert!(!*cell, "drawn twice");
                *cell = true;
            }
        }
        rows
    }

    #[test]
    fn the_path_draws_every_module_once_inside_a_quiet_zone() {
        let text = "HTTPS://EXAMPLE.ORG/L/26A9ZP";
        let qr = Qr::of(text).unwrap();
        // 29 capitals fit version 2 at level Q: 25 modules and the quiet zone.
        assert_eq!(qr.modules, 33);
        assert!((qr.least_side_mm() - 16.5).abs() < 1e-9);
        let code = QrCode::encode_text(text, QrCodeEcc::Quartile).unwrap();
        let rows = drawn(&qr);
        for (y, row) in (0..).zip(&rows) {
            for (x, dark) in (0..).zip(row) {
                assert_eq!(*dark, code.get_module(x - QUIET, y - QUIET), "{x} {y}");
            }
        }
        // A finder pattern stands in the corner, dark ring and light ring.
        assert!(rows[4][4..11].iter().all(|dark| *dark));
        assert_eq!(
            rows[5][4..11],
            [true, false, false, false, false, false, true]
        );
    }

    #[test]
    fn capitals_make_a_smaller_code_and_too_much_text_is_refused() {
        let capitals = Qr::of("HTTPS://EXAMPLE.ORG/L/26A9ZP").unwrap();
        assert!(capitals.modules < Qr::of("https://example.org/l/26a9zp").unwrap().modules);
        let refused = Qr::of(&"x".repeat(3000)).unwrap_err();
        assert_eq!(refused.code, "too-long-for-a-qr-code");
    }
}
