//! How the words of a jar label lie on it: which size, where they break, where the QR code stands.
//! A face whose words do not all fit, with the clear space that the net contents ask for, cannot be
//! made. Draws nothing.
//!
//! The net contents stand along the bottom, apart from all else by the height of their letters above
//! and by twice the width of their N beside (21 CFR 101.7(f), from memory). What else is required is
//! at least 1/16 in high (21 CFR 101.2(c), from memory).

use super::label::JarLabel;
use super::lettering::{fitted, wrap};
use super::panel::TypeHeight;
use super::qr::Qr;
use crate::calc::RuleRefusal;

/// Width of the letter N, in em.
const N_EM: f64 = 0.722;
/// Height from the baseline to the top of the highest letters, in em (Liberation Sans: 0.725).
const ASCENT: f64 = 0.74;
/// Depth from the baseline to the foot of the lowest letters, in em (0.212).
const DESCENT: f64 = 0.22;
/// Distance from one baseline to the next, in em.
const PITCH: f64 = 1.06;
/// Narrower than this a line is not drawn: its digits stay less than three times as high as wide
/// (21 CFR 101.7(h)).
const NARROWEST: f64 = 0.6;
/// Narrower than this only when nothing else fits.
const NARROW: f64 = 0.85;
/// Tried in turn: the size of the food's name over that of the net contents, and the size of all
/// other words in millimetres.
const SIZES: [(f64, f64); 5] = [(1.5, 5.0), (1.25, 4.2), (1.0, 3.8), (0.8, 3.5), (0.6, 3.2)];
/// Labels lower than this have a narrower margin.
const LOW_MM: f64 = 30.0;

/// A line of words. Lengths in millimetres from the top left corner of the label.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The words.
    pub text: String,
    /// Where the words begin, mm from the label's left edge.
    pub x_mm: f64,
    /// Where their baseline lies, mm from the label's top edge.
    pub baseline_mm: f64,
    /// Size of the type, mm.
    pub size_mm: f64,
    /// How long the line is to be drawn, whatever the face at hand would make of it.
    pub length_mm: f64,
    /// Whether the words are bold.
    pub bold: bool,
}

/// Where the QR code stands, its quiet zone included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Square {
    /// Its left edge, mm from the label's.
    pub x_mm: f64,
    /// Its top edge, mm from the label's.
    pub y_mm: f64,
    /// Length of its side, mm.
    pub side_mm: f64,
    /// How wide its quiet zone is, mm.
    pub quiet_mm: f64,
}

/// A label's face.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// The words: the name of the food first, the net contents last.
    pub lines: Vec<Line>,
    /// The QR code, if one was given.
    pub qr: Option<Square>,
}

/// One way to lay a label out, to be tried.
struct Plan<'a> {
    food_mm: f64,
    small_mm: f64,
    narrowest: f64,
    /// The net contents, line by line.
    net: &'a [String],
    /// Below the QR code, as wide as the label; else beside it.
    below: bool,
}

/// The label while it is laid out.
struct Room<'a> {
    label: &'a JarLabel,
    w_mm: f64,
    h_mm: f64,
    pad_mm: f64,
    qr: Option<Square>,
}

impl Face {
    /// Lays a label of `w_mm` × `h_mm` out: the first way that fits, letters of their own width
    /// before narrowed ones, large before small, and a QR code with margin before a tight one.
    ///
    /// # Errors
    /// The words do not fit at their least sizes; beside the box `sheet`.
    pub fn of(
        label: &JarLabel,
        qr: Option<&Qr>,
        w_mm: f64,
        h_mm: f64,
    ) -> Result<Self, RuleRefusal> {
        let ample = Room::new(label, qr, w_mm, h_mm, Qr::least_side_mm);
        let tight = Room::new(label, qr, w_mm, h_mm, Qr::tight_side_mm);
        ample.first_fit().or_else(|| tight.first_fit()).ok_or_else(|| {
            RuleRefusal::beside(
                "sheet",
                "label-too-small-for-its-words",
                format!(
                    "A label of {w_mm:.1} × {h_mm:.1} mm is too small for what must stand on it, \
                     with letters of {} for the net weight. Please choose a sheet of larger labels.",
                    label.type_height.inches()
                ),
            )
        })
    }
}

/// The net contents in one, two and three lines.
fn net_lines(label: &JarLabel) -> [Vec<String>; 3] {
    let (customary, metric) = (label.net.customary_text(), label.net.metric_text());
    let one = vec![label.net.text()];
    match customary.split_once(" (") {
        Some((ounces, pounds)) => [
            one,
            vec![ounces.to_owned(), format!("({pounds} {metric}")],
            vec![ounces.to_owned(), format!("({pounds}"), metric],
        ],
        None => [
            one,
            vec![customary.clone(), metric.clone()],
            vec![customary, metric],
        ],
    }
}

impl<'a> Room<'a> {
    fn new(
        label: &'a JarLabel,
        qr: Option<&Qr>,
        w_mm: f64,
        h_mm: f64,
        least_side_mm: fn(&Qr) -> f64,
    ) -> Self {
        let pad_mm = if h_mm < LOW_MM { 1.0 } else { 2.0 };
        let qr = qr.map(|qr| {
            let least = least_side_mm(qr);
            let side_mm = (0.36 * h_mm).clamp(least, 1.5 * least);
            // The quiet zone is margin enough; a printer may still slip by a millimetre.
            let edge = pad_mm - 1.0;
            Square {
                x_mm: w_mm - side_mm - edge,
                y_mm: edge,
                side_mm,
                quiet_mm: qr.quiet_mm(side_mm),
            }
        });
        Self {
            label,
            w_mm,
            h_mm,
            pad_mm,
            qr,
        }
    }

    /// The first layout into which the label fits.
    fn first_fit(&self) -> Option<Face> {
        let net_mm = self.label.type_height.font_size_mm();
        let least_mm = TypeHeight::Sixteenth.font_size_mm();
        let [one, two, three] = net_lines(self.label);
        let ways = [
            (&one, true),
            (&two, true),
            (&one, false),
            (&two, false),
            (&three, false),
            (&three, true),
        ];
        for narrowest in [NARROW, NARROWEST] {
            for (factor, small_mm) in SIZES {
                for (net, below) in ways {
                    let plan = Plan {
                        food_mm: (factor * net_mm).max(least_mm),
                        small_mm: small_mm.max(least_mm),
                        narrowest,
                        net,
                        below,
                    };
                    if let Some(lines) = self.lay_out(&plan) {
                        return Some(Face { lines, qr: self.qr });
                    }
                }
            }
        }
        None
    }

    /// All lines, if they fit with the space that the net contents ask for around them.
    fn lay_out(&self, plan: &Plan<'_>) -> Option<Vec<Line>> {
        let mut lines = self.upper(plan)?;
        let net = self.net(plan)?;
        let net_top = net.first().map(Line::top)?;
        let mut printed_above = lines.last().map(Line::bottom)?;
        if let Some(qr) = self.qr {
            if qr.y_mm + qr.side_mm > self.h_mm {
                return None;
            }
            if plan.below {
                printed_above = printed_above.max(qr.y_mm + qr.side_mm - qr.quiet_mm);
            }
        }
        (net_top - printed_above >= self.label.type_height.mm()).then(|| {
            lines.extend(net);
            lines
        })
    }

    /// Name of the food, packer, lot code and press date, from the top down.
    fn upper(&self, plan: &Plan<'_>) -> Option<Vec<Line>> {
        let wide = self.qr.map_or(self.w_mm - self.pad_mm, |qr| qr.x_mm) - self.pad_mm;
        let small = plan.small_mm;
        let lot = format!("Lot {}", self.label.lot);
        let pressed = format!("Pressed {}", self.label.pressed.show());
        let together = format!("{lot} · {pressed}");
        let last = if fitted(&together, small, wide, NARROW, false).is_some() {
            vec![together]
        } else {
            vec![lot, pressed]
        };
        let packer = wrap(&self.label.packer, wide / small / NARROW);
        let mut lines = Vec::new();
        let mut top = self.pad_mm;
        let food = [(self.label.food.to_owned(), plan.food_mm, true)];
        let rest = packer.into_iter().chain(last).map(|t| (t, small, false));
        for (text, size_mm, bold) in food.into_iter().chain(rest) {
            lines.push(Line {
                length_mm: fitted(&text, size_mm, wide, plan.narrowest, bold)?,
                text,
                x_mm: self.pad_mm,
                baseline_mm: top + ASCENT * size_mm,
                size_mm,
                bold,
            });
            top += PITCH * size_mm;
        }
        Some(lines)
    }

    /// The net contents, from the bottom up.
    fn net(&self, plan: &Plan<'_>) -> Option<Vec<Line>> {
        let size_mm = self.label.type_height.font_size_mm();
        let right = match self.qr {
            Some(qr) if !plan.below => qr.x_mm + qr.quiet_mm - 2.0 * N_EM * size_mm,
            _ => self.w_mm - self.pad_mm,
        };
        let lowest = self.h_mm - self.pad_mm - DESCENT * size_mm;
        let mut baseline_mm = lowest;
        let mut lines = Vec::new();
        for text in plan.net.iter().rev() {
            lines.push(Line {
                length_mm: fitted(text, size_mm, right - self.pad_mm, plan.narrowest, false)?,
                text: text.clone(),
                x_mm: self.pad_mm,
                baseline_mm,
                size_mm,
                bold: false,
            });
            baseline_mm -= PITCH * size_mm;
        }
        lines.reverse();
        Some(lines)
    }
}

impl Line {
    /// The top of its highest letters.
    pub fn top(&self) -> f64 {
        self.baseline_mm - ASCENT * self.size_mm
    }

    /// The lowest point that the line's letters reach, mm.
    pub fn bottom(&self) -> f64 {
        self.baseline_mm + DESCENT * self.size_mm
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::paper::label_sheet::COMMON;
    use crate::calc::paper::lettering::width_em;
    use crate::calc::paper::panel::Panel;
    use crate::units::{BrixAt20C, Grams, LotCode, PressDate};
    use proptest::prelude::*;

    fn label(net: i64, packer: &str, side_mm: f64) -> JarLabel {
        JarLabel::new(
            BrixAt20C::new(78.0).unwrap(),
            Grams::new(net),
            LotCode::nth(2026, 7).unwrap(),
            packer,
            PressDate::parse("2026-09-19").unwrap(),
            Panel::Flat {
                height_mm: side_mm,
                width_mm: side_mm,
            },
        )
        .unwrap()
    }

    const MILL: &str = "Coldwater Ridge Pressing Co-op, Tolliver, TN 37999";

    fn code() -> Qr {
        Qr::of("HTTPS://COLDWATER.EXAMPLE/L/26A9ZP").unwrap()
    }

    /// Checks what must be true of every face that is made.
    fn sound(face: &Face, label: &JarLabel, w: f64, h: f64) {
        let end = |line: &Line| line.x_mm + line.length_mm;
        for line in &face.lines {
            assert!(line.x_mm > 0.0 && end(line) < w, "{line:?}");
            assert!(line.top() > 0.0 && line.bottom() < h, "{line:?}");
            assert!(line.size_mm >= 3.2 - 1e-9);
            let own = width_em(&line.text) * line.size_mm;
            assert!(line.length_mm >= own * NARROWEST - 1e-9, "{line:?}");
        }
        for pair in face.lines.windows(2) {
            assert!(pair[0].bottom() <= pair[1].top() + 0.2, "{pair:?}");
        }
        let words: Vec<&str> = face.lines.iter().map(|l| l.text.as_str()).collect();
        let words = words.join(" ");
        for said in [label.food, &label.net.text(), &label.lot.to_string()] {
            assert!(words.contains(said), "{said} is not in {words}");
        }
        let (upper, net): (Vec<&Line>, Vec<&Line>) = face
            .lines
            .iter()
            .partition(|l| !label.net.text().contains(&l.text));
        let clear = label.type_height.mm() - 1e-9;
        assert!(net[0].top() - upper.last().unwrap().bottom() >= clear);
        assert!(net[0].size_mm >= label.type_height.mm() / 0.5 - 1e-9);
        let Some(qr) = face.qr else { return };
        assert!(qr.x_mm + qr.side_mm <= w && qr.y_mm + qr.side_mm <= h);
        for line in upper {
            assert!(end(line) <= qr.x_mm + 1e-9);
        }
        let ink_bottom = qr.y_mm + qr.side_mm - qr.quiet_mm;
        let ink_left = qr.x_mm + qr.quiet_mm;
        for line in net {
            let n = 2.0 * 0.722 * line.size_mm;
            assert!(line.top() - ink_bottom >= clear || ink_left - end(line) >= n - 1e-9);
        }
    }

    #[test]
    fn every_common_sheet_takes_a_jar_of_24_oz_at_an_eighth_of_an_inch() {
        for d in COMMON {
            // 77 mm square: 9.2 in².
            let label = label(680, MILL, 77.0);
            assert_eq!(label.type_height, TypeHeight::Eighth);
            for qr in [Some(&code()), None] {
                let face = Face::of(&label, qr, d.label_w_mm, d.label_h_mm).unwrap();
                assert_eq!(face.qr.is_some(), qr.is_some());
                sound(&face, &label, d.label_w_mm, d.label_h_mm);
            }
        }
    }

    #[test]
    fn a_label_too_small_for_its_letters_is_refused_beside_the_sheet() {
        // 130 mm square: 26 in², letters of 3/16 in.
        let label = label(680, MILL, 130.0);
        let refusal = Face::of(&label, Some(&code()), 66.675, 25.4).unwrap_err();
        assert_eq!(refusal.code, "label-too-small-for-its-words");
        assert_eq!(refusal.at, Some("sheet"));
        assert!(refusal.sentence.contains("3/16 in"), "{refusal}");
        assert!(Face::of(&label, Some(&code()), 101.6, 50.8).is_ok());
    }

    proptest! {
        #[test]
        fn prop_whatever_is_laid_out_stays_on_the_label_and_keeps_its_distance(
            w in 20.0_f64..150.0, h in 12.0_f64..100.0, net in 30_i64..5000,
            side in 20.0_f64..300.0, name in "[A-Za-zé<&]{4,12}( [A-Za-z]{4,12}){0,6}", with_qr: bool,
        ) {
            let label = label(net, &name, side);
            let qr = code();
            if let Ok(face) = Face::of(&label, with_qr.then_some(&qr), w, h) {
                sound(&face, &label, w, h);
            }
        }
    }
}
