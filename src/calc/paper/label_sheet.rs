//! Sheets of labels by their plain dimensions: where the n-th label lies on the paper. A sheet that
//! does not fit its page cannot be made.

use crate::calc::RuleRefusal;

/// A size of paper, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Paper {
    /// US Letter, 8.5 × 11 in.
    Letter,
    /// ISO 216 A4, 210 × 297 mm.
    A4,
}

impl Paper {
    /// The word a form, the store and a style sheet's `@page` use.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Letter => "letter",
            Self::A4 => "a4",
        }
    }

    /// Width and height in millimetres.
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::Letter => (215.9, 279.4),
            Self::A4 => (210.0, 297.0),
        }
    }
}

/// The dimensions of a sheet, as written on its packet. Lengths in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dimensions {
    /// The paper.
    pub paper: Paper,
    /// Labels side by side.
    pub columns: u32,
    /// Labels one below another.
    pub rows: u32,
    /// Width of a label.
    pub label_w_mm: f64,
    /// Height of a label.
    pub label_h_mm: f64,
    /// Distance from the left edge of the paper to the first label.
    pub left_mm: f64,
    /// Distance from the top edge of the paper to the first label.
    pub top_mm: f64,
    /// Between two labels side by side.
    pub gap_x_mm: f64,
    /// Between two labels one below another.
    pub gap_y_mm: f64,
}

/// A sheet whose labels all lie on its paper.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LabelSheet(Dimensions);

/// Where a label lies, from the top left corner of its page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// The page, counted from 0.
    pub page: u32,
    /// Its left edge.
    pub x_mm: f64,
    /// Its top edge.
    pub y_mm: f64,
}

/// Millimetres in an inch, exactly.
const IN: f64 = 25.4;
/// How far dimensions read off a packet may be out together, mm.
const SLACK_MM: f64 = 0.05;
/// The smallest label that takes a name, a net weight and a lot code.
const LEAST_MM: f64 = 10.0;

/// Sheets in common use; their dimensions are common practice, from memory.
pub const COMMON: [Dimensions; 4] = [
    Dimensions {
        paper: Paper::Letter,
        columns: 3,
        rows: 10,
        label_w_mm: 2.625 * IN,
        label_h_mm: IN,
        left_mm: 0.1875 * IN,
        top_mm: 0.5 * IN,
        gap_x_mm: 0.125 * IN,
        gap_y_mm: 0.0,
    },
    Dimensions {
        paper: Paper::Letter,
        columns: 2,
        rows: 5,
        label_w_mm: 4.0 * IN,
        label_h_mm: 2.0 * IN,
        left_mm: 0.15625 * IN,
        top_mm: 0.5 * IN,
        gap_x_mm: 0.1875 * IN,
        gap_y_mm: 0.0,
    },
    Dimensions {
        paper: Paper::A4,
        columns: 3,
        rows: 7,
        label_w_mm: 63.5,
        label_h_mm: 38.1,
        left_mm: 7.21,
        top_mm: 15.15,
        gap_x_mm: 2.54,
        gap_y_mm: 0.0,
    },
    Dimensions {
        paper: Paper::A4,
        columns: 2,
        rows: 4,
        label_w_mm: 99.1,
        label_h_mm: 67.7,
        left_mm: 4.65,
        top_mm: 13.1,
        gap_x_mm: 2.5,
        gap_y_mm: 0.0,
    },
];

impl Dimensions {
    /// The sheet's name in a list: "30 on US Letter, 66.7 × 25.4 mm".
    pub fn name(&self) -> String {
        let paper = match self.paper {
            Paper::Letter => "US Letter",
            Paper::A4 => "A4",
        };
        format!(
            "{} on {paper}, {:.1} × {:.1} mm",
            self.columns * self.rows,
            self.label_w_mm,
            self.label_h_mm
        )
    }
}

impl LabelSheet {
    /// A sheet of these dimensions.
    ///
    /// # Errors
    /// No labels, or more than 60 a side; a label under 10 mm; a margin or gap below zero; labels
    /// that reach beyond the paper.
    pub fn new(d: Dimensions) -> Result<Self, RuleRefusal> {
        if ![d.columns, d.rows].iter().all(|n| (1..=60).contains(n)) {
            return Err(RuleRefusal::new(
                "labels-on-a-sheet",
                "Please write how many labels are on a sheet: 1 to 60 across, 1 to 60 down.",
            ));
        }
        if ![d.label_w_mm, d.label_h_mm].iter().all(|s| *s >= LEAST_MM) {
            return Err(RuleRefusal::new(
                "label-too-small",
                "A label must be at least 10 mm wide and high. Please choose a larger one.",
            ));
        }
        if ![d.left_mm, d.top_mm, d.gap_x_mm, d.gap_y_mm]
            .iter()
            .all(|s| *s >= 0.0)
        {
            return Err(RuleRefusal::new(
                "margin-below-zero",
                "Please write margins and gaps as 0 mm or more.",
            ));
        }
        let sheet = Self(d);
        let last = sheet.place(d.columns * d.rows - 1);
        let (width, height) = d.paper.size_mm();
        for (side, reach, room) in [
            ("wide", last.x_mm + d.label_w_mm, width),
            ("high", last.y_mm + d.label_h_mm, height),
        ] {
            // An endless gap on a sheet of one column makes no number at all.
            if reach > room + SLACK_MM || reach.is_nan() {
                return Err(RuleRefusal::new(
                    "sheet-beyond-paper",
                    format!(
                        "These labels reach to {reach:.1} mm, but the paper is {room:.1} mm {side}. \
                         Please measure margin, labels and gaps again."
                    ),
                ));
            }
        }
        Ok(sheet)
    }

    /// The dimensions of the sheet.
    pub const fn dimensions(&self) -> &Dimensions {
        &self.0
    }

    /// Labels on one page.
    pub const fn per_page(&self) -> u32 {
        self.0.columns * self.0.rows
    }

    /// How many pages this many labels take.
    pub const fn pages(&self, labels: u32) -> u32 {
        labels.div_ceil(self.per_page())
    }

    /// Where the `n`-th label lies, counted from 0, row by row; on a sheet that was begun, count
    /// the labels already taken.
    pub fn place(&self, n: u32) -> Place {
        let d = &self.0;
        let (page, on_page) = (n / self.per_page(), n % self.per_page());
        let (row, column) = (on_page / d.columns, on_page % d.columns);
        Place {
            page,
            x_mm: d.left_mm + f64::from(column) * (d.label_w_mm + d.gap_x_mm),
            y_mm: d.top_mm + f64::from(row) * (d.label_h_mm + d.gap_y_mm),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn labels_in_common_use_fit_and_are_centred_on_their_paper() {
        for dimensions in COMMON {
            let sheet = LabelSheet::new(dimensions).unwrap();
            let last = sheet.place(sheet.per_page() - 1);
            let (width, height) = dimensions.paper.size_mm();
            let right = width - last.x_mm - dimensions.label_w_mm;
            let bottom = height - last.y_mm - dimensions.label_h_mm;
            assert!((right - dimensions.left_mm).abs() < 0.06, "{right}");
            assert!((bottom - dimensions.top_mm).abs() < 0.06, "{bottom}");
        }
        assert_eq!(COMMON[0].name(), "30 on US Letter, 66.7 × 25.4 mm");
    }

    #[test]
    fn the_thirty_second_label_is_the_second_of_the_second_page() {
        let sheet = LabelSheet::new(COMMON[0]).unwrap();
        let place = sheet.place(31);
        assert_eq!(place.page, 1);
        assert!((place.x_mm - (4.7625 + 66.675 + 3.175)).abs() < 1e-9);
        assert!((place.y_mm - 12.7).abs() < 1e-9);
        assert_eq!(
            (sheet.pages(30), sheet.pages(31), sheet.pages(0)),
            (1, 2, 0)
        );
    }

    #[test]
    fn a_sheet_that_does_not_fit_its_paper_is_refused() {
        let code = |change: fn(&mut Dimensions)| {
            let mut dimensions = COMMON[2];
            change(&mut dimensions);
            LabelSheet::new(dimensions).unwrap_err().code
        };
        assert_eq!(code(|d| d.rows = 8), "sheet-beyond-paper");
        assert_eq!(code(|d| d.left_mm = 14.6), "sheet-beyond-paper");
        assert_eq!(code(|d| d.gap_x_mm = f64::NAN), "margin-below-zero");
        assert_eq!(code(|d| d.label_w_mm = f64::NAN), "label-too-small");
        assert_eq!(code(|d| d.label_h_mm = f64::INFINITY), "sheet-beyond-paper");
        let endless = |d: &mut Dimensions| (d.columns, d.gap_x_mm) = (1, f64::INFINITY);
        assert_eq!(code(endless), "sheet-beyond-paper");
        assert_eq!(code(|d| d.columns = 0), "labels-on-a-sheet");
        assert_eq!(code(|d| d.paper = Paper::Letter), "sheet-beyond-paper");
    }

    proptest! {
        #[test]
        fn prop_no_two_labels_of_a_page_overlap(
            columns in 1_u32..6, rows in 1_u32..12, w in 10.0_f64..60.0, h in 10.0_f64..40.0,
            gap in 0.0_f64..4.0, margin in 0.0_f64..10.0,
        ) {
            let sheet = LabelSheet::new(Dimensions {
                paper: Paper::A4,
                columns,
                rows,
                label_w_mm: w,
                label_h_mm: h,
                left_mm: margin,
                top_mm: margin,
                gap_x_mm: gap,
                gap_y_mm: gap,
            });
            prop_assume!(sheet.is_ok());
            let sheet = sheet.unwrap();
            for a in 0..sheet.per_page() {
                let one = sheet.place(a);
                prop_assert!(one.x_mm + w <= 210.06 && one.y_mm + h <= 297.06);
                for b in 0..a {
                    let other = sheet.place(b);
                    let apart = (one.x_mm - other.x_mm).abs() >= w - 1e-9
                        || (one.y_mm - other.y_mm).abs() >= h - 1e-9;
                    prop_assert!(apart);
                }
            }
        }
    }
}
