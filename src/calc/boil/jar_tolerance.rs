//! What a packet of food may be short by: the maximum allowable variation by declared weight.
//!
//! Source: NIST Handbook 133, appendix A, table 2-5, from memory, not looked up. Its gram column is the pound column
//! cut off, row by row; two entries were compared with published ones (3 oz: 0.25 oz; upper limit 17.28 oz). Have
//! the current table at hand before an inspector is answered.

use crate::units::Grams;

/// Declared grams up to and including, and what may be short, g.
const TABLE: [(i64, f64); 32] = [
    (54, 3.6),
    (81, 5.4),
    (117, 7.2),
    (154, 9.0),
    (208, 10.8),
    (263, 12.7),
    (317, 14.5),
    (381, 16.3),
    (426, 18.1),
    (489, 19.9),
    (571, 21.7),
    (635, 23.5),
    (698, 25.4),
    (771, 27.2),
    (852, 29.0),
    (970, 31.7),
    (1120, 35.3),
    (1250, 39.0),
    (1450, 42.6),
    (1760, 49.8),
    (2130, 54.4),
    (2630, 63.5),
    (3080, 68.0),
    (3580, 77.1),
    (4260, 86.1),
    (5300, 99.7),
    (6480, 113.0),
    (8020, 127.0),
    (10_520, 140.0),
    (14_330, 167.0),
    (19_230, 199.0),
    (24_670, 226.0),
];
/// Declared grams up to which a tenth of them may be short.
const TENTH_TO_G: i64 = 36;
/// Above the table: this part of the declared grams.
const ABOVE: f64 = 0.02;

/// How much one packet that declares this weight may be short by, g.
pub fn allowed_g(declared: Grams) -> f64 {
    if declared.get() <= TENTH_TO_G {
        return declared.as_f64() / 10.0;
    }
    let row = TABLE.iter().find(|(to, _)| declared.get() <= *to);
    row.map_or(declared.as_f64() * ABOVE, |(_, allowed)| *allowed)
}
