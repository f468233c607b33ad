//! Comma-separated files (RFC 4180, sections 2.6 and 2.7: CRLF, quotes doubled). Text that a
//! spreadsheet would run as a formula gets an apostrophe before it (OWASP ASVS 5.0.0, 1.2.10). Knows
//! no record.

use std::fmt::Display;

/// What a text must not begin with: `=`, `+`, `-`, `@`, tab and carriage return start formulas in one
/// spreadsheet or another; the minus sign of print is left alone.
const FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// A cell of text: neutralised, and quoted where it must be.
pub fn text_cell(text: &str) -> String {
    let plain = if text.starts_with(FORMULA) {
        format!("'{text}")
    } else {
        text.to_owned()
    };
    if plain.contains(['"', ',', '\r', '\n']) {
        format!("\"{}\"", plain.replace('"', "\"\""))
    } else {
        plain
    }
}

/// A file under way, row by row.
#[derive(Debug, Default)]
pub struct Csv {
    out: String,
    cells: usize,
}

impl Csv {
    /// A file with its head line.
    pub fn new(heads: &[&str]) -> Self {
        let mut csv = Self::default();
        for head in heads {
            csv.text(head);
        }
        csv.end();
        csv
    }

    fn cell(&mut self, cell: &str) {
        if self.cells > 0 {
            self.out.push(',');
        }
        self.out.push_str(cell);
        self.cells += 1;
    }

    /// Writes a cell of text.
    pub fn text(&mut self, text: impl Display) -> &mut Self {
        self.cell(&text_cell(&text.to_string()));
        self
    }

    /// A cell of a number, a minus included.
    pub fn number(&mut self, number: i64) -> &mut Self {
        self.cell(&number.to_string());
        self
    }

    /// A cell of a measured number, with every digit that it has.
    pub fn real(&mut self, number: f64) -> &mut Self {
        self.cell(&number.to_string());
        self
    }

    /// Ends the row that is being written.
    pub fn end(&mut self) {
        self.out.push_str("\r\n");
        self.cells = 0;
    }

    /// The whole file as text.
    pub fn finish(self) -> String {
        self.out
    }
}
